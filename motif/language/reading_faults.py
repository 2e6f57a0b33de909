"""The words of what does not read, but for known slips (``slips_…``): a function a fault, from the place and what
stands there to the message. What stands in a text is quoted as it is written."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from motif.language.messages import Message
from motif.language.source import Span
from motif.language.spelling import suggestion
from motif.language.wording import example, listing

_KEEP_ONE = "Keep one of the two."
_INSTEAD = {
    "[": "Use '(' and ')'.",
    "]": "Use '(' and ')'.",
    "'": 'A text stands between double quotes: "…".',
    "‘": 'A text stands between double quotes: "…".',
    "’": 'A text stands between double quotes: "…".',
    "÷": "Write '/'.",
    "^": "Write the factor as often as it is meant, as in a * a.",
    "²": "Write the factor as often as it is meant, as in a * a.",
}
#: so many names are listed
_LISTED = 8

# ---------------------------------------------------------------- signs


def inch_sign(at: Span) -> Message:
    return Message(
        "syntax",
        f"The sign {at.text} opens a text; it does not mean inches.",
        at,
        "Write 'in' for inches, as in '1 1/2 in'.",
    )


def text_never_closed(at: Span) -> Message:
    return Message("syntax", "The text that opens here is never closed.", at, 'Put a closing " where it ends.')


def underscore(at: Span) -> Message:
    return Message(
        "syntax", "The words of a name are joined by a hyphen, not by '_'.", at, "Write '-', as in button-row."
    )


def idle_semicolon(at: Span, count: int) -> Message:
    """The first of ``count`` in the text."""
    more = f" ({count} of them in this text)" if count > 1 else ""
    return Message("syntax", f"';' has no meaning here{more}.", at, "Nothing needs to stand between statements.")


def square_brackets(at: Span) -> Message:
    return Message("syntax", "Brackets are round.", at, f"Write '({' '.join(at.text[1:-1].split())})'.")


def single_quotes(at: Span, words: str) -> Message:
    return Message("syntax", "A text stands between double quotes.", at, f"Write '\"{words}\"'.")


def semicolon_for_comma(at: Span) -> Message:
    return Message("syntax", "In brackets a comma parts one from the next.", at, "Write ','.")


def other_sign(at: Span, sign: str, meant: str) -> Message:
    return Message("syntax", f"'{sign}' is not a sign of the language.", at, f"Write '{meant}'.")


def no_comment(at: Span) -> Message:
    return Message(
        "syntax",
        f"'{at.text[:2]}' does not begin a comment.",
        at,
        "Begin it with '#'; a remark that others should read is note \"…\".",
    )


def comment_with_brace(at: Span, brace: str) -> Message:
    return Message(
        "comment-swallows",
        f"This comment swallows a '{brace}'.",
        at,
        "A '#' hides everything to the end of its line. If line breaks were lost on the way, write "
        'remarks with the word note and a text: note "…".',
    )


def feet(at: Span) -> Message:
    return Message("syntax", f"The sign {at.text} does not mean feet.", at, "Write inches: a foot is 12 in.")


def meaningless(at: Span) -> Message:
    remedy = _INSTEAD.get(at.text[:1], "Leave it out, or put it in quotes.")
    return Message("syntax", f"'{at.text}' has no meaning here.", at, remedy)


def minus_behind_a_unit(at: Span, word: str, meant: str) -> Message:
    """``mm-2`` in ``5 mm-2 mm``."""
    return Message("syntax", f"A minus needs spaces: '{word}' is read as one name.", at, f"Write '{meant}'.")


# ---------------------------------------------------------------- too much


def too_many_characters(at: Span) -> Message:
    return Message(
        "syntax",
        "The text has more than a million characters.",
        at,
        "Share it out over several files and join them with 'take'.",
    )


def too_many_brackets(at: Span, most: int) -> Message:
    return Message(
        "syntax",
        f"More than {most} brackets and braces are open here.",
        at,
        "Close some of them, or draw figures instead.",
    )


def too_many_steps(at: Span, most: int) -> Message:
    return Message(
        "syntax",
        f"More than {most} steps are packed into this one value.",
        at,
        "Give parts of it names with 'let' or 'path'.",
    )


def too_many_digits(at: Span) -> Message:
    return Message("out-of-range", "This number has too many digits.", at, "Four or five say more than a tape can.")


def too_many_errors(at: Span) -> Message:
    return Message(
        "syntax",
        "There are too many errors; the rest of the text was not read.",
        at,
        "Put the ones before this right first.",
    )


# ---------------------------------------------------------------- braces and what does not fit


def braces_missing(at: Span, next_word: str | None, count: int, opened: Iterable[Span]) -> Message:
    """``count`` of them before a word, or at the end of the text; ``opened`` are those that stay open."""
    where = "at the end of the text" if next_word is None else f"before '{next_word}'"
    missing = "A '}' is" if count == 1 else f"{count} '}}' are"
    return Message(
        "syntax",
        f"{missing} missing {where}.",
        at,
        f"Write it {where}, or earlier, where what was opened ends: every '{{' needs its '}}'.",
        tuple((span, "opened here and never closed") for span in opened),
    )


def brace_too_many(at: Span) -> Message:
    return Message("syntax", "This '}' closes nothing.", at, "Take it out, or look for one too many before it.")


def definition_inside(at: Span, word: str, name: str, owner: str, stays: bool) -> Message:
    """A definition made in another; ``stays``: naming it there is right."""
    kept = f", and keep '{word} {name}' here." if stays else "."
    return Message(
        "syntax",
        f"A {word} is made outside all braces, not inside a {owner}.",
        at,
        f"Put '{word} {name} {{ … }}' before '{owner}'{kept}",
    )


def ends_too_early(at: Span, before: str | None, fitting: Sequence[str], opened: Iterable[Span]) -> Message:
    return Message(
        "syntax",
        f"The text ends too early: after {before} comes {listing(fitting)}.",
        at,
        example(fitting),
        tuple((span, "opened here") for span in opened),
    )


def something_else_comes(at: Span, what: str, before: str | None, fitting: Sequence[str]) -> Message:
    """``what`` stands where ``fitting`` might."""
    misses = "Something is missing before '}'" if what == "'}'" else f"{_capital(what)} does not fit here"
    return Message("syntax", f"{misses}: after {before} comes {listing(fitting)}.", at, example(fitting))


def has_another_home(at: Span, what: str, word: str, home: str) -> Message:
    """A word of the language that stands elsewhere."""
    return Message("syntax", f"{_capital(what)} does not fit here.", at, f"'{word}' stands {home}.")


def does_not_fit(
    at: Span, what: str, before: str | None, goes_on: Sequence[str], level: str, beginnings: Sequence[str]
) -> Message:
    """``goes_on`` may follow ``before``; what a ``level`` is a list of begins with ``beginnings``."""
    begins = f"{level} begins with {listing(beginnings)}."
    follows = goes_on and before is not None
    remedy = f"After {before} may come {listing(goes_on)}; a new {begins}" if follows else f"A {begins}"
    return Message("syntax", f"{_capital(what)} does not fit here.", at, remedy)


def _capital(words: str) -> str:
    return words[0].upper() + words[1:]


# ---------------------------------------------------------------- said twice, or wrongly


def each_row_without_near(at: Span) -> Message:
    return Message(
        "syntax",
        "'each row' goes with 'columns near …' only.",
        at,
        "Each row then has the number of columns nearest that width.",
    )


def said_again(at: Span, first: Span) -> Message:
    return Message(
        "defined-twice",
        f"'{' '.join(at.text.split())}' says again what was said before.",
        at,
        "Leave one of them out.",
        ((first, "said first here"),),
    )


def version_again(at: Span) -> Message:
    return Message("defined-twice", "A file says once in which language it is.", at, _KEEP_ONE)


def unknown_version(at: Span, version: str) -> Message:
    return Message("syntax", f"Version {version} of the language is not known.", at, "Write 'language 1'.")


def name_again(at: Span, name: str, how: str, first: Span) -> Message:
    """``how``: defined, or taken or defined."""
    return Message(
        "defined-twice",
        f"'{name}' is {how} twice in this file.",
        at,
        "Give one of the two another name.",
        ((first, "first here"),),
    )


def header_again(at: Span, word: str, first: Span) -> Message:
    return Message("defined-twice", f"A file has one '{word}'.", at, _KEEP_ONE, ((first, "first here"),))


# ---------------------------------------------------------------- files that take from one another


def cannot_be_taken(at: Span, reason: str, remedy: str | None) -> Message:
    """What the reader of files says."""
    return Message("take-failed", reason, at, remedy)


def take_it_there(name: str, entry: str) -> str:
    """The remedy where the library has what is taken from a file that is not there."""
    return f'Write: take {name} from "{entry}"'


def takes_in_a_ring(at: Span, ring: Sequence[str]) -> Message:
    return Message(
        "defined-by-itself",
        f"These files take from one another in a ring: {' → '.join(ring)}.",
        at,
        "Move what both need into a file of its own and take it from there.",
    )


def too_many_files(at: Span, deep: int, files: int) -> Message:
    return Message(
        "take-failed",
        f"No more files are read: {deep} behind one another, or {files} in all, is the limit.",
        at,
        "Take from fewer files.",
    )


def not_in_the_file(at: Span, file: str, name: str, known: Iterable[str]) -> Message:
    names = sorted(known)
    more = " …" if len(names) > _LISTED else ""
    remedy = f"It has {', '.join(names[:_LISTED])}{more}." if names else "It defines nothing."
    return Message("take-failed", f"'{file}' has no '{name}'.", at, suggestion(name, names) or remedy)
