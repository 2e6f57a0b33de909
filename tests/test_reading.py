"""What is said of files, and of motifs laid from the command line, where the text is not to blame or not the user's."""

from __future__ import annotations

from pathlib import Path

import pytest

import motif
from motif.cli import main

CUP = """form cup { profile smooth { at 0 mm across 62 mm  at 45 mm across 80 mm  at 90 mm across 74 mm } }
motif dots { given around count = 10 "how many"  grid columns around rows 4
  each cell { impress dot at (1/2, 1/2) across 4 mm } }
piece first-cup { form cup  band dots }
"""


def unreadable(path: Path) -> tuple[str, str]:
    with pytest.raises(motif.Unreadable) as found:
        motif.load(path)
    return found.value.reason, found.value.advice or ""


@pytest.mark.parametrize(
    ("data", "place"),
    [
        (b'note "caf\xe9"', "line 1, column 10, after '\"caf',"),
        ("let a = 1\r\nlet größe = 2".encode("cp1252"), "line 2, column 7, after 'gr',"),
        ("\ufefflet größe = 2 # ".encode() + b"\x93", "line 1, column 17, after '#',"),
        (b"\xfclet", "line 1, column 1,"),
    ],
)
def test_a_file_in_another_encoding(tmp_path: Path, data: bytes, place: str) -> None:
    path = tmp_path / "cup.motif"
    path.write_bytes(data)
    reason, advice = unreadable(path)
    assert f"is not in UTF-8: {place} holds a letter written otherwise." in reason
    assert "Save it as plain text with the encoding UTF-8" in advice


@pytest.mark.parametrize("data", ["form cup".encode("utf-16"), b"PK\x03\x04\x00\x00\xff", b"form\x00cup"])
def test_a_file_of_another_program(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "cup.motif"
    path.write_bytes(data)
    reason, advice = unreadable(path)
    assert "is not" in reason and "line" not in reason and "UTF-8" in advice


@pytest.mark.parametrize("text", ["", "\n\n", "# later\n", "language 1\n"])
def test_an_empty_file(tmp_path: Path, text: str, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "cup.motif"
    path.write_text(text)
    assert main(["check", str(path)]) == 2
    told = capsys.readouterr().err
    assert f"There is nothing in '{path}', so there is nothing to lay. [file] Write a form, a motif and a piece" in told


def test_a_file_of_definitions_is_not_empty(tmp_path: Path) -> None:
    path = tmp_path / "cup.motif"
    path.write_text("let a = 1\n")
    assert main(["check", str(path)]) == 0


def improvised(tmp_path: Path, *args: str) -> str:
    """What ``prepare`` says of CUP with some options."""
    path = tmp_path / "cup.motif"
    path.write_text(CUP)
    main(["prepare", str(path), "--out", str(tmp_path / "out"), *args])
    return str(path)


@pytest.mark.parametrize(
    ("args", "words", "advice"),
    [
        (["--from", "rimm"], "'rimm' is not a word of the language here.", "Did you mean 'rim'?"),
        (["--from", "rim-8mm"], "'rim-8mm' is read as one name.", "Write 'rim - 8 mm'."),
        (["--to", "8 mm"], "says from where it is measured.", "'tape 8 mm'"),
        (["--given", "around=many"], "There is no value called 'many' here.", "let many ="),
        (["--given", "arround=8"], "has no given called 'arround'.", "Did you mean 'around'?"),
        (["--given", "around=8 mm"], "'around' takes a count, and this is a length.", "leave the 'mm' out"),
    ],
)
def test_wrong_words_of_the_command_line_are_called_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], args: list[str], words: str, advice: str
) -> None:
    path = improvised(tmp_path, "--motif", "dots", "--form", "cup", *args)
    told = capsys.readouterr().err
    assert told.startswith("command line:1:") and path not in told
    assert words in told and advice in told
    assert told.count("\n") == 1


@pytest.mark.parametrize(
    "args",
    [
        ["--to", "foot } piece more { form cup"],
        ["--to", "foot carve ring at tape 9 mm"],
        ["--to", "foot only columns 1 to 2"],
        ["--from", "foot to rim band dots from foot"],
        ["--given", "around=8) from foot to rim band dots(around = 7"],
    ],
)
def test_an_option_says_one_thing(tmp_path: Path, capsys: pytest.CaptureFixture[str], args: list[str]) -> None:
    """What is a piece of text by itself goes no farther than its place or value."""
    improvised(tmp_path, "--motif", "dots", "--form", "cup", *args)
    told = capsys.readouterr()
    assert told.out == "" and not (tmp_path / "out").exists()
    assert told.err.startswith("motif prepare: A place or a given says more than one place or one value.")


def test_an_improvised_piece_uses_the_file_and_the_library(tmp_path: Path) -> None:
    path = tmp_path / "cup.motif"
    path.write_text('title "Cups"\n' + CUP)
    for motif_name, form in (("dots", "canister"), ("scales", "cup")):
        document = motif.improvised(path, motif_name, form)
        assert document.pieces == [f"{motif_name}-on-{form}"]
        laid = document.lay(document.pieces[0])
        assert laid is not None and laid.title == "Cups"
        assert document.source.name == str(path)


@pytest.mark.parametrize(
    "name", ["café-rouge", "CAFÉ-Rouge", "cafe\u0301-rouge", " café\u2011rouge ", "caf\u00ade\u0301-rouge"]
)
def test_names_from_outside_are_cleaned_as_those_in_a_text(name: str) -> None:
    """One name however it is typed: letter case, a composed or a separate accent (Unicode's canonical equivalence),
    a non-breaking hyphen, a soft one."""
    document = motif.loads(CUP.replace("first-cup", "café-rouge"))
    laid = document.lay(name)
    assert laid is not None and laid.name == "café-rouge"


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (CUP + "motif other { grid columns 3 rows 3 } piece other { form cup }", "defined-twice"),
        (CUP.replace("piece first-cup", "peice other"), "syntax"),
    ],
)
def test_a_piece_that_is_written_but_not_understood_is_not_called_missing(text: str, code: str) -> None:
    document = motif.loads(text)
    assert document.lay("other") is None
    assert [m.code for m in document.messages.sorted()] == [code]


def test_an_error_in_the_file_is_an_error_of_the_file(tmp_path: Path) -> None:
    path = tmp_path / "cup.motif"
    path.write_text(CUP.replace("across 4 mm", "across 4"))
    document = motif.improvised(path, "dots", "cup")
    assert document.lay(document.pieces[0]) is None
    (message,) = document.messages.sorted()
    assert message.span is not None and message.span.source.name == str(path)


@pytest.mark.parametrize(("motif_name", "form", "words"), [
    ("dotts", "cup", "a motif called 'dotts'. Did you mean 'dots'"),
    ("scale", "cup", "a motif called 'scale'. Did you mean 'scales'"),
    ("dots", "canistre", "a form called 'canistre'. Did you mean 'canister'?"),
    ("dots", "xyzzyxyzzy", "a form called 'xyzzyxyzzy'. List the library with: motif library"),
])  # fmt: skip
def test_a_name_that_nobody_has(tmp_path: Path, motif_name: str, form: str, words: str) -> None:
    path = tmp_path / "cup.motif"
    path.write_text(CUP)
    with pytest.raises(motif.Unreadable) as found:
        motif.improvised(path, motif_name, form)
    assert words in f"{found.value.reason} {found.value.advice}"
