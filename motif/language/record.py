"""Plain frozen records, cheap to define.

``dataclasses`` writes and compiles the methods of every class anew, about half a millisecond each; with
the hundred small classes of a compiler that is a third of a cold ``motif check``. Here all records share
one set of methods.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, dataclass_transform

T = TypeVar("T")


@dataclass_transform(frozen_default=True, eq_default=False)
def record(cls: type[T]) -> type[T]:
    """Make a class a frozen record of its annotated fields, those of its bases first.

    Fields are given in order or by name, and may have defaults. Two records are equal when they are
    one; ``changed`` makes another."""
    fields: dict[str, object] = {}
    for base in reversed(cls.__mro__):
        fields.update(dict.fromkeys(vars(base).get("__annotations__", ())))  # inspect costs 10 ms to import
    names = tuple(fields)
    defaults = {n: getattr(cls, n) for n in names if hasattr(cls, n)}
    setattr(cls, "__init__", _initialiser(cls.__name__, names, defaults))  # noqa: B010
    cls.__setattr__ = _refuse  # type: ignore[method-assign]
    cls.__repr__ = _shown  # type: ignore[method-assign]
    return cls


def _initialiser(name: str, names: tuple[str, ...], defaults: dict[str, object]) -> Callable[..., None]:
    known, count = frozenset(names), len(names)

    def __init__(self: Any, *values: object, **named: object) -> None:  # noqa: N807
        if not named and len(values) == count:
            self.__dict__.update(zip(names, values, strict=False))
            return
        given = {**defaults, **dict(zip(names, values, strict=False)), **named}
        if len(given) != len(names) or len(values) > len(names) or not known.issuperset(named):
            raise TypeError(f"{name} takes {', '.join(names)}")
        self.__dict__.update(given)

    return __init__


def _refuse(self: object, name: str, value: object) -> None:
    raise AttributeError(f"{type(self).__name__} cannot be changed")


def _shown(self: object) -> str:
    return f"{type(self).__name__}({', '.join(f'{k}={v!r}' for k, v in vars(self).items())})"


def changed(one: T, **fields: object) -> T:
    """A record like another but for some fields."""
    return type(one)(**{**vars(one), **fields})
