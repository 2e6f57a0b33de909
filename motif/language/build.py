"""Parse tree → syntax nodes, one function a rule of the grammar.

Trees and tokens carry offsets into the text as written, so every node's span does too.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias, TypeVar

from lark import Token, Tree

from motif.language import nodes
from motif.language.messages import Message, Messages, Problem
from motif.language.reserved import SPELLINGS
from motif.language.source import Source, Span

#: How deep values and geometry may be nested; what is deeper was not written by hand, and every later
#: stage walks them by recursion.
MOST_NESTED = 100

#: A number is written with at most so many characters; no measure needs more, and all are finite.
_MOST_DIGITS = 100

_Branch: TypeAlias = Tree[Token]
_Child: TypeAlias = _Branch | Token
_N = TypeVar("_N")

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


def build(
    tree: _Branch, source: Source, spoiled: frozenset[str], gaps: tuple[Span, ...], messages: Messages
) -> nodes.File:
    """The nodes of a whole file.

    Reports what the grammar leaves to be counted: options given twice, a version
    of the language that is not known, values nested too deep. A definition that cannot be built is left
    out, and the names in it are added to the spoiled ones.
    """
    return _Builder(source, messages).file(tree, spoiled, gaps)


def listed(items: _Branch) -> list[_Child]:
    """The items of a list that the grammar writes as ``items: | items item``, in order."""
    found: list[_Child] = []
    while items.children:
        rest, item = items.children
        found.append(item)
        assert isinstance(rest, Tree)
        items = rest
    found.reverse()
    return found


def number_value(text: str) -> tuple[int, int] | float:
    """``1 1/2``, ``1/2``: (3, 2), (1, 2); ``0.5``, ``12``: the number."""
    if "/" not in text:
        return float(text)
    *whole, fraction = text.split()
    above, below = (int(n) for n in fraction.split("/"))
    return above + sum(int(n) for n in whole) * below, below


class _Builder:
    def __init__(self, source: Source, messages: Messages) -> None:
        self.source = source
        self.messages = messages
        self.depth = 0
        self.language: int | None = None

    # ------------------------------------------------------------------------------------- smallest

    def span(self, item: _Child) -> Span:
        if isinstance(item, Tree):
            return Span(self.source, item.meta.start_pos, item.meta.end_pos)
        assert item.start_pos is not None and item.end_pos is not None
        return Span(self.source, item.start_pos, item.end_pos)

    def name(self, token: Any) -> nodes.Name:
        return nodes.Name(self.span(token), str(token))

    def text(self, token: Any) -> nodes.Text:
        return nodes.Text(self.span(token), str(token)[1:-1])

    def text_if(self, token: Any) -> nodes.Text | None:
        return None if token is None else self.text(token)

    def value_if(self, child: Any) -> nodes.Expression | None:
        return None if child is None else self.value(child)

    def stage(self, token: Any) -> nodes.Stage:
        return nodes.Stage(self.span(token), _folded(token))

    def nested(self, tree: _Branch, build: Callable[[_Branch], _N]) -> _N:
        """Call ``build`` one level down."""
        if self.depth >= MOST_NESTED:
            raise Problem(
                Message(
                    "syntax",
                    f"More than {MOST_NESTED} steps are packed into this one value.",
                    self.span(tree),
                    "Give parts of it names with 'let' or 'path'.",
                )
            )
        self.depth += 1
        try:
            return build(tree)
        finally:
            self.depth -= 1

    # ----------------------------------------------------------------------------------- expressions

    def value(self, tree: Any) -> nodes.Expression:
        return self.nested(tree, self._value)

    def _value(self, tree: _Branch) -> nodes.Expression:
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
                return nodes.Arithmetic(span, _operator(c[1]), self.value(c[0]), self.value(c[2]))
            case "compare":
                return nodes.Comparison(span, _operator(c[1]), self.value(c[0]), self.value(c[2]))
            case "logic":
                word: Any = str(c[1])
                return nodes.Logic(span, word, self.value(c[0]), self.value(c[2]))
        raise AssertionError(tree.data)

    def number(self, span: Span, token: Any, unit: Any) -> nodes.Expression:
        if len(token) > _MOST_DIGITS:
            raise Problem(Message("out-of-range", "This number has too many digits.", span))
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

    # -------------------------------------------------------------------------------------- geometry

    def point(self, tree: Any) -> nodes.Point:
        a, b, *offset = tree.children
        if offset[0] is None:
            return nodes.Point(self.span(tree), self.value(a), self.value(b))
        return nodes.Point(
            self.span(tree), self.value(a), self.value(b), (self.value(offset[0]), self.value(offset[1]))
        )

    def geometry(self, tree: Any) -> nodes.Geometry:
        return self.nested(tree, self._geometry)

    def _geometry(self, tree: _Branch) -> nodes.Geometry:
        span = self.span(tree)
        c: list[Any] = tree.children
        match tree.data:
            case "drawn_line":
                return self.drawn_line(tree)
            case "rectangle":
                return nodes.Rectangle(span, self.point(c[0]), self.point(c[1]))
            case "circle":
                return nodes.Circle(span, self.point(c[0]), self.value(c[1]))
            case "dot":
                return nodes.Dot(span, self.point(c[0]), self.value_if(c[1]))
            case "dots_along":
                return nodes.DotsAlong(span, self.name(c[0]), self.value(c[1]), self.value_if(c[2]))
            case "footprint":
                return nodes.Footprint(span, self.name(c[0]), self.point(c[1]), self.value_if(c[2]))
            case "footprints_along":
                return nodes.FootprintsAlong(span, self.name(c[0]), self.name(c[1]), self.value(c[2]))
            case "named_path":
                return nodes.NamedPath(span, str(c[0]))
            case "offset":
                side: Any = "left" if c[1] is None else str(c[1])
                return nodes.Offset(span, self.name(c[0]), side, self.value(c[2]))
            case "along":
                return nodes.Along(span)
            case "clear_of":
                return nodes.ClearOf(span, self.geometry(c[0]), self.name(c[1]), self.value(c[2]))
            case "within":
                return nodes.Within(span, self.geometry(c[0]), self.name(c[1]))
        raise AssertionError(tree.data)

    def drawn_line(self, tree: _Branch) -> nodes.PathFrom:
        start, *segments, close = tree.children
        return nodes.PathFrom(
            self.span(tree), self.point(start), tuple(self.segment(s) for s in segments), close is not None
        )

    def segment(self, tree: Any) -> nodes.Segment:
        span, (to, *rest) = self.span(tree), tree.children
        match tree.data:
            case "line_to":
                return nodes.LineTo(span, self.point(to))
            case "taut_to":
                return nodes.TautTo(span, self.point(to))
            case "arc_rise":
                return nodes.ArcRise(span, self.point(to), self.value(rest[0]))
            case "arc_through":
                return nodes.ArcThrough(span, self.point(to), self.point(rest[0]))
            case "curve_to":
                return nodes.CurveTo(span, self.point(to), self.point(rest[0]), self.point(rest[1]))
        raise AssertionError(tree.data)

    # ------------------------------------------------------------------------------------ statements

    def block(self, tree: Any) -> tuple[nodes.Statement, ...]:
        return tuple(self.statement(s) for s in listed(tree.children[0]))

    def statement(self, tree: Any) -> nodes.Statement:
        span = self.span(tree)
        c: list[Any] = tree.children
        match tree.data:
            case "note":
                return self.note(tree)
            case "let":
                return self.let(tree)
            case "path":
                return nodes.PathDefinition(span, self.name(c[0]), self.geometry(c[1]))
            case "work":
                geometries = [g for g in c[1:] if g.data != "modifier"]
                return nodes.Work(
                    span,
                    self.name(c[0]),
                    tuple(self.geometry(g) for g in geometries),
                    self.modifiers(c[1 + len(geometries) :]),
                )
            case "if":
                *branches, otherwise = c
                return nodes.If(
                    span, tuple(self.branch(b) for b in branches), None if otherwise is None else self.block(otherwise)
                )
            case "repeat":
                return nodes.Repeat(span, self.value(c[0]), self.name(c[1]), self.block(c[2]))
            case "draw_figure":
                figure, arguments, box, *moves = c
                return nodes.DrawFigure(
                    span,
                    self.name(figure),
                    self.arguments(arguments),
                    None if box is None else (self.point(box.children[0]), self.point(box.children[1])),
                    tuple(self.move(m) for m in moves),
                )
            case "draw_group":
                return nodes.DrawGroup(span, self.block(c[0]), tuple(self.move(m) for m in c[1:]))
        raise AssertionError(tree.data)

    def note(self, tree: _Branch) -> nodes.Note:
        return nodes.Note(self.span(tree), self.text(tree.children[0]))

    def let(self, tree: _Branch) -> nodes.Let:
        name, described, value, description = tree.children
        seen: dict[str, Span] = {}
        for text in (described, description):
            if text is not None:
                self.once(seen, "a description", self.span(text))
        return nodes.Let(self.span(tree), self.name(name), self.value(value), self.text_if(described or description))

    def branch(self, tree: _Branch) -> nodes.Branch:
        condition, block = tree.children
        return nodes.Branch(self.span(tree), self.value(condition), self.block(block))

    def modifiers(self, trees: list[Any]) -> tuple[nodes.Modifier, ...]:
        seen: dict[str, Span] = {}
        made = []
        for tree in trees:
            word: Any = _folded(tree.children[0])
            self.once(seen, word, self.span(tree.children[0]))
            value = self.value(tree.children[1]) if len(tree.children) > 1 else None
            made.append(nodes.Modifier(self.span(tree), word, value))
        return tuple(made)

    def move(self, tree: Any) -> nodes.Move:
        span = self.span(tree)
        c: list[Any] = tree.children
        match tree.data:
            case "rotated_times":
                return nodes.RotatedTimes(span, self.value(c[0]))
            case "rotated":
                return nodes.Rotated(span, self.value(c[0]))
            case "mirrored":
                return nodes.Mirrored(span, _axis(c[0]))
            case "mirrored_both":
                return nodes.Mirrored(span, "both ways")
            case "reversed":
                return nodes.Reversed(span, _axis(c[0]))
            case "moved":
                return nodes.Moved(span, self.point(c[0]))
        raise AssertionError(tree.data)

    # ---------------------------------------------------------------------------- motifs and figures

    def given(self, tree: _Branch) -> nodes.Given:
        name, kind, default, description = tree.children
        return nodes.Given(
            self.span(tree), self.name(name), self.name(kind), self.value_if(default), self.text_if(description)
        )

    def figure(self, tree: _Branch) -> nodes.Figure:
        name, width, height, description, items = tree.children
        givens: list[nodes.Given] = []
        body: list[nodes.Statement] = []
        for item in self.items(items):
            if item.data == "given":
                givens.append(self.given(item))
            else:
                body.append(self.statement(item))
        size = None if width is None else (self.value(width), self.value(height))
        return nodes.Figure(
            self.span(tree), self.name(name), size, self.text_if(description), tuple(givens), tuple(body)
        )

    def motif(self, tree: _Branch) -> nodes.Motif:
        name, description, items = tree.children
        return nodes.Motif(
            self.span(tree),
            self.name(name),
            self.text_if(description),
            tuple(self.motif_item(i) for i in self.items(items)),
        )

    def motif_item(self, tree: _Branch) -> nodes.Given | nodes.Let | nodes.Note | nodes.Grid | nodes.Rule:
        match tree.data:
            case "given":
                return self.given(tree)
            case "let":
                return self.let(tree)
            case "note":
                return self.note(tree)
            case "grid":
                return self.grid(tree)
            case "rule":
                return self.rule(tree)
        raise AssertionError(tree.data)

    def grid(self, tree: _Branch) -> nodes.Grid:
        columns, rows, shift = tree.children
        return nodes.Grid(self.span(tree), self.columns(columns), self.rows(rows), self.shift(shift))

    def columns(self, tree: Any) -> nodes.Columns:
        law, *options = tree.children
        seen = self.options(options)
        each_row = "each_row" in seen
        if each_row and law.data != "near_law":
            self.messages.add(
                Message(
                    "syntax",
                    "'each row' goes with 'columns near …' only.",
                    self.span(seen["each_row"]),
                    "Each row then has the number of columns nearest that width.",
                )
            )
        kind: Any = law.data.removesuffix("_law")
        return nodes.Columns(
            self.span(tree),
            kind,
            self.values(law),
            self.value_if(_only(seen.get("multiple"))),
            self.values(seen.get("spaced")),
            each_row,
        )

    def rows(self, tree: Any) -> nodes.Rows:
        law, *options = tree.children
        seen = self.options(options)
        kind: Any = law.data.removesuffix("_law")
        return nodes.Rows(
            self.span(tree),
            kind,
            self.values(law),
            self.value_if(_only(seen.get("multiple"))),
            self.values(seen.get("spaced")),
            "by_height" in seen,
        )

    def values(self, tree: _Branch | None) -> tuple[nodes.Expression, ...]:
        return () if tree is None else tuple(self.value(c) for c in tree.children)

    def shift(self, tree: Any) -> nodes.Shift | None:
        if tree is None:
            return None
        each: Any = str(tree.children[1])
        return nodes.Shift(self.span(tree), self.value(tree.children[0]), each)

    def rule(self, tree: _Branch) -> nodes.Rule:
        place: Any
        condition: Any
        place, condition, block = tree.children
        if place.data == "group":
            word: Any = "group"
            group = (self.value(place.children[0]), self.value(place.children[1]))
        else:
            word, group = str(place.children[0]), None
        return nodes.Rule(self.span(tree), word, group, self.value_if(condition), self.block(block))

    # ------------------------------------------------------------------------- forms, tools, the clay

    def clay(self, tree: _Branch) -> nodes.Clay:
        name, description, items = tree.children
        shrinkages: list[nodes.Shrinkage] = []
        notes: list[nodes.Note] = []
        for item in self.items(items):
            if item.data == "note":
                notes.append(self.note(item))
            else:
                by, stage = item.children
                shrinkages.append(nodes.Shrinkage(self.span(item), self.value(by), self.stage(stage)))
        return nodes.Clay(self.span(tree), self.name(name), self.text_if(description), tuple(shrinkages), tuple(notes))

    def tool(self, tree: _Branch) -> nodes.Tool:
        name, description, items = tree.children
        return nodes.Tool(
            self.span(tree),
            self.name(name),
            self.text_if(description),
            tuple(self.tool_item(i) for i in self.items(items)),
        )

    def tool_item(self, tree: _Branch) -> nodes.ToolSize | nodes.ToolOutline | nodes.Note:
        c: list[Any] = tree.children
        match tree.data:
            case "tool_size":
                word: Any = str(c[0])
                return nodes.ToolSize(self.span(tree), word, self.value(c[1]))
            case "tool_outline":
                return nodes.ToolOutline(self.span(tree), self.drawn_line(c[0]))
            case "note":
                return self.note(tree)
        raise AssertionError(tree.data)

    def form(self, tree: _Branch) -> nodes.Form:
        name, description, items = tree.children
        return nodes.Form(
            self.span(tree),
            self.name(name),
            self.text_if(description),
            tuple(self.form_item(i) for i in self.items(items)),
        )

    def form_item(
        self, tree: _Branch
    ) -> (
        nodes.Measured
        | nodes.UsesClay
        | nodes.Thickness
        | nodes.DecoratedSide
        | nodes.Profile
        | nodes.Reserve
        | nodes.Note
    ):
        span, c = self.span(tree), tree.children
        match tree.data:
            case "measured":
                return nodes.Measured(span, self.stage(c[0]))
            case "uses_clay":
                return nodes.UsesClay(span, self.name(c[0]))
            case "thickness":
                return nodes.Thickness(span, self.value(c[0]))
            case "decorated_side":
                side: Any = str(c[0])
                return nodes.DecoratedSide(span, side)
            case "profile":
                return self.profile(tree)
            case "reserve":
                return self.reserve(tree)
            case "note":
                return self.note(tree)
        raise AssertionError(tree.data)

    def profile(self, tree: _Branch) -> nodes.Profile:
        joined: Any
        joined, by_tape, items = tree.children
        stations: list[nodes.Station] = []
        notes: list[nodes.Note] = []
        for item in self.items(items):
            if item.data == "note":
                notes.append(self.note(item))
            else:
                stations.append(self.station(item))
        return nodes.Profile(self.span(tree), joined.value, by_tape is not None, tuple(stations), tuple(notes))

    def station(self, tree: _Branch) -> nodes.Station:
        at, measure, size, corner = tree.children
        word: Any = str(measure)
        return nodes.Station(self.span(tree), self.value(at), word, self.value(size), corner is not None)

    def reserve(self, tree: _Branch) -> nodes.Reserve:
        name, start, to, facing, wide = tree.children
        return nodes.Reserve(
            self.span(tree),
            self.text(name),
            self.wall_place(start),
            self.wall_place(to),
            self.value(facing),
            self.value(wide),
        )

    def wall_place(self, tree: Any) -> nodes.WallPlace:
        span, (origin, *steps) = self.span(tree), tree.children
        if tree.data == "measured_place":
            return nodes.WallPlace(span, str(origin), (("+", self.value(steps[0])),))  # type: ignore[arg-type]
        terms: list[Any] = [(_operator(s.children[0]), self.value(s.children[1])) for s in steps]
        return nodes.WallPlace(span, str(origin), tuple(terms))  # type: ignore[arg-type]

    # ---------------------------------------------------------------------------------------- pieces

    def piece(self, tree: _Branch) -> nodes.Piece:
        name, description, items = tree.children
        return nodes.Piece(
            self.span(tree),
            self.name(name),
            self.text_if(description),
            tuple(self.piece_item(i) for i in self.items(items)),
        )

    def piece_item(
        self, tree: _Branch
    ) -> (
        nodes.UsesForm
        | nodes.DecoratedAt
        | nodes.DimensionsAt
        | nodes.UsesPace
        | nodes.Band
        | nodes.RingWork
        | nodes.EdgeWork
        | nodes.Reserve
        | nodes.Note
    ):
        span = self.span(tree)
        c: list[Any] = tree.children
        match tree.data:
            case "uses_form":
                return nodes.UsesForm(span, self.name(c[0]))
            case "decorated_at":
                return nodes.DecoratedAt(span, self.stage(c[0]))
            case "dimensions_at":
                return nodes.DimensionsAt(span, self.stage(c[0]))
            case "uses_pace":
                return nodes.UsesPace(span, self.name(c[0]))
            case "band":
                return self.band(tree)
            case "ring_work":
                return nodes.RingWork(span, self.name(c[0]), self.wall_place(c[1]), self.modifiers(c[2:]))
            case "edge_work":
                technique, reserve, by, side, *modifiers = c
                return nodes.EdgeWork(
                    span,
                    self.name(technique),
                    self.text(reserve),
                    self.value_if(by),
                    None if side is None else side.value,
                    self.modifiers(modifiers),
                )
            case "reserve":
                return self.reserve(tree)
            case "note":
                return self.note(tree)
        raise AssertionError(tree.data)

    def band(self, tree: _Branch) -> nodes.Band:
        motif, arguments, *options = tree.children
        seen = self.options(options)
        reach = None
        if "reach" in seen:
            start, to = seen["reach"].children
            reach = (self.wall_place(start), self.wall_place(to))
        panels = seen.get("panels")
        return nodes.Band(
            self.span(tree),
            self.name(motif),
            self.arguments(arguments),
            reach,
            () if panels is None else tuple(self.column_range(r) for r in panels.children),
            self.value_if(_only(seen.get("starting"))),
        )

    def column_range(self, tree: Any) -> nodes.ColumnRange:
        first, last = tree.children
        return nodes.ColumnRange(self.span(tree), self.value(first), self.value_if(last))

    # ----------------------------------------------------------------------------------------- paces

    def pace(self, tree: _Branch) -> nodes.Pace:
        name, description, items = tree.children
        return nodes.Pace(
            self.span(tree),
            self.name(name),
            self.text_if(description),
            tuple(self.pace_item(i) for i in self.items(items)),
        )

    def pace_item(self, tree: _Branch) -> nodes.Rate | nodes.Spare | nodes.Note:
        c: list[Any] = tree.children
        match tree.data:
            case "rate":
                technique, amount, by, each, tool = c
                return nodes.Rate(
                    self.span(tree),
                    self.name(technique),
                    self.value(amount),
                    self.value_if(by),
                    each.value,
                    None if tool is None else self.name(tool),
                )
            case "spare":
                return nodes.Spare(self.span(tree), self.value(c[0]))
            case "note":
                return self.note(tree)
        raise AssertionError(tree.data)

    # ----------------------------------------------------------------------------------------- files

    def file(self, tree: _Branch, spoiled: frozenset[str], gaps: tuple[Span, ...]) -> nodes.File:
        items: list[nodes.Header | nodes.Note | nodes.Take | nodes.Definition] = []
        for item in self.items(tree.children[0]):
            try:
                if item.data == "language":
                    self.version(item)
                else:
                    items.append(self.definition(item))
            except Problem as problem:
                self.messages.add(problem.message)
                spoiled |= _names(item)
                gaps = (*gaps, self.span(item))
        return nodes.File(Span(self.source, 0, len(self.source.text)), self.language, tuple(items), spoiled, gaps)

    def version(self, tree: _Branch) -> None:
        if self.language is not None:
            raise Problem(
                Message(
                    "defined-twice",
                    "A file says once in which language it is.",
                    self.span(tree),
                    "Keep one of the two.",
                )
            )
        if str(tree.children[0]) != "1":
            raise Problem(
                Message(
                    "syntax",
                    f"Version {tree.children[0]} of the language is not known.",
                    self.span(tree),
                    "Write 'language 1'.",
                )
            )
        self.language = 1

    def definition(self, tree: _Branch) -> nodes.Header | nodes.Note | nodes.Take | nodes.Definition:
        match tree.data:
            case "header":
                word: Any = _folded(tree.children[0])
                return nodes.Header(self.span(tree), word, self.text(tree.children[1]))
            case "note":
                return self.note(tree)
            case "take" | "take_all":
                return self.take(tree)
            case "let":
                return self.let(tree)
            case "clay":
                return self.clay(tree)
            case "form":
                return self.form(tree)
            case "tool":
                return self.tool(tree)
            case "figure":
                return self.figure(tree)
            case "motif":
                return self.motif(tree)
            case "piece":
                return self.piece(tree)
            case "pace":
                return self.pace(tree)
        raise AssertionError(tree.data)

    def take(self, tree: _Branch) -> nodes.Take:
        *names, file = tree.children
        if tree.data == "take_all":
            return nodes.Take(self.span(tree), None, self.text(file))
        return nodes.Take(self.span(tree), tuple(self.taken(n) for n in names), self.text(file))

    def taken(self, tree: Any) -> nodes.Taken:
        name, alias = tree.children
        return nodes.Taken(self.span(tree), self.name(name), self.name(name if alias is None else alias))

    # ---------------------------------------------------------------------------------------- shared

    def items(self, tree: Any) -> list[_Branch]:
        return [i for i in listed(tree) if isinstance(i, Tree)]

    def options(self, trees: list[Any]) -> dict[str, _Branch]:
        """Options by rule, each once."""
        seen: dict[str, Span] = {}
        for tree in trees:
            self.once(seen, tree.data, self.span(tree))
        return {tree.data: tree for tree in trees}

    def once(self, seen: dict[str, Span], what: str, span: Span) -> None:
        """Report ``what`` if it was there before."""
        if what in seen:
            self.messages.add(
                Message(
                    "defined-twice",
                    f"'{' '.join(span.text.split())}' says again what was said before.",
                    span,
                    "Leave one of them out.",
                    ((seen[what], "said first here"),),
                )
            )
        else:
            seen[what] = span


def _operator(token: Any) -> Any:
    return _OPERATORS[token.type]


def _axis(token: Any) -> Any:
    return str(token)


def _folded(token: Any) -> str:
    return SPELLINGS.get(str(token), str(token))


def _only(tree: _Branch | None) -> Any:
    return None if tree is None else tree.children[0]


def _names(tree: _Branch) -> frozenset[str]:
    """All names in a tree, however deep it is."""
    names, todo = set(), [tree]
    while todo:
        for child in todo.pop().children:
            if isinstance(child, Tree):
                todo.append(child)
            elif child is not None and child.type == "NAME":
                names.add(str(child))
    return frozenset(names)
