"""A shaft whose end is worked in front of a steady, a cover clamped on a faceplate: planned, written, read, proven.

A steady is 25 mm wide, its fingers 12; clamps stand 15 mm over the shoulder they press on (the table's, from memory).
"""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely

from tests.plan.bench import faults
from tests.plan.holdings import ON_A_FACEPLATE
from tests.plan.test_centres import made
from toolpath.errors import HalfsectionError
from toolpath.geometry.elements import points_of
from toolpath.motion import Cut, Rapid
from toolpath.plan.operations import ByHand
from toolpath.plan.steadies import Steady, more_give

SHAFT = """\
[bar]
dia = 20
length = 135
[part]
outside = [ { dia = 14, to = 60 }, { dia = 18, to = 80 }, { dia = 14, to = 110 } ]
inside = [ { hole = 6, deep = 12 }, { centre = "A2", from = "back" } ]
[parting]
off = false
[[holding]]
in = "collet"
end = "back"
[[holding]]
grip = "bar"
in = "collet"
centre = "running"
turn_to = 95
[[holding]]
grip = "part"
in = "soft jaws"
end = "front"
held = [82, 109]
steady = 32
"""
COVER = """\
[bar]
dia = 32
length = 80
[part]
outside = [ { dia = 18, to = 30 }, { dia = 30, to = 38 } ]
inside = [ { hole = 6, deep = 20 } ]
[parting]
stub = 4
"""
COVER += ON_A_FACEPLATE


def test_the_end_of_a_shaft_in_front_of_a_steady(tmp_path: Path) -> None:
    """The steady's face stands 32 - 12.5 = 19.5 mm behind the front; 24 mm are faced off the sawn end first."""
    done = made(tmp_path, SHAFT)
    assert faults(done) == []
    last = done.setups[-1]
    assert [op.kind for op in last.plan.operations][:4] == ["set zero", "face", "centre", "drill"]
    work = last.plan.work
    assert work.nose_z == pytest.approx(-19.5) and work.hold.name.endswith("chuck with soft jaws and a fixed steady")
    hold = shapely.union_all([shapely.Polygon(points_of(o, 1e-4)) for o in work.hold.outlines])
    assert shapely.intersects(hold, shapely.Point(-32.0, 7.1)) and not shapely.intersects(hold, shapely.Point(-32, 6.9))
    moves = [m for op in last.read_back.operations for m in op.steps if isinstance(m, Cut | Rapid)]
    assert min(m.end[0] for m in moves) > -19.5


def test_without_the_steady_too_much_stands_out(tmp_path: Path) -> None:
    with pytest.raises(HalfsectionError, match=r"106\.00 mm would stand out of 27\.00 mm held, more than 3 times"):
        made(tmp_path, SHAFT.replace("steady = 32\n", ""))


def test_an_end_that_only_leans_on_a_steady_gives_way_more() -> None:
    """Clamped at 0, propped at l, loaded at l + a: found here from the cantilever and what the prop pushes back."""
    steady = Steady((), 10.0, -20.0, -7.5, -32.5)
    span, out = 60.0, 20.0
    whole = span + out
    free = whole**3 / 3.0
    at_prop = span**2 * (3.0 * whole - span) / 6.0
    propped = free - at_prop**2 / (span**3 / 3.0)
    assert more_give(steady, nose_z=-80.0, front=0.0) == pytest.approx(propped / (out**3 / 3.0))


def test_a_cover_on_a_faceplate(tmp_path: Path) -> None:
    """38 mm long, flange 8: the plate's face at -38, the shoulder at -30, clamps to -15; its own diameter left free."""
    done = made(tmp_path, COVER)
    assert faults(done) == []
    second = done.setups[1]
    gripped = second.plan.request.gripped
    assert gripped is not None and (gripped.dia, gripped.neck) == (30.0, 18.0)
    assert (gripped.nose_z, gripped.far_z) == pytest.approx((-15.0, -38.0))
    hold = second.plan.work.hold
    assert hold.name == "160 mm faceplate" and hold.run_out == 0.01
    whole = shapely.union_all([shapely.Polygon(points_of(o, 1e-4)) for o in hold.outlines])
    assert shapely.intersects(whole, shapely.Point(-20.0, 9.1)) and not shapely.intersects(
        whole, shapely.Point(-20, 8.9)
    )
    assert shapely.intersects(whole, shapely.Point(-38.1, 3.0)) and not shapely.intersects(
        whole, shapely.Point(-37, 14)
    )
    asked = second.plan.operations[0]
    assert (
        isinstance(asked, ByHand) and "touch the faceplate's face with T1 and set Z there to -38.000 mm" in asked.does
    )
    assert second.plan.request.zero == "plate"


@pytest.mark.parametrize(
    ("job", "change", "message"),
    [
        (
            SHAFT,
            ("steady = 32", "steady = 12"),
            "bears on 6 to 18 mm, and only a place that was turned before runs round",
        ),
        (
            SHAFT,
            ("steady = 32", "steady = 60"),
            "the fingers of the steady take z -66.00 to -54.00 mm, and there is no one",
        ),
        (
            SHAFT,
            ("steady = 32", "steady = 24"),
            "the steady's face stands 35.50 mm behind the end of the work, and tools",
        ),
        (SHAFT, ("held = [82, 109]", "held = [30, 59]"), "tools come to z -49.50 mm"),
        (
            SHAFT,
            ('in = "collet"\nend = "back"', 'in = "collet"\nend = "back"\nsteady = 30'),
            "before this holding is: not",
        ),
        (
            COVER,
            ("dia = 18, to = 30", "dia = 24, to = 30"),
            "clamps need 4 mm of shoulder to press on, in front of the",
        ),
        (
            COVER,
            ("turn_to = 30", "turn_to = 24"),
            "the clamps reach 15 mm over the shoulder they press on, to z -15.00 mm",
        ),
    ],
)
def test_refused(tmp_path: Path, job: str, change: tuple[str, str], message: str) -> None:
    assert job.count(change[0]) == 1
    with pytest.raises(HalfsectionError) as caught:
        made(tmp_path, job.replace(*change))
    assert message in str(caught.value)
