"""The command line: what goes where, with which status."""

from __future__ import annotations

import csv
import io
import json
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

import motif
from motif import cli
from motif.language.messages import Message, Messages
from motif.language.source import Source, Span
from motif.laying.piece import LaidPiece
from motif.outputs import backends
from tests.outputs import pieces

SOURCE = Source("pot.motif", "motif m {\n  carve risng\n}\n")
ERROR = Message("unknown-name", "There is no path risng.", Span(SOURCE, 18, 23), "Did you mean rising?")
WARNING = Message("pitch-off", "The pitch is off.", Span(SOURCE, 12, 17))


@dataclass
class Document:
    """Stands for a document: hands out pieces made by hand."""

    laid: dict[str, LaidPiece | None]
    found: tuple[Message, ...] = ()
    messages: Messages = field(default_factory=Messages)
    asked: list[Any] = field(default_factory=list)
    is_empty: bool = False

    def __post_init__(self) -> None:
        self.messages.extend(self.found)

    @property
    def pieces(self) -> list[str]:
        return list(self.laid)

    def lay(self, name: str, limit: int = 0, pace: str | None = None) -> LaidPiece | None:
        self.asked.append((name, limit))
        return self.laid[name.casefold()]

    def work_out(self) -> None:
        self.asked.append("all else")


@pytest.fixture
def document(monkeypatch: pytest.MonkeyPatch) -> Document:
    found = Document({"caddy": pieces.caddy(), "canister": pieces.canister()})

    def improvised(*args: Any) -> Document:
        found.asked.append(args)
        return found

    monkeypatch.setattr(motif, "load", lambda path: found, raising=False)
    monkeypatch.setattr(motif, "improvised", improvised, raising=False)
    return found


def run(capsys: pytest.CaptureFixture[str], *args: str) -> tuple[int, str, str]:
    try:
        status = cli.main(args)
    except SystemExit as end:
        status = int(end.code or 0)
    out, err = capsys.readouterr()
    return status, out, err


@pytest.mark.parametrize("command", ["marks", "counts", "data"])
def test_one_piece_is_one_object_and_several_are_a_list(
    document: Document, capsys: pytest.CaptureFixture[str], command: str
) -> None:
    as_json = [] if command == "data" else ["--as", "json"]
    status, out, err = run(capsys, command, "pot.motif", "Canister", *as_json)
    assert (status, err) == (0, "")
    assert json.loads(out)["piece"] == "canister"
    status, out, _ = run(capsys, command, "pot.motif", *as_json)
    assert [p["piece"] for p in json.loads(out)["pieces"]] == ["caddy", "canister"]


def test_tables(document: Document, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "counts", "pot.motif", "canister", "--unit", "in")
    assert status == 0
    assert "Length, in" in out
    _, out, _ = run(capsys, "counts", "pot.motif", "--as", "csv")
    assert {row["piece"] for row in csv.DictReader(io.StringIO(out))} == {"caddy", "canister"}
    _, out, _ = run(capsys, "marks", "pot.motif", "canister", "--as", "markdown")
    assert out.startswith("## canister")


@pytest.mark.parametrize("flat", ["rollout", "gores", "cones", "fewest"])
def test_unroll(document: Document, capsys: pytest.CaptureFixture[str], flat: str) -> None:
    status, out, _ = run(capsys, "unroll", "pot.motif", "caddy", "--flat", flat, "--gores", "12")
    assert status == 0
    assert out.startswith('<?xml version="1.0" encoding="UTF-8"?>\n<svg')
    status, out, _ = run(capsys, "unroll", "pot.motif", "--flat", flat, "--as", "json", "--misfit", ".1cm")
    assert [p["piece"] for p in json.loads(out)["pieces"]] == ["caddy", "canister"]
    assert run(capsys, "unroll", "pot.motif", "--flat", flat, "--as", "json", "--misfit", "1/2 mm")[0] == 0


def test_unroll_into_so_many_gores(document: Document, capsys: pytest.CaptureFixture[str]) -> None:
    """Who asks for a number of gores gets gores; where that is not what is drawn, it is told."""
    status, out, err = run(capsys, "unroll", "pot.motif", "caddy", "--gores", "24", "--misfit", "9mm", "--as", "json")
    assert (status, err) == (0, "")
    found = json.loads(out)
    assert (found["flat"], len(found["sheets"])) == ("gores", 24)
    status, out, err = run(capsys, "unroll", "pot.motif", "caddy", "--gores", "24", "--flat", "cones")
    assert status == 0 and out.startswith("<?xml")
    assert err == "motif unroll: --gores is for --flat gores, and changes nothing for cones.\n"


def test_unroll_says_where_the_misfit_asked_for_is_not_kept(
    document: Document, capsys: pytest.CaptureFixture[str]
) -> None:
    _, _, err = run(capsys, "unroll", "pot.motif", "caddy", "--flat", "gores", "--gores", "8", "--misfit", "0.3mm")
    assert "caddy: 8 gores leave a misfit of" in err
    assert "more than the 0.3 mm asked for." in err
    _, _, err = run(capsys, "unroll", "pot.motif", "caddy", "--flat", "gores", "--misfit", "0.3mm")
    assert err == ""


@pytest.mark.parametrize("command", ["unroll", "view"])
def test_a_drawing_is_of_one_piece(document: Document, capsys: pytest.CaptureFixture[str], command: str) -> None:
    status, out, err = run(capsys, command, "pot.motif")
    assert (status, out) == (2, "")
    assert "caddy, canister" in err


def test_view(document: Document, capsys: pytest.CaptureFixture[str]) -> None:
    def view(*options: str) -> str:
        status, out, err = run(capsys, "view", "pot.motif", "caddy", *options)
        assert (status, err) == (0, "")
        assert out.startswith('<?xml version="1.0" encoding="UTF-8"?>\n<svg')
        return out

    assert "The starting mark in front, seen from 15° above the level." in view()
    assert view() == view("--facing", "0", "--tilt", "15deg") == view("--facing=-0turn")
    assert view("--facing", "90 deg") == view("--facing", "0.25turn")
    assert view("--facing", "90 deg") == view("--facing", "1/4 turn") == view("--facing", "180/2")
    for facing in ("90 deg", "450"):
        assert "The place 90° to the right of the starting mark in front" in view("--facing", facing)
    assert "The place 330° to the right of the starting mark in front" in view("--facing=-30°")
    assert view("--from-above") == view("--tilt", "90") == view("--tilt", ".25turn")
    assert "seen level" in view("--tilt", "0deg")
    assert 'id="view-4"' in view("--all-round")
    assert 'id="view-1-far-side"' in view("--far-side")


def test_sheets(document: Document, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """Rings asked for get a strip each in every band that has them; an older PDF is replaced, anything else left."""
    out = tmp_path / "bench" / "caddy.pdf"
    args = ("sheets", "pot.motif", "caddy", "--out", str(out))
    assert run(capsys, *args, "--paper", "letter", "--rings", "0, 3") == (0, f"{out}\n", "")
    made = pypdfium2.PdfDocument(out.read_bytes())
    assert made[0].get_size() == (612, 792)  # 8.5 x 11 in
    words = " ".join(page.get_textpage().get_text_bounded() for page in made)
    assert "band 1 ring 0 (start)" in words and "band 1 ring 3" in words and "band 2 ring 0 (start)" in words
    assert "band 1 ring 5 (end)" not in words
    assert run(capsys, *args)[0] == 0
    assert pypdfium2.PdfDocument(out.read_bytes())[0].get_size()[0] == pytest.approx(210 / 25.4 * 72, abs=1e-3)
    out.write_text("mine", encoding="utf-8")
    status, printed, err = run(capsys, *args)
    assert (status, printed) == (1, "")
    assert "left alone" in err
    assert out.read_text(encoding="utf-8") == "mine"


def test_sheets_of_every_piece(
    document: Document, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(capsys, "sheets", "pot.motif") == (0, "caddy-sheets.pdf\ncanister-sheets.pdf\n", "")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["caddy-sheets.pdf", "canister-sheets.pdf"]


def test_errors_go_to_standard_error_and_nothing_else_comes_out(
    document: Document, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    document.laid["caddy"] = None
    document.messages.add(ERROR)
    for command in ("marks", "counts", "data", "unroll"):
        status, out, err = run(capsys, command, "pot.motif", "caddy")
        assert (status, out) == (1, "")
        assert err == ("pot.motif:2:9: error: There is no path risng. [unknown-name] Did you mean rising?\n")
    # the other piece can be laid, so it is prepared
    status, out, _ = run(capsys, "prepare", "pot.motif", "--out", str(tmp_path / "out"))
    assert status == 1
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["canister"]


def test_warnings_count_when_strict(document: Document, capsys: pytest.CaptureFixture[str]) -> None:
    document.messages.add(WARNING)
    assert run(capsys, "counts", "pot.motif")[0] == 0
    status, out, err = run(capsys, "counts", "pot.motif", "--strict")
    assert status == 1
    assert out
    assert "warning" in err


def test_check_of_a_file_without_a_piece(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing is laid, and that does not sound like success."""
    file = tmp_path / "m.motif"
    file.write_text("form cup { profile straight { at 0 mm across 60 mm  at 80 mm across 70 mm } }", encoding="utf-8")
    said = "There is no piece here, so nothing is laid; what is defined can be read.\n"
    assert run(capsys, "check", str(file)) == (0, said, "")


def test_check(document: Document, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, "check", "pot.motif")
    assert (status, out, err) == (0, "2 pieces laid, nothing to mend.\n", "")
    assert document.asked[-1] == "all else"  # what no piece uses is looked at too
    document.messages.extend([ERROR, WARNING])
    status, out, err = run(capsys, "check", "pot.motif", "--as", "json")
    assert (status, err) == (1, "")
    assert [m["code"] for m in json.loads(out)["messages"]] == ["pitch-off", "unknown-name"]
    status, out, _ = run(capsys, "check", "pot.motif", "--as", "csv")
    assert [row["line"] for row in csv.DictReader(io.StringIO(out))] == ["2", "2"]
    _, out, err = run(capsys, "check", "pot.motif")
    assert out == "2 pieces laid, 1 error, 1 warning.\n"
    assert len(err.splitlines()) == 2


@pytest.mark.parametrize("args", [
    ("counts", "pot.motif", "--as", "json", "caddy", "--limit", "7"),
    ("counts", "--as", "json", "pot.motif", "--limit", "7", "caddy"),
    ("counts", "--limit", "7", "--as=json", "pot.motif", "caddy"),
    ("counts", "--limit", "7", "--as", "json", "--", "pot.motif", "caddy"),
])  # fmt: skip
def test_options_stand_anywhere(document: Document, capsys: pytest.CaptureFixture[str], args: tuple[str, ...]) -> None:
    status, out, err = run(capsys, *args)
    assert (status, err) == (0, "")
    assert json.loads(out)["piece"] == "caddy"
    assert document.asked == [("caddy", 7)]


def test_options_stand_among_pieces_and_files(
    document: Document, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert run(capsys, "prepare", "pot.motif", "--out", str(tmp_path), "canister", "--force", "caddy")[0] == 0
    assert [name for name, _ in document.asked] == ["canister", "caddy"]
    status, out, _ = run(capsys, "check", "pot.motif", "--as", "table", "pot.motif")
    assert (status, out) == (0, "4 pieces laid, nothing to mend.\n")
    status, out, err = run(capsys, "counts", "pot.motif", "caddy", "--as", "json", "canister", "--colour")
    assert (status, out) == (2, "") and "canister --colour" in err
    assert err.startswith("usage: motif counts ")
    status, _, err = run(capsys, "check", "--", "--as")  # a file of that name
    assert (status, err) == (0, "")


def test_the_limit_reaches_the_layer(document: Document, capsys: pytest.CaptureFixture[str]) -> None:
    run(capsys, "counts", "pot.motif", "caddy", "--limit", "7")
    assert document.asked == [("caddy", 7)]


# ---------------------------------------------------------------- prepare


def test_prepare_writes_a_folder_a_piece(
    document: Document, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    out_folder = tmp_path / "out"
    status, out, _ = run(capsys, "prepare", "pot.motif", "--out", str(out_folder))
    assert status == 0
    for piece in ("caddy", "canister"):
        assert sorted(p.name for p in (out_folder / piece).iterdir()) == sorted(backends.files())
        assert str(out_folder / piece / "unroll.svg") in out
    first = {p: p.read_bytes() for p in out_folder.rglob("*.*")}
    assert run(capsys, "prepare", "pot.motif", "--out", str(out_folder))[0] == 0
    assert {p: p.read_bytes() for p in out_folder.rglob("*.*")} == first


def test_prepare_leaves_other_files_alone(
    document: Document, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "canister").mkdir()
    (tmp_path / "canister" / "diary.txt").write_text("mine")
    status, out, err = run(capsys, "prepare", "pot.motif", "--out", str(tmp_path))
    assert (status, out) == (1, "")
    assert "diary.txt" in err
    assert not (tmp_path / "caddy").exists()
    assert run(capsys, "prepare", "pot.motif", "--out", str(tmp_path), "--force")[0] == 0
    assert (tmp_path / "canister" / "diary.txt").read_text() == "mine"


def test_prepare_where_nothing_can_be_written(
    document: Document, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "out").write_text("")
    status, out, err = run(capsys, "prepare", "pot.motif", "--out", str(tmp_path / "out"))
    assert (status, out) == (1, "")
    assert "is a file" in err


def test_prepare_without_a_piece(document: Document, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    status, _, _ = run(
        capsys,
        "prepare",
        "pot.motif",
        "--motif",
        "tufting",
        "--form",
        "jar",
        "--from",
        "height 20 mm",
        "--to",
        "rim",
        "--given",
        "step=20mm",
        "--given",
        "around = 8",
        "--out",
        str(tmp_path),
    )
    assert status == 0
    assert document.asked[0] == (
        Path("pot.motif"),
        "tufting",
        "jar",
        "height 20 mm",
        "rim",
        {"step": "20mm", "around": "8"},
    )


# ---------------------------------------------------------------- wrong use


POT = """form can { profile straight { at 0 mm across 120 mm at 200 mm across 120 mm } }
motif dots { grid columns 6 rows 4 each cell { impress dot at (1/2, 1/2) across 8 mm } }
piece canister { form can band dots }
piece tall { form can band dots from foot to rim - 9 mm }
"""


def refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], args: list[str], said: str
) -> int:
    """The status of a command that says so and writes nothing."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "pot.motif").write_text(POT, encoding="utf-8")
    (tmp_path / "picture.motif").write_bytes(b"\x89PNG\r\n\x00\x01")
    (tmp_path / "empty.motif").write_text(" \n", encoding="utf-8")
    (tmp_path / "folder").mkdir()
    before = sorted(p.name for p in tmp_path.rglob("*"))
    status, _, err = run(capsys, *args)
    assert said in err, err
    assert sorted(p.name for p in tmp_path.rglob("*")) == before
    return status


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["check", "none.motif"], "There is no file 'none.motif'"),
        (["check", "pot.motif", "none.motif"], "There is no file 'none.motif'"),
        (["check", "pot"], "Did you mean 'pot.motif'?"),
        (["check", "folder"], "'folder' is a folder"),
        (["check", "empty.motif"], "There is nothing in 'empty.motif'"),
        (["marks", "empty.motif"], "There is no piece in 'empty.motif'"),
        (["counts", "pot.motif", "teapot"], "There is no piece called 'teapot'"),
        (["fits", "pot.motif", "canistr"], "Did you mean 'canister'?"),
        (["fits", "pot.motif", "canister", "--band", "9"], "no band 9"),
        (["method", "pot.motif", "--pace", "mine"], "There is no pace called 'mine'"),
        (["explain", "tool-gaps"], "Did you mean 'tool-gap'?"),
        (["marks", "pot.motif", "--unit", "inch"], "'inch'"),
        (["sheets", "pot.motif", "--paper", "a5"], "'a5'"),
        (["prepare", "pot.motif", "--motif", "tufting", "--form", "mug", "--given", "steps=20mm"], "'step'"),
        (["prepare", "pot.motif", "--motif", "tufting", "--form", "mug", "--given", "step=20"], "Write 20 mm."),
        (
            ["prepare", "pot.motif", "--motif", "tufting", "--form", "mug", "--given", "step=2 mm}"],
            "more than one place",
        ),
        (["prepare", "pot.motif", "--motif", "tufting", "--form", "mug", "--given", "around=6.5"], "a whole number"),
        (["prepare", "pot.motif", "--motif", "tufting", "--form", "mug", "--from", "here"], "'here' does not fit here"),
        (["prepare", "pot.motif", "--motif", "tufting", "--form", "mug", "--to", "height 1 cm + 1 m"], "mm, cm or in"),
        (["prepare", "pot.motif", "--motif", "tufting", "--form", "mug", "--to", "height 1 cm}"], "more than one"),
        (["prepare", "pot.motif", "--motif", "tufting", "--form", "mug", "--to", "height 90 cm"], "no wall at height"),
    ],
)
def test_what_the_command_is_given_is_wrong(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], args: list[str], said: str
) -> None:
    """Status 2 and a line that says what and what instead; nothing is written."""
    assert refused(tmp_path, monkeypatch, capsys, args, said) == 2


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["check", "picture.motif"], "'picture.motif' is not plain text"),
        (["sheets", "pot.motif", "canister", "--out", "picture.motif/pot.pdf"], "picture.motif is a file"),
        (["sheets", "pot.motif", "canister", "--out", "folder"], "folder is a folder"),
        (["prepare", "pot.motif", "--out", "picture.motif"], "picture.motif is a file, and a folder is needed"),
        (["prepare", "pot.motif", "--out", "picture.motif/deep/er"], "picture.motif is a file, and a folder is needed"),
        (["prepare", "pot.motif", "--motif", "tuftin", "--form", "mug"], "Did you mean 'tufting'?"),
        (["prepare", "pot.motif", "--motif", "dots", "--form", "jugg"], "has a form called 'jugg'"),
        (["check", "picture.motif", "pot.motif"], "'picture.motif' is not plain text"),
    ],
)
def test_bad_input(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], args: list[str], said: str
) -> None:
    """A file that is not text, a form that is not there, a folder that cannot be written: status 1, nothing written."""
    assert refused(tmp_path, monkeypatch, capsys, args, said) == 1


@pytest.mark.parametrize(
    "args",
    [
        [],
        ["polish"],
        ["marks"],
        ["marks", "pot.motif", "--as", "yaml"],
        ["marks", "pot.motif", "--limit", "0"],
        ["marks", "pot.motif", "--limit", "many"],
        ["unroll", "pot.motif", "caddy", "--gores", "0"],
        ["unroll", "pot.motif", "caddy", "--gores", "100000"],
        ["unroll", "pot.motif", "caddy", "--misfit", "-1mm"],
        ["unroll", "pot.motif", "caddy", "--misfit", "0"],
        ["sheets", "pot.motif", "caddy", "--paper", "a5"],
        ["sheets", "pot.motif", "caddy", "--rings", "first"],
        ["sheets", "pot.motif", "caddy", "--rings", "7"],
        ["sheets", "pot.motif", "--out", "both.pdf"],
        ["view", "pot.motif", "caddy", "--tilt", "91deg"],
        ["view", "pot.motif", "caddy", "--tilt=-1deg"],
        ["view", "pot.motif", "caddy", "--facing", "north"],
        ["view", "pot.motif", "caddy", "--facing", "1/0 turn"],
        ["view", "pot.motif", "caddy", "--tilt", "10deg", "--from-above"],
        ["prepare", "pot.motif", "--motif", "m"],
        ["prepare", "pot.motif", "caddy", "--motif", "m", "--form", "f"],
        ["prepare", "pot.motif", "--motif", "m", "--form", "f", "--given", "step"],
        ["prepare", "pot.motif", "--motif", "m", "--form", "f", "--given", "step=1", "--given", "Step=2"],
        ["prepare", "pot.motif", "--given", "step=1"],
        ["prepare", "pot.motif", "--from", "foot"],
        ["prepare", "pot.motif", "caddy", "--to", "rim"],
        ["unroll", "pot.motif", "caddy", "--misfit", "1/0mm"],
    ],
)
def test_wrong_use(document: Document, capsys: pytest.CaptureFixture[str], args: list[str]) -> None:
    status, out, err = run(capsys, *args)
    assert (status, out) == (2, "")
    assert err.startswith(("usage: motif", "motif "))


@pytest.mark.parametrize(
    "command", ["prepare", "sheets", "check", "fits", "marks", "counts", "unroll", "view", "data", "library"]
)
def test_help_has_an_example(capsys: pytest.CaptureFixture[str], command: str) -> None:
    status, out, _ = run(capsys, command, "--help")
    assert status == 0
    assert f"motif {command} " in out[out.index("example:") :]


def test_the_version_is_that_of_the_package(capsys: pytest.CaptureFixture[str]) -> None:
    with (Path(__file__).parents[1] / "pyproject.toml").open("rb") as file:
        project = tomllib.load(file)["project"]
    known = project.get("version") or motif.__version__
    assert run(capsys, "--version") == (0, f"motif {known}\n", "")


def test_a_key_press_ends_quietly(
    document: Document, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(*args: object, **more: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(document, "lay", interrupted, raising=False)
    assert run(capsys, "counts", "pot.motif") == (130, "", "")


# ---------------------------------------------------------------- fits


def test_fits(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """On a can 360 mm round, 180 mm tall, cells near 31 mm by 30 mm: twelve columns of 30 mm, six rows."""
    text = (
        "form can { profile straight { at 0 mm around 360 mm at 180 mm around 360 mm } }\n"
        "motif m { grid columns 13 rows near 30 mm each cell { guide dot at (1/2, 1/2) } }\n"
        "piece p { form can band m }\n"
    )
    file = tmp_path / "can.motif"
    file.write_text(text, encoding="utf-8")
    status, out, err = run(capsys, "fits", str(file), "p", "--band", "1")
    assert (status, err) == (0, "") and "1: as it is written\n2: grid columns 14 rows near 30 mm\n" in out
    assert file.read_text(encoding="utf-8") == text
    assert run(capsys, "fits", str(file))[1] == out
    status, out, _ = run(capsys, "fits", str(file), "--as", "json")
    band = json.loads(out)["bands"][0]
    assert [f["rank"] for f in band["fits"]] == list(range(1, 11))
    assert [f["as_written"] for f in band["fits"]] == [True] + [False] * 9
    assert band["fits"][1]["lines"] == ["grid columns 14 rows near 30 mm"] and band["fits"][1]["columns"] == 14
    _, out, _ = run(capsys, "fits", str(file), "--as", "csv", "--unit", "in")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert float(rows[0]["cell_width_in"]) == pytest.approx(360 / 13 / 25.4)
    status, out, err = run(capsys, "fits", str(file), "--band", "2")
    assert (status, out) == (2, "") and "no band 2" in err
    assert run(capsys, "fits", str(file), "q")[0] == 2
    _, out, _ = run(capsys, "fits", str(file), "--as", "markdown")
    assert out.startswith("## p, band 1")


TWICE = """form can { profile straight { at 0 mm across 120 mm at 200 mm across 120 mm } }
motif m { grid columns 12 rows near 30 mm each cell { impress dot at (1/2, 1/2) across 8 mm } }
piece p { form can band m from foot to height 90 mm  band m from height 100 mm to rim }
piece r { form can band m }
"""


def test_fits_say_what_else_a_line_changes(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """The grid of a motif is one for all bands that are of it: the piece's other band, and the other piece's."""
    file = tmp_path / "twice.motif"
    file.write_text(TWICE, encoding="utf-8")
    status, out, _ = run(capsys, "fits", str(file), "p", "--band", "1", "--as", "json")
    fits = json.loads(out)["bands"][0]["fits"]
    assert status == 0 and len(fits) > 2
    others = [{"piece": "p", "band": 2}, {"piece": "r", "band": 1}]
    assert all(fit["also_changes"] == ([] if fit["as_written"] else others) for fit in fits)
    status, out, _ = run(capsys, "fits", str(file), "p", "--band", "1", "--as", "csv")
    table = list(csv.DictReader(io.StringIO(out)))
    assert [row["lines"] for row in table] == [" ".join(fit["lines"]) for fit in fits]
    assert {row["also_changes"] for row in table if row["lines"]} == {"band 2, band 1 of r"}
    assert {row["also_changes"] for row in table if not row["lines"]} == {""}
    status, out, _ = run(capsys, "fits", str(file), "p", "--band", "1")
    assert "(changes band 2, band 1 of r too)" in out
