"""Values of a kind that does not go where they stand."""

from __future__ import annotations

from collections.abc import Sequence

from motif.language import nodes
from motif.language.kinds import ANGLE, COUNT, LENGTH, NUMBER, TEXT, TOOL, TRUTH, VOLUME, Kind
from motif.language.messages import Message
from motif.language.source import Span
from motif.language.wording import either

_MEASURES = "Use a number or a measure, such as 1/2 or 4 mm, or the name of one."
_ALIKE = "Let both be of one kind: two lengths, two angles, or two plain numbers."
_WRITTEN = {
    LENGTH: "A length is a number with mm, cm or in: 4 mm, 1/2 in.",
    ANGLE: "An angle is a number with deg or turn: 30 deg, 1/4 turn.",
    VOLUME: "A volume is a number with ml, tsp or tbsp: 2 ml, 1/8 tsp.",
    TEXT: 'A text stands between quotes: "…".',
    TOOL: "Name a tool of the file, such as one made by: tool stick { wide 10 mm }",
    TRUTH: "A condition compares two values, as in column = 1, or asks, as in odd(row).",
}
#: Calls of functions as an example.
_CALLS = {
    "remainder": "remainder(column, 3)",
    "min": "min(4 mm, cell-width / 2)",
    "max": "max(4 mm, cell-width / 2)",
}
#: Values as an example of each kind.
_LIKELY = {COUNT: "8", NUMBER: "1/2", LENGTH: "20 mm", ANGLE: "30 deg", VOLUME: "2 ml", TEXT: '"blue"', TOOL: "my-tool"}


def written(kind: Kind) -> str:
    """How a value of a kind is written, for who wrote one of another."""
    return _WRITTEN.get(kind, "A plain number is asked for, without a unit.")


def slip(node: nodes.Expression, wanted: Kind) -> str | None:
    """The remedy for the likely slip behind a value of the wrong kind."""
    if isinstance(node, nodes.Number) and node.unit is None and wanted in (LENGTH, ANGLE, VOLUME):
        unit = {LENGTH: "mm", ANGLE: "deg", VOLUME: "ml"}[wanted]
        return f"A number without its unit? Write {node.span.text} {unit}."
    if isinstance(node, nodes.Number) and node.unit is not None and wanted.fits(NUMBER):
        return f"A plain number is asked for: leave the '{node.unit}' out."
    if isinstance(node, nodes.Arithmetic) and node.op == "/" and isinstance(node.right, nodes.Number):
        right = node.right
        if right.unit is not None:
            amount = right.span.text.removesuffix(right.unit).strip()
            return f"This divides by a length. For a part of it write {node.left.span.text} * 1/{amount} {right.unit}."
    return None


def size_for_a_number(word: str, value: nodes.Expression) -> str | None:
    """The remedy for ``columns 25 mm``."""
    if not isinstance(value, nodes.Number) or value.unit not in ("mm", "cm", "in"):
        return None
    size = value.span.text
    return f"Write 'rows every {size}' or 'rows near {size}'." if word == "rows" else f"Write 'columns near {size}'."


def word_for(node: nodes.Definition) -> str:
    """What a definition is called in messages."""
    return {
        nodes.Let: "named value",
        nodes.Clay: "clay",
        nodes.Form: "form",
        nodes.Tool: "tool",
        nodes.Figure: "figure",
        nodes.Motif: "motif",
        nodes.Piece: "piece",
        nodes.Pace: "pace",
    }[type(node)]


# ---------------------------------------------------------------- one value


def another_kind(node: nodes.Expression, found: Kind, wanted: Kind, what: str, remedy: str | None = None) -> Message:
    """``what`` names who asks for the value."""
    return Message(
        "wrong-kind",
        f"{_cap(what)} takes {wanted}, and this is {found}.",
        node.span,
        remedy or slip(node, wanted) or written(wanted),
    )


def never_negative(at: Span, found: Kind) -> Message:
    return Message("wrong-kind", f"This is {found}, which cannot be negative.", at, _MEASURES)


def not_reckoned_with(at: Span, found: Kind) -> Message:
    return Message("wrong-kind", f"This is {found}, which cannot be reckoned with.", at, _MEASURES)


def path_for_a_value(at: Span, name: str) -> Message:
    return Message("wrong-kind", f"'{name}' is a path, and a value is asked for here.", at, _MEASURES)


def definition_for_a_value(at: Span, name: str, found: nodes.Definition) -> Message:
    return Message("wrong-kind", f"'{name}' is a {word_for(found)}, and a value is asked for here.", at, _MEASURES)


def another_definition(at: Span, name: str, found: nodes.Definition, what: str) -> Message:
    """``what`` is the sort of definition asked for."""
    word = word_for(found)
    if isinstance(found, nodes.Piece):
        remedy = f"A piece stands by itself and is not used by others; name a {what}."
    elif isinstance(found, nodes.Figure) and what == "motif":
        remedy = f"Draw it in a motif: motif my-{name} {{ grid columns 8 rows 4 each cell {{ draw {name} }} }}"
    elif isinstance(found, nodes.Motif) and what == "figure":
        remedy = f"A motif is laid by a piece: band {name}"
    else:
        remedy = f"Name a {what} here, not a {word}."
    return Message(
        "wrong-kind",
        f"'{name}' is a {word}, and a {what} is asked for here.",
        at,
        remedy,
        ((found.name.span, "made here"),),
    )


def coordinate(node: nodes.Expression, found: Kind, allowed: Sequence[Kind], what: str) -> Message:
    return Message(
        "wrong-kind",
        f"{_cap(what)} takes {either([str(k) for k in allowed])}, and this is {found}.",
        node.span,
        slip(node, LENGTH) or "Cells are counted by plain numbers, clay is measured in mm, cm or in.",
    )


def cells_or_clay(at: Span, found: Kind, what: str) -> Message:
    return Message(
        "wrong-kind",
        f"{what} takes a number (cells) or a length (clay), and this is {found}.",
        at,
        "Write 1/2 for a half cell, 4 mm for 4 mm on the clay.",
    )


def rate(at: Span, found: Kind, technique: str) -> Message:
    return Message(
        "wrong-kind",
        f"A pace is a number of marks, a length or an area, and this is {found}.",
        at,
        f"Write {technique} 30 each hour, {technique} 40 cm each minute, or {technique} 5 cm by 5 cm each minute.",
    )


def outline_not_in_lengths(at: Span, found: Kind) -> Message:
    return Message(
        "wrong-kind",
        f"A tool's outline is drawn in lengths, and this is {found}.",
        at,
        f"A number without its unit? Write {at.text} mm." if found.fits(NUMBER) else written(LENGTH),
    )


def given_not_set(at: Span, what: str, name: str, kind: Kind, description: str | None) -> Message:
    """A motif or figure, ``what``, that is used ``at`` a place without what it needs."""
    its = f" It is: {description}" if description else ""
    return Message(
        "no-value",
        f"The {what} needs '{name}' ({kind}) to be set.",
        at,
        f"Write {at.text}({name} = {_LIKELY[kind]}), with your own value.{its}",
    )


# ---------------------------------------------------------------- two values


def cannot_be_added(node: nodes.Arithmetic, left: Kind, right: Kind) -> Message:
    verb, first, second = ("added to", left, right) if node.op == "+" else ("taken from", right, left)
    return Message(
        "wrong-kind",
        f"{_cap(str(first))} cannot be {verb} {second}.",
        node.span,
        _unit_missing(node.left, left, node.right, right) or _ALIKE,
        _both(node.left, left, node.right, right),
    )


def cannot_be_compared(node: nodes.Comparison, left: Kind, right: Kind) -> Message:
    same = left.fits(right)
    remedy = "Texts and tools are compared by '=' and '<>' only." if same else _ALIKE
    return Message(
        "wrong-kind",
        f"{_cap(str(left))} cannot be compared " + (f"by '{node.op}'." if same else f"with {right}."),
        node.span,
        _unit_missing(node.left, left, node.right, right) or remedy,
        _both(node.left, left, node.right, right),
    )


def _both(
    left: nodes.Expression, a: Kind, right: nodes.Expression, b: Kind
) -> tuple[tuple[Span, str], tuple[Span, str]]:
    return (left.span, f"this is {a}"), (right.span, f"this is {b}")


def _unit_missing(left: nodes.Expression, a: Kind, right: nodes.Expression, b: Kind) -> str | None:
    for bare, kind, other in ((left, a, b), (right, b, a)):
        if isinstance(bare, nodes.Number) and bare.unit is None and kind == NUMBER and other in (LENGTH, ANGLE):
            return slip(bare, other)
    return None


# ---------------------------------------------------------------- functions


def wrong_number_of_values(at: Span, function: str, least: int, most: int | None, given: int) -> Message:
    asked = f"{least}" if most == least else f"at least {least}"
    return Message(
        "wrong-kind",
        f"'{function}' takes {asked} value{'s' if asked != '1' else ''} and has {given}.",
        at,
        f"Write {_CALLS.get(function, function + '(…)')}.",
    )


def not_a_measure(at: Span, function: str, found: Kind) -> Message:
    return Message("wrong-kind", f"'{function}' takes numbers and measures, and this is {found}.", at, _MEASURES)


def not_alike(node: nodes.Expression, function: str, first: Kind, found: Kind, before: Span) -> Message:
    return Message(
        "wrong-kind",
        f"'{function}' takes values of one kind: {first} and {found} do not go together.",
        node.span,
        slip(node, first) or _ALIKE,
        ((before, f"this is {first}"),),
    )


def no_root(at: Span, found: Kind) -> Message:
    return Message("wrong-kind", f"There is no root of {found}.", at, "The root of a length × a length is a length.")


# ---------------------------------------------------------------- paths


def not_a_path(at: Span, name: str, found: nodes.Definition) -> Message:
    """The name of a tool or figure where a path is asked for."""
    remedy = f"Draw a figure: draw {name}" if isinstance(found, nodes.Figure) else _set_down(name)
    return Message("wrong-kind", f"'{name}' is not a path.", at, remedy)


def value_for_a_path(at: Span, name: str, found: Kind) -> Message:
    return Message(
        "wrong-kind",
        f"'{name}' is {found}, and a path is asked for here.",
        at,
        _set_down(name) if found == TOOL else "Name a line first: path wave = from (0, 0) line to (1, 1)",
    )


def _set_down(tool: str) -> str:
    return f"Say where the tool goes: {tool} at (1/2, 1/2)"


def _cap(text: str) -> str:
    return text[0].upper() + text[1:]
