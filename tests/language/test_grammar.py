"""The grammar file: pure data, free of conflicts, complete in itself, one with the tables."""

from __future__ import annotations

import logging
import re
from pathlib import Path
from typing import Any

import pytest
from lark import Lark, Token, Tree, logger

from motif.language import reserved
from motif.language.grammar import GRAMMAR_FILE, PATTERNS, grammar
from motif.language.wording import FAMILIES, WORDS
from motif.resources import data_folder
from tests.language.helpers import CASES, EVERYTHING, items


@pytest.fixture(scope="module")
def text() -> str:
    return (data_folder("grammar") / GRAMMAR_FILE).read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def alone(text: str) -> Lark:
    """The grammar with lark's own lexer, without any of the hand-written parts."""
    return Lark(text, parser="lalr", start="file")


def test_no_program_stands_in_the_data_folder() -> None:
    assert not list(data_folder("grammar").rglob("*.py*"))


def test_no_conflict_is_resolved_by_order(text: str, caplog: pytest.LogCaptureFixture) -> None:
    level, logger.propagate = logger.level, True
    logger.setLevel(logging.DEBUG)
    try:
        with caplog.at_level(logging.DEBUG, logger="lark"):
            Lark(text, parser="lalr", start="file", debug=True)
            assert [r.getMessage() for r in caplog.records if "onflict" in r.getMessage()] == []
            # The log does report conflicts: this grammar has one.
            Lark('start: a\na: "x" | "x" a "y"? | "x" "y"? a', parser="lalr", debug=True)
            assert any("onflict" in r.getMessage() for r in caplog.records)
    finally:
        logger.setLevel(level)


def _shape(tree: Any) -> Any:
    """Rules, and the spelling of tokens in lower case."""
    if isinstance(tree, Tree):
        return (str(tree.data), *(_shape(c) for c in tree.children))
    return tree if tree is None else str(tree)


def _lowered(text: str) -> str:
    """Lower case outside quotes and no more clean-up than that."""
    return '"'.join(p if i % 2 else p.lower() for i, p in enumerate(text.split('"')))


@pytest.mark.parametrize("path", CASES, ids=lambda p: p.stem)
def test_the_grammar_stands_on_its_own(path: Path, alone: Lark, monkeypatch: pytest.MonkeyPatch) -> None:
    text = path.read_text(encoding="utf-8")
    if not text.isascii() or "#" in text:
        text = _lowered(text.replace("×", "*").replace("½", "1/2").replace("−", "-").replace("”", '"'))
        text = text.replace("\u00a0", " ").replace("\u2003", " ").replace("\u2028", " ").replace("\ufeff", "")
    lowered = _lowered(text)
    trees: list[Any] = []
    monkeypatch.setattr("motif.language.parser.build", lambda tree, *rest: trees.append(tree))
    from motif.language.messages import Messages
    from motif.language.parser import parse
    from motif.language.source import Source

    parse(Source("s", lowered), Messages())
    assert _shape(trees[0]) == _shape(alone.parse(lowered))


def test_the_case_with_everything_uses_every_rule_and_every_word(text: str) -> None:
    alone = Lark(text, parser="lalr", start="file", keep_all_tokens=True)
    tree = alone.parse(_lowered(EVERYTHING.read_text(encoding="utf-8")))
    used = {str(t.data) for t in tree.iter_subtrees()}
    rules = {str(r.alias or r.origin.name) for r in alone.rules}
    helpers = {r for r in rules if r.startswith("_")}
    inlined = {str(r.origin.name) for r in alone.rules if r.options.expand1}
    assert rules - helpers - inlined - used == set()
    tokens = {t.type for t in tree.scan_values(lambda v: isinstance(v, Token))}
    assert {t.name for t in alone.terminals} - tokens - {"COMMENT", "SPACE"} == set()


@pytest.mark.parametrize(
    ("terminal", "table"),
    [
        ("TECHNIQUE", reserved.TECHNIQUES),
        ("FUNCTION", reserved.FUNCTIONS),
        ("UNIT", reserved.UNITS),
        ("KIND", reserved.KINDS),
        ("LANDMARK", reserved.LANDMARKS),
        ("STAGE", (*reserved.STAGES, "biscuit")),
    ],
)
def test_families_of_words_agree_with_the_tables(terminal: str, table: Any) -> None:
    pattern = grammar().families[terminal].pattern
    without_end = re.sub(r"\(\?!.*?\)", "", pattern).replace("\\-", "-")
    in_grammar = set(re.findall(r"%|[a-z]+(?:-[a-z]+)*", without_end))
    assert in_grammar == set(table) == set(FAMILIES[terminal])


def test_spellings_of_both_sides_of_the_ocean_are_one_word() -> None:
    for other, word in reserved.SPELLINGS.items():
        assert grammar().terminals_of(other) == grammar().terminals_of(word) != ()


def test_every_terminal_has_words_for_people() -> None:
    terminals = {t.name for t in grammar().lark.terminals} - {"COMMENT", "SPACE"} | {"$END"}
    assert set(WORDS) == terminals
    for terminal, phrase in WORDS.items():
        spelled = re.fullmatch(r"'([a-z][a-z-]*)( [a-z]+)*'", phrase)
        if spelled is not None:
            assert terminal in grammar().terminals_of(spelled[1])
        elif phrase[0] == "'":
            assert grammar().signs[phrase[1:-1]] == terminal


def test_names_in_scope_can_be_read() -> None:
    for name in (*reserved.NAMES_IN_SCOPE, "chord"):
        assert items(f"let x = {name}")[0][2] == ("Reference", name)


def test_words_win_over_names_in_three_known_places() -> None:
    """Where a word of the language and a name both fit, it is the word: that must be no surprise."""
    hidden: set[frozenset[str]] = set()
    for choices in grammar().lark.parser.parser._parse_table.states.values():  # type: ignore[attr-defined]
        if "NAME" in choices:
            words = {*grammar().families, *(n for names in grammar().words.values() for n in names)} & set(choices)
            spelled = {w for t in words for w in FAMILIES.get(t, (WORDS[t][1:-1].split(" ")[0],))}
            hidden.add(frozenset(spelled - reserved.RESERVED))
    assert hidden == {
        frozenset(),
        frozenset({"all"}),  # take all from "…"
        frozenset({"cell", "crossing"}),  # each cell
        # carve edge of "handle", then a distance, a modifier or the next part of the piece
        frozenset(
            {
                "depth",
                "width",
                "pitch",
                "with",
                "colour",
                "color",
                "unbroken",
                "decorated",
                "dimensions",
                "reserve",
                "pace",
            }
        ),
    }


def test_patterns_are_read_from_the_grammar() -> None:
    assert set(grammar().patterns) == set(PATTERNS)
    number = re.compile(grammar().patterns["NUMBER"])
    for good in ("12", "0.5", "1/2", "1 1/2", "12 3/16", ".5"):
        assert number.fullmatch(good), good
    for bad in ("1/2.5", "1.5/2", "1.", "1e3", "-1", "1 /2"):
        assert not number.fullmatch(bad), bad


def test_reserved_words_are_words_of_the_language() -> None:
    for word in reserved.RESERVED:
        assert grammar().terminals_of(word), word


def test_tokens_of_the_grammar_are_lark_tokens(alone: Lark) -> None:
    tree = alone.parse("let x = 1")
    assert [t.type for t in tree.scan_values(lambda v: isinstance(v, Token))] == ["NAME", "NUMBER"]


def test_the_stored_tables_are_those_of_the_grammar() -> None:
    """``python -m motif.language.grammar`` writes them anew after a change."""
    from motif.language.grammar import GRAMMAR_FILE, TABLES_FILE, tables
    from motif.resources import data_folder

    folder = data_folder("grammar")
    text = (folder / GRAMMAR_FILE).read_text(encoding="utf-8")
    assert (folder / TABLES_FILE).read_text(encoding="utf-8") == tables(text)


def test_tables_of_another_grammar_or_lark_are_not_used() -> None:
    from motif.language import grammar as module

    assert module._read_tables("", "anything") is None
    assert module._read_tables("00000000 lark 0.1\n[{},{}]\n", module._mark("x")) is None
