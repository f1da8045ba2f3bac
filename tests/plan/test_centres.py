"""Work in a centre, between centres, and in three holdings and more: planned, written, read back and proven.

Lengths by hand from the sizes of the machine file: a running centre of 12 mm, 32 mm out of a body of 40 mm; a dog 12 mm
along the work. A seat of A2 opens to 4.25 mm (ISO 6411).
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import shapely
from msgspec.structs import replace
from shapely.affinity import translate

from tests.commands.conftest import SAMPLES
from tests.plan.bench import faults, standing
from tests.plan.holdings import BETWEEN_CENTRES, PULLED_INTO_A_CENTRE
from toolpath.commands.inputs import hold, read_inputs, refuse_short_bar
from toolpath.commands.road import Made, make, setting
from toolpath.errors import HalfsectionError
from toolpath.geometry.elements import points_of
from toolpath.motion import Cut, Rapid
from toolpath.part.stock import tube
from toolpath.plan.gripping import by_dog
from toolpath.plan.operations import ByHand
from toolpath.proof.prove import prove

HEAD = f"""\
title = "Pin"
machine = "{SAMPLES}/machines/bench.toml"
tools = "{SAMPLES}/racks/drawer.toml"
material = "brass"
"""
LONG = """\
[bar]
dia = 16
length = 140
[part]
outside = [ { dia = 10, to = 30 }, { taper_to = 14, to = 60 }, { dia = 14, to = 90 } ]
inside = [ { centre = "A2" } ]
"""
LONG += PULLED_INTO_A_CENTRE
BETWEEN = """\
[bar]
dia = 16
length = 122
[part]
outside = [ { dia = 10, to = 30 }, { dia = 12, to = 60 }, { dia = 14, to = 90 }, { dia = 10, to = 120 } ]
inside = [ { centre = "A2" }, { centre = "A2", from = "back" } ]
[parting]
off = false
"""
BETWEEN += BETWEEN_CENTRES
SHORT = """\
[bar]
dia = 16
length = 80
[part]
outside = [ { dia = 10, to = 20 }, { dia = 12, to = 30 }, { dia = 14, to = 40 } ]
inside = [ { centre = "A2" } ]
[parting]
off = false
[[holding]]
in = "chuck"
centre = "running"
"""
CAP = """\
[bar]
dia = 16
length = 70
[part]
outside = [
  { thread = "M10x1-6g", to = 9, undercut = true, cut_by = "point" },
  { dia = 14, to = 13 },
  { taper_to = 9, to = 22 },
]
inside = [ { hole = 6, deep = 12 }, { hole = 2, through = true, from = "back", made = "drilled" } ]
[[holding]]
in = "collet"
turn_to = 13
[[holding]]
grip = "part"
end = "back"
on = "mandrel M10x1"
against = "shoulder at 9"
turn_to = 5
[[holding]]
grip = "part"
end = "back"
on = "mandrel M10x1"
against = "shoulder at 9"
"""


def made(folder: Path, text: str, *, machine: str = "") -> Made:
    head = HEAD
    if machine:
        (folder / "own.toml").write_text((SAMPLES / "machines" / "bench.toml").read_text() + machine)
        head = HEAD.replace(f"{SAMPLES}/machines/bench.toml", "own.toml")
    (folder / "pin.toml").write_text(head + text)
    return make(folder / "pin.toml", sizes={}, material=None, post=None, stop_before_tools=False)


def test_the_spindle_of_the_samples(tmp_path: Path) -> None:
    """All that must run true is turned between centres, 0.01 mm off at the most."""
    done = make(SAMPLES / "polishing-spindle.toml", sizes={}, material=None, post=None, stop_before_tools=False)
    assert faults(done) == []
    assert [s.plan.work.hold.kind for s in done.setups] == ["collet", "collet", "centres", "centres"]
    last = done.setups[-1]
    part = shapely.Polygon(points_of(last.plan.request.part.outline, 1e-4))
    assert (
        shapely.area(shapely.symmetric_difference(standing(last), part)) < 0.05
    )  # mm² of some 540: the grid of the control, chords


def kinds(done: Made) -> list[list[str]]:
    return [[op.kind for op in s.plan.operations] for s in done.setups]


@pytest.mark.parametrize("job", [LONG, BETWEEN, SHORT, CAP], ids=["long", "between", "short", "cap"])
def test_each_is_proven_and_the_last_set_up_leaves_the_part(tmp_path: Path, job: str) -> None:
    done = made(tmp_path, job)
    assert faults(done) == []
    last = done.setups[-1]
    part = shapely.Polygon(points_of(last.plan.request.part.outline, 1e-4))
    whole = standing(last)
    if job is SHORT:  # it stays on its bar
        whole = shapely.intersection(whole, shapely.box(-40.0, 0.0, 1.0, 20.0))
    # What noses leave in sharp feet is thin: less than 0.3 mm² of a section of hundreds.
    assert shapely.area(shapely.symmetric_difference(whole, part)) < 0.3


def test_the_order_of_a_long_pin(tmp_path: Path) -> None:
    """Faced and centred close to the collet; pulled out, turned with the centre in, sawn off; faced from the back."""
    first, second, third = kinds(made(tmp_path, LONG))
    assert first == ["face", "centre"]
    assert second[0] == "set zero" and second[-1] == "saw off" and "part off" not in second and "face" not in second
    assert third[:2] == ["set zero", "face"]


def test_in_one_holding_the_centre_comes_in_after_its_hole(tmp_path: Path) -> None:
    (only,) = made(tmp_path, SHORT).setups
    assert [op.kind for op in only.plan.operations][:4] == ["face", "centre", "centre in", "rough"]
    (brought,) = [h for h in only.proof.by_hand if h.holds is not None]
    cone = shapely.union_all([shapely.Polygon(o) for o in brought.holds or ()])
    # 60 degrees in a mouth of 4.25: the tip lies 2.125 / tan 30 deg in, its body 32 in front of that.
    tip = -2.125 / math.tan(math.radians(30.0))
    front = shapely.intersection(cone, shapely.box(tip - 1.0, -1.0, 100.0, 50.0))
    assert shapely.bounds(front)[0] == pytest.approx(tip, abs=1e-6)
    assert shapely.intersects(front, shapely.Point(tip + 32.1, 19.9))
    assert not shapely.intersects(front, shapely.Point(tip + 31.9, 19.9))


def test_tools_keep_half_a_millimetre_from_the_centre(tmp_path: Path) -> None:
    for s in made(tmp_path, BETWEEN).setups[2:]:
        centre = shapely.union_all([shapely.Polygon(points_of(o, 1e-4)) for o in s.plan.work.hold.outlines])
        tools = {t.number: t for t in s.plan.request.rack}
        for op in s.read_back.operations:
            for move in (m for m in op.steps if isinstance(m, Cut | Rapid)):
                tool = tools[move.state.tool]
                for body in (tool.outline, *tool.holder):
                    outline = shapely.Polygon(points_of(body, 1e-3))
                    for z, x in (move.start, move.end):
                        there = translate(outline, z, x)
                        assert shapely.distance(there, centre) > 0.49


def test_the_proof_sees_a_centre(tmp_path: Path) -> None:
    """The program that faces to the axis, proven with the centre standing there, runs into it."""
    done = made(tmp_path, LONG)
    first, second = done.setups[:2]
    centre = second.plan.work.centre
    assert centre is not None and not first.proof.refused
    against = setting(done.inputs, first.plan, first.stock)
    proof = prove(first.read_back, replace(against, hold=(*against.hold, *centre.outlines)))
    assert "hold-contact" in {f.code for f in proof.findings} and proof.refused


def test_the_proof_asks_for_the_hole_before_the_centre(tmp_path: Path) -> None:
    done = made(tmp_path, SHORT)
    (only,) = done.setups
    against = setting(done.inputs, only.plan, only.stock)
    solid = tuple(replace(h, removes=()) for h in against.by_hand)
    proof = prove(only.read_back, replace(against, by_hand=solid))
    (found,) = [f for f in proof.findings if f.code == "no-seat"]
    assert found.size_mm == pytest.approx(2.125 / math.tan(math.radians(30.0)), abs=1e-4)  # its tip, under the face


def test_zero_is_the_finished_face(tmp_path: Path) -> None:
    second = made(tmp_path, LONG).setups[1]
    asked = second.plan.operations[0]
    assert isinstance(asked, ByHand) and "touch the front face, which is finished, and set Z of T2 to 0" in asked.does


def test_between_centres_the_dog_is_kept_clear_of(tmp_path: Path) -> None:
    """120 mm long: the dog stands on the last 12, the work 108 mm out of it."""
    third = made(tmp_path, BETWEEN).setups[2]
    gripped = third.plan.request.gripped
    assert gripped is not None and (gripped.dia, gripped.nose_z, gripped.far_z) == pytest.approx((16.0, -108.0, -120.0))
    assert third.plan.work.hold.run_out == 0.01
    cuts = [m for op in third.read_back.operations for m in op.steps if isinstance(m, Cut)]
    assert min(m.end[0] for m in cuts) > -108.0


@pytest.mark.parametrize(
    ("job", "change", "message"),
    [
        (
            SHORT,
            ('inside = [ { centre = "A2" } ]', ""),
            "a running centre needs its centre hole, and the front end has",
        ),
        (SHORT, ("off = false", "off = true"), "the piece is sawn off its bar, and no holding faces the sawn end"),
        (
            SHORT,
            ("dia = 10, to = 20", "dia = 5.6, to = 20"),
            "face is 5.20 mm wide to its edge, and round a centre in its",
        ),
        (
            SHORT,
            ('in = "chuck"', 'in = "chuck"\nstick_out = 60'),
            "is faced and centred 60 mm out of the hold, more than 3",
        ),
        (
            BETWEEN,
            ("turn_to = 90", "turn_to = 110"),
            "the driving dog stands on the last 12 mm, as far as z -108.00 mm",
        ),
        (
            BETWEEN,
            ('{ centre = "A2", from = "back" }', ""),
            "between centres both ends have a centre hole, and the back",
        ),
        (BETWEEN, ("turn_to = 90", "turn_to = 121"), "turn_to 121 mm is not on the part, which is 120 mm long"),
        (
            BETWEEN,
            ('in = "centres"\nend = "back"', 'in = "centres"\nend = "back"\nturn_to = 10'),
            "no holding turns the outside from 90 to 110 mm behind the front face, 20 mm",
        ),
        (
            BETWEEN,
            ("{ dia = 10, to = 30 }", '{ thread = "M10x1", to = 20, no_start = true }, { dia = 10, to = 30 }'),
            "M10x1 is cut by a die, which does not go on over a centre",
        ),
        (CAP, ("turn_to = 5", ""), "holding 3 has nothing to do: its back end is faced, and the outside is turned to"),
        (
            BETWEEN,
            ('[[holding]]\nin = "collet"\ngrip = "part"\n', ""),
            "no set-up before this one had the back end at the tools",
        ),
    ],
)
def test_refused(tmp_path: Path, job: str, change: tuple[str, str], message: str) -> None:
    assert change[0] in job
    text = job.replace(*change) if job.count(change[0]) == 1 else job.replace(*change, 1)
    with pytest.raises(HalfsectionError) as caught:
        made(tmp_path, text)
    assert message in str(caught.value)


def test_roughing_along_x_comes_from_where_the_centre_is(tmp_path: Path) -> None:
    with pytest.raises(HalfsectionError, match="look at the free end, and a centre stands before that"):
        made(tmp_path, BETWEEN.replace("[parting]", '[roughing]\npattern = "along x"\n[parting]'))


def test_check_bears_a_short_bar_that_is_worked_in_several_holdings(tmp_path: Path) -> None:
    """122 mm of bar for 120 of part: the first holding takes no more than the face of it out of the collet."""
    (tmp_path / "pin.toml").write_text(HEAD + BETWEEN)
    inputs = read_inputs(tmp_path / "pin.toml", sizes={})
    refuse_short_bar(inputs, hold(inputs))


def test_a_dog_crushes_a_thread() -> None:
    bar = tube(16.0, bore=0.0, length=120.0, front=0.0)
    with pytest.raises(HalfsectionError, match="stands on the last 12 mm, and a thread is there that its screw"):
        by_dog(bar, keep_off=-100.0, threads=((-120.0, -110.0),))
    assert by_dog(bar, keep_off=-100.0, threads=((-100.0, -90.0),)).nose_z == -108.0


def test_a_thread_that_is_not_cut_yet_is_no_thread(tmp_path: Path) -> None:
    """The bar is held by its skin where the third holding cuts the thread."""
    done = made(
        tmp_path,
        """\
[bar]
dia = 16
length = 62
[part]
outside = [ { thread = "M10x1", to = 12, undercut = true, cut_by = "point" }, { dia = 14, to = 60 } ]
[parting]
off = false
[[holding]]
in = "collet"
turn_to = 0
[[holding]]
grip = "part"
in = "collet"
end = "back"
turn_to = 36
held = [1, 20]
[[holding]]
grip = "part"
in = "collet"
end = "front"
""",
    )
    assert faults(done) == []
    assert ["thread" in k for k in kinds(done)] == [False, False, True]


def test_a_third_holding_must_say_its_end(tmp_path: Path) -> None:
    text = BETWEEN.replace('end = "front"\n', "")
    with pytest.raises(
        HalfsectionError, match=r"nothing says which end looks at the tools in holding 3.*end = \"front\""
    ):
        made(tmp_path, text)


def test_a_machine_without_tailstock(tmp_path: Path) -> None:
    with pytest.raises(HalfsectionError, match="has no tailstock for a running centre"):
        made(tmp_path, SHORT, machine="tailstock = false\n")


def test_a_thick_centre_leaves_metal_or_is_kept_clear_of(tmp_path: Path) -> None:
    """A centre whose body stands 5 mm in front of the face lets no holder near: nothing is cut into it."""
    done = made(tmp_path, SHORT, machine="centre_point = 8\ncentre_out = 14\n")
    codes = {f.code for s in done.setups for f in s.proof.findings}
    assert "hold-contact" not in codes and "gouge" not in codes
