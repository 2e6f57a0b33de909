"""Seeded texts: mutations of the files that come with the program, walks through the grammar, and texts made so
that most of them can be laid. The same number and seed give the same text on every machine."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from random import Random

from lark.grammar import NonTerminal, Rule, Terminal

from motif.language.grammar import grammar
from tests.noise.plausible import plausible

_ROOT = Path(__file__).resolve().parents[2]

#: what stands for a number: ordinary ones, and those at which arithmetic goes wrong
NUMBERS = (
    *("0", "1", "2", "3", "4", "5", "7", "12", "25", "1/2", "1/3", "2/3", "1 1/2", "0.5", "0.25", "0.1"),
    *("0.0001", "0.000000001", "0." + "0" * 40 + "1", "99", "100", "360", "1000", "199999", "200001", "20000000"),
    *("1000000000", "4294967296", "9007199254740993", "1" + "0" * 40, "9" * 99, "9" * 101, "1/0", "0/1"),
)
#: characters that look like others, or like nothing, or that change how text runs
LOOKALIKES = (
    "\u0430\u0435\u043e\u0440\u0441\u0445\u0456",  # Cyrillic
    "\uff1d\uff0b\uff20\uff08\uff09\uff5b\uff5d",  # full width
    "\u2212\u2013\u2014\u2010\u2011\u00ad",  # minus signs, dashes, hyphens
    "\u201c\u201d\u201e\u00ab\u00bb\u2033",  # quotes
    "\u00a0\u2003\u202f\u3000\u2028\u2029\u0085\x0b\x0c",  # spaces and line ends
    "\u200b\u200d\u2060\ufeff\ufe0f",  # no width
    "\u202e\u2066\u2069\u200f",  # direction
    "\u0301\u0308\u0345\u1112\u1161\u11ab",  # marks, parts of letters
    "\u0131\u0130\u00df\u017f\u212a\ufb01",  # letter case that does not come back
    "\u00bd\u00be\u2153\u2044\u0661\u0967\u00b2\u2460\u4e8c\U0001d7d9",  # numbers
    "\x00\x1b\x07\x7f\x9b\ud800\udfff\U0001f600",  # what steers a terminal, half characters
    "|<>&`\\*_[]$;'^~@",  # what means something elsewhere
)


_SMALL = "form small { profile smooth { at 0 mm across 30 mm at 15 mm across 40 mm at 30 mm across 35 mm } }\n"


@cache
def seeds() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The texts of the examples, which take long to lay, and those of library and cases; motifs of the library are
    laid on a small pot."""
    heavy, light = [], []
    for pattern in (
        "library/*/*.motif",
        "examples/*.motif",
        "tests/conformance/cases/*.motif",
        "tests/cases/**/*.motif",
    ):
        for path in sorted(_ROOT.glob(pattern)):
            text = path.read_text(encoding="utf-8")
            if not text.strip():
                continue
            if "piece " not in text:
                motifs = re.findall(r"^motif ([\w-]+)", text, re.MULTILINE)
                forms = re.findall(r"^form ([\w-]+)", text, re.MULTILINE)
                text += "".join(f"piece on-{f} {{ form {f} carve ring at belly }}\n" for f in forms)
                text += _SMALL if motifs else ""
                text += "".join(f"piece with-{m} {{ form small band {m} }}\n" for m in motifs)
            (heavy if pattern.startswith("examples") else light).append(text)
    return tuple(heavy), tuple(light)


_DEFINITION = re.compile(r"^(?=(?:form|motif|figure|tool|clay|take) )", re.MULTILINE)
_NAMED = re.compile(r"(?:form|motif|figure|tool|clay|take) ([\w-]+)")


@cache
def definitions() -> tuple[str, ...]:
    """Every definition of the light seeds by itself, with those of its file whose names it uses; motifs a second time,
    to be laid on a small pot."""
    found: set[str] = set()
    for text in seeds()[1]:
        by_name: dict[str, str] = {}
        for part in _DEFINITION.split(text):
            if named := _NAMED.match(part):
                by_name.setdefault(named[1], re.split(r"^(?:piece|note|import|let|pace) ", part, flags=re.MULTILINE)[0])
        for name, part in by_name.items():
            if part.startswith("take "):
                continue
            needed, todo = {name}, [part]
            while todo:
                new = set(_NAME.findall(todo.pop())) & by_name.keys() - needed
                needed |= new
                todo += [by_name[n] for n in sorted(new)]
            alone = "".join(by_name[n] for n in by_name if n in needed)
            found.add(alone)
            if part.startswith("motif "):
                found.add(f"{alone}{'' if 'small' in needed else _SMALL}piece with {{ form small band {name} }}\n")
    return tuple(sorted(found))


_NAME = re.compile(r"[\w-]+")


@cache
def words() -> tuple[str, ...]:
    """Every word and sign in the seeds, and those of the language."""
    language = [*grammar().words, *grammar().signs]
    return tuple(
        sorted({w for text in sum(seeds(), ()) for w in _PARTS.findall(text) if not w.isspace()} | set(language))
    )


_PARTS = re.compile(r'"[^"]*"|[\w.-]+|\s+|.', re.DOTALL)
_NUMBER = re.compile(r"(?<![\w.-])\d+(?:\.\d+|/\d+)?(?![\w.-])")
_STATEMENT = re.compile(
    r"\b(?:incise|carve|impress|pierce|roulette|trail|attach|paint|guide|draw|path|let|repeat|if|band|reserve|note"
    r"|each|once|form|motif|figure|tool|take|at)\b"
)


def _number(text: str, rng: Random) -> str:
    spots = list(_NUMBER.finditer(text))
    if not spots:
        return text
    spot = rng.choice(spots)
    if rng.random() < 0.5:
        new = rng.choice(NUMBERS)
    else:  # a number near the one that stands there
        new = f"{max(0.0, _value(spot.group()) * rng.choice((0.1, 0.5, 0.9, 1.1, 2, 10)) + rng.choice((0, 0, 1))):g}"
    return text[: spot.start()] + new + text[spot.end() :]


def _value(number: str) -> float:
    above, _, below = number.partition("/")
    return float(above) / (float(below or 1) or 1.0)


def _part(text: str, rng: Random) -> str:
    """One word or sign left out, doubled, or put in the place of another."""
    parts = _PARTS.findall(text)
    if not parts:
        return text
    i, how = rng.randrange(len(parts)), rng.randrange(4)
    if how == 0:
        del parts[i]
    elif how == 1:
        parts.insert(i, parts[i] + " ")
    elif how == 2:
        parts[i] = f" {rng.choice(words())} "
    else:
        j = rng.randrange(len(parts))
        parts[i], parts[j] = parts[j], parts[i]
    return "".join(parts)


def _statements(text: str, rng: Random) -> str:
    """One stretch from the beginning of a statement to the next left out, doubled or moved."""
    starts = [m.start() for m in _STATEMENT.finditer(text)]
    if len(starts) < 3:
        return text
    i = rng.randrange(len(starts) - 1)
    begin, end = starts[i], starts[i + 1]
    piece = text[begin:end]
    how = rng.randrange(3)
    if how == 0:
        return text[:begin] + text[end:]
    to = end if how == 1 else rng.choice(starts)
    return text[:to] + piece + text[to:]


def _characters(text: str, rng: Random) -> str:
    begin = rng.randrange(len(text) + 1)
    end = min(len(text), begin + rng.randrange(30))
    how = rng.randrange(5)
    if how == 0:
        return text[:begin] + text[end:]
    if how == 1:
        return text[:end] + text[begin:]
    if how == 2:
        return text[:begin]
    new = "".join(rng.choice(rng.choice(LOOKALIKES)) for _ in range(rng.randint(1, 3)))
    return text[:begin] + new + text[begin + (how == 3) :]


def _splice(text: str, rng: Random) -> str:
    other = rng.choice(seeds()[1])
    begin = rng.randrange(len(other))
    at = rng.randrange(len(text) + 1)
    return text[:at] + other[begin : begin + rng.randrange(300)] + text[at + rng.choice((0, rng.randrange(100))) :]


def _bytes(text: str, rng: Random) -> str:
    raw = bytearray(text.encode("utf-8", "surrogatepass"))
    for _ in range(rng.randint(1, 5)):
        if raw:
            raw[rng.randrange(len(raw))] = rng.randrange(256)
    return raw.decode("utf-8", "replace")


def _unbroken(text: str, rng: Random) -> str:
    return " ".join(text.split()).swapcase()


_MUTATIONS: tuple[tuple[Callable[[str, Random], str], int], ...] = (
    (_number, 10),
    (_part, 5),
    (_statements, 4),
    (_characters, 3),
    (_splice, 1),
    (_bytes, 1),
    (_unbroken, 1),
)


def mutated(rng: Random, text: str) -> str:
    """A text changed in one to four places."""
    ways, weights = zip(*_MUTATIONS, strict=True)
    for way in rng.choices(ways, weights, k=rng.choice((1, 1, 1, 2, 2, 3, 4))):
        text = way(text, rng)
    return text


# ------------------------------------------------------------------------- walks through the grammar


@cache
def _rules() -> tuple[dict[str, list[Rule]], dict[str, int]]:
    """The grammar's rules by what they make, and the least depth of a tree of each."""
    of: dict[str, list[Rule]] = {}
    for rule in grammar().lark.rules:
        of.setdefault(rule.origin.name, []).append(rule)
    depth = dict.fromkeys(of, 1000)
    for _ in range(len(of)):
        for name, rules in of.items():
            depth[name] = min(1 + _depth(r, depth) for r in rules)
    return of, depth


def _depth(rule: Rule, depth: dict[str, int]) -> int:
    return max((depth[s.name] for s in rule.expansion if isinstance(s, NonTerminal)), default=0)


@cache
def _spellings() -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {sign: (text,) for text, sign in grammar().signs.items()}
    for word, terminals in grammar().words.items():
        for t in terminals:
            found[t] = (*found.get(t, ()), word)
    for family, pattern in grammar().families.items():
        found[family] = tuple(w for w in re.findall(r"[a-z-]+|%", pattern.pattern) if pattern.fullmatch(w))
    return found | {
        "NAME": ("a", "b", "c", "m", "f", "t", "p", "small", "step-1"),
        "NUMBER": NUMBERS[:20],
        "TEXT": ('"a"', '"CC0-1.0"', '"./a"', '"../../b"', '"quilting/rings"', '"=1|<b>"'),
    }


def walked(rng: Random, most: int = 600) -> str:
    """A text that the grammar allows, cut off after ``most`` words; its names seldom mean anything."""
    of, least = _rules()
    made: list[str] = []
    todo: list[tuple[str, int]] = [("file", rng.choice((12, 20, 30)))]
    while todo and len(made) < most:
        name, room = todo.pop()
        if name not in of:
            made.append(rng.choice(_spellings()[name]))
            continue
        fitting = [r for r in of[name] if _depth(r, least) < room] or [min(of[name], key=lambda r: _depth(r, least))]
        longer = [r for r in fitting if any(s.name == name for s in r.expansion)]  # a list that goes on
        rule = rng.choice(longer if longer and rng.random() < 0.75 else fitting)
        todo += [(s.name, room - 1 if isinstance(s, NonTerminal) else 0) for s in reversed(rule.expansion)]
    assert all(isinstance(s, NonTerminal | Terminal) for r in of["file"] for s in r.expansion)
    return " ".join(made)


def text_of(seed: int, number: int) -> tuple[str, str]:
    """The kind and the text of one input."""
    rng = Random(f"{seed}:{number}")
    way = rng.random()
    if way < 0.45:
        return "mutated definition", mutated(rng, rng.choice(definitions()))
    if way < 0.80:
        return "short walk", walked(rng, rng.choice((20, 40, 80)))
    if way < 0.87:
        heavy, light = seeds()
        return "mutated file", mutated(rng, rng.choice(heavy if rng.random() < 0.02 else light))
    if way < 0.90:
        return "walk", walked(rng)
    text = plausible(rng)
    return ("plausible", text) if way < 0.93 else ("mutated plausible", mutated(rng, text))
