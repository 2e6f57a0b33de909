"""Checked expressions: names resolved, kinds known, ready to be worked out over many places at once."""

from __future__ import annotations

import operator
from abc import ABC, abstractmethod
from collections.abc import Callable
from typing import Any, Protocol

import numpy as np

from motif.language.kinds import LENGTH, NUMBER, Kind, tolerance
from motif.language.messages import FollowsError, Problem
from motif.language.record import record
from motif.language.source import Span
from motif.model.telling import value_faults
from motif.model.values import Env, Floats, Slot, ToolSizes, Value, chance, first_where, over

#: what is left of values that ought to cancel, in inner units
_ROUNDED = 1e-12
#: numbers nearer than this are equal; a square that ought to be 0 may fall short of it by so much
_NUMBERS = 1e-9


@record
class Expr(ABC):
    """An expression of a known kind. ``value`` gives one value in inner units (mm, radians, mm³), or an array (n,)
    with one for each of the n places of ``env``. Raises ``Problem`` where it cannot be worked out."""

    span: Span
    kind: Kind

    @abstractmethod
    def value(self, env: Env) -> Value: ...


@record
class Quantity(Expr):
    """A written number in inner units; a length, mm, is scaled to the stage of decorating."""

    amount: float

    def value(self, env: Env) -> Value:
        return self.amount * env.scale if self.kind == LENGTH else self.amount


@record
class Word(Expr):
    """A written text."""

    text: str

    def value(self, env: Env) -> Value:
        return self.text


@record
class Read(Expr):
    """A given, a let of a motif or statement, or a counter."""

    slot: Slot

    def value(self, env: Env) -> Value:
        if self.slot not in env.values:  # a let of a statement whose value could not be worked out
            raise FollowsError(value_faults.not_worked_out(self.span, self.slot.name))
        return env.values[self.slot]


class Named(Protocol):
    """A let of a file: worked out at the stage of whoever uses it."""

    @property
    def expression(self) -> Expr: ...

    def at_scale(self, scale: float) -> Value: ...


@record
class ReadLet(Expr):
    """A named value of a file, at the stage of whoever reads it."""

    let: Named

    def value(self, env: Env) -> Value:
        return self.let.at_scale(env.scale)


class Measurable(Protocol):
    """A tool: its sizes in mm, its volume in ml."""

    def sizes(self) -> ToolSizes: ...


@record
class ReadTool(Expr):
    """A tool by its name."""

    tool: Measurable

    def value(self, env: Env) -> Value:
        return self.tool.sizes()


@record
class ReadPlace(Expr):
    """``column``, ``cell-width`` … of the place: counts as they are, lengths in mm."""

    name: str

    def value(self, env: Env) -> Value:
        if self.name not in env.places:
            raise Problem(value_faults.not_known_at_this_place(self.span, self.name))
        return env.places[self.name]


@record
class ReadChord(Expr):
    """``chord`` in the rise of an arc: the taut distance between its ends, mm."""

    def value(self, env: Env) -> Value:
        if env.chord is None:
            raise Problem(value_faults.no_chord(self.span))
        return env.chord


@record
class ToolField(Expr):
    """``tooth.wide``: a size of a tool in mm, a volume in mm³."""

    owner: Expr
    field: str

    def value(self, env: Env) -> Value:
        tool = self.owner.value(env)
        assert isinstance(tool, ToolSizes)
        size = getattr(tool, self.field)
        if size is None:
            raise Problem(value_faults.size_unsaid(self.span, tool.name, self.field))
        return size * 1000 if self.field == "volume" else size


@record
class Minus(Expr):
    """A value with its sign turned."""

    operand: Expr

    def value(self, env: Env) -> Value:
        return -_number(self.operand.value(env))


@record
class Arithmetic(Expr):
    """``+ - * /`` of two quantities, place by place. Raises ``no-value`` for a division by zero and for what is
    endless."""

    op: str
    left: Expr
    right: Expr

    def value(self, env: Env) -> Value:
        a, b = _number(self.left.value(env)), _number(self.right.value(env))
        if self.op == "/" and np.any(zero := _nought(b)):
            raise Problem(value_faults.division_by_zero(self.right.span, _spot(env, zero)))
        with np.errstate(over="ignore", invalid="ignore"):  # what comes of it is looked at
            return _finite(_WORKED_OUT[self.op](a, b), self.span)


_WORKED_OUT: dict[str, Callable[[Any, Any], Any]] = {
    "+": operator.add,
    "-": operator.sub,
    "*": operator.mul,
    "/": operator.truediv,
}


@record
class Compare(Expr):
    """Whether one value is less than, equal to … another: truth values. Numbers nearer than the tolerance of their
    kind are equal; texts and tools are compared by name."""

    op: str
    left: Expr
    right: Expr

    def value(self, env: Env) -> Value:
        a, b = self.left.value(env), self.right.value(env)
        if not self.left.kind.is_quantity:
            same = a.name == b.name if isinstance(a, ToolSizes) and isinstance(b, ToolSizes) else a == b
            return bool(same) if self.op == "=" else not same
        with np.errstate(over="ignore"):  # endless is more than any tolerance
            d = _number(a) - _number(b)
        eps = tolerance(self.left.kind)
        return _COMPARED[self.op](d, eps)


_COMPARED: dict[str, Callable[[Any, float], Any]] = {
    "<": lambda d, e: d < -e,
    "<=": lambda d, e: d <= e,
    ">": lambda d, e: d > e,
    ">=": lambda d, e: d >= -e,
    "=": lambda d, e: np.abs(d) <= e,
    "<>": lambda d, e: np.abs(d) > e,
}


@record
class Negation(Expr):
    """``not``."""

    operand: Expr

    def value(self, env: Env) -> Value:
        return np.logical_not(_number(self.operand.value(env)))


@record
class Both(Expr):
    """``and``, ``or``. The right side is worked out only at places where the left does not decide."""

    op: str
    left: Expr
    right: Expr

    def value(self, env: Env) -> Value:
        left = np.broadcast_to(np.asarray(self.left.value(env), dtype=bool), (env.count,))
        open_ = left if self.op == "and" else ~left
        result = left.copy()
        if open_.any():
            result[open_] = self.right.value(env.at(np.flatnonzero(open_)))
        return result


@record
class Apply(Expr):
    """A function of the language, on arrays: angles in radians, lengths in mm. Raises what the function does."""

    function: str
    arguments: tuple[Expr, ...]

    def value(self, env: Env) -> Value:
        values = [_number(a.value(env)) for a in self.arguments]
        with np.errstate(over="ignore", invalid="ignore"):
            return _finite(_APPLIED[self.function](self, env, values), self.span)


def _number(v: Value) -> Any:
    return v


def _nought(v: Any) -> Any:
    """Where a value is 0, or as good as: 0.3 - 3 * 0.1 is."""
    return np.less_equal(np.abs(v), _ROUNDED)


def _finite(v: Any, span: Span) -> Any:
    if not np.all(np.isfinite(v)):
        raise Problem(value_faults.beyond_all_bounds(span))
    return v


def _spot(env: Env, bad: Any) -> dict[str, int]:
    """The first place at which something is wrong; nothing where it is wrong everywhere."""
    if np.ndim(bad) == 0:
        return {}
    i = first_where(bad)
    return {k: int(env.places[k][i]) for k in ("column", "row", "vertical", "ring") if k in env.places}


#: one step of the unit in which a kind is rounded: 1, 1 mm, 1 degree, 1 ml
def _step(kind: Kind) -> float:
    return {(0, 1): np.pi / 180, (3, 0): 1000.0}.get(kind.dimension or (0, 0), 1.0)


def _snapped(x: Any, kind: Kind) -> Any:
    """x in rounding steps, whole where it is within the tolerance of whole."""
    step = _step(kind)
    x = np.asarray(x) / step
    near = np.round(x)
    return np.where(np.abs(x - near) <= max(tolerance(kind) / step, 1e-9), near, x)


def _floor(e: Apply, env: Env, v: list[Any]) -> Any:
    return np.floor(_snapped(v[0], e.kind)) * _step(e.kind)


def _ceil(e: Apply, env: Env, v: list[Any]) -> Any:
    return np.ceil(_snapped(v[0], e.kind)) * _step(e.kind)


def _round(e: Apply, env: Env, v: list[Any]) -> Any:
    return np.floor(_snapped(np.asarray(v[0]) / _step(e.kind) + 0.5, NUMBER)) * _step(e.kind)


def _sqrt(e: Apply, env: Env, v: list[Any]) -> Any:
    if np.any(bad := np.less(v[0], -_NUMBERS)):
        raise Problem(
            value_faults.root_of_a_negative(
                e.arguments[0].span, float(np.atleast_1d(v[0])[first_where(bad)]), _spot(env, bad)
            )
        )
    return np.sqrt(np.maximum(v[0], 0))


def _tan(e: Apply, env: Env, v: list[Any]) -> Any:
    if np.any(upright := _nought(np.cos(v[0]))):
        raise Problem(value_faults.no_tangent(e.arguments[0].span, _spot(env, upright)))
    return np.tan(v[0])


def _remainder(e: Apply, env: Env, v: list[Any]) -> Any:
    a, b = v
    if np.any(zero := _nought(b)):
        raise Problem(value_faults.remainder_by_zero(e.arguments[1].span, _spot(env, zero)))
    rest = a - b * np.floor(_snapped(a / b, NUMBER))
    whole = np.minimum(np.abs(rest), np.abs(rest - b)) <= tolerance(e.kind)
    return np.where(whole, 0.0, rest)


def _parity(e: Apply, env: Env, v: list[Any]) -> Any:
    whole = whole_numbers(v[0], e.arguments[0], env, f"'{e.function}'")
    odd = np.mod(whole, 2) == 1
    return odd if e.function == "odd" else ~odd


def _chance(e: Apply, env: Env, v: list[Any]) -> Any:
    n = whole_numbers(v[0], e.arguments[0], env, "'chance'")
    zero = np.zeros(env.count)
    across, up = env.places.get("column", "vertical"), env.places.get("row", "ring")
    return chance(over(n, env.count), zero if across is None else across, zero if up is None else up)


def _fold(f: Callable[[Any, Any], Any]) -> Callable[[Apply, Env, list[Any]], Any]:
    def folded(e: Apply, env: Env, v: list[Any]) -> Any:
        result = v[0]
        for x in v[1:]:
            result = f(result, x)
        return result

    return folded


_APPLIED: dict[str, Callable[[Apply, Env, list[Any]], Any]] = {
    "min": _fold(np.minimum),
    "max": _fold(np.maximum),
    "abs": lambda e, env, v: np.abs(v[0]),
    "round": _round,
    "floor": _floor,
    "ceil": _ceil,
    "sqrt": _sqrt,
    "sin": lambda e, env, v: np.sin(v[0]),
    "cos": lambda e, env, v: np.cos(v[0]),
    "tan": _tan,
    "even": _parity,
    "odd": _parity,
    "remainder": _remainder,
    "chance": _chance,
}


def mentions_chord(e: Expr) -> bool:
    """Whether an expression reads ``chord``."""
    if isinstance(e, ReadChord):
        return True
    parts = [x for v in vars(e).values() for x in (v if isinstance(v, tuple) else (v,)) if isinstance(x, Expr)]
    return any(mentions_chord(x) for x in parts)


def whole_numbers(value: Value, at: Expr, env: Env, what: str) -> Floats:
    """The values (n,) as whole floats; ``what`` names who asks. Raises ``wrong-kind`` with the value where one is not
    whole to 1e-9."""
    v = np.asarray(value, dtype=np.float64)
    near = np.round(v)
    if np.any(bad := np.abs(v - near) > 1e-9 * np.maximum(1, np.abs(v))):
        shown = np.atleast_1d(v)[first_where(bad)]
        raise Problem(value_faults.not_whole(at.span, what, float(shown), _spot(env, bad)))
    return near


def one_number(e: Expr, env: Env) -> float:
    """The value, in inner units, of a quantity that is the same everywhere (outside rules). Raises ``Problem``."""
    return float(np.asarray(e.value(env)).reshape(-1)[0])


def one_count(e: Expr, env: Env, what: str) -> int:
    """A count that is the same everywhere; ``what`` names who asks. Raises ``wrong-kind`` where it is not whole."""
    return int(whole_numbers(e.value(env), e, env, what).reshape(-1)[0])


def above_zero(e: Expr, env: Env, what: str) -> Any:
    """The value or values (n,) in inner units, checked to be above 0 everywhere; ``what`` names who asks. Raises
    ``out-of-range``."""
    v = e.value(env)
    if np.any(bad := ~np.greater(_number(v), 0)):
        shown = np.atleast_1d(_number(v))[first_where(bad)]
        raise Problem(value_faults.not_above_zero(e.span, what, float(shown), e.kind, _spot(env, bad)))
    return v
