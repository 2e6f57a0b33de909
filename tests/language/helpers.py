"""Reading texts in tests."""

from __future__ import annotations

from inspect import get_annotations
from pathlib import Path
from typing import Any

from motif.language import nodes
from motif.language.messages import Message, Messages
from motif.language.parser import parse
from motif.language.source import Source

_TESTS = Path(__file__).parent.parent

#: The one text that holds every construct of the language.
EVERYTHING = _TESTS / "cases" / "language" / "everything.motif"

#: Texts without errors of syntax.
CASES = [
    EVERYTHING,
    *(path for path in sorted((_TESTS / "conformance" / "cases").glob("*.motif")) if path.stem != "wrong-syntax"),
]


def read(text: str) -> tuple[nodes.File, list[Message]]:
    """The file and the messages of a text."""
    messages = Messages()
    file = parse(Source("case", text), messages)
    return file, messages.sorted()


def plain(value: Any) -> Any:
    """A node as nested tuples, its class name first, places left out: what can be compared."""
    if isinstance(value, nodes.Node):
        classes = reversed(type(value).__mro__)
        fields = [k for c in classes for k in get_annotations(c) if k != "span"]
        return (type(value).__name__, *(plain(getattr(value, k)) for k in fields))
    if isinstance(value, tuple):
        return tuple(plain(v) for v in value)
    return value


def items(text: str) -> Any:
    """The definitions of a text without errors, as plain tuples."""
    file, messages = read(text)
    assert [m.text for m in messages] == []
    return plain(file.items)


def definition(text: str) -> Any:
    (only,) = items(text)
    return only


def value(text: str) -> Any:
    """A value, read as that of a ``let``."""
    return definition(f"let x = {text}")[2]


def statement(text: str) -> Any:
    """A statement, read in a rule."""
    (only,) = definition(f"motif m {{ once {{ {text} }} }}")[3][0][4]
    return only


def every_node(value: Any) -> list[nodes.Node]:
    """A node and all nodes in it."""
    found: list[nodes.Node] = []
    todo = [value]
    while todo:
        v = todo.pop()
        if isinstance(v, nodes.Node):
            found.append(v)
            todo += v.__dict__.values()
        elif isinstance(v, tuple):
            todo += v
    return found
