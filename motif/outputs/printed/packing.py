"""Parts on pages: as many on one as there is room for."""

from __future__ import annotations

from collections.abc import Sequence

from motif.language.record import changed, record
from motif.outputs.method.where import named
from motif.outputs.printed.pages import Page
from motif.outputs.printed.paper import Paper
from motif.outputs.printed.parts import Part
from motif.outputs.printed.sketch import HAIR, Box

#: Between parts on a page, mm.
GAP = 3.0


@record
class Packed:
    """A page and the parts on it, as they were given."""

    page: Page
    parts: tuple[Part, ...]

    @property
    def titles(self) -> list[str]:
        return list(dict.fromkeys(part.title for part in self.parts))


def pack(groups: Sequence[Sequence[Part]], paper: Paper) -> list[Packed]:
    """Pages with all the parts, group by group, each part on the first page that has room for it, standing or lying:
    those that must stand first, then the longest, which leaves least paper over. A group begins on the last page
    of the one before.

    Raises ``ValueError`` for a part that no page has room for."""
    pages: list[_Open] = []
    for group in groups:
        closed = max(len(pages) - 1, 0)
        for part in sorted(group, key=lambda p: (not p.upright, -max(p.room))):
            if any(one.take(part) for one in pages[closed:]):
                continue
            pages.append(_Open(paper))
            if not pages[-1].take(part):
                raise ValueError(f"{part.title} does not fit the paper")
    return [one.packed() for one in pages]


class _Open:
    """A page that is being filled. ``free`` are the largest rectangles without a part on them; they overlap.

    The maximal rectangles method (J. Jylänki, *A Thousand Ways to Pack the Bin*, 2010, from memory): a part goes where
    it leaves the least over on its tighter side, and every free rectangle that it meets is cut into what is left on
    its four sides."""

    def __init__(self, paper: Paper) -> None:
        self._paper = paper
        self._page = Page.empty(paper, "")
        self._parts: list[Part] = []
        # A part takes the gap to the right of it and below, for which the paper has room beyond its edges.
        self._free = [Box(0.0, 0.0, paper.width + GAP, paper.height + GAP)]

    def take(self, part: Part) -> bool:
        """Put the part on the page if there is room."""
        ways = [part] if part.upright else [part, changed(part, lying=not part.lying)]
        spots = [
            (min(free.width - wide, free.height - tall), free.top, free.left, k, way)
            for k, way in enumerate(ways)
            for wide, tall in [(way.room[0] + GAP, way.room[1] + GAP)]
            for free in self._free
            if wide <= free.width + HAIR and tall <= free.height + HAIR
        ]
        if not spots:
            return False
        _, top, left, _, way = min(spots, key=lambda spot: spot[:4])
        self._page.placed.extend(way.at(left, top))
        self._parts.append(part)
        wide, tall = way.room
        self._cut(Box(left, top, left + wide + GAP, top + tall + GAP))
        return True

    def _cut(self, taken: Box) -> None:
        rest: list[Box] = []
        for free in self._free:
            if (
                taken.left >= free.right - HAIR
                or taken.right <= free.left + HAIR
                or taken.top >= free.bottom - HAIR
                or taken.bottom <= free.top + HAIR
            ):
                rest.append(free)
                continue
            rest += [
                Box(free.left, free.top, taken.left, free.bottom),
                Box(taken.right, free.top, free.right, free.bottom),
                Box(free.left, free.top, free.right, taken.top),
                Box(free.left, taken.bottom, free.right, free.bottom),
            ]
        rest = [box for box in rest if box.width > GAP and box.height > GAP]
        self._free = [box for k, box in enumerate(rest) if not _is_held(box, rest[:k], rest[k + 1 :])]

    def packed(self) -> Packed:
        made = Packed(self._page, tuple(self._parts))
        titles = [self._numbered(title) for title in made.titles]
        return changed(made, page=changed(self._page, title=", ".join(titles)))

    def _numbered(self, title: str) -> str:
        """``flat sheets 2 and 5``: the title with the numbers of what is on the page."""
        numbers = sorted({n for part in self._parts if part.title == title for n in part.numbers})
        return f"{title.removesuffix('s')}{named('', numbers)}" if numbers else title


def _is_held(box: Box, before: Sequence[Box], after: Sequence[Box]) -> bool:
    """Whether another box holds all of this one; of equals the first stays."""
    return any(other.holds(box) for other in before) or any(
        other.holds(box) and not box.holds(other) for other in after
    )
