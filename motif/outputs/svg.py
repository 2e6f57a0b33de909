"""A thin coat over svgwrite: drawings in real millimetres, made of paths, polylines, circles and text.

One user unit is one millimetre; x runs to the right and y down, as SVG has it. svgwrite checks nothing
here (``debug=False``): path data and numbers are written by us, escaping is its XML writer's.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

import numpy as np
import svgwrite
from numpy.typing import NDArray
from svgwrite.base import BaseElement
from svgwrite.container import Group as SvgGroup
from svgwrite.container import Symbol

from motif.outputs.numbers import DRAWING_DIGITS, decimals, number
from motif.outputs.tables import printable

Floats = NDArray[np.float64]
_STEPS = 10**DRAWING_DIGITS

#: XML 1.0 allows no other control characters, and no half surrogates.
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def path_data(lines: Sequence[Floats], closed: bool = False) -> str:
    """SVG path data of polylines, each (k, 2) in mm: absolute first points, then relative steps.

    Steps are differences of rounded points, so that rounding never adds up along a line. A line of
    one point is a step of nothing, which round ends draw as a dot.
    """
    if not lines:
        return ""
    counts = np.array([len(line) for line in lines])
    begins = np.cumsum(counts) - counts
    grid = np.rint(np.concatenate(lines) * _STEPS).astype(np.int64)
    steps = np.diff(grid, axis=0, prepend=0)
    kept = np.any(steps != 0, axis=1)
    kept[begins] = True
    steps[begins] = grid[begins]
    if closed:
        # The step back to the beginning is drawn by closing.
        whose = np.repeat(np.arange(len(lines)), counts)
        last = begins.copy()
        last[whose[kept]] = np.flatnonzero(kept)
        kept[last[(last > begins) & np.all(grid[last] == grid[begins], axis=1)]] = False
    # A line that stays where it begins takes a step of nothing.
    times = kept.astype(np.int64)
    times[begins[np.add.reduceat(times, begins) == 1]] = 2
    which = np.repeat(np.arange(len(grid)), times)
    again = np.diff(which, prepend=-1) == 0
    steps = steps[which]
    steps[again] = 0
    texts = decimals(steps.ravel(), DRAWING_DIGITS)
    # A minus sign is separator enough.
    parts = [text if text[0] == "-" else " " + text for text in texts]
    starts = (2 * np.searchsorted(which, begins)).tolist()
    for at in starts:
        parts[at] = "M" + texts[at]
        parts[at + 2] = "l" + texts[at + 2]
    if closed:
        for end in (*starts[1:], len(parts)):
            parts[end - 1] += "z"
    return "".join(parts)


def xml_text(text: str) -> str:
    """``text`` without what XML cannot hold; the writer escapes the rest."""
    return _NOT_XML.sub("\N{REPLACEMENT CHARACTER}", text)


class Group:
    """A ``<g>``: what is drawn in it takes its stroke, fill and font unless it says otherwise."""

    def __init__(self, element: BaseElement) -> None:
        self._element = element

    def group(self, name: str | None = None, **style: str | float) -> Group:
        """A group inside this one. ``name`` becomes its id; ids must differ within a drawing."""
        extra = _attributes(style)
        if name is not None:
            extra["id"] = name
        return Group(self._element.add(self._new(SvgGroup, extra)))

    def lines(self, lines: Sequence[Floats], closed: bool = False, **style: str | float) -> None:
        """One ``<path>`` of several polylines, (k, 2) mm each; nothing for no lines."""
        if lines:
            self._add("path", style, d=path_data(lines, closed))

    def polyline(self, line: Floats, **style: str | float) -> None:
        """One ``<polyline>`` through (k, 2) mm."""
        points = " ".join(f"{number(x, DRAWING_DIGITS)},{number(y, DRAWING_DIGITS)}" for x, y in line.tolist())
        self._add("polyline", style, points=points)

    def circle(self, x: float, y: float, radius: float, **style: str | float) -> None:
        self._add(
            "circle",
            style,
            cx=number(x, DRAWING_DIGITS),
            cy=number(y, DRAWING_DIGITS),
            r=number(radius, DRAWING_DIGITS),
        )

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float,
        *,
        anchor: str = "start",
        turned: float = 0.0,
        **style: str | float,
    ) -> None:
        """``words`` with their baseline at (x, y), ``size`` mm, ``turned`` degrees clockwise."""
        extra: dict[str, str] = {
            "x": number(x, DRAWING_DIGITS),
            "y": number(y, DRAWING_DIGITS),
            "font-size": number(size, DRAWING_DIGITS),
        }
        if anchor != "start":
            extra["text-anchor"] = anchor
        if turned:
            extra["transform"] = f"rotate({number(turned, 3)} {extra['x']} {extra['y']})"
        element = svgwrite.text.Text(xml_text(printable(words)), debug=False)
        element.attribs.update(_attributes(style) | extra)
        self._element.add(element)

    def _add(self, element: str, style: dict[str, str | float], **attributes: str) -> None:
        self._element.add(self._new(_ELEMENTS[element], _attributes(style) | attributes))

    def _new(self, kind: Any, attributes: dict[str, str]) -> Any:
        # Its own constructor would check and reformat the attributes one by one.
        element = kind(factory=self._element)
        element.attribs.update(attributes)
        return element


class Drawing(Group):
    """A drawing, without a ground of its own."""

    def __init__(self) -> None:
        self._root = svgwrite.Drawing(debug=False)
        self._root.elements.clear()  # svgwrite puts an empty <defs> there
        super().__init__(self._root)

    def tostring(self, width: float, height: float) -> str:
        """The whole SVG document, ``width`` × ``height`` mm, ending in a line feed.

        Groups in which nothing was drawn are left out."""
        from xml.etree import ElementTree

        w, h = number(width, DRAWING_DIGITS), number(height, DRAWING_DIGITS)
        self._root.attribs.update({"width": f"{w}mm", "height": f"{h}mm", "viewBox": f"0 0 {w} {h}"})
        _drop_empty_groups(self._root)
        # svgwrite's own root declares xmlns:ev, which the SVG 1.1 DTD does not know.
        root = Symbol.get_xml(self._root)
        for key, value in (
            ("xmlns", "http://www.w3.org/2000/svg"),
            ("version", "1.1"),
            ("baseProfile", "full"),
        ):
            root.set(key, value)
        ElementTree.indent(root, " ")
        return '<?xml version="1.0" encoding="UTF-8"?>\n' + ElementTree.tostring(root, encoding="unicode") + "\n"


def _drop_empty_groups(element: BaseElement) -> None:
    for child in element.elements:
        _drop_empty_groups(child)
    element.elements[:] = [c for c in element.elements if c.elements or c.elementname != "g"]


_ELEMENTS: dict[str, Any] = {
    "path": type("Path", (BaseElement,), {"elementname": "path"}),
    "polyline": type("Polyline", (BaseElement,), {"elementname": "polyline"}),
    "circle": type("Circle", (BaseElement,), {"elementname": "circle"}),
}


def _attributes(style: dict[str, str | float]) -> dict[str, str]:
    return {
        k.rstrip("_").replace("_", "-"): v if isinstance(v, str) else number(v, DRAWING_DIGITS)
        for k, v in style.items()
    }
