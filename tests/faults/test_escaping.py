"""Whatever stands in the texts of a motif file, it is text in every output: never a tag, a formula, a link, or a
command to the terminal."""

from __future__ import annotations

import csv
import io
import json
import re

import pytest
from lxml import etree
from markdown_it import MarkdownIt

import motif
from motif.outputs import backends
from motif.outputs.tables import printable

HOSTILE = [
    "<script>alert(1)</script>",
    "]]><svg onload=x>&lt;&#0;&amp;",
    "--><!-- <?xml ?> <!DOCTYPE a>",
    "=HYPERLINK(1)",
    "+1",
    "-1+1",
    "@SUM(A1)",
    "\uff1d1",
    "\uff0b1",
    "\uff0d1",
    "\uff201",
    "|a|`b`|[x](/y)![z](q)<b>*c*_d_~e~# f",
    "\\| \\` \\\\",
    "\u202eabc\u2066def\u2069",
    "\x1b[31mred\x07\x9b1m\x08\x7f",
    "a\u0085b\u2028c\u2029d",
    "\ufeff\u200b\u00ad",
    "{{7*7}} ${x} %s %(a)s \\u003c",
    "   ",
    "1e5",
    "javascript:alert(1)",
]  # fmt: skip

BIDI = re.compile("[\u200e\u200f\u202a-\u202e\u2066-\u2069]")
CONTROLS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f]")


def source(words: str) -> str:
    """A text that has the words wherever a text may stand."""
    t = f'"{words}"'
    return f"""title {t} by {t} licence "CC0-1.0" note {t}
    clay c {t} {{ shrinks 5 % by fired }}
    form pot {t} {{ clay c profile straight {{ note {t} at 0 mm across 60 mm at 50 mm across 60 mm }} note {t} }}
    tool stamp {t} {{ wide 4 mm volume 1/8 tsp }}
    figure leaf {t} {{ carve from (0, 0) line to (1, 1) width 1 mm colour {t} }}
    motif m {t} {{ note {t} given n count = 4 {t} given word text = {t} grid columns n rows 2
      each cell {{ attach stamp at (1/2, 1/2) colour word draw leaf trail from (0, 0) line to (1, 0) colour {t} }} }}
    piece p {t} {{ form pot band m note {t} reserve {t} from height 10 mm to height 20 mm facing 0 deg wide 9 mm
      carve edge of {t} depth 1 mm }}"""


@pytest.fixture(scope="module", params=HOSTILE, ids=range(len(HOSTILE)))
def made(request: pytest.FixtureRequest) -> tuple[str, dict[str, bytes]]:
    document = motif.loads(source(request.param))
    piece = document.lay("p")
    assert piece is not None, [m.text for m in document.messages.sorted()]
    return request.param, {
        b.file: b.run(piece) for b in backends.BACKENDS if b.file.endswith((".svg", ".csv", ".md", ".json"))
    }


def test_drawings(made: tuple[str, dict[str, bytes]]) -> None:
    """XML as lxml reads it, of shapes and words alone, ids that are names (XML 1.0, production 5) and unique."""
    for name, content in made[1].items():
        if not name.endswith(".svg"):
            continue
        root = etree.fromstring(content, etree.XMLParser(resolve_entities=False, no_network=True))
        for element in root.iter():
            if not isinstance(element.tag, str):
                assert element.getparent() is None or "<" not in (element.text or "")
                continue
            tag = etree.QName(element).localname
            assert tag in {
                *("svg", "g", "path", "polyline", "polygon", "line", "rect", "circle", "ellipse", "text", "tspan"),
                *("title", "desc", "defs", "clipPath", "use", "style", "metadata"),
            }, (name, tag)
            for attribute, value in element.attrib.items():
                assert not etree.QName(attribute).localname.startswith("on")
                if etree.QName(attribute).localname == "href":
                    assert value.startswith("#")
            assert not BIDI.search(element.text or "")
        ids = [e.get("id") for e in root.iter() if isinstance(e.tag, str) and e.get("id") is not None]
        assert len(ids) == len(set(ids))
        assert all(re.fullmatch(r"[A-Za-z_][\w.-]*", i) for i in ids), ids


def test_tables(made: tuple[str, dict[str, bytes]]) -> None:
    """No cell begins a formula (OWASP, "CSV Injection", from memory; full-width signs too), and numbers are numbers."""
    for name, content in made[1].items():
        if name.endswith(".csv"):
            for row in csv.reader(io.StringIO(content.decode("utf-8"))):
                for cell in row:
                    number = re.fullmatch(r"-?\d+(\.\d+)?", cell)
                    assert number or not cell.lstrip().startswith(tuple("=+-@\t\r\uff1d\uff0b\uff0d\uff20")), cell
            assert not CONTROLS.search(content.decode("utf-8").replace("\r\n", "\n"))


def test_data_keeps_the_words(made: tuple[str, dict[str, bytes]]) -> None:
    """JSON holds them as they stand in the text, steering characters written out, so that they steer nothing."""
    words, files = made
    raw = files["piece.json"].decode("utf-8")
    assert not CONTROLS.search(raw)
    assert not BIDI.search(raw)
    data = json.loads(raw)
    found = {str(data.get("title")), *(str(v) for v in _texts(data))}
    meant = " ".join(words.split()) if words.split() else words.strip()
    assert any(" ".join(f.split()) == meant for f in found)


def _texts(value: object) -> list[str]:
    if isinstance(value, dict):
        return [t for v in value.values() for t in _texts(v)]
    if isinstance(value, list):
        return [t for v in value for t in _texts(v)]
    return [value] if isinstance(value, str) else []


def test_the_order_of_work(made: tuple[str, dict[str, bytes]]) -> None:
    """Markdown, as a CommonMark reader that lets HTML through reads it: nothing of the words becomes a link, a picture
    or HTML, and what the reader shows of them is what stands in the text."""
    words, files = made
    text = files["method.md"].decode("utf-8")
    assert not CONTROLS.search(text)
    assert not BIDI.search(text)
    tokens = MarkdownIt("commonmark", {"html": True}).enable("table").parse(text)
    inline = [c for t in tokens if t.type == "inline" for c in t.children or []]
    assert not {t.type for t in [*tokens, *inline]} & {"html_block", "html_inline", "link_open", "image", "code_block"}
    shown = " ".join("".join(c.content or " " for c in t.children or []) for t in tokens if t.type == "inline")
    plain = " ".join(printable(words).split())
    assert plain in " ".join(shown.split()) or not plain


def test_messages(capsys: pytest.CaptureFixture[str]) -> None:
    from motif.outputs import report

    for words in HOSTILE:
        document = motif.loads(
            f'piece p {{ form "{words}" }} take "{words}" from "{words}" let b = {words}', f"{words}.motif"
        )
        messages = document.messages.sorted()
        assert messages
        for shown in (report.to_lines(messages), report.to_terminal(messages, colour=False)):
            assert not CONTROLS.search(shown)
            assert not BIDI.search(shown)
