"""The grammar, compiled once, and what the hand-written parts need to know from it.

The grammar file is the one source: how numbers, names and texts are written, which signs there are and
how a word is spelled are read from its terminals, here and nowhere else.
"""

from __future__ import annotations

import json
import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from lark import Lark
from lark import __version__ as lark_version
from lark.grammar import Rule
from lark.lexer import Lexer, TerminalDef
from lark.parsers.lalr_interactive_parser import InteractiveParser

from motif.resources import data_folder

GRAMMAR_FILE = "motif.lark"

#: The parser's tables, worked out beforehand: building them takes lark longer than all the rest of a short run.
TABLES_FILE = "motif.tables.json"

#: Terminals that are patterns, not words or signs.
PATTERNS = ("NUMBER", "NAME", "TEXT", "COMMENT", "SPACE")


class _Fed(Lexer):
    """No lexer: the tokens come from ``motif.language.scanner``."""

    def __init__(self, lexer_conf: object) -> None:
        pass

    def lex(self, lexer_state: object, parser_state: object) -> Iterator[Any]:
        return iter(())


@dataclass(frozen=True, slots=True)
class Grammar:
    """The compiled grammar.

    ``patterns`` holds the regular expressions of ``PATTERNS``; ``signs`` the spelling of every sign to
    its terminal; ``words`` the terminals of every word written out; ``families`` the patterns of terminals
    that have several spellings.
    """

    lark: Lark
    patterns: dict[str, str]
    signs: dict[str, str]
    families: dict[str, re.Pattern[str]]
    words: dict[str, tuple[str, ...]]
    _known: dict[str, tuple[str, ...]] = field(default_factory=dict, repr=False)

    def terminals_of(self, word: str) -> tuple[str, ...]:
        """The terminals that are spelled ``word``, names not counted."""
        found = self._known.get(word)
        if found is None:
            of_family = tuple(name for name, pattern in self.families.items() if pattern.fullmatch(word))
            found = self._known[word] = self.words.get(word, ()) + of_family
        return found

    def start(self) -> InteractiveParser:
        """A parser before its first token."""
        return self.lark.parse_interactive("")


@cache
def grammar() -> Grammar:
    """The grammar of the language, compiled at the first call."""
    folder = data_folder("grammar")
    text = (folder / GRAMMAR_FILE).read_text(encoding="utf-8")
    try:
        stored = (folder / TABLES_FILE).read_text(encoding="utf-8")
    except OSError:
        stored = ""
    lark = _read_tables(stored, _mark(text)) or _built(text)
    patterns: dict[str, str] = {}
    signs: dict[str, str] = {}
    families: dict[str, re.Pattern[str]] = {}
    words: dict[str, tuple[str, ...]] = {}
    for terminal in lark.terminals:
        if terminal.name in PATTERNS:
            patterns[terminal.name] = terminal.pattern.to_regexp()
        elif terminal.pattern.type == "str" and not terminal.pattern.value[0].isalpha():
            signs[terminal.pattern.value] = terminal.name
        elif terminal.pattern.type == "str":
            words[terminal.pattern.value] = (*words.get(terminal.pattern.value, ()), terminal.name)
        else:
            families[terminal.name] = re.compile(terminal.pattern.to_regexp())
    return Grammar(lark, patterns, signs, families, words)


def _built(text: str) -> Lark:
    return Lark(text, parser="lalr", lexer=_Fed, start="file", propagate_positions=True)


def _mark(text: str) -> str:
    """What the tables depend on: the grammar's text and the version of lark."""
    return f"{zlib.crc32(text.encode()):08x} lark {lark_version}"


def tables(text: str) -> str:
    """The content of ``TABLES_FILE`` for a grammar: its mark on the first line, the tables on the second.

    Plain JSON, so that nothing is run when it is read; ``python -m motif.language.grammar`` writes it."""
    data, memo = _built(text).memo_serialize([TerminalDef, Rule])
    table = data["parser"]["parser"]
    names = sorted(table["tokens"].values())
    rows = {
        state: {table["tokens"][token]: way for token, way in row.items()} for state, row in table["states"].items()
    }
    # lark numbers states as they come out of sets: numbered from the start, they are the same in every run.
    number = {state: i for i, state in enumerate(table["start_states"].values())}
    queue = list(number)
    for state in queue:
        for _, (kind, to) in sorted(rows[state].items(), key=lambda e: e[0]):
            if not kind and to not in number:
                number[to] = len(number)
                queue.append(to)
    table["tokens"] = dict(enumerate(names))
    table["states"] = [
        [
            number[state],
            *(
                n
                for name, (kind, to) in sorted(rows[state].items(), key=lambda e: e[0])
                for n in (names.index(name), kind, to["@"] if kind else number[to])
            ),
        ]
        for state in queue
    ]
    for ends in ("start_states", "end_states"):
        table[ends] = {start: number[state] for start, state in table[ends].items()}
    return _mark(text) + "\n" + json.dumps([_plain(data), _plain(memo)], separators=(",", ":")) + "\n"


def _read_tables(stored: str, mark: str) -> Lark | None:
    """The parser from its stored tables; None where they are not those of this grammar and lark."""
    head, _, body = stored.partition("\n")
    if head != mark:
        return None
    data, memo = (_unplain(part) for part in json.loads(body))
    table = data["parser"]["parser"]
    # A row is its state's number, then token, kind (1: reduce by a rule) and rule or next state in turn.
    table["states"] = {
        row[0]: {
            token: (kind, {"@": to} if kind else to)
            for token, kind, to in zip(row[1::3], row[2::3], row[3::3], strict=True)
        }
        for row in table["states"]
    }
    return Lark._load_from_dict(data, memo)


_NUMBERED, _FED = "#", "fed"


def _plain(value: Any) -> Any:
    """A value of lark's as JSON has it, whose keys are texts only and which knows no classes."""
    if isinstance(value, dict):
        if any(isinstance(k, int) for k in value):
            return {_NUMBERED: [[k, _plain(v)] for k, v in value.items()]}
        return {k: _plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple | frozenset | set):
        return [_plain(v) for v in value]
    return {_FED: True} if value is _Fed else value


def _unplain(value: Any) -> Any:
    if isinstance(value, dict):
        if _NUMBERED in value:
            return {k: _unplain(v) for k, v in value[_NUMBERED]}
        if _FED in value:
            return _Fed
        return {k: _unplain(v) for k, v in value.items()}
    if isinstance(value, list) and value and not isinstance(value[0], int):
        return [_unplain(v) for v in value]
    return value


if __name__ == "__main__":
    _folder = data_folder("grammar")
    (_folder / TABLES_FILE).write_text(tables((_folder / GRAMMAR_FILE).read_text(encoding="utf-8")), encoding="utf-8")
