"""A job whose part holds something bought: from its tables to what `check` prints and `make` proves."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import BUSH, Call, everything
from tests.commands.test_check import change

HOLDER = (
    BUSH.replace("to = 6 }", "to = 16 }").replace("to = 10 }", "to = 26 }").replace('"8 h9"', '"10 h9"')
    + """\
inside = [
  { holds = "point" },
]
[[component]]
name = "point"
steps = [ { dia = 5.95, length = 12 }, { dia = 2.9, length = 8 } ]
fit = "free"
seat = 8
"""
)

TABLE = """\
Holds 'point', mm
 step      from        to      hole        to      play        to  made with
    1     5.930     5.970     6.059     6.160     0.089     0.229  drill 6
    2     2.880     2.920     2.972     3.052     0.052     0.172  drill #32
    Its body comes to rest 8 mm from the front face; it sticks out 4 mm
    Step 1: free fit, play 0.03 mm to 0.4 mm (least: H/d of ISO 286-1; most:
"""


@pytest.fixture
def holder(bench: Path) -> Path:
    """A point holder in the file `bush.toml`."""
    (bench / "bush.toml").write_text(HOLDER, encoding="utf-8")
    return bench


def test_check_tells_what_is_held_with_which_play(holder: Path, call: Call) -> None:
    """Over a drill of 6 mm: 0.0595 to 0.1595 mm; of 2.946 mm: 0.0254 to 0.1060 (machinists' handbooks, from memory)."""
    before = everything(holder)
    code, out, err = call("check", "bush.toml")
    assert (code, err) == (0, "")
    assert TABLE in out
    assert "component.measured_within = 0.02 mm: either way" in out
    assert everything(holder) == before


def test_a_part_that_holds_nothing_has_no_such_table(bench: Path, call: Call) -> None:
    assert "Holds" not in call("check", "bush.toml").out


def test_make_drills_what_was_picked(holder: Path, call: Call) -> None:
    change(holder, '"10 h9"', '"10"')
    code, out, err = call("make", "bush.toml")
    assert (code, err) == (0, "")
    assert "drill 6" in out or "6 mm drill" in out
    report = json.loads((holder / "bush" / "bush.json").read_text(encoding="utf-8"))
    assert "#32" in json.dumps(report)


def test_what_is_done_afterwards_is_told_and_followed(holder: Path, call: Call) -> None:
    with (holder / "bush.toml").open("a", encoding="utf-8") as file:
        file.write("[afterwards]\nplating = { a_side = 0.01, within = 0.002 }\n")
        file.write('polish = { a_side = 0.03, on = "outside" }\n')
    out = call("check", "bush.toml").out
    assert "    1     5.930     5.970     6.035     6.144 " in out  # 0.02 smaller, 0.004 farther either way
    assert "    plating: 0.01 mm a side, within 0.002 mm, inside and outside\n" in out
    assert "    polish: -0.03 mm a side, within 0 mm, outside\n" in out
    assert "outside diameters come to 0.04 mm less when all is done" in " ".join(out.split())


def test_in_a_plastic_it_is_told_by_how_much_a_hole_closes_in(holder: Path, call: Call) -> None:
    out = call("check", "bush.toml", "--material", "acetal").out
    assert "acetal (POM) closes in by 0 to 0.5 % of a hole (common practice, no source)" in out


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('holds = "point"', 'holds = "pint"', "bush.toml:17: part.inside[0].holds: there is no component named 'pint'. "
         "Did you mean 'point'?"),
        ("seat = 8", "", "component[0]: nothing says where it lies. Write seat"),
        ("seat = 8", "seat = 8\nsticks_out = 5", "so that 4 mm stick out, not 5 mm"),
        ('fit = "free"', 'fit = "loose"', "bush.toml:22: component[0].fit: "),
        ('fit = "free"', 'fit = "close"', "'point', step 1 (5.95 mm) may be 5.930 to 5.970 mm; a close fit takes"),
        ("dia = 2.9, length", "dia = 2.9, long", "component[0].steps[1]"),
        ("steps = [ {", "steps = []\n#", "component[0].steps: it has no steps"),
        ("dia = 5.95", "dia = 15.95", "'point', step 1 (15.95 mm) wants a hole"),
        ("dia = 5.95", "dia = 0", "component[0].steps[0].dia: '0' has to be larger than 0"),
        ("seat = 8", "seat = 8\nmeasured_within = 3", "measured within 3 mm says nothing of steps[1]"),
        ("seat = 8", "seat = 30", "comes to rest 30 mm from its face, and the part is 26 mm long"),
        ('{ holds = "point" }', "{ hole = 6, deep = 7.97 }", "'point', step 2 (2.9 mm) meets drilled floor 118°"),
        ('{ holds = "point" }', '{ holds = "point", deep = 3 }', "'deep' does not belong beside 'holds'"),
    ],
)  # fmt: skip
def test_what_is_refused(holder: Path, call: Call, old: str, new: str, told: str) -> None:
    change(holder, old, new)
    code, out, err = call("check", "bush.toml")
    assert (code, out) == (1, "")
    assert told in err and "Traceback" not in err


def test_a_row_after_the_component_is_named_by_its_own_number(holder: Path, call: Call) -> None:
    """The component makes three rows, and the one after it is still the second that was written."""
    change(holder, '{ holds = "point" },', '{ holds = "point" }, { hole = 2, deep = 10 },')
    assert "part.inside[1]: deep = 10 mm does not go beyond" in call("check", "bush.toml").err


def test_a_knot_below_its_face(holder: Path, call: Call) -> None:
    change(holder, "dia = 2.9, length = 8", "dia = 2.9, length = 80")
    change(holder, "seat = 8", 'sticks_out = -3\nfrom = "back"\nthrough = true')
    out = call("check", "bush.toml").out
    assert "Its body comes to rest 15 mm from the back face; its outer end lies 3 mm\n    below it" in out


def test_two_components_of_one_name(holder: Path, call: Call) -> None:
    with (holder / "bush.toml").open("a", encoding="utf-8") as file:
        file.write(HOLDER[HOLDER.index("[[component]]") :])
    assert "component[1].name: there are two components named 'point'" in call("check", "bush.toml").err


def test_a_thin_wall_that_is_only_warned_of_is_made(holder: Path, call: Call) -> None:
    change(holder, '"10 h9"', "7")
    assert "leaves a wall of 0.42" in call("check", "bush.toml").err
    change(holder, 'material = "brass"', 'material = "brass"\nthin = "warn"')
    assert call("check", "bush.toml").code == 0


def test_a_length_that_is_cut_to_fit_is_told(bench: Path, call: Call) -> None:
    text = BUSH.replace("flange = 12", "flange = 12\nreach = 6").replace("to = 6 ", 'to = "reach" ')
    (bench / "bush.toml").write_text(text + '[[trim]]\nsize = "reach"\nspare = 0.5\n', encoding="utf-8")
    out = call("check", "bush.toml").out
    assert "\nCut to fit\n  reach is cut to 6.5 mm, 0.5 mm longer than drawn (6 mm); after the trial:\n" in out
    assert '--set reach="what it must be"' in out
    assert "    0.200     6.500     7.982" in out
    out = call("check", "bush.toml", "--set", "reach=5.8").out
    assert "\n  reach is cut to 5.8 mm, as --set says\n" in out
