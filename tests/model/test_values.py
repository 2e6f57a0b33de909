"""Values: kinds, units, operators, functions, conditions, chance.

Every expression is worked out through a text: ``value`` reads it off a mark's place, ``holds`` off whether a
mark is made at all. Expected values are plain arithmetic, the units' definitions (records 7.*), or an
independent implementation of the hash.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.laying.bench import lay_band, source, the_error
from tests.reference import record

#: a wall 4 m tall, on which a tape is a number
TALL = "form tall { profile straight { at 0 mm around 360 mm at 4000 mm around 360 mm } }"


def value(expression: str, per: str = "", before: str = "") -> float:
    """A number between −2000 and 2000; ``per`` divides a length, angle or volume into one."""
    divided = f"({expression}) / ({per})" if per else expression
    band = lay_band(
        f"grid columns 12 rows 1 once {{ guide dot at (0, (2000 + ({divided})) / 4000) }}", form=TALL, before=before
    )
    return float(band.points.tape[0]) - 2000


def holds(condition: str, before: str = "") -> bool:
    return (
        len(lay_band(f"grid columns 12 rows 4 once where {condition} {{ guide dot at (0, 1) }}", before=before).points)
        == 1
    )


def refused(expression: str, before: str = "") -> tuple[str, str]:
    """Code and underlined words of the one error of an expression that is to be a number."""
    found = the_error(source(f"grid columns 12 rows 4 once {{ guide dot at (0, {expression}) }}", before=before))
    return found.code, found.underlined


# ---------------------------------------------------------------- numbers and units


@pytest.mark.parametrize(("text", "number"), [
    ("12", 12), ("0.5", 0.5), (".5", 0.5), ("1/2", 0.5), ("1 1/2", 1.5), ("3 3/4", 3.75), ("12 7/8", 12.875),
    ("½", 0.5), ("1½", 1.5), ("2 ¾", 2.75), ("⅛", 0.125), ("3 / 4", 0.75), ("1⁄2", 0.5), ("50 %", 0.5),
    ("12.5%", 0.125),
    ("1/3", 1 / 3), ("007", 7), ("−3", -3), ("–3", -3), ("- 3", -3), ("5 − 2", 3), ("2 × 3", 6), ("2×3", 6),
])  # fmt: skip
def test_numbers_as_potters_write_them(text: str, number: float) -> None:
    assert value(text) == pytest.approx(number, abs=1e-9)


@pytest.mark.parametrize(("text", "per", "number"), [
    ("1 in", "1 mm", record("7.inch")["expected"]),
    ("1/2 in", "1 mm", 12.7),
    ("1 1/2 in", "1 mm", 38.1),
    ("1/2 mm", "1 mm", 0.5),
    ("3 cm", "1 mm", 30),
    ("1 tsp", "1 ml", record("7.tsp")["expected"]),
    ("1 tbsp", "1 ml", record("7.tbsp")["expected"]),
    ("1/8 tsp", "1 ml", record("7.eighth_tsp")["expected"]),
    ("1 in * 1 in * 1 in", "1 ml", record("7.cuin")["expected"]),       # 231 of these are a gallon
    ("231 in * 1 in * 1 in / 2", "1 ml", record("7.gallon")["expected"] / 2),
    ("2 tbsp", "1 ml", record("7.floz")["expected"]),
    ("231 in * 1 in * 1 in / 768", "1 tsp", 1),                         # a gallon is 768 teaspoons
    ("16 tbsp", "1 ml", record("7.cup")["expected"]),
    ("1 cm * 1 cm * 1 cm", "1 ml", 1),
    ("1 turn", "1 deg", 360),
    ("1/4 turn + 10 deg", "1 deg", 100),
    ("90°", "1 deg", 90),
    ("7 Deg", "1 deg", 7),
])  # fmt: skip
def test_units(text: str, per: str, number: float) -> None:
    assert value(text, per) == pytest.approx(number, abs=1e-9)


def test_spoons_are_those_of_the_kitchen() -> None:
    """As the household tables of NIST round them."""
    known = record("7.tsp.household")
    for text, ml, within in zip(("1 tsp", "1 tbsp", "16 tbsp"), known["expected"], known["tolerance"], strict=True):
        assert value(text, "1 ml") == pytest.approx(ml, abs=within)


def test_a_unit_belongs_to_the_number_right_before_it() -> None:
    assert value("1/2 mm + 1 mm", "1 mm") == pytest.approx(1.5)
    assert value("2 * 3 mm", "1 mm") == pytest.approx(6)
    assert value("6 mm / 2 mm") == pytest.approx(3)
    assert value("6 / 2 * 1 mm", "1 mm") == pytest.approx(3)


@settings(deadline=None, derandomize=True, max_examples=40)
@given(st.integers(0, 99), st.integers(0, 15), st.sampled_from([2, 4, 8, 16]), st.sampled_from(["mm", "cm", "in"]))
def test_mixed_fractions_are_what_they_say(whole: int, part: int, parts: int, unit: str) -> None:
    per = {"mm": 1, "cm": 10, "in": 25.4}[unit]
    wanted = float(Fraction(whole) + Fraction(part, parts)) * per
    assert value(f"({whole} {part}/{parts} {unit}) / 2", "1 mm") == pytest.approx(wanted / 2, abs=1e-9)


# ---------------------------------------------------------------- operators


@pytest.mark.parametrize(("text", "number"), [
    ("1 + 2 * 3", 7), ("(1 + 2) * 3", 9), ("7 - 2 - 1", 4), ("24 / 4 / 2", 3), ("2 * -3", -6), ("-2 * 3", -6),
    ("-(2 + 3)", -5), ("- - 4", 4), ("10 - 4 + 3", 9), ("12 / 4 * 3", 9), ("-1/2", -0.5), ("3 - 1/2", 2.5),
    ("2 - -3", 5), ("1 / 3 * 3", 1),
])  # fmt: skip
def test_operators(text: str, number: float) -> None:
    assert value(text) == pytest.approx(number, abs=1e-9)


@pytest.mark.parametrize(("condition", "truth"), [
    ("1 < 2", True), ("2 < 2", False), ("2 <= 2", True), ("3 > 2", True), ("2 > 2", False), ("2 >= 2", True),
    ("2 = 2", True), ("2 <> 2", False), ("1 <> 2", True),
    ("1 < 2 and 2 < 3", True), ("1 < 2 and 3 < 2", False), ("3 < 2 or 1 < 2", True), ("not 3 < 2", True),
    ("not (1 < 2)", False), ("not 1 < 2 or 1 < 2", True),       # 'not' binds closest, then 'and', then 'or'
    ("1 < 2 or 1 < 2 and 3 < 2", True), ("(1 < 2 or 1 < 2) and 3 < 2", False),
    ("10 mm = 1 cm", True), ("1 in > 25 mm", True), ("1 tsp < 5 ml", True), ("1 turn = 360 deg", True),
    ("\"red\" = \"red\"", True), ("\"red\" <> \"blue\"", True), ("\"red\" = \"Red\"", False),
    # nearer than 1e-9 (a length: 1e-6 mm) is equal
    ("0.1 + 0.2 = 0.3", True), ("1/3 * 3 = 1", True), ("0.1 + 0.2 > 0.3", False), ("0.1 + 0.2 <= 0.3", True),
    ("1 = 1.0000000005", True), ("1 < 1.0000000005", False), ("1 = 1.000000002", False), ("1 < 1.000000002", True),
    ("1 mm = 1.0000005 mm", True), ("1 mm < 1.0000005 mm", False), ("1 mm = 1.000002 mm", False),
    ("1 mm >= 1.0000005 mm", True), ("1 mm <> 1.0000005 mm", False),
    ("even(0)", True), ("even(3)", False), ("odd(3)", True), ("odd(-3)", True), ("even(-4)", True),
    ("odd(2 + 1/1000000000000)", False),
])  # fmt: skip
def test_conditions(condition: str, truth: bool) -> None:
    assert holds(condition) == truth


def test_tools_are_compared_by_name() -> None:
    tools = "tool nib { wide 3 mm } tool loop { wide 3 mm }"
    assert holds("nib = nib", tools) and holds("nib <> loop", tools) and not holds("nib = loop", tools)


def test_and_and_or_stop_where_they_are_decided() -> None:
    """The right side is worked out only where the left does not decide."""
    body = "each cell where column > 1 and 6 / (column - 1) > 2 { guide dot at (0, 1/2) }"
    band = lay_band(f"grid columns 12 rows 1 {body}")
    assert band.points.column.tolist() == [2, 3]
    body = "each cell where column = 1 or 6 / (column - 1) > 2 { guide dot at (0, 1/2) }"
    assert lay_band(f"grid columns 12 rows 1 {body}").points.column.tolist() == [1, 2, 3]


# ---------------------------------------------------------------- functions


@pytest.mark.parametrize(("text", "number"), [
    ("min(3, 1, 2)", 1), ("max(3, 1, 2)", 3), ("min(4)", 4), ("abs(-3)", 3), ("abs(3)", 3),
    ("round(2.5)", 3), ("round(-2.5)", -2), ("round(2.4999)", 2), ("round(-0.5)", 0), ("round(0.5)", 1),
    ("round(-1.5)", -1),
    ("round(0.49999999999)", 1),                 # within 1e-9 of a half is a half
    ("floor(2.7)", 2), ("floor(-2.1)", -3), ("floor(3)", 3), ("floor(2.9999999999)", 3), ("floor((0.1 + 0.2) * 10)", 3),
    ("floor(0.3 / 0.1)", 3), ("ceil(2.1)", 3), ("ceil(-2.1)", -2), ("ceil(3.0000000001)", 3),
    ("ceil((0.1 + 0.2) * 10)", 3),
    ("sqrt(2)", math.sqrt(2)), ("sqrt(0)", 0), ("sin(30 deg)", 0.5), ("cos(60 deg)", 0.5), ("tan(45 deg)", 1),
    ("sin(1/12 turn)", 0.5), ("cos(1/2 turn)", -1),
    ("remainder(7, 4)", 3), ("remainder(-1, 4)", 3), ("remainder(7, -4)", -1), ("remainder(8, 4)", 0),
    ("remainder(5/2, 1)", 0.5), ("remainder(-5/2, 1)", 0.5), ("remainder(0.3, 0.1)", 0), ("remainder(3 * 0.1, 0.1)", 0),
    ("remainder(1, 1/3)", 0), ("remainder(2.9999999999, 3)", 0), ("remainder(0, 5)", 0),
])  # fmt: skip
def test_functions(text: str, number: float) -> None:
    assert value(text) == pytest.approx(number, abs=1e-8)


@pytest.mark.parametrize(("text", "per", "number"), [
    ("min(3 mm, 1 in)", "1 mm", 3), ("max(3 mm, 1 cm, 2 mm)", "1 mm", 10), ("abs(-3 mm)", "1 mm", 3),
    ("sqrt(9 mm * 4 mm)", "1 mm", 6),                        # the root of length × length is a length
    ("remainder(100 mm, 30 mm)", "1 mm", 10), ("remainder(-10 mm, 30 mm)", "1 mm", 20),
    ("remainder(90 mm, 30 mm)", "1 mm", 0), ("remainder(370 deg, 1 turn)", "1 deg", 10),
    ("remainder(89.9999999 mm, 30 mm)", "1 mm", 0),         # within 1e-6 mm
])  # fmt: skip
def test_functions_of_quantities(text: str, per: str, number: float) -> None:
    assert value(text, per) == pytest.approx(number, abs=1e-6)


@settings(deadline=None, derandomize=True, max_examples=60)
@given(st.integers(-400, 400), st.integers(1, 40))
def test_remainder_of_whole_numbers_is_floor_division(a: int, b: int) -> None:
    assert value(f"remainder({a}, {b})") == pytest.approx(a % b, abs=1e-9)  # Python's % rounds down too


@settings(deadline=None, derandomize=True, max_examples=40)
@given(st.integers(-4000, 4000))
def test_round_takes_halves_up(eighths: int) -> None:
    x = Fraction(eighths, 8)
    assert value(f"round({eighths} / 8)") == pytest.approx(math.floor(x + Fraction(1, 2)), abs=1e-9)
    assert value(f"floor({eighths} / 8)") == pytest.approx(math.floor(x), abs=1e-9)
    assert value(f"ceil({eighths} / 8)") == pytest.approx(math.ceil(x), abs=1e-9)


# ---------------------------------------------------------------- kinds


@pytest.mark.parametrize(("expression", "underlined"), [
    ("2 mm + 1", "2 mm + 1"), ("1 - 2 deg", "1 - 2 deg"), ("1 mm + 1 deg", "1 mm + 1 deg"), ("\"a\" + 1", "\"a\""),
    ("min(1, 2 mm)", "2 mm"), ("sin(3)", "3"), ("sin(3 mm)", "3 mm"), ("remainder(5 mm, 2)", "2"),
    ("sqrt(2 mm)", "2 mm"), ("even(2 mm)", "2 mm"), ("chance(1 deg)", "1 deg"), ("-\"a\"", "\"a\""),
    ("2 * (1 < 2)", "1 < 2"),
])  # fmt: skip
def test_kinds_that_do_not_go_together(expression: str, underlined: str) -> None:
    code, words = refused(expression)
    assert code == "wrong-kind"
    assert underlined in words or words in underlined


def test_both_kinds_and_both_places_are_named() -> None:
    found = the_error("let a = 2 mm + 1")
    assert (found.code, found.line) == ("wrong-kind", 1)
    assert "length" in found.words and "number" in found.words


@pytest.mark.parametrize("condition", ["1 mm < 2", "1 deg = 2 mm", '"a" < "b"', '"a" = 1', "not 3", "1 and 2 < 3", "3"])
def test_conditions_of_the_wrong_kind(condition: str) -> None:
    found = the_error(source(f"grid columns 12 rows 4 once where {condition} {{ guide dot at (0, 1) }}"))
    assert found.code == "wrong-kind"


def test_a_chain_of_comparisons_is_told_how_to_write_it() -> None:
    found = the_error(source("grid columns 12 rows 4 each cell where 1 < column < 3 { guide dot at (0, 1) }"))
    assert "and" in (found.advice or found.words)


def test_what_is_used_must_be_of_a_kind() -> None:
    for expression in ("1 mm * 1 mm", "1 / (1 mm)", "1 deg * 1 deg"):
        assert refused(expression)[0] == "wrong-kind"
    assert value("1 mm * 1 mm / (1 mm * 1 mm)") == pytest.approx(1)  # on the way it may occur


def test_a_length_cubed_is_a_volume() -> None:
    tool = "tool lump { wide 9 mm volume 10 mm * 10 mm * 5 mm }"
    band = lay_band("grid columns 12 rows 4 once { attach lump at (1, 1) }", before=tool)
    tools = [w.tool for w in band.points.works]
    assert tools[0] is not None and tools[0].volume == pytest.approx(0.5)  # ml


@pytest.mark.parametrize(("expression", "code"), [
    ("min()", "syntax"), ("abs(1, 2)", "wrong-kind"), ("remainder(1)", "wrong-kind"), ("sqrt(1, 2)", "wrong-kind"),
])  # fmt: skip
def test_functions_want_so_many_values(expression: str, code: str) -> None:
    assert refused(expression)[0] in (code, "syntax")


# ---------------------------------------------------------------- what cannot be worked out


@pytest.mark.parametrize(("expression", "underlined"), [
    ("1 / 0", "0"), ("1 / (2 - 2)", "2 - 2"), ("sqrt(-1)", "-1"), ("remainder(1, 0)", "0"), ("1 mm / 0 mm", "0 mm"),
    ("tan(90 deg)", "90 deg"), ("tan(-3/4 turn)", "-3/4 turn"),
    # three tenths in binary fractions fall short of, or pass, 0.3 by 6e-17
    ("1 / (0.3 - 0.1 - 0.1 - 0.1)", "0.3 - 0.1 - 0.1 - 0.1"), ("remainder(1, 3 * 0.1 - 0.3)", "3 * 0.1 - 0.3"),
    ("sqrt(-0.00000001)", "-0.00000001"),
])  # fmt: skip
def test_no_value(expression: str, underlined: str) -> None:
    code, words = refused(expression)
    assert code == "no-value" and (underlined in words)


@pytest.mark.parametrize(("expression", "per", "number"), [
    ("sqrt(0.3 - 3 * 0.1)", "", 0),  # 3 * 0.1 is 0.30000000000000004 in binary fractions
    ("sqrt(60.3 mm * 60.3 mm - (60 mm + 3 * 0.1 mm) * (60 mm + 3 * 0.1 mm))", "1 mm", 0),
    ("tan(89 deg)", "", 57.289961630759),  # as tables print it, 57.28996
])  # fmt: skip
def test_what_cancels_is_0(expression: str, per: str, number: float) -> None:
    assert value(expression, per) == pytest.approx(number, abs=1e-9)


def test_no_value_only_where_the_statement_applies() -> None:
    ok = (
        "each cell where column <> 3 { guide dot at (1 / (column - 3), 1/2) }"
        " each cell { if column > 3 { guide dot at (sqrt(column - 4), 1/2) } otherwise { guide dot at (0, 1/2) } }"
        " once where 1 > 2 { guide dot at (1 / 0, 0) }"
        " each cell { repeat 0 as k { guide dot at (1 / 0, 0) } draw { guide dot at (1 / 0, 0) } rotated 0 times }"
    )
    assert lay_band(f"grid columns 12 rows 1 {ok}") is not None
    found = the_error(source("grid columns 12 rows 1 each cell { guide dot at (1 / (column - 3), 1/2) }"))
    assert found.code == "no-value" and "column 3" in found.words and "row 1" in found.words


def test_a_let_is_worked_out_where_it_stands() -> None:
    """A let that no place can work out is an error at the places it stands in, used or not."""
    ok = "each cell where column <> 3 { let x = 1 / (column - 3) guide dot at (x, 1/2) }"
    assert len(lay_band(f"grid columns 12 rows 1 {ok}").points) == 11


# ---------------------------------------------------------------- whole numbers


def test_a_whole_number_may_stand_for_a_count() -> None:
    assert lay_band("given n count = 12 / 4 grid columns n rows sqrt(16)").columns == 3
    assert lay_band("grid columns 3 * 0.1 * 10 rows 1").columns == 3  # 3.0000000000000004
    found = the_error(source("given n count = 7 / 2 grid columns n rows 1"))
    assert found.code == "wrong-kind" and "3.5" in found.words


# ---------------------------------------------------------------- chance


def mixed(x: int) -> int:
    """The published integer hash (xor-shift, multiply), modulo 2³², in plain integers."""
    x ^= x >> 16
    x = x * 0x7FEB352D % 2**32
    x ^= x >> 15
    x = x * 0x846CA68B % 2**32
    return x ^ (x >> 16)


def chanced(n: int, across: int, up: int) -> float:
    return mixed(mixed(mixed(n % 2**32) ^ across) ^ up) / 2**32


def test_chance_as_the_language_states_it() -> None:
    assert chanced(1, 1, 1) == pytest.approx(0.9019646777, abs=5e-11)  # the stated value


@pytest.mark.parametrize("n", [0, 1, 2, 77, 123456])
def test_chance_of_cells(n: int) -> None:
    band = lay_band(f"grid columns 7 rows 5 each cell {{ impress dot at (1/2, 1/2) across (chance({n}) + 1) * 1 mm }}")
    wanted = [1 + chanced(n, c, r) for r in range(1, 6) for c in range(1, 8)]
    assert band.points.across == pytest.approx(wanted, abs=1e-12)


@pytest.mark.parametrize(("place", "numbers"), [
    ("each crossing", [(v, r) for r in (0, 1, 2) for v in (1, 2, 3)]),  # vertical and ring where there is no cell
    ("each vertical", [(v, 0) for v in (1, 2, 3)]),                    # 0 for what a place lacks
    ("each ring", [(0, r) for r in (0, 1, 2)]),
    ("once", [(0, 0)]),
])  # fmt: skip
def test_chance_elsewhere(place: str, numbers: list[tuple[int, int]]) -> None:
    band = lay_band(f"grid columns 3 rows 2 {place} {{ impress dot at (0, 0) across (chance(5) + 1) * 1 mm }}")
    assert band.points.across == pytest.approx([1 + chanced(5, *p) for p in numbers], abs=1e-12)


def test_chance_of_a_value_and_of_groups() -> None:
    band = lay_band(
        "grid columns 6 rows 4 each 3 by 2 cells { repeat 2 as k { impress dot at (k, 1) across"
        " (chance(k + 10) + 1) * 1 mm } }"
    )
    wanted = [1 + chanced(k + 10, c, r) for r in (1, 3) for c in (1, 4) for k in (1, 2)]
    assert band.points.across == pytest.approx(wanted, abs=1e-12)


def test_chance_asks_for_a_whole_number() -> None:
    assert refused("chance(1/2)") == ("wrong-kind", "1/2")


def test_chance_is_even() -> None:
    """10 000 draws: mean 1/2 within four standard errors (0.0115), every tenth hit within four of its own."""
    band = lay_band("grid columns 100 rows 100 each cell { impress dot at (0, chance(3)) }")
    drawn = band.points.tape / 2 - (band.points.row - 1)  # rows of 2 mm
    assert abs(drawn.mean() - 0.5) < 0.0116
    assert all(abs(int(((drawn >= k / 10) & (drawn < (k + 1) / 10)).sum()) - 1000) < 120 for k in range(10))


#: 10^288, near the largest number that a computer's numbers hold (IEEE 754 binary64: 1.8 · 10^308)
_HUGE = "let a = 1000000000 let b = a * a * a * a let c = b * b * b * b let huge = c * c"


@pytest.mark.parametrize("expression", [
    "column * huge * huge", "0 - column * huge * c", "(column + 1) * huge * c", "column * huge * c - 1",
    "floor(column * huge * c)", "ceil(column * huge * c)", "round(column * huge * c)", "sqrt(column * huge * c)",
    "abs(column * huge * c)", "max(column * huge * c, 1)", "min(column * huge * c, 1)",
    "sin(column * huge * c * 1 deg)",
    "tan(column * huge * b * 1 deg)", "remainder(column * huge * c, 3)", "column * huge / (1 / c) ",
])  # fmt: skip
def test_what_grows_beyond_all_bounds_is_told(expression: str) -> None:
    """At many places at once, where the machine only warns. (A number under 10^-36 is 0 to a divisor.)"""
    text = source(f"grid columns 12 rows 4 each cell where {expression} > 5 {{ guide dot at (0, 1) }}", before=_HUGE)
    message = the_error(text)
    assert message.code == "no-value"
    assert "beyond all bounds" in message.words or "divides by zero" in message.words


def test_what_grows_large_and_stays_finite_is_worked_out() -> None:
    assert holds("huge * 1000000000 > huge", before=_HUGE)
