"""Values: numbers, names, operators, functions."""

from __future__ import annotations

from typing import Any

from motif.language import nodes, reading_faults
from motif.language.building.base import Base, Branch
from motif.language.messages import Problem
from motif.language.source import Span

#: A number is written with at most so many characters; no measure needs more, and all are finite.
_MOST_DIGITS = 100

_OPERATORS = {
    "LESS": "<",
    "LESS_OR_EQUAL": "<=",
    "MORE": ">",
    "MORE_OR_EQUAL": ">=",
    "EQUAL": "=",
    "UNEQUAL": "<>",
    "PLUS": "+",
    "MINUS": "-",
    "STAR": "*",
    "SLASH": "/",
}


def number_value(text: str) -> tuple[int, int] | float:
    """``1 1/2``, ``1/2``: (3, 2), (1, 2); ``0.5``, ``12``: the number."""
    if "/" not in text:
        return float(text)
    *whole, fraction = text.split()
    above, below = (int(n) for n in fraction.split("/"))
    return above + sum(int(n) for n in whole) * below, below


class Values(Base):
    """Numbers with their units, operators, functions, names."""

    def value(self, tree: Any) -> nodes.Expression:
        return self.nested(tree, self._value)

    def _value(self, tree: Branch) -> nodes.Expression:
        span, c = self.span(tree), tree.children
        match tree.data:
            case "number":
                return self.number(span, *c)
            case "text":
                return self.text(c[0])
            case "reference":
                return nodes.Reference(span, str(c[0]))
            case "field":
                return nodes.Field(span, self.name(c[0]), self.name(c[1]))
            case "call":
                return nodes.Call(span, self.name(c[0]), tuple(self.value(a) for a in c[1:]))
            case "group_of":
                return self.value(c[0])
            case "negate":
                return nodes.Negate(span, self.value(c[0]))
            case "not":
                return nodes.Not(span, self.value(c[0]))
            case "arithmetic":
                return nodes.Arithmetic(span, operator(c[1]), self.value(c[0]), self.value(c[2]))
            case "compare":
                return nodes.Comparison(span, operator(c[1]), self.value(c[0]), self.value(c[2]))
            case "logic":
                word: Any = str(c[1])
                return nodes.Logic(span, word, self.value(c[0]), self.value(c[2]))
        raise AssertionError(tree.data)

    def number(self, span: Span, token: Any, unit: Any) -> nodes.Expression:
        if len(token) > _MOST_DIGITS:
            raise Problem(reading_faults.too_many_digits(span))
        value = number_value(str(token))
        unit = None if unit is None else str(unit)
        if isinstance(value, float):
            return nodes.Number(span, value, unit)
        above, below = value
        if below == 0:
            # A division like any other, so that it is only worked out where it is used.
            here = self.span(token)
            return nodes.Arithmetic(span, "/", nodes.Number(here, float(above), unit), nodes.Number(here, 0.0, None))
        return nodes.Number(span, above / below, unit)

    def arguments(self, tree: Any) -> tuple[nodes.Argument, ...]:
        if tree is None:
            return ()
        return tuple(
            nodes.Argument(self.span(a), self.name(a.children[0]), self.value(a.children[1]))
            for a in tree.children
            if a is not None
        )

    def value_if(self, child: Any) -> nodes.Expression | None:
        return None if child is None else self.value(child)


def operator(token: Any) -> Any:
    return _OPERATORS[token.type]
