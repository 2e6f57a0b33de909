"""The grammar, compiled once, and what the hand-written parts need to know from it.

The grammar file is the one source: how numbers, names and texts are written, which signs there are and
how a word is spelled are read from its terminals, here and nowhere else.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from lark import Lark
from lark.lexer import Lexer
from lark.parsers.lalr_interactive_parser import InteractiveParser

from motif.resources import data_folder

GRAMMAR_FILE = "motif.lark"

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
    its terminal; ``families`` the pattern of every word terminal.
    """

    lark: Lark
    patterns: dict[str, str]
    signs: dict[str, str]
    families: dict[str, re.Pattern[str]]
    _words: dict[str, tuple[str, ...]] = field(default_factory=dict, repr=False)

    def terminals_of(self, word: str) -> tuple[str, ...]:
        """The terminals that are spelled ``word``, names not counted."""
        found = self._words.get(word)
        if found is None:
            found = tuple(name for name, pattern in self.families.items() if pattern.fullmatch(word))
            self._words[word] = found
        return found

    def start(self) -> InteractiveParser:
        """A parser before its first token."""
        return self.lark.parse_interactive("")


@cache
def grammar() -> Grammar:
    """The grammar of the language, compiled at the first call."""
    text = (data_folder("grammar") / GRAMMAR_FILE).read_text(encoding="utf-8")
    lark = Lark(text, parser="lalr", lexer=_Fed, start="file", propagate_positions=True)
    patterns: dict[str, str] = {}
    signs: dict[str, str] = {}
    families: dict[str, re.Pattern[str]] = {}
    for terminal in lark.terminals:
        if terminal.name in PATTERNS:
            patterns[terminal.name] = terminal.pattern.to_regexp()
        elif terminal.pattern.type == "str" and not terminal.pattern.value[0].isalpha():
            signs[terminal.pattern.value] = terminal.name
        else:
            families[terminal.name] = re.compile(terminal.pattern.to_regexp())
    return Grammar(lark, patterns, signs, families)
