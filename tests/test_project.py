"""The project as a whole: what lies where, which package knows which, and whether README and DEVELOPERS hold."""

from __future__ import annotations

import ast
import doctest
import re
import sys
import tomllib
from collections.abc import Iterator
from fnmatch import fnmatch
from functools import cache
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

import motif
from motif.cli import main
from motif.language import nodes
from motif.language.messages import Messages
from motif.language.parser import parse
from motif.language.source import Source
from tests.docs import strip

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")

#: From left to right: each may import those before it, and itself.
PACKAGES = (
    "resources",
    "wall",
    "language",
    "reading",
    "model",
    "laying",
    "fits",
    "outputs",
    "api",
    "options",
    "cli",
    "__main__",
)
#: The geometry of a wall stands by itself.
ALONE = ("wall",)
#: The only modules that open files.
OPENING = {
    "__main__.py",
    "reading.py",
    "language/grammar.py",
    "outputs/catalogue.py",
    "outputs/explained.py",
    "outputs/files.py",
}

MODULES = sorted((ROOT / "motif").rglob("*.py"))
TEST_MODULES = sorted((ROOT / "tests").rglob("*.py"))


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def imported(path: Path) -> Iterator[tuple[int, str]]:
    """(line, module) of every import of a file, those inside functions too."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: imports are absolute here"
            assert node.module is not None
            if node.module == "motif":
                yield from ((node.lineno, f"motif.{alias.name}") for alias in node.names)
            else:
                yield node.lineno, node.module


def settings() -> dict[str, Any]:
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


# ------------------------------------------------------------------------------------------ what lies where


def test_the_top_level_holds_what_it_should() -> None:
    ignored = [line.rstrip("/") for line in (ROOT / ".gitignore").read_text(encoding="utf-8").split()]
    found = {
        p.name for p in ROOT.iterdir() if not p.name.startswith(".") and not any(fnmatch(p.name, i) for i in ignored)
    } - {"PKG-INFO"}  # which an unpacked source distribution has
    assert found == {
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "pyproject.toml",
        "motif",
        "grammar",
        "library",
        "examples",
        "tests",
    }


@pytest.mark.parametrize(
    ("folder", "suffixes"),
    [
        ("grammar", {".lark", ".json", ".md", ".svg"}),
        ("library", {".motif"}),
        ("examples", {".motif", ".svg", ".csv", ".json", ".md", ".pdf"}),
    ],
)
def test_data_folders_hold_data(folder: str, suffixes: set[str]) -> None:
    """A module in grammar/ or library/ would break development installs, which lay them inside the package."""
    assert {p.suffix for p in (ROOT / folder).rglob("*") if p.is_file()} <= suffixes


def test_every_package_of_the_program_is_in_the_wheel_with_its_data() -> None:
    wheel = settings()["tool"]["hatch"]["build"]["targets"]["wheel"]
    assert set(wheel["only-include"]) == {"motif", "grammar", "library"}
    assert wheel["sources"] == {"grammar": "motif/grammar", "library": "motif/library"}
    for folder in wheel["only-include"]:
        assert (ROOT / folder).is_dir()


@pytest.mark.parametrize(
    "path", sorted((ROOT / "library").rglob("*.motif")) + sorted((ROOT / "examples").glob("*.motif")), ids=name_of
)
def test_what_may_be_copied_says_so(path: Path) -> None:
    file = parse(Source(path.name, path.read_text(encoding="utf-8")), Messages())
    headers = {i.word: i.value.value for i in file.items if isinstance(i, nodes.Header)}
    assert headers.get("licence") == "CC0-1.0"
    assert headers.get("by")


def test_the_licence_file_holds_both_licences() -> None:
    text = (ROOT / "LICENSE").read_text(encoding="utf-8")
    for licence in settings()["project"]["license"].split(" AND "):
        assert f"SPDX-License-Identifier: {licence}" in text


def test_texts_name_no_machine_and_no_host() -> None:
    """No path of somebody's machine, and no address but the names that SVG's own standard gives things."""
    path_of_a_machine = re.compile(r"/(?:home|root|work|tmp|Users)/[A-Za-z]|\b[A-Za-z]:\\Users\b")
    address = re.compile(r"https?://(?!www\.w3\.org/)\S+")
    for path in sorted(p for p in ROOT.rglob("*") if p.is_file()):
        parts = path.relative_to(ROOT).parts
        if any(part.startswith(".") and part != ".ci" for part in parts) or "__pycache__" in parts:
            continue
        if path.suffix == ".ttf":
            continue  # faces are others' files, kept as they are
        text = path.read_text(encoding="utf-8", errors="replace" if path.suffix == ".pdf" else "strict")
        for pattern in (path_of_a_machine, address):
            found = pattern.search(text)
            assert found is None, f"{name_of(path)}: {found and found.group()}"


# -------------------------------------------------------------------------------------- who knows whom


@pytest.mark.parametrize("path", MODULES, ids=name_of)
def test_imports_go_to_the_left(path: Path) -> None:
    if path.parent.name == "motif" and path.stem == "__init__":
        return  # the package's face: it names the API, and imports it when it is asked for
    here = path.relative_to(ROOT / "motif").parts[0].removesuffix(".py")
    known = (here,) if here in ALONE else PACKAGES[: PACKAGES.index(here) + 1]
    for line, module in imported(path):
        top, _, rest = module.partition(".")
        if top != "motif" or not rest or rest in motif.__all__:
            continue
        assert rest.partition(".")[0] in known, f"{name_of(path)}:{line}: {here} must not know {module}"


def test_importing_motif_imports_nothing_heavy() -> None:
    """What ``import motif`` runs: the standard library and no package of the program."""
    top_level = [n for n in tree(ROOT / "motif" / "__init__.py").body if isinstance(n, ast.Import | ast.ImportFrom)]
    for node in top_level:
        names = [node.module or ""] if isinstance(node, ast.ImportFrom) else [a.name for a in node.names]
        assert all(n.partition(".")[0] in sys.stdlib_module_names for n in names)


@pytest.mark.parametrize(
    "path", [p for p in MODULES if p.relative_to(ROOT / "motif").as_posix() not in OPENING], ids=name_of
)
def test_files_are_opened_in_few_places(path: Path) -> None:
    opening = {"open", "read_text", "read_bytes", "write_text", "write_bytes"}
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Call):
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            assert name not in opening, f"{name_of(path)}:{node.lineno}: {name}"


def test_no_module_is_too_long() -> None:
    long = {
        name_of(p): n for p in MODULES + TEST_MODULES if (n := len(p.read_text(encoding="utf-8").splitlines())) > 999
    }
    assert long == {}


# ---------------------------------------------------------------------------------------- what is needed


def wanted(requirements: list[str]) -> set[str]:
    names = (re.match(r"[A-Za-z0-9-]+", r) for r in requirements)
    return {m.group().lower() for m in names if m is not None}


def third_party(paths: list[Path]) -> set[str]:
    """Libraries imported, by the name they are installed under."""
    packages = {"markdown_it": "markdown-it-py"}
    tops = {module.partition(".")[0] for path in paths for _, module in imported(path)}
    return {packages.get(t, t) for t in tops - set(sys.stdlib_module_names) - {"motif", "tests"}}


def test_the_program_needs_what_it_asks_for() -> None:
    assert third_party(MODULES) == wanted(settings()["project"]["dependencies"])


def test_the_tests_need_what_they_ask_for() -> None:
    project = settings()["project"]
    asked = wanted(project["optional-dependencies"]["test"])
    assert third_party(TEST_MODULES) - wanted(project["dependencies"]) == asked


@pytest.mark.parametrize(
    "library",
    sorted(
        wanted(settings()["project"]["dependencies"])
        | set().union(*(wanted(extra) for extra in settings()["project"]["optional-dependencies"].values()))
    ),
)
def test_every_library_has_its_reason(library: str) -> None:
    assert re.search(rf"\b{re.escape(library)}\b", DEVELOPERS)


# --------------------------------------------------------------------------------- README and DEVELOPERS


def block(text: str, language: str) -> str:
    found = re.search(rf"^```{language}\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    assert found is not None
    return found[1]


def test_two_commands_do_all_the_setting_up() -> None:
    job, tests = block(README, "sh").splitlines()
    for command in (job, tests):
        assert command.startswith("python3 -m venv .venv && .venv/bin/pip install ")
    example = re.search(r"motif prepare (\S+)$", job)
    assert example is not None
    assert (ROOT / example[1]).is_file()
    assert tests.endswith("-m pytest -q")


def test_the_first_motif_of_the_readme_is_ten_lines_without_a_complaint() -> None:
    text = block(README, "motif")
    assert len(text.splitlines()) == 10
    document = motif.loads(text)
    laid = [document.lay(name) for name in document.pieces]
    assert document.messages.sorted() == []
    # README: ten columns, and rows as near to 22 mm as fill the band; a dot in every cell.
    assert [(p.bands[0].columns, len(p.bands[0].points)) for p in laid if p is not None] == [(10, 10 * 3)]


def test_the_python_of_the_readme_does_what_it_says(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    lines = doctest.DocTestParser().get_doctest(block(README, "python"), {}, "README.md", "README.md", 0)
    assert len(lines.examples) <= 5
    runner = doctest.DocTestRunner(verbose=False)
    runner.run(lines)
    assert runner.summarize(verbose=False).failed == 0


def test_a_piece_shows_itself_in_a_notebook() -> None:
    document = motif.loads(block(README, "motif"))
    piece = document.lay(document.pieces[0])
    assert piece is not None
    assert piece._repr_svg_().startswith("<svg")


@pytest.mark.parametrize("command", re.findall(r"^\| `(motif [a-z]+)", README, re.MULTILINE))
def test_commands_of_the_readme_exist(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main([*command.split()[1:], "--help"])
    assert left.value.code == 0
    assert capsys.readouterr().out.startswith(f"usage: {command}")


def test_a_library_motif_goes_on_a_library_form_as_the_readme_says(tmp_path: Path) -> None:
    (tmp_path / "cup.motif").write_text(block(README, "motif"), encoding="utf-8")
    found = re.search(r"`motif (prepare cup\.motif --motif \S+ --form \S+)`", README)
    assert found is not None
    args = found[1].replace("cup.motif", str(tmp_path / "cup.motif")).split()
    assert main([*args, "--out", str(tmp_path / "out")]) == 0
    assert [p.name for p in (tmp_path / "out").iterdir()] == ["{3}-on-{5}".format(*args)]


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README.md", "DEVELOPERS.md"])
def test_links_and_names_of_files_lead_somewhere(text: str) -> None:
    linked = re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", text)
    named = re.findall(r"`((?:motif|grammar|library|tests|examples|\.ci)/[\w./-]*)`", text)
    assert linked
    for path in (*linked, *(n for n in named if "CRAFT" not in n)):
        assert (ROOT / path).exists(), path


def test_names_in_the_code_of_developers_exist() -> None:
    """Words in capitals between backticks are tables and limits of the program."""
    source = "\n".join(p.read_text(encoding="utf-8") for p in MODULES) + (ROOT / "grammar" / "motif.lark").read_text(
        encoding="utf-8"
    )
    for name in set(re.findall(r"`([A-Z_]{4,})`", DEVELOPERS)):
        assert re.search(rf"^\s*{name}\b", source, re.MULTILINE), name


# ----------------------------------------------------------------------------- what prepare wrote is kept


KEPT = ROOT / "examples" / "tufted-bottle"
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@pytest.fixture(scope="module")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("prepared")
    assert main(["prepare", str(ROOT / "examples" / "tufted-bottle.motif"), "--out", str(out)]) == 0
    return out / KEPT.name


def test_the_kept_folder_holds_what_prepare_writes(prepared: Path) -> None:
    assert {p.name for p in KEPT.iterdir()} == {p.name for p in prepared.iterdir()}


@pytest.mark.parametrize(
    "name",
    [
        "unroll.svg",
        "rollout.svg",
        "pot.svg",
        "round.svg",
        "marks.csv",
        "counts.csv",
        "method.md",
        "piece.json",
    ],
)
def test_the_kept_files_are_what_prepare_writes(name: str, prepared: Path) -> None:
    """Refresh them with ``motif prepare examples/tufted-bottle.motif --out examples``.

    The words must be the same; numbers may differ by one step of the last digit written, which another
    machine's sine may bring about."""
    kept, made = ((folder / name).read_text(encoding="utf-8") for folder in (KEPT, prepared))
    assert_same_but_for_last_digits(kept, made)


def test_the_kept_sheets_say_what_prepare_prints(prepared: Path) -> None:
    """Page by page the same words; their bytes differ with the versions of the libraries that write them."""
    kept, made = (pypdfium2.PdfDocument((folder / "sheets.pdf").read_bytes()) for folder in (KEPT, prepared))
    assert len(kept) == len(made)
    for pages in zip(kept, made, strict=True):
        assert_same_but_for_last_digits(*(page.get_textpage().get_text_bounded() for page in pages))


def test_the_kept_girth_strip_is_what_is_printed() -> None:
    """Refresh it with ``python -m tests.docs.pictures``."""
    assert_same_but_for_last_digits(strip.PATH.read_text(encoding="utf-8"), strip.girth_strip())


def assert_same_but_for_last_digits(kept: str, made: str) -> None:
    assert _NUMBER.sub("0", kept) == _NUMBER.sub("0", made)
    pairs = zip(_NUMBER.findall(kept), _NUMBER.findall(made), strict=True)
    assert [(a, b) for a, b in pairs if abs(float(a) - float(b)) > 1.5 * 10.0 ** -min(_digits(a), _digits(b))] == []


def _digits(number: str) -> int:
    return len(number.partition(".")[2])
