"""The stop for a trial assembly: its place in the program, what it tells, and the same piece made again after it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.commands.conftest import Call
from tests.pins import pin
from toolpath.commands.inputs import read_inputs
from toolpath.plan.request import Trial

PIN = pin(70)
TWICE = '[[holding]]\nin = "collet"\n[[holding]]\nin = "collet"\n'
TURNED = '[[holding]]\nin = "collet"\nend = "back"\n[[holding]]\nin = "collet"\nend = "front"\n'


def trial(bench: Path, text: str, **sizes: str) -> Trial:
    (found,) = read_inputs(written(bench, text), sizes=sizes).trials
    return found


def written(bench: Path, text: str) -> Path:
    path = bench / "pin.toml"
    path.write_text(text, encoding="utf-8")
    return path


def stops(program: Path) -> str:
    """The comments of a program as one run of words."""
    return " ".join(re.findall(r"^\((.*)\)$", program.read_text(encoding="ascii"), flags=re.MULTILINE))


def kinds(bench: Path, number: int) -> list[str]:
    report = json.loads((bench / "pin" / "pin.json").read_text(encoding="utf-8"))
    return [op["kind"] for op in report["setups"][number - 1]["operations"]]


def test_the_program_stops_for_it_before_the_part_comes_off(bench: Path, call: Call) -> None:
    written(bench, PIN)
    code, out, err = call("make", "pin.toml")
    assert (code, err) == (0, "")
    assert kinds(bench, 1)[-3:] == ["finish", "trial", "part off"]
    assert "trial        by hand  shoulder with its mate" in out
    told = stops(bench / "pin" / "pin-1.nc")
    assert "try it with its mate: 'shoulder' is 13.000 mm, with 0.500 mm to come off." in told
    assert '--set shoulder="13.000 mm - FOUND mm"' in told
    assert (
        "face the end back by hand by as much as was found, set Z0 there, and run that program from its start" in told
    )
    assert "M00" in (bench / "pin" / "pin-1.nc").read_text(encoding="ascii").split("trial by hand")[1].split("---")[0]


def test_prove_knows_the_stop(bench: Path, call: Call) -> None:
    written(bench, PIN)
    assert call("make", "pin.toml").code == 0
    assert call("prove", "pin/pin-1.nc", "--job", "pin.toml").code == 0


def test_made_again_with_what_was_found_it_stops_no_more(bench: Path, call: Call) -> None:
    written(bench, PIN)
    code, _, err = call("make", "pin.toml", "--set", "shoulder=13.000 mm - 0.68 mm")
    assert (code, err) == (0, "")
    assert "trial" not in kinds(bench, 1)
    report = json.loads((bench / "pin" / "pin.json").read_text(encoding="utf-8"))
    assert min(p[0] for p in report["setups"][0]["part"][0]) == pytest.approx(-20.32)


def test_it_is_tried_with_the_component_that_the_part_holds(bench: Path) -> None:
    held = PIN.replace("[[trim]]", 'inside = [ { holds = "cord" } ]\n[[trim]]') + (
        '[[component]]\nname = "cord"\nsteps = [ { dia = 1.9, length = 20 } ]\nfit = "free"\nseat = 6\n'
    )
    found = trial(bench, held)
    assert found.mate == "'cord'" and found.off == "front"  # its hole is drilled on when the face comes back


def test_a_whole_length_can_be_tried_only_off_the_bar(bench: Path, call: Call) -> None:
    text = PIN.replace('whole = "shoulder + 8"', "whole = 20.5").replace('size = "shoulder"', 'size = "whole"')
    found = trial(bench, text)
    assert found.loose and found.number == 1
    assert call("make", "pin.toml").code == 0
    assert kinds(bench, 1)[-2:] == ["part off", "trial"]
    told = stops(bench / "pin" / "pin-1.nc")
    assert "take the part off, clean it" in told and "use that program for the next piece" in told


def test_where_the_piece_stays_on_the_bar_it_is_no_looser_than_before(bench: Path) -> None:
    text = PIN.replace('whole = "shoulder + 8"', "whole = 20.5").replace('size = "shoulder"', 'size = "whole"')
    assert not trial(bench, text + "[parting]\noff = false\n").loose


@pytest.mark.parametrize(
    ("old", "new", "off"),
    [
        ("", "", "front"),  # a cylinder that is too long loses it at the face
        ('whole = "shoulder + 8"', "whole = 20.5", ""),  # the face comes back, and with it the back face would have to
        ("dia = 8,", "dia = 14,", "front"),
        ('{ dia = 8, to = "shoulder" }', '{ dia = 8, to = 5 }, { dia = 10, to = "shoulder" }', "front"),
        ('{ dia = 8, to = "shoulder" }', '{ dia = 10, to = 5 }, { dia = 8, to = "shoulder" }', ""),  # a collar in front
    ],
)
def test_where_the_spare_comes_off(bench: Path, old: str, new: str, off: str) -> None:
    text = PIN.replace(old, new)
    assert trial(bench, text).off == off


@pytest.mark.parametrize(
    ("holdings", "rows", "number"),
    [
        (TWICE, "", 1),  # the shoulder looks at the front end, which is cut first
        (TURNED, "", 2),  # cut last
        (TWICE, "{ dia = 12, to = 4 }, { dia = 14, to = 'shoulder' }, { dia = 9, to = 'whole' }", 2),
        (TURNED, "{ dia = 12, to = 4 }, { dia = 14, to = 'shoulder' }, { dia = 9, to = 'whole' }", 2),  # the face last
    ],
)
def test_it_is_tried_in_the_set_up_that_cuts_the_last_of_it(bench: Path, holdings: str, rows: str, number: int) -> None:
    text = PIN.replace('{ dia = 8, to = "shoulder" }, { dia = 12, to = "whole" }', rows) if rows else PIN
    assert trial(bench, text + holdings).number == number


def test_in_the_second_holding_it_comes_after_the_last_cut(bench: Path, call: Call) -> None:
    written(bench, PIN + TURNED)
    code, _, err = call("make", "pin.toml")
    assert (code, err) == (0, "")
    assert "trial" not in kinds(bench, 1) and kinds(bench, 2)[-1] == "trial"
    assert (
        "face the end back by hand by as much as was found, run that program from its start: it sets Z0 anew"
        in stops(bench / "pin" / "pin-2.nc")
    )


def test_a_job_without_a_trim_is_asked_nothing(bench: Path) -> None:
    text = PIN.replace('[[trim]]\nsize = "shoulder"\nspare = 0.5\n', "")
    assert read_inputs(written(bench, text), sizes={}).trials == ()


@pytest.mark.parametrize(("middle", "off"), [("", "front"), ("{ dia = 8, to = 6 }, ", "")])
def test_what_another_set_up_has_turned_is_not_trimmed_in_this_one(bench: Path, middle: str, off: str) -> None:
    """The step at 6 mm would have to move with the face, and this set-up turns no farther than to 3 mm."""
    rows = f'{{ dia = 7, to = 3 }}, {middle}{{ dia = 9, to = "shoulder" }}'
    text = PIN.replace('{ dia = 8, to = "shoulder" }', rows)
    found = trial(bench, text + TURNED.replace('end = "front"', 'end = "front"\nturn_to = 3'))
    assert (found.number, found.off) == (2, off)
