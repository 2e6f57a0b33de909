"""``motif fits``: other ways to divide a band, laid, checked and scored."""

from __future__ import annotations

import re
from math import log, pi
from pathlib import Path

import pytest

import motif
from motif.cli import main
from motif.fits.ways import BandFits, Fit
from motif.laying.piece import LaidBand
from motif.laying.row_table import least_land
from tests.laying.bench import CAN, CONE, source

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
REACH = "from foot to tape 180 mm"
DOT = "each cell { guide dot at (1/2, 1/2) }"


def fits_of(text: str, band: int = 1) -> BandFits:
    document = motif.loads(text)
    found = document.fits("p", band)
    assert found is not None, document.messages.sorted()
    return found[0]


def with_lines(text: str, lines: tuple[str, ...], band: int) -> str:
    """The text with its grid, or the statement of a band (a line of its own), as the printed lines say."""
    for line in lines:
        if line.startswith("grid "):
            text, n = re.subn(
                r"grid columns .*?(?= each (?:cell|\d|crossing|ring|vertical)\b[^;]*?\{| once \{)", line, text
            )
            assert n == 1
        else:
            found = list(re.finditer(r"(?m)(?:^ *|form can )(band [^{}\n]*?)(?=\s*(?:\}|$))", text))
            at = found[band - 1]
            text = text[: at.start(1)] + line + text[at.end(1) :]
    return text


def the_same(fit: Fit, band: LaidBand, *, land: bool = True) -> None:
    """What was printed is what a band laid from the printed text has."""
    rows = [r for r in band.fit if r.row is not None]
    assert (fit.columns, fit.rows) == (band.columns, band.rows)
    assert fit.row_columns == (None if band.row_columns is None else tuple(band.row_columns.tolist()))
    assert fit.width == pytest.approx(max(r.cell_width or 0 for r in rows), abs=1e-6)
    assert (fit.height, fit.proportion) == pytest.approx((rows[0].cell_height, rows[0].proportion), abs=1e-6)
    against = [r.against_first or 0 for r in rows]
    assert fit.shape == pytest.approx((min(against), max(against)), abs=1e-9)
    assert fit.left_over == (None if band.left_over is None else pytest.approx(band.left_over, abs=1e-6))
    gaps = [r.gap for r in band.fit if r.gap is not None]
    assert fit.gap == (pytest.approx(max(gaps, key=abs), abs=1e-6) if gaps else None)
    tightest = least_land(band)
    if land:
        assert (fit.land, fit.cut) == ((None, None) if tightest is None else pytest.approx(tightest, abs=1e-6))


# ---------------------------------------------------------------- the lines that set it


@pytest.mark.parametrize(("file", "band"), [
    ("pointed-vase", 1), ("pointed-vase", 2), ("tufted-bottle", 2), ("geese-plate", 1), ("geese-plate", 3),
    ("first-beaker", 1), ("tiled-canister", 1), ("checked-mug", 1),
])  # fmt: skip
def test_the_printed_line_sets_it(file: str, band: int) -> None:
    text = (EXAMPLES / f"{file}.motif").read_text(encoding="utf-8")
    found = motif.loads(text).fits(file, band)
    assert found is not None and len(found[0].fits) > 3
    for fit in found[0].fits[:4]:
        laid = motif.loads(with_lines(text, fit.lines, band)).lay(file)
        assert laid is not None
        the_same(fit, laid.bands[band - 1], land=found[0].land_known)


@pytest.mark.parametrize(("grid", "more"), [
    ("columns 12 rows 6", ""),
    ("columns near 30 mm rows near 30 mm", ""),
    ("columns near 28 mm multiple of 4 rows near 25 mm multiple of 2", ""),
    ("columns 12 spaced 3 : 1 rows 6 spaced 2 : 1", ""),
    ("columns 12 rows every 25 mm", ""),
    ("columns 2 * 6 rows every 50 mm / 2 multiple of 2", ""),
    ("columns (2 * (3 + 3)) multiple of (2) rows every(2 * (3 mm + 6 mm) / (1)) multiple of (2)", ""),
    ("columns near(2 * (14 mm)) multiple of (4) rows near ((25 mm) * (1)) stepped by height", ""),
    ("columns near 30 mm each row rows 4", ""),
    ("columns 12 rows 5 stepped by height", ""),
    ("columns 12 rows near 20 mm stepped by height", ""),
    ("columns 12 rows proportional 1 : 1", ""),
    ("columns proportional 4 : 3 rows 5", ""),
    ("columns 12 rows 6 shifted 1/2 each column", ""),
    ("columns 12 rows 6 shifted 1/2 each row", "only columns 1 to 4, 9"),
])  # fmt: skip
@pytest.mark.parametrize("form", [CAN, CONE])
def test_a_grid_of_ones_own_file(grid: str, more: str, form: str) -> None:
    """Every law of columns and rows: the printed grid, put in place of the written one, gives the printed figures."""
    reach = f"{REACH if form == CAN else 'from tape 2 mm to tape 45 mm'} {more}"
    if form == CONE:
        grid = grid.replace("every 25", "every 9").replace("every 50", "every 18")
    text = source(f"grid {grid} {DOT}", reach, form)
    found = fits_of(text)
    assert len(found.fits) >= 4 and any(not f.lines for f in found.fits)
    for fit in found.fits[:5]:
        laid = motif.loads(with_lines(text, fit.lines, 1)).lay("p")
        assert laid is not None
        the_same(fit, laid.bands[0])


def test_givens_are_set_in_the_band() -> None:
    """A given with a default is added to the band's brackets, one that is set there is changed in its place."""
    body = (
        "given around count = 12 given step length = 30 mm given deep length = 1 mm let half = step / 2 "
        f"grid columns 2 * around rows every half {DOT}"
    )
    for written, start in (("", "band m("), ("(deep = 2 mm)", "band m("), ("(step = 3 cm, around = 11)", "band m(")):
        text = source(body, f"{written} {REACH}".strip()).replace("band m (", "band m(")
        found = fits_of(text)
        for fit in found.fits:
            assert all(line.startswith(start) and line.endswith(REACH) for line in fit.lines)
            laid = motif.loads(with_lines(text, fit.lines, 1)).lay("p")
            assert laid is not None
            the_same(fit, laid.bands[0])
        assert any("around = " in line and "step = " in line for fit in found.fits for line in fit.lines)


CUP = "language 1 form cup { profile straight { at 0 mm across 80 mm at 90 mm across 60 mm } }\n"
GIVENS = (
    f'{CUP}motif q "Q" {{ given n count = 7 given step length = 20 mm grid columns n rows near step '
    "each cell { impress dot at (1/2, 1/2) across 4 mm depth 1 mm } }\npiece p { form cup"
)
OWN = f'{CUP}motif q "Q" {{'
DOTTED = f" {DOT} }} piece p {{ form cup band q from foot + 3 mm to rim }}"


@pytest.mark.parametrize(("before", "written", "behind", "first"), [
    # remarks between the words, which on one line would hide what comes behind them
    (GIVENS, "band q(n = 7, # seven, as on the plate\n step = 19 mm) from foot + 8 mm to rim - 8 mm", " }", "band q("),
    (GIVENS, "band # the plate's own (\n q from foot + 8 mm # a finger\n to rim - 8 mm", " }", "band q("),
    (GIVENS, "BAND q # with nothing set\n () from foot + 8 mm to rim - 8 mm", " }", "BAND q ("),
    (GIVENS, "band q() from foot + 8 mm to rim - 8 mm", " }", "band q("),
    (GIVENS, "band q( # one\n step=(19mm)) from foot + 8 mm to rim - 8 mm", " }", "band q("),
    (OWN, "grid columns 7 # seven\n rows near # tall\n 22 mm # so\n shifted 1/2 # half\n each row", DOTTED, "grid "),
    (OWN, "grid columns near(20 mm)rows near(22 mm)", DOTTED, "grid "),
])  # fmt: skip
def test_remarks_and_brackets(before: str, written: str, behind: str, first: str) -> None:
    """Whatever stands between the words of a statement, each printed line can be put in its place and laid."""
    document = motif.loads(f"{before} {written}{behind}")
    found = document.fits("p", 1)
    assert found is not None, document.messages.sorted()
    assert len(found[0].fits) > 4
    for fit in found[0].fits:
        for line in fit.lines:
            assert line.startswith(first) and "#" not in line and "\n" not in line and ", )" not in line
            pasted = motif.loads(f"{before} {line}{behind}")
            laid = pasted.lay("p")
            assert laid is not None, (line, pasted.messages.sorted())
            the_same(fit, laid.bands[0])


TWICE = (
    f'{CUP}motif q "Q" {{ <> {DOT} }} motif o "O" {{ given n count = 5 grid columns n rows n {DOT} }}\n'
    "piece p { form cup band q from foot + 3 mm to foot + 40 mm band o from foot + 40 mm to foot + 45 mm "
    "band q from foot + 45 mm to rim - 3 mm }\npiece r { form cup band o from foot to rim band q from foot to rim }"
)


def test_a_grid_line_sets_every_band_of_its_motif() -> None:
    """Beside a line that sets the motif's grid stands which other bands it changes: pasted, those are laid anew. A
    line that sets a band's givens changes that band alone."""
    text = TWICE.replace("<>", "grid columns 7 rows near 12 mm")
    before = {name: motif.loads(text).lay(name) for name in ("p", "r")}
    for number in (1, 2, 3):
        found = fits_of(text, number)
        for fit in found.fits:
            if number == 2:
                assert fit.also == () and all(line.startswith("band o(") for line in fit.lines)
                continue
            if not fit.lines:
                assert fit.also == ()
                continue
            pasted = motif.loads(TWICE.replace("<>", fit.lines[0]))
            changed = set()
            for name, was in before.items():
                now = pasted.lay(name)
                assert was is not None and now is not None
                changed |= {
                    (name, a.number)
                    for a, b in zip(was.bands, now.bands, strict=True)
                    if (a.columns, a.rows) != (b.columns, b.rows)
                }
            assert changed <= {("p", number), *fit.also}
            if fit.columns != 7:
                assert changed == {("p", number), *fit.also}
                assert set(fit.also) == {("p", 4 - number), ("r", 2)}


def test_what_cannot_be_laid_is_not_divided() -> None:
    """More marks than the limit: the same error as for any other use of the piece."""
    document = motif.loads(source(f"grid columns 12 rows 6 {DOT}", REACH))
    assert document.fits("p", limit=71) is None and document.lay("p", limit=71) is None
    assert [m.code for m in document.messages.sorted()] == ["too-many-marks"]
    assert motif.loads(source(f"grid columns 12 rows 6 {DOT}", REACH)).fits("p", limit=72) is not None


def test_without_bands_there_is_nothing_to_try(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A piece without bands is told of; what has bands is divided all the same."""
    file = tmp_path / "cup.motif"
    file.write_text(f"{CUP}piece g {{ form cup }}", encoding="utf-8")
    assert main(["fits", str(file)]) == 1
    out, err = capsys.readouterr()
    assert out == "" and err == "motif fits: 'g' has no bands, so there is nothing to try.\n"
    file.write_text(TWICE.replace("<>", "grid columns 7 rows 3") + "piece g { form cup }", encoding="utf-8")
    assert main(["fits", str(file)]) == 0
    out, err = capsys.readouterr()
    assert "'g' has no bands" in err
    assert "grid columns 8 rows 3   (changes band 3, band 2 of r too)" in out
    file.write_text(CUP, encoding="utf-8")
    assert main(["fits", str(file)]) == 2
    assert "There is no piece in" in capsys.readouterr().err


def test_what_must_divide_divides() -> None:
    """Groups of two columns, a half-drop, ratios of three: only columns that close are proposed."""
    for grid, rule, least in (
        ("columns 12 rows 6", "each 2 by 1 cells { guide dot at (1/2, 1/2) }", 2),
        ("columns 12 rows 6 shifted 1/2 each column", DOT, 2),
        ("columns 12 spaced 3 : 2 : 1 rows 6", DOT, 3),
        ("columns 12 multiple of 4 rows 6", DOT, 4),
        ("columns near 28 mm multiple of 4 rows near 30 mm", DOT, 4),
        ("columns proportional 4 : 3 multiple of 4 rows 6", DOT, 4),
    ):
        columns = [f.columns for f in fits_of(source(f"grid {grid} {rule}", REACH)).fits]
        assert len(set(columns)) > 1 and all(n is not None and n % least == 0 for n in columns)


def test_rows_that_must_divide_divide() -> None:
    """Also where the count that is tried stands for sizes; with ``every`` the text stays a size."""
    for rows in ("6 multiple of 3", "near 30 mm multiple of 3", "near 30 mm multiple of 3 stepped by height",
                 "every 20 mm multiple of 3", "proportional 1 : 1 multiple of 3"):  # fmt: skip
        found = fits_of(source(f"grid columns 12 rows {rows} {DOT}", REACH)).fits
        assert len(found) > 1 and all(f.rows % 3 == 0 for f in found), rows
        assert all("multiple of 3" in line for f in found for line in f.lines), rows


def test_panels_need_their_columns() -> None:
    columns = [f.columns for f in fits_of(source(f"grid columns 6 rows 2 {DOT}", f"{REACH} only columns 3 to 5")).fits]
    assert min(n for n in columns if n is not None) == 5


# ---------------------------------------------------------------- the score


def test_the_score_of_sizes() -> None:
    """Cells asked 31 mm wide and 29 mm high on a can 360 mm round, band 180 mm: the sum of |ln(size / asked)|."""
    found = fits_of(source(f"grid columns near 31 mm rows near 29 mm {DOT}", REACH))
    for fit in found.fits:
        assert fit.columns is not None
        by_hand = abs(log(360 / fit.columns / 31)) + abs(log(180 / fit.rows / 29))
        assert fit.score == pytest.approx(by_hand, abs=1e-9)
    assert [f.score for f in found.fits] == sorted(f.score for f in found.fits)
    best = min(
        ((n, m) for n in range(5, 20) for m in range(2, 12)),
        key=lambda c: abs(log(360 / c[0] / 31)) + abs(log(180 / c[1] / 29)),
    )
    assert (found.fits[0].columns, found.fits[0].rows) == best


def test_the_score_of_what_is_left_over() -> None:
    """Rows every 25 mm in 180 mm leave 5 mm: 5/180."""
    found = fits_of(source(f"grid columns 12 rows every 25 mm {DOT}", REACH))
    written = next(f for f in found.fits if not f.lines)
    assert written.left_over == pytest.approx(5) and written.score == pytest.approx(5 / 180)


def test_the_score_of_tools_that_meet() -> None:
    """Tiles 19 mm wide on a can 360 mm round: 18 columns leave 1 mm, 19 overlap by 1/19 mm; |gap| / column counts."""
    body = "grid columns 18 rows 9 each cell { impress tile at (1/2, 1/2) }"
    found = fits_of(source(body, REACH, before="tool tile { wide 19 mm tall 5 mm }"))
    for fit in found.fits:
        assert fit.columns is not None and fit.gap is not None
        column = 360 / fit.columns
        assert fit.gap == pytest.approx(column - 19, abs=1e-4)
        sizes = abs(log(column / 20)) + abs(log(180 / fit.rows / 20))
        assert fit.score == pytest.approx(sizes + abs(column - 19) / column, abs=1e-4)


def test_the_score_of_land() -> None:
    """Rings 2 mm wide cut round every row and half-way between: with row height h, h/2 − 2 mm of land."""
    line = "carve from (0, k/2 - 1/4) line to (4, k/2 - 1/4) width 2 mm"
    body = f"grid columns 4 rows 40 once {{ repeat 2 * rows as k {{ {line} }} }}"
    found = fits_of(source(body, REACH))
    assert found.land_known
    for fit in found.fits:
        height = 180 / fit.rows
        assert (fit.land, fit.cut) == (pytest.approx(height / 2 - 2, abs=1e-4), 2)
    assert found.fits[0].rows < 40


def test_the_shape_over_the_band() -> None:
    """Cone, 5 rows of 10 mm: middles have radius 56 … 24, so shapes run from 24/56 of the first's to it."""
    found = fits_of(source(f"grid columns 12 rows 5 {DOT}", form=CONE))
    written = next(f for f in found.fits if not f.lines)
    assert written.shape == pytest.approx((24 / 56, 1)) and written.width == pytest.approx(2 * pi * 56 / 12)
    assert written.score == pytest.approx(0.25 * log(56 / 24))


# ---------------------------------------------------------------- limits


def test_a_grid_that_cannot_be_set() -> None:
    """The border's numbers stand in the library, and no given sets them: what is written stands alone."""
    found = motif.load(EXAMPLES / "tiled-canister.motif").fits("tiled-canister", 2)
    assert found is not None and [f.lines for f in found[0].fits] == [()]


def test_lines_that_take_long_are_left_out() -> None:
    """Lines clear of others are not laid a dozen times; footprints still are."""
    body = (
        "grid columns 12 rows 6 each cell { path d = circle at (1/2, 1/2) across 6 mm "
        "carve from (0, 0) line to (1, 1) clear of d by 1 mm width 2 mm impress tile at (1/2, 1/2) }"
    )
    found = fits_of(source(body, REACH, before="tool tile { wide 29 mm tall 5 mm }"))
    assert not found.land_known
    assert all(f.land is None for f in found.fits) and any(f.gap is not None for f in found.fits)


def test_no_such_band() -> None:
    document = motif.loads(source(f"grid columns 12 rows 6 {DOT}", REACH))
    with pytest.raises(IndexError, match="1 band, and no band 2"):
        document.fits("p", 2)


def test_errors_stop_it() -> None:
    document = motif.loads(source(f"grid columns 12 rows every 300 mm {DOT}", REACH))
    assert document.fits("p") is None
    assert [m.code for m in document.messages.sorted()] == ["no-rows"]
