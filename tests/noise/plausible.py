"""Texts made so that most of them can be laid: names that are known, values of the right kind, few places."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

_FORMS = (
    "profile straight { at 0 mm across 30 mm at 25 mm across 30 mm }",
    "profile straight { at 0 mm across 40 mm at 20 mm across 15 mm }",
    "profile smooth { at 0 mm across 30 mm at 15 mm across 45 mm at 30 mm across 25 mm }",
    "profile smooth { at 0 mm across 25 mm at 10 mm across 40 mm at 20 mm across 20 mm corner at 27 mm across 30 mm }",
    "profile straight { at 0 mm across 0 mm at 6 mm across 50 mm }",
    "decorated inside profile smooth { at 0 mm across 0 mm at 5 mm across 30 mm at 15 mm across 50 mm }",
    "profile straight by tape { at 0 mm across 0 mm at 30 mm across 60 mm }",
    "profile smooth { at 0 mm across 20 mm at 12.5 mm across 35 mm at 25 mm across 0 mm }",
    "profile straight { at 0 mm across 30 mm at 15 mm across 30 mm at 12.5 mm across 45 mm }",
)
_GRIDS = (
    ("columns {n}", "rows {n}"),
    ("columns {n}", "rows every {l}"),
    ("columns near {l}", "rows near {l}"),
    ("columns near {l} multiple of {n}", "rows {n} stepped by height"),
    ("columns {n}", "rows proportional {n} : {n}"),
    ("columns proportional {n} : {n}", "rows {n}"),
    ("columns near {l} each row", "rows {n}"),
    ("columns {e} spaced 1 : {n}", "rows {n} spaced {n} : 2"),
    ("columns {n}", "rows {n} shifted 1/2 each row"),
    ("columns {e}", "rows {n} shifted 1/2 each column"),
)


@dataclass
class _Maker:
    rng: Random
    numbers: list[str] = field(default_factory=list)
    lengths: list[str] = field(default_factory=list)
    paths: list[tuple[str, bool]] = field(default_factory=list)
    places: tuple[str, ...] = ()
    made: int = 0
    depth: int = 0

    def one(self, *choices: str) -> str:
        return self.rng.choice(choices)

    def fresh(self, stem: str) -> str:
        self.made += 1
        return f"{stem}{self.made}"

    def rarely(self, part: float = 0.25) -> bool:
        return self.rng.random() < part

    # ---- values

    def number(self, room: int = 2) -> str:
        if room and self.rarely(0.4):
            a, b = self.number(room - 1), self.number(room - 1)
            return self.one(
                f"({a} + {b})",
                f"({a} - {b})",
                f"({a} * {b})",
                f"({a} / {b})",
                f"min({a}, {b})",
                f"abs({a})",
                f"chance({self.one('1', '2', 'floor(' + a + ')')})",
                f"sqrt({a})",
                f"sin({self.angle(0)})",
                f"remainder({a}, {b})",
                f"-{a}",
                f"round({a})",
                f"{self.length(0)} / {self.length(0)}",
            )
        return self.one("0", "1/2", "1", "1/4", "3/4", "0.3", "2", *self.numbers, *self.places)

    def length(self, room: int = 1) -> str:
        if room and self.rarely():
            return self.one(
                f"({self.length(0)} + {self.length(0)})",
                f"{self.number(0)} * {self.length(0)}",
                f"max({self.length(0)}, {self.length(0)})",
            )
        here = ("cell-width", "cell-height") if "column" in self.places else ()
        return self.one("1 mm", "2 mm", "5 mm", "0.5 mm", "12 mm", "1/4 in", "-1 mm", "0.01 mm", *here, *self.lengths)

    def above(self) -> str:
        return self.one("1 mm", "2 mm", "5 mm", "0.4 mm", "3 mm", "15 mm", "1/8 in", *self.lengths)

    def angle(self, room: int = 1) -> str:
        return self.one("0 deg", "30 deg", "90 deg", "-45 deg", "1/4 turn", "720 deg", f"{self.number(0)} * 10 deg")

    def condition(self) -> str:
        a, b = self.number(1), self.number(1)
        simple = self.one(f"{a} < {b}", f"{a} >= {b}", f"{a} = {b}", f"even({self.one('1', '2', *self.places)})")
        return simple if self.rarely(0.7) else f"not {simple} or {self.number(0)} > 1"

    def point(self) -> str:
        if self.rarely(0.15):
            return f"({self.length()}, {self.length()})"
        if self.rarely(0.05):
            return f"({self.angle()}, {self.number()})"
        plain = f"({self.number()}, {self.number()})"
        return f"{plain} + ({self.length()}, {self.length()})" if self.rarely(0.15) else plain

    # ---- geometry

    def line(self) -> str:
        parts = [f"from {self.point()}"]
        for _ in range(self.rng.choice((1, 1, 2, 3))):
            p = self.point()
            parts.append(
                self.one(
                    f"line to {p}",
                    f"line to {p}",
                    f"taut to {p}",
                    f"arc to {p} rise {self.one(self.number(1), self.length(), 'chord / 2', '-chord / 5')}",
                    f"arc to {p} through {self.point()}",
                    f"curve to {p} leaving {self.point()} arriving {self.point()}",
                )
            )
        return " ".join(parts)

    def closed(self) -> str:
        return self.one(
            f"{self.line()} close",
            f"rectangle from {self.point()} to {self.point()}",
            f"circle at {self.point()} across {self.one('1', '1/2', '0.3', self.above())}",
        )

    def geometry(self) -> str:
        if self.paths and self.rarely(0.5):
            name, closed = self.rng.choice(self.paths)
            shape = self.one(
                name,
                f"offset {name} by {self.length()}",
                f"offset {name} both by {self.above()}",
                f"offset {name} {self.one('outward', 'inward')} by {self.above()}" if closed else name,
            )
        else:
            shape = self.line() if self.rarely(0.6) else self.closed()
        if self.paths and self.rarely(0.1):
            shape += f" clear of {self.rng.choice(self.paths)[0]} by {self.above()}"
        if (outlines := [n for n, closed in self.paths if closed]) and self.rarely(0.15):
            shape += f" within {self.rng.choice(outlines)}"
        return shape

    def mark(self) -> str:
        if self.paths and self.rarely(0.2):
            what, size = self.rng.choice((("dot", ""), ("dot", " across 1 mm"), ("stamp", "")))
            return f"{what} along {self.rng.choice(self.paths)[0]} every {self.above()}{size}"
        return self.one(
            f"dot at {self.point()}",
            f"dot at {self.point()} across {self.above()}",
            f"stamp at {self.point()}",
            f"tooth at {self.point()} tilted {self.angle()}",
        )

    # ---- statements

    def body(self, most: int) -> str:
        kept = (self.numbers[:], self.lengths[:], self.paths[:])
        self.depth += 1
        text = " ".join(self.statement() for _ in range(self.rng.randint(1, most)))
        self.depth -= 1
        self.numbers, self.lengths, self.paths = kept
        return text

    def statement(self) -> str:
        how = self.rng.random()
        if how < 0.15:
            closed = self.rarely()
            drawn = self.closed() if closed else self.geometry() if self.rarely() else self.line()
            name = self.fresh("path")
            text = f"path {name} = {drawn}"
            self.paths.append((name, closed))
            return text
        if how < 0.25:
            name = self.fresh("v")
            if self.rarely(0.5):
                text, known = f"let {name} = {self.number()}", self.numbers
            else:
                text, known = f"let {name} = {self.length()}", self.lengths
            known.append(name)
            return text
        if how < 0.30 and self.depth < 2:
            return f"if {self.condition()} {{ {self.body(2)} }} otherwise {{ {self.body(1)} }}"
        if how < 0.36 and self.depth < 2:
            name = self.fresh("k")
            self.numbers.append(name)
            text = f"repeat {self.one('0', '2', '3', 'columns')} as {name} {{ {self.body(2)} }}"
            self.numbers.remove(name)
            return text
        if how < 0.50 and self.depth < 3:
            what = (
                f"{{ {self.body(2)} }}"
                if self.rarely(0.6)
                else self.one("leaf", f"leaf from {self.point()} to {self.point()}")
            )
            moves = [
                "rotated 3 times",
                f"rotated {self.angle()}",
                "mirrored both ways",
                "mirrored left-right",
                "reversed top-bottom",
                f"moved by {self.point()}",
            ]
            return f"draw {what} {' '.join(self.rng.sample(moves, self.rng.choice((0, 1, 1, 2))))}"
        if how < 0.70:
            return f"{self.one('impress', 'attach', 'pierce', 'paint')} {self.mark()}{self.how()}"
        technique = self.one("incise", "carve", "roulette", "trail", "guide", "paint", "impress", "attach", "pierce")
        pitch = f" pitch {self.above()}" if technique == "roulette" else ""
        several = ", ".join(self.geometry() for _ in range(self.rng.choice((1, 1, 1, 2))))
        return f"{technique} {several}{pitch}{self.how()}"

    def how(self) -> str:
        text = f" depth {self.above()}" if self.rarely() else ""
        text += f" width {self.above()}" if self.rarely() else ""
        text += " with loop" if self.rarely(0.1) else ""
        return text + (" unbroken" if self.rarely(0.1) else "")

    def rule(self) -> str:
        place, names = self.rng.choice(
            (
                ("each cell", ("column", "row", "columns", "rows")),
                ("each cell", ("column", "row", "columns", "rows")),
                ("each 2 by 1 cells", ("column", "row", "columns")),
                ("each crossing", ("vertical", "ring", "rows")),
                ("each ring", ("ring", "rows")),
                ("each vertical", ("vertical", "columns")),
                ("once", ("columns", "rows")),
            )
        )
        self.places = names
        where = f" where {self.condition()}" if self.rarely() else ""
        text = f"{place}{where} {{ {self.body(4)} }}"
        if place in ("each ring", "each vertical") and self.rarely(0.5):
            text = text[:-1] + "incise along }"
        self.places = ()
        return text

    def motif(self) -> str:
        columns, rows = self.rng.choice(_GRIDS)
        parts = {
            "n": lambda: str(self.rng.randint(1, 4)),
            "e": lambda: str(2 * self.rng.randint(1, 2)),
            "l": lambda: f"{self.rng.choice((8, 12, 25, 60))} mm",
        }
        grid = f"{columns} {rows}"
        for key, make in parts.items():
            while "{" + key + "}" in grid:
                grid = grid.replace("{" + key + "}", make(), 1)
        rules = " ".join(self.rule() for _ in range(self.rng.choice((1, 1, 2, 3))))
        return f"motif m {{ given size length = 4 mm let part = 1/3 grid {grid} {rules} }}"

    def place(self) -> str:
        return self.one("foot", "rim", "belly", "foot + 2 mm", "rim - 3 mm", "tape 6 mm", "height 5 mm", "tape 1/4 in")

    def piece(self) -> str:
        text = "piece p { form pot "
        if self.rarely(0.3):
            text += f'reserve "free" from {self.place()} to {self.place()} facing {self.angle()} wide {self.above()} '
            if self.rarely(0.5):
                text += f'carve edge of "free" {self.above()} {self.one("inside", "outside")} '
        for _ in range(self.rng.choice((1, 1, 2))):
            text += "band m "
            text += f"(size = {self.above()}) " if self.rarely() else ""
            text += f"from {self.place()} to {self.place()} " if self.rarely(0.6) else ""
            text += f"only columns {self.one('1', '2 to 1', '1 to 2', '3')} " if self.rarely(0.15) else ""
            text += f"starting at {self.angle()} " if self.rarely(0.2) else ""
        return text + (f"carve ring at {self.place()} " if self.rarely() else "") + "}"


def plausible(rng: Random) -> str:
    """A whole text with one motif on one pot."""
    m = _Maker(rng)
    leaf = f"figure leaf {{ {m.body(2)} }}"
    m.numbers, m.lengths, m.paths = ["part"], ["size"], []
    return " ".join(
        (
            f"form pot {{ {rng.choice(_FORMS)} }}",
            "tool stamp { wide 6 mm tall 4 mm } tool loop { cuts 1.5 mm deep 2 mm }",
            "tool tooth { outline from (-3 mm, 0 mm) line to (3 mm, 0 mm) line to (0 mm, 5 mm) close }",
            leaf,
            m.motif(),
            m.piece(),
        )
    )
