"""Parts: what is cut out of paper, drawn in real size."""

from __future__ import annotations

from motif.language.record import record
from motif.outputs.printed.pages import Placed
from motif.outputs.printed.paper import MARGIN, Paper
from motif.outputs.printed.sketch import HAIR, Box, Sketch


@record
class Part:
    """A part in real size, in one or more layers. ``box`` is what of them must be on paper, and of ``clipped`` parts
    all that is shown; ``lying`` parts run up the page, and ``upright`` ones may not. ``title`` is for the foot of the
    page and the list of sheets; at the foot with the ``numbers`` of what is shown, if it has any."""

    title: str
    layers: tuple[Sketch, ...]
    box: Box
    lying: bool = False
    clipped: bool = False
    upright: bool = False
    numbers: tuple[int, ...] = ()

    @property
    def room(self) -> tuple[float, float]:
        """Width and height that it takes on paper, mm."""
        wide, tall = self.box.width, self.box.height
        return (tall, wide) if self.lying else (wide, tall)

    def fits(self, paper: Paper) -> bool:
        wide, tall = self.room
        return wide <= paper.width + HAIR and tall <= paper.height + HAIR

    def at(self, x: float, y: float) -> list[Placed]:
        """With the upper left corner of its room at (x, y) of the room for drawing."""
        x, y = x + MARGIN, y + MARGIN
        x, y = (x - self.box.top, y + self.box.right) if self.lying else (x - self.box.left, y - self.box.top)
        window = self.box if self.clipped else None
        return [Placed(layer, x, y, turned=self.lying, window=window) for layer in self.layers]
