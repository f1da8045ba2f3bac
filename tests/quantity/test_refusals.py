"""Nonsense is answered in plain words, and no text of a job can do more than add and multiply."""

from __future__ import annotations

import math

import pytest

from toolpath.errors import BadInput
from toolpath.quantity import LENGTH, Quantity, evaluate_sizes, length, nearest, size

KNOB = {"wall": Quantity(1.2, LENGTH), "cord": Quantity(2.0, LENGTH)}

REFUSED = [
    ("", "the text is empty"),
    ("   ", "the text is empty"),
    ("12 mmm", "unknown unit 'mmm'. Did you mean 'mm'?"),
    ("12 inn", "unknown unit 'inn'. Did you mean 'in'?"),
    ("12 thuo", "unknown unit 'thuo'. Did you mean 'thou'?"),
    ("1 3/8 inc", "unknown unit 'inc'. Did you mean 'inch'?"),
    ("12 wal", "unknown unit 'wal'. Did you mean 'wall'?"),
    ("wal", "no size named 'wal'. Did you mean 'wall'?"),
    ("cord + 2*wal", "no size named 'wal'"),
    ("Wall", "no size named 'Wall'. Did you mean 'wall'?"),
    ("mm", "the unit 'mm' has no number before it"),
    ("cord * mm", "the unit 'mm' has no number before it"),
    ('"', "the unit '\"' has no number before it"),
    ("1/0 in", "division by zero"),
    ("1/0", "division by zero"),
    ("cord/0", "division by zero"),
    ("cord/(1 - 1)", "division by zero"),
    ("1/(wall - wall)", "division by zero"),
    ("1 3/0 in", "not a whole number and a fraction"),
    ("1 9/8 in", "not a whole number and a fraction"),
    ("1.5 3/8 in", "not a whole number and a fraction"),
    ("1 2", "two numbers stand side by side"),
    ("1 2 mm", "two numbers stand side by side"),
    ("1 000 mm", "two numbers stand side by side"),
    ("2 wall", "a sign is missing before 'wall'"),
    ("wall 2", "a sign is missing before '2'"),
    ("wall cord", "a sign is missing before 'cord'"),
    ("2(3)", "a sign is missing before '('"),
    ("(2)(3)", "a sign is missing before '('"),
    ("(2) wall", "a sign is missing before 'wall'"),
    ("5 mm rev", "a sign is missing before 'rev'"),
    ("1e999", "written out in full"),
    ("1e400 mm", "written out in full"),
    ("1e+400", "too large"),
    ("min(1e+400, 3)", "too large"),
    ("9" * 50, "too large"),
    ("1e+11*" * 20 + "1", "too large"),
    ("wall*" * 150 + "1", "longer than 200 characters"),
    ("1" * 201, "longer than 200 characters"),
    ("nan", "no size named 'nan'"),
    ("inf", "no size named 'inf'"),
    ("1,5", "Decimals have a point"),
    ("1,5 mm", "Decimals have a point"),
    ("12;", "the sign ';' has no meaning"),
    ("12 mm = 5", "the sign '=' has no meaning"),
    ("1_000", "unknown unit '_000'"),
    ("\u00bd in", "the sign '\u00bd' has no meaning"),
    ("\u0663 mm", "has no meaning"),
    ("12 %", "the sign '%' has no meaning"),
    ("2 ^ 3", "the sign '^' has no meaning"),
    ("+", "can not be read as a sum"),
    ("2 +", "can not be read as a sum"),
    ("* 2", "can not be read as a sum"),
    ("()", "can not be read as a sum"),
    ("(2", "can not be read as a sum"),
    ("2)", "can not be read as a sum"),
    ("min()", "can not be read as a sum"),
    ("min", "the unit 'min' has no number"),
    ("max", "no size named 'max'"),
]


@pytest.mark.parametrize(("written", "says"), REFUSED)
def test_nonsense_is_refused_in_plain_words(written: str, says: str) -> None:
    for ask in (length, size):
        with pytest.raises(BadInput) as caught:
            ask(written, names=KNOB)
        assert says in str(caught.value)


def test_a_comma_at_the_end_of_a_list_is_harmless() -> None:
    assert length("min(3, 2, )") == 2.0


@pytest.mark.parametrize(
    "written",
    [
        "2**3",
        "9**9**9**9",
        "7//2",
        "7 % 2",
        "1 << 40",
        "wall.value",
        "wall.__class__",
        "().__class__.__bases__",
        "__import__('os')",
        '__import__("os")',
        "open(1)",
        "rand()",
        "int(3)",
        "lambda: 1",
        "[1]",
        "{1}",
        "'12'",
        "wall[0]",
        "1 if 1 else 2",
        "1 < 2",
        "not 1",
        "wall and cord",
        "wall := 3",
        "min(*wall)",
        "min(**wall)",
        "(1, 2)",
        "v0",
        "v0 + 1",
        "1; 2",
        "1 + 2 # 3",
        "True",
        "None",
        "f'{1}'",
        "\\",
        "1\\\n+2",
        "\x00",
    ],
)
def test_nothing_but_sums_and_products_is_understood(written: str) -> None:
    with pytest.raises(BadInput):
        length(written, names=KNOB)


def test_deep_nesting_within_the_allowed_length_ends() -> None:
    assert length("(" * 90 + "1" + ")" * 90) == 1.0
    assert length("-" * 198 + "1") == 1.0
    with pytest.raises(BadInput):
        length("(" * 199)


@pytest.mark.parametrize("value", [True, False, None, [], [12], {}, {"dia": 12}, b"12", object, 1j])
def test_what_is_neither_number_nor_text_is_refused(value: object) -> None:
    for ask in (length, size):
        with pytest.raises(BadInput, match="is neither a number nor a text"):
            ask(value)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 10**400, -(10**400), 1e300])
def test_numbers_without_end_are_refused(value: float) -> None:
    for ask in (length, size):
        with pytest.raises(BadInput, match=r"not a number|too large"):
            ask(value)


class TestSizes:
    """The [sizes] of a job."""

    def test_any_order_and_any_depth(self) -> None:
        told = evaluate_sizes({"outer": "bore + 2*wall", "bore": "cord + 0.5", "cord": 2, "wall": "1.2 mm"})
        assert {name: one.value for name, one in told.items()} == pytest.approx(
            {"outer": 4.9, "bore": 2.5, "cord": 2.0, "wall": 1.2}
        )
        assert list(told) == ["outer", "bore", "cord", "wall"]
        assert {one.dims for one in told.values()} == {LENGTH}

    def test_bare_sizes_take_the_unit_of_the_job(self) -> None:
        told = evaluate_sizes({"cord": 0.5, "knot": "cord + 0.25", "wall": "1 mm"}, unit="inch")
        assert [told[name].value for name in ("cord", "knot", "wall")] == pytest.approx([12.7, 19.05, 1.0])

    def test_other_kinds_keep_their_kind(self) -> None:
        told = evaluate_sizes({"slope": "8 deg", "ribs": "3 times", "part": "a/b", "a": 6, "b": 4})
        assert told["slope"].value == pytest.approx(math.radians(8))
        assert (told["ribs"], told["part"]) == (Quantity(3.0), Quantity(1.5))
        assert length("ribs * a * part", names=told) == pytest.approx(27.0)

    def test_a_setting_overrides_and_everything_follows(self) -> None:
        table = {"cord": 2, "wall": 1.2, "outer": "cord + 2*wall"}
        assert evaluate_sizes(table, {"wall": "2"})["outer"].value == pytest.approx(6.0)
        assert evaluate_sizes(table, {"wall": "1/16 in"})["outer"].value == pytest.approx(5.175)
        assert evaluate_sizes(table, {"wall": "cord / 4"})["outer"].value == pytest.approx(3.0)
        assert evaluate_sizes(table, {"outer": "9"})["outer"].value == 9.0
        assert evaluate_sizes(table)["outer"].value == pytest.approx(4.4)

    def test_an_override_may_end_a_ring(self) -> None:
        assert evaluate_sizes({"a": "b", "b": "a"}, {"b": "3"})["a"].value == 3.0

    def test_no_sizes_are_no_fault(self) -> None:
        assert evaluate_sizes({}, {}) == {}

    def test_a_long_row_of_sizes_each_made_of_the_last(self) -> None:
        table: dict[str, object] = {f"step{n}": f"step{n - 1} + 1" for n in range(1, 3000)} | {"step0": 1}
        assert evaluate_sizes(table)["step2999"].value == pytest.approx(3000.0)

    @pytest.mark.parametrize(
        ("table", "overrides", "where", "says"),
        [
            ({"wall": 1}, {"wal": "2"}, "--set wal", "no size named 'wal' to set. Did you mean 'wall'?"),
            ({}, {"wall": "2"}, "--set wall", "The job names no sizes"),
            ({"wall": 1}, {"wall": "2 mmm"}, "--set wall", "unknown unit 'mmm'"),
            ({"wall": 1}, {"wall": ""}, "--set wall", "the text is empty"),
            ({"wall": 1}, {"wall": "wall * 2"}, "--set wall", "wall -> wall"),
            ({"wall": "1.2.3"}, {}, "sizes.wall", "two numbers stand side by side"),
            ({"wall": True}, {}, "sizes.wall", "true is neither a number nor a text"),
            ({"wall": "14 h7"}, {}, "sizes.wall", "a named size has no limits"),
            ({"wall": "3 mm + 2 deg"}, {}, "sizes.wall", "a length and an angle can not be added"),
            ({"wall": "2*cor", "cord": 1}, {}, "sizes.wall", "no size named 'cor'. Did you mean 'cord'?"),
            ({"wall": "1/0"}, {}, "sizes.wall", "division by zero"),
            ({"wall-x": 1}, {}, "sizes.wall-x", "Write 'wall_x', for '-' is a minus"),
            ({"2wall": 1}, {}, "sizes.2wall", "Use letters, digits and _"),
            ({"": 1}, {}, "sizes.", "can not be the name"),
            ({"mm": 1}, {}, "sizes.mm", "is a unit or a function"),
            ({"min": 1}, {}, "sizes.min", "is a unit or a function"),
            ({"max": 1}, {}, "sizes.max", "is a unit or a function"),
        ],
    )
    def test_faults_carry_the_name(
        self, table: dict[str, object], overrides: dict[str, str], where: str, says: str
    ) -> None:
        with pytest.raises(BadInput) as caught:
            evaluate_sizes(table, overrides)
        assert caught.value.where == where
        assert says in str(caught.value)

    def test_a_ring_is_told_name_by_name(self) -> None:
        with pytest.raises(BadInput, match="sizes that need each other") as caught:
            evaluate_sizes({"a": "b + 1", "b": "c", "c": "2*a", "d": 1})
        ring = caught.value.what.split(": ")[1].split(" -> ")
        assert ring[0] == ring[-1]
        needs = {"a": "b", "b": "c", "c": "a"}
        assert [needs[name] for name in ring[:-1]] == ring[1:]


@pytest.mark.parametrize(
    ("word", "known", "told"),
    [
        ("radus", ["dia", "radius"], "Did you mean 'radius'? Known here: dia, radius"),
        ("RADIUS", ["dia", "radius"], "Did you mean 'radius'? Known here: dia, radius"),
        ("Dia", ["DIA", "radius"], "Did you mean 'DIA'? Known here: DIA, radius"),
        ("xyz", ["dia", "radius"], "Known here: dia, radius"),
        ("xyz", [], ""),
        ("step7", [f"step_{n}" for n in range(40)], "Did you mean 'step_7'?"),
    ],
)
def test_the_nearest_word(word: str, known: list[str], told: str) -> None:
    assert nearest(word, known) == told
    assert nearest(word, known, every=False) in told
