"""Source text → syntax nodes, going on behind every error.

The tokens are fed to the LALR parser one by one. Where one does not fit, the token list is edited, so
that what was read so far stays a correct text: a known slip is replaced by what was meant, anything else
is taken out up to the next statement, part or definition. Then the parser goes back to where the spoilt
one began.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from lark import Token as LarkToken
from lark.exceptions import UnexpectedToken
from lark.parsers.lalr_interactive_parser import InteractiveParser

from motif.language import nodes, reading_faults
from motif.language.building.base import MOST_NESTED
from motif.language.building.files import build
from motif.language.cleanup import clean
from motif.language.grammar import grammar
from motif.language.messages import Message, Messages
from motif.language.plain_slips import plain_slips
from motif.language.reserved import RESERVED
from motif.language.scanner import END, WORD, Token, Tokens, scan
from motif.language.source import Source, Span
from motif.language.stuck import Edit, Stuck
from motif.language.wording import HOMES, WORDS, expected

#: Texts longer than this many characters are refused.
MOST_CHARACTERS = 1_000_000

#: After so many errors of syntax the rest of a file is not read.
MOST_ERRORS = 50

#: A terminal that the grammar does not have, for a word that fits nowhere.
_NOT_A_NAME = "NOT_A_NAME"

_DEFINITIONS = frozenset({"clay", "form", "tool", "figure", "motif", "piece", "pace"})


def parse(source: Source, messages: Messages) -> nodes.File:
    """Read a text.

    Whatever the text, this returns a file and raises nothing; what could not be read is missing from it,
    each loss with a message, and the names that stood there are in ``File.spoiled``.
    """
    if len(source.text) > MOST_CHARACTERS:
        messages.add(reading_faults.too_many_characters(Span(source, 0, 0)))
        return _nothing(source, frozenset())
    tokens = scan(clean(source, messages), messages)
    too_deep = _too_deep(tokens)
    if too_deep is not None:
        messages.add(reading_faults.too_many_brackets(too_deep.span(source), MOST_NESTED))
        return _nothing(source, _names(tokens))
    for slip in plain_slips(source, tokens):
        messages.add(slip.message)
        if slip.edit is not None:
            _apply(tokens, slip.edit)
    reader = _Reader(source, tokens, messages)
    tree = reader.read()
    return build(tree, source, frozenset(reader.spoiled), tuple(reader.gaps), messages)


def _nothing(source: Source, spoiled: frozenset[str]) -> nodes.File:
    whole = Span(source, 0, len(source.text))
    return nodes.File(whole, None, (), spoiled, (whole,))


def _names(tokens: Iterable[Token]) -> frozenset[str]:
    return frozenset(t.text for t in tokens if t.kind in (WORD, "NAME") and t.text not in RESERVED)


def _too_deep(tokens: list[Token]) -> Token | None:
    depth = 0
    for token in tokens:
        if token.kind in ("LEFT_BRACE", "LEFT_BRACKET"):
            depth += 1
            if depth > MOST_NESTED:
                return token
        elif token.kind in ("RIGHT_BRACE", "RIGHT_BRACKET"):
            depth -= 1
    return None


def _apply(tokens: list[Token], edit: Edit) -> None:
    tokens[edit.start : edit.end] = edit.by


@dataclass(slots=True)
class _Level:
    """The file, or what stands between two braces: a list of items (statements, parts, definitions).

    ``opening`` is the token of the brace, -1 for the file, ``height`` the parser's stack there. ``ready``
    is the parser as it was before the current item, which begins at token ``begin``; it is never fed.
    """

    opening: int
    height: int
    ready: InteractiveParser
    begin: int


class _Reader:
    def __init__(self, source: Source, tokens: Tokens, messages: Messages) -> None:
        self.source = source
        self.tokens = tokens
        self.messages = messages
        self.spoiled: set[str] = set()
        self.gaps: list[Span] = []
        self.at = 0
        self.errors = 0
        # closing braces put in, which may turn up later
        self.excess = 0
        # set when all that can be said about braces left open has been said
        self.silent = False
        self.parser = grammar().start()
        self.levels = [_Level(-1, len(self.parser.parser_state.state_stack), self.copy(self.parser), 0)]

    def read(self) -> Any:
        """The parse tree of what can be read."""
        while True:
            fed, tree = self.feed(self.parser, self.at)
            if not fed:
                self.recover()
            elif tree is not None:
                return tree
            else:
                self.follow()
                self.at += 1

    # ------------------------------------------------------------------------------- feeding the parser

    @staticmethod
    def copy(parser: InteractiveParser) -> InteractiveParser:
        return parser.copy(deepcopy_values=False)

    def feed(self, parser: InteractiveParser, at: int) -> tuple[bool, Any]:
        """Whether the token fits, and the tree if it was the last. What did not fit ruins the parser."""
        behind = self.tokens[at - 1].kind if at > 0 else ""
        return self.feed_token(parser, self.tokens[at], behind)

    def feed_token(self, parser: InteractiveParser, token: Token, behind: str) -> tuple[bool, Any]:
        kind = self.terminal(parser, token, behind)
        try:
            tree = parser.feed_token(LarkToken(kind, token.text, start_pos=token.start, end_pos=token.end))
        except UnexpectedToken:
            return False, None
        return True, tree

    def terminal(self, parser: InteractiveParser, token: Token, behind: str) -> str:
        """What a token is where the parser stands.

        A word is the word of the language that fits, else a name; behind a point any word is a name."""
        if token.kind != WORD:
            return token.kind
        if behind == "PERIOD":
            return "NAME"
        choices = parser.choices()
        for terminal in grammar().terminals_of(token.text):
            if terminal in choices:
                return terminal
        return "NAME" if token.text not in RESERVED else _NOT_A_NAME

    def follow(self) -> None:
        """Keep the levels in step with the token just fed."""
        kind = self.tokens[self.at].kind
        state = self.parser.parser_state
        if kind == "LEFT_BRACE":
            height = len(state.state_stack)
            self.levels.append(_Level(self.at, height, self.copy(self.parser), self.at + 1))
        elif kind == "RIGHT_BRACE":
            self.levels.pop()
        elif len(state.state_stack) == self.levels[-1].height + 2:
            # Only the list so far and this token stand on the stack: it begins an item.
            self.levels[-1].ready = self.without_last(self.parser)
            self.levels[-1].begin = self.at

    def without_last(self, parser: InteractiveParser) -> InteractiveParser:
        """The parser as it was before its last token, all that came before that reduced."""
        earlier = self.copy(parser)
        earlier.parser_state.state_stack.pop()
        earlier.parser_state.value_stack.pop()
        return earlier

    # -------------------------------------------------------------------------------------- what to do

    def recover(self) -> None:
        """The token does not fit: say so, edit the tokens, go back to the start of the item."""
        from motif.language.slips import find

        level = self.levels[-1]
        self.errors += 1
        before = self.replayed(level)
        whole = self.whole(before)
        if self.errors > MOST_ERRORS and not self.silent:
            self.give_up(level, whole)
        elif whole is not None and (self.close_braces(whole) or self.drop_stray_brace()):
            pass
        elif (slip := find(stuck := self.stuck(level, before))) is not None:
            self.messages.add(slip.message)
            if slip.edit is not None:
                _apply(self.tokens, slip.edit)
                self.go_back()
            else:
                self.skip(level, whole)
        else:
            self.messages.add(self.misfit(stuck, level, whole))
            self.skip(level, whole)

    def replayed(self, level: _Level) -> InteractiveParser:
        """The parser as it was before the token that does not fit."""
        parser = self.copy(level.ready)
        for at in range(level.begin, self.at):
            self.feed(parser, at)
        return parser

    def whole(self, before: InteractiveParser) -> InteractiveParser | None:
        """The parser ready for another item, if the item before it is whole: where a note may stand."""
        parser = self.copy(before)
        fits, _ = self.feed_token(parser, Token(WORD, "note", 0, 0, False), "")
        return self.without_last(parser) if fits else None

    def stuck(self, level: _Level, before: InteractiveParser) -> Stuck:
        def helps(edit: Edit, beyond: int) -> bool:
            parser, begin = (before, self.at) if edit.start >= self.at else (level.ready, level.begin)
            parser = self.copy(parser)
            behind = self.tokens[begin - 1].kind if begin > 0 else ""
            last = max(self.at, edit.end - 1) + beyond
            for token in (*self.tokens[begin : edit.start], *edit.by, *self.tokens[edit.end : last + 1]):
                if token.kind == END:
                    break
                if not self.feed_token(parser, token, behind)[0]:
                    return False
                behind = token.kind
            return True

        return Stuck(self.source, self.tokens, self.at, level.begin, frozenset(before.accepts()), helps)

    def go_back(self) -> None:
        level = self.levels[-1]
        self.parser = self.copy(level.ready)
        self.at = level.begin

    def skip(self, level: _Level, whole: InteractiveParser | None) -> None:
        """Take out what does not fit, up to where the next item begins or the list ends.

        The item before it stays if it is whole; else it goes too."""
        if whole is not None:
            level.ready, level.begin = whole, self.at
        end, depth = self.at, 0
        while end == level.begin or not (depth == 0 and self.ends_skip(level, end)):
            kind = self.tokens[end].kind
            if kind == END or (end > level.begin and self.begins_definition(end)):
                break
            depth = max(0, depth + (kind == "LEFT_BRACE") - (kind == "RIGHT_BRACE"))
            end += 1
        self.take_out(level, end)

    def ends_skip(self, level: _Level, at: int) -> bool:
        """Whether the list can go on, or ends, at a token."""
        return (self.tokens[at].kind == "RIGHT_BRACE" and level.opening >= 0) or self.begins_item(level, at)

    def take_out(self, level: _Level, end: int) -> None:
        """Take out the tokens of the current item up to ``end`` and go on from there."""
        taken = self.tokens[level.begin : end]
        self.spoiled |= _names(taken)
        if taken:
            self.gaps.append(Span(self.source, taken[0].start, taken[-1].end))
        del self.tokens[level.begin : min(end, len(self.tokens) - 1)]
        self.go_back()

    def begins_item(self, level: _Level, at: int) -> bool:
        token, choices = self.tokens[at], level.ready.choices()
        if token.kind != WORD or not any(t in choices for t in grammar().terminals_of(token.text)):
            return False
        # Words that begin an item and also stand within one.
        behind, before = self.tokens[at + 1], self.tokens[at - 1]
        return not (
            (token.text == "each" and behind.text in ("row", "column"))
            or (token.text == "if" and before.text == "otherwise")
            or (token.text == "by" and behind.kind != "TEXT")
        )

    def begins_definition(self, at: int) -> bool:
        """``motif tufting {`` and the like, which stand outside all braces only."""
        if self.tokens[at].kind != WORD or self.tokens[at].text not in _DEFINITIONS:
            return False
        name, opening = self.tokens[at + 1 : at + 3] if at + 3 < len(self.tokens) else (self.tokens[-1],) * 2
        return name.kind == WORD and opening.kind in ("LEFT_BRACE", "TEXT")

    def close_braces(self, whole: InteractiveParser) -> bool:
        """Braces still open at the end of the text, or where the next definition begins."""
        if len(self.levels) == 1:
            return False
        at = self.at
        if at >= 2 and at - 2 == self.levels[-1].begin and self.begins_definition(at - 2):
            at -= 2  # 'form jar' fits in a piece; the brace behind it tells that it is a definition.
        elif self.tokens[at].kind == END or self.begins_definition(at):
            level = self.levels[-1]
            level.ready, level.begin = whole, at
        else:
            return False
        token = self.tokens[at]
        if token.kind != END and self.move_out(at):
            return True
        if not self.silent:
            braces = [self.tokens[level.opening] for level in self.levels[1:]]
            culprit = braces[-1] if token.kind == END else token
            self.messages.add(
                reading_faults.braces_missing(
                    culprit.span(self.source),
                    None if token.kind == END else token.text,
                    len(braces),
                    [b.span(self.source) for b in braces if b is not culprit],
                )
            )
        if token.kind != END:
            self.excess += len(self.levels) - 1
        closing = Token("RIGHT_BRACE", "}", token.start, token.start, False)
        _apply(self.tokens, Edit(at, at, (closing,) * (len(self.levels) - 1)))
        self.go_back()
        return True

    def move_out(self, at: int) -> bool:
        """A definition inside another, where all braces have their partners: it is read behind all others.

        'form cup { … }' in a piece leaves 'form cup' there, and so does a clay in a form."""
        end = self.closing(at)
        if end is None or self.braces_behind(end) != len(self.levels) - 1:
            return False
        level = self.levels[-1]
        outer = self.tokens[level.opening - 1]
        word, name = self.tokens[at : at + 2]
        owner = next((t for t in reversed(self.tokens[: self.levels[1].opening]) if t.text in _DEFINITIONS), outer)
        stays = (owner.text, word.text) in (("piece", "form"), ("piece", "pace"), ("form", "clay"))
        self.messages.add(
            reading_faults.definition_inside(
                Span(self.source, word.start, name.end), word.text, name.text, owner.text, stays
            )
        )
        moved = self.tokens[at : end + 1]
        last = len(self.tokens) - 1
        _apply(self.tokens, Edit(last, last, tuple(moved)))
        _apply(self.tokens, Edit(at, end + 1, (word, name) if stays else ()))
        self.go_back()
        return True

    def closing(self, at: int) -> int | None:
        """Where the definition that begins at ``at`` ends; None where its braces are not all closed."""
        depth = 0
        for i in range(at, len(self.tokens)):
            kind = self.tokens[i].kind
            depth += (kind == "LEFT_BRACE") - (kind == "RIGHT_BRACE")
            if kind == "RIGHT_BRACE" and depth <= 0:
                return i if depth == 0 else None
            if i > at and depth > 0 and self.begins_definition(i):
                return None
        return None

    def braces_behind(self, at: int) -> int:
        """How many more braces close than open behind a token."""
        kinds = [t.kind for t in self.tokens[at + 1 :]]
        return kinds.count("RIGHT_BRACE") - kinds.count("LEFT_BRACE")

    def drop_stray_brace(self) -> bool:
        """A ``}`` outside all braces."""
        if len(self.levels) > 1 or self.tokens[self.at].kind != "RIGHT_BRACE":
            return False
        if self.excess:
            self.excess -= 1
        else:
            self.messages.add(reading_faults.brace_too_many(self.tokens[self.at].span(self.source)))
        _apply(self.tokens, Edit(self.at, self.at + 1, ()))
        self.go_back()
        return True

    def give_up(self, level: _Level, whole: InteractiveParser | None) -> None:
        self.messages.add(reading_faults.too_many_errors(self.tokens[self.at].span(self.source)))
        self.silent = True
        if whole is not None:
            level.ready, level.begin = whole, self.at
        self.take_out(level, len(self.tokens) - 1)

    # ------------------------------------------------------------------------------------------- words

    def misfit(self, stuck: Stuck, level: _Level, whole: InteractiveParser | None) -> Message:
        """The words for a token that does not fit and is no known slip."""
        beginnings = frozenset(level.ready.choices()) - {"RIGHT_BRACE", "$END"}
        fitting = expected(stuck.expected - {"$END"}, beginnings)
        before = None if stuck.before is None else stuck.shown(stuck.at - 1)
        opened = [self.tokens[other.opening].span(self.source) for other in self.levels[1:]]
        if stuck.token.kind == END:
            self.silent = True
            return reading_faults.ends_too_early(stuck.span(stuck.at), before, fitting, opened)
        what = stuck.shown(stuck.at)
        if whole is None:
            return reading_faults.something_else_comes(stuck.span(stuck.at), what, before, fitting)
        token = stuck.token
        home = HOMES.get(token.text) if token.kind == WORD else None
        if home is not None:
            return reading_faults.has_another_home(stuck.span(stuck.at), what, token.text, home)
        noun, words = self.level_words(level)
        goes_on = expected(stuck.expected - beginnings - {"RIGHT_BRACE", "$END"}, frozenset())
        return reading_faults.does_not_fit(stuck.span(stuck.at), what, before, goes_on, noun, words)

    def level_words(self, level: _Level) -> tuple[str, list[str]]:
        """What a level is a list of, and what its items begin with."""
        beginnings = set(level.ready.choices()) - {"RIGHT_BRACE", "$END", "BY"}
        words = [WORDS[t] for t in WORDS if t in beginnings]
        if level.opening < 0:
            return "definition", words
        return ("statement" if "DRAW" in level.ready.choices() else "part"), words
