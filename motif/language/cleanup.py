"""What word processors, phones and web pages do to a text, undone.

The cleaned text is what the grammar describes: in lower case outside quotes, plain quotes, plain dashes,
every space a plain one. Every cleaned character knows the original characters it stands for, so that
messages point into the text as the potter wrote it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Literal, NamedTuple

from motif.language import reading_faults
from motif.language.messages import Messages
from motif.language.source import Source, Span

QUOTES = '"“”„«»'

#: Stands in cleaned text for a sign that has no meaning outside quotes.
MEANINGLESS = "\x1a"

_LINE_BREAKS = "\n\r\x0b\x0c\x1c\x1d\x1e\x85\u2028\u2029"
_HYPHENS = "\u2010\u2011"
_DASHES = "\u2012\u2013\u2014\u2015\u2212"
_INCH_SIGNS = "\u2033\u02ba"

_OPENER = re.compile(f"[{QUOTES}#{_INCH_SIGNS}]")
_CLOSER = re.compile(f"[{QUOTES}]")
_LINE_BREAK = re.compile(f"[{_LINE_BREAKS}]")
_WRAPPED = re.compile(rf"\s*[{_LINE_BREAKS}]\s*")
_BRACE_OR_LINE_BREAK = re.compile(rf"[{{}}{_LINE_BREAKS}]")
#: A number, then what makes a quote behind it an inch sign and not the start of a text.
_AFTER_INCH_SIGN = re.compile(r"\s|[-)},+*/<>=:−–×]|$")
_PLAIN = re.compile(r"[ -^`-~\t\n]+")

_SIGNS = {
    "×": "*",
    "⁄": "/",
    "∕": "/",
    "≤": "<=",
    "≥": ">=",
    "≠": "<>",
    "°": " deg ",
    "º": " deg ",
}

#: A text that never closes is looked for again from behind its first brace or line end; a text full of
#: stray quotes is given up after this many.
_MOST_UNCLOSED = 20


@dataclass(frozen=True, slots=True)
class Cleaned:
    """A cleaned text; character ``i`` stands for ``source.text[starts[i]:ends[i]]``."""

    source: Source
    text: str
    starts: list[int] = field(repr=False)
    ends: list[int] = field(repr=False)

    def span(self, start: int, end: int) -> Span:
        """The place in the source of the cleaned characters ``start`` up to, not including, ``end``."""
        if start == end:
            at = self.starts[start] if start < len(self.starts) else len(self.source.text)
            return Span(self.source, at, at)
        return Span(self.source, self.starts[start], self.ends[end - 1])


class _Region(NamedTuple):
    """A stretch of the original text that is not read as words. ``end`` is behind the closing quote."""

    kind: Literal["text", "unclosed", "comment", "inch"]
    start: int
    end: int


def clean(source: Source, messages: Messages) -> Cleaned:
    """Undo what happens to a text on its way (language reference, "What the language is for").

    Reports texts that never close, inch signs and underscores, and goes on behind them as well as it can. A comment
    stays in the cleaned text, an unclosed text is closed, an inch sign becomes ``in``.
    """
    cleaner = _Cleaner(source.text)
    at = 0
    for region in _regions(source.text):
        cleaner.words(at, region.start)
        at = region.end
        span = Span(source, region.start, region.end)
        if region.kind == "comment":
            cleaner.comment(region.start, region.end)
        elif region.kind == "inch":
            cleaner.put(" in ", region.start, region.end)
            messages.add(reading_faults.inch_sign(span))
        elif region.kind == "text":
            cleaner.quoted(region.start, region.end - 1)
            cleaner.put('"', region.end - 1, region.end)
        else:
            cleaner.quoted(region.start, region.end)
            cleaner.put('"', region.end, region.end)
            messages.add(reading_faults.text_never_closed(Span(source, region.start, region.start + 1)))
    cleaner.words(at, len(source.text))
    for at in cleaner.underscores:
        messages.add(reading_faults.underscore(Span(source, at, at + 1)))
    return Cleaned(source, "".join(cleaner.parts), cleaner.starts, cleaner.ends)


def known_name(name: str) -> str:
    """A name that comes from outside a text, as the names of texts are known: ``CAFÉ`` is ``café``, however its accent
    is coded."""
    return clean(Source("name", name), Messages()).text.strip()


class _Cleaner:
    """The cleaned text while it grows."""

    def __init__(self, original: str) -> None:
        self.original = original
        self.parts: list[str] = []
        self.starts: list[int] = []
        self.ends: list[int] = []
        #: Where a name was written with an underscore for its hyphen.
        self.underscores: list[int] = []

    def put(self, cleaned: str, start: int, end: int) -> None:
        """``cleaned`` stands, as a whole, for ``original[start:end]``."""
        self.parts.append(cleaned)
        self.starts += [start] * len(cleaned)
        self.ends += [end] * len(cleaned)

    def put_each(self, cleaned: str, start: int) -> None:
        """``cleaned`` stands, character for character, for the original from ``start``."""
        self.parts.append(cleaned)
        self.starts += range(start, start + len(cleaned))
        self.ends += range(start + 1, start + len(cleaned) + 1)

    def comment(self, start: int, end: int) -> None:
        self.put_each(self.original[start:end], start)

    def quoted(self, start: int, end: int) -> None:
        """A text from its opening quote up to, not including, its closing one, letter for letter."""
        self.put('"', start, start + 1)
        at = start + 1
        for wrap in _WRAPPED.finditer(self.original, at, end):
            self.put_each(self.original[at : wrap.start()], at)
            self.put(" ", wrap.start(), wrap.end())
            at = wrap.end()
        self.put_each(self.original[at:end], at)

    def words(self, start: int, end: int) -> None:
        """Everything that is neither text nor comment."""
        at = start
        while at < end:
            plain = _PLAIN.match(self.original, at, end)
            if plain is not None:
                self.put_each(plain.group().lower(), at)
                at = plain.end()
                # A mark belongs to the letter before it: e + ´ is é.
                if at < end and _is_mark(self.original[at]) and self.original[at - 1].isalpha():
                    at -= 1
                    self.parts[-1] = self.parts[-1][:-1]
                    self.starts.pop()
                    self.ends.pop()
                    at = self._letters(at, end)
            else:
                at = self._sign(at, end)

    def _sign(self, at: int, end: int) -> int:
        """One character beyond ASCII, or a letter with its marks; where it ends."""
        c = self.original[at]
        cleaned = _plain_sign(c)
        if cleaned is not None:
            self.put(cleaned, at, at + 1)
        elif c in _HYPHENS or c in _DASHES:
            self.put(self._dash(at), at, at + 1)
        elif c == "_":
            in_name = self._neighbour(at, -1).isalnum() and self._neighbour(at, 1).isalnum()
            self.put("-" if in_name else MEANINGLESS, at, at + 1)
            if in_name:
                self.underscores.append(at)
        else:
            return self._letters(at, end)
        return at + 1

    def _letters(self, at: int, end: int) -> int:
        """A letter with its marks, or a run of Hangul jamo, composed and case-folded."""
        stop = at + 1
        while stop < end and (_is_mark(self.original[stop]) or _is_jamo(self.original[stop])):
            stop += 1
        letters = unicodedata.normalize("NFC", self.original[at:stop])
        self.put(unicodedata.normalize("NFC", letters.casefold()), at, stop)
        return stop

    def _dash(self, at: int) -> str:
        """A dash between letters is a name's hyphen, any other a minus."""
        before = self._neighbour(at, -1)
        after = self._neighbour(at, 1)
        if before.isalpha() and after.isalpha():
            return "-"
        if self.original[at] in _HYPHENS and before.isalnum() and after.isalnum():
            return "-"
        return " - "

    def _neighbour(self, at: int, step: int) -> str:
        """The next character that is something, for telling hyphens from minus signs."""
        at += step
        while 0 <= at < len(self.original) and (
            unicodedata.category(self.original[at]) == "Cf" or _is_mark(self.original[at])
        ):
            at += step
        return self.original[at] if 0 <= at < len(self.original) else " "


@cache
def _plain_sign(c: str) -> str | None:
    """What one character becomes whatever stands beside it; None for letters, marks and dashes."""
    if c in _SIGNS:
        return _SIGNS[c]
    if c in _HYPHENS or c in _DASHES or c == "_":
        return None
    if c in _LINE_BREAKS:
        return "\n"
    if c.isspace():
        return " "
    category = unicodedata.category(c)
    if category == "Cf" or "\ufe00" <= c <= "\ufe0f":
        return ""
    if category == "Nd":
        return str(unicodedata.decimal(c))
    if category == "No":
        above, slash, below = unicodedata.normalize("NFKC", c).partition("⁄")
        return f" {above}/{below} " if slash and above and below else MEANINGLESS
    if category[0] in "LM" or category == "Nl":
        return None
    return MEANINGLESS


def _is_mark(c: str) -> bool:
    return c > "\x7f" and unicodedata.category(c)[0] == "M" and not "\ufe00" <= c <= "\ufe0f"


def _is_jamo(c: str) -> bool:
    return "\u1100" <= c <= "\u11ff"


def _regions(text: str) -> Iterator[_Region]:
    """Texts, comments and inch signs in order.

    Quotes have no direction here, so one that is missing turns every text behind it inside out. The
    culprit is then most likely the first text that holds a brace; it is taken to end before that, or at
    the end of its line, and what follows is looked through again.
    """
    start = 0
    for _ in range(_MOST_UNCLOSED):
        regions = list(_regions_from(text, start))
        if not regions or regions[-1].kind != "unclosed":
            yield from regions
            return
        culprit = next(
            i
            for i, r in enumerate(regions)
            if r.kind == "unclosed" or (r.kind == "text" and re.search(r"[{}]", text[r.start : r.end]))
        )
        yield from regions[:culprit]
        opening = regions[culprit].start
        stop = _BRACE_OR_LINE_BREAK.search(text, opening + 1)
        start = stop.start() if stop is not None else len(text)
        yield _Region("unclosed", opening, start)
    yield from _regions_from(text, start)


def _regions_from(text: str, start: int) -> Iterator[_Region]:
    at = start
    while (opener := _OPENER.search(text, at)) is not None:
        begin, c = opener.start(), opener.group()
        if c == "#":
            line_end = _LINE_BREAK.search(text, begin)
            at = line_end.start() if line_end is not None else len(text)
            yield _Region("comment", begin, at)
        elif _is_inch_sign(text, begin, start):
            at = begin + 1
            yield _Region("inch", begin, at)
        elif c in _INCH_SIGNS:
            at = begin + 1
        else:
            closer = _CLOSER.search(text, begin + 1)
            if closer is None:
                yield _Region("unclosed", begin, len(text))
                return
            at = closer.end()
            yield _Region("text", begin, at)


def _is_inch_sign(text: str, at: int, start: int) -> bool:
    """``1 1/2" `` and ``½" ``: a quote right behind a number that is not right before a word."""
    if at == start or not text[at - 1].isnumeric():
        return False
    return text[at] in _INCH_SIGNS or _AFTER_INCH_SIGN.match(text, at + 1) is not None
