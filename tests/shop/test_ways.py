"""Ways of holding: their outlines, how true they run, what they do not take. Figures worked by hand from the table.

Run-outs: three-jaw 0.05 to 0.10, collet 0.02, clocked 0.01, turned in place 0 (common practice, no source).
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.shop.test_holding import extent
from toolpath.errors import BadInput
from toolpath.geometry.elements import signed_area
from toolpath.shop.holding import way, ways
from toolpath.shop.machine import Machine, machine_from
from toolpath.shop.ways import Held, hold, running_centre, steady, thread_of

TRUE = [
    ("collet", 0.02, False, True),
    ("chuck", 0.10, True, False),
    ("four-jaw", 0.01, True, False),
    ("soft jaws", 0.02, False, False),
    ("split bush", 0.05, False, False),
    ("mandrel", 0.0, False, False),
    ("expanding arbor", 0.02, False, False),
    ("centres", 0.01, False, False),
    ("faceplate", 0.01, False, False),
]


def lathe(**keys: object) -> Machine:
    return machine_from({"name": "Bench", "min_rpm": 100, "max_rpm": 2500, "power_w": 500, **keys})


@pytest.mark.parametrize(("kind", "run_out", "jaws", "fast"), TRUE)
def test_how_true_each_runs_and_whether_it_marks(kind: str, run_out: float, jaws: bool, fast: bool) -> None:
    known = way(kind)
    assert (known.run_out, known.jaws, known.fast) == (run_out, jaws, fast)
    held = hold(kind, Held(10.0, length=9.0), nose_z=-30.0, machine=lathe())
    assert (held.kind, held.run_out) == (kind, run_out)
    assert held.cautions or kind == "collet"


def test_every_kind_is_in_the_list_above() -> None:
    assert {kind for kind, *_ in TRUE} == set(ways())


@given(
    kind=st.sampled_from(ways()),
    dia=st.floats(3.0, 26.0),
    length=st.floats(4.0, 40.0),
    nose=st.floats(-200.0, 0.0),
    body=st.sampled_from([80.0, 100.0, 125.0, 160.0]),
)
def test_outlines_are_closed_run_counter_clockwise_and_leave_the_work_alone(
    kind: str, dia: float, length: float, nose: float, body: float
) -> None:
    """Nothing of the hold stands before its nose but the arbor's plug."""
    made = hold(kind, Held(dia, length=length), nose_z=nose, machine=lathe(chuck_diameter=body))
    for chain in made.outlines:
        assert signed_area(chain) > 0.0
        assert all(math.dist(e.b, f.a) < 1e-9 for e, f in zip(chain, chain[1:] + chain[:1], strict=True))
    outside = [c for c in made.outlines if extent((c,))[0] < nose - 1e-9]
    assert extent(tuple(outside))[2] == pytest.approx(nose)
    assert max(extent((c,))[2] for c in made.outlines) == pytest.approx(nose + length * (kind == "expanding arbor"))
    round_the_work = [c for c in outside if extent((c,))[2] > nose - 1e-9]
    assert all(
        extent((c,))[1] == pytest.approx(0.0 if kind == "expanding arbor" else dia / 2.0) for c in round_the_work
    )


def test_a_mandrel_shows_its_face_then_its_collar_then_the_chuck_that_holds_it() -> None:
    """M10x1, 9 mm of thread, face at z -13: collar max(1.6 x 10, 10 + 2 x 3) = 16 mm, root at -13 - 9 - 10 = -32."""
    made = hold("mandrel", Held(10.0, length=9.0, on="M10x1"), nose_z=-13.0, machine=lathe())
    assert extent(made.outlines[:1]) == (-32.0, 5.0, -13.0, 8.0)
    assert extent(made.outlines[1:2]) == (-42.0, 8.0, -32.0, 19.0)  # jaws' front step: 10 long, 11 high
    assert made.on_thread == "right" and made.name == "threaded mandrel M10x1, its face against the shoulder"
    assert hold("mandrel", Held(10.0, length=9.0, on="M10x1 LH"), nose_z=0.0, machine=lathe()).on_thread == "left"
    assert hold("chuck", Held(10.0), nose_z=0.0, machine=lathe()).on_thread == ""
    assert hold("mandrel", Held(5.0, length=9.0), nose_z=0.0, machine=lathe()).outlines[0][0].bounds()[3] == 2.5
    assert extent(hold("mandrel", Held(5.0, length=9.0), nose_z=0.0, machine=lathe()).outlines[:1])[3] == 5.5  # 5/2 + 3


def test_a_split_bush_keeps_the_jaws_off_the_work() -> None:
    """12 mm in a bush with a wall of 3: the jaws close on 18, 3 mm behind the collar's face."""
    made = hold("split bush", Held(12.0), nose_z=-20.0, machine=lathe())
    collar, bush, front, *_ = made.outlines
    assert extent((collar,)) == (-23.0, 6.0, -20.0, 12.0)
    assert extent((bush,))[1:] == (6.0, -23.0, 9.0)
    assert extent((front,))[1:3] == (9.0, -23.0)


def test_soft_jaws_stand_higher_and_longer_than_hard_ones() -> None:
    """100 mm chuck: the hard step is 10 long and 11 high, the soft blank half as much again."""
    soft = hold("soft jaws", Held(20.0), nose_z=0.0, machine=lathe())
    assert extent(soft.outlines[:1]) == (-15.0, 10.0, 0.0, 26.5)


def test_an_arbor_fills_the_bore_and_its_flange_stands_behind_the_work() -> None:
    """Bore 8, 12 mm of it: the plug ends 12 before the back face; the flange is 14 mm thick through and 15 long."""
    made = hold("expanding arbor", Held(8.0, length=12.0), nose_z=-30.0, machine=lathe())
    assert extent(made.outlines[:1]) == (-30.0, 0.0, -18.0, 4.0)
    assert extent(made.outlines[1:2]) == (-45.0, 0.0, -30.0, 7.0)
    assert made.least_grip == 8.0


def test_a_running_centre_stands_in_the_countersink() -> None:
    """60 degrees: in a mouth of 4 its tip lies 2/tan 30 = 3.464 mm in, 6/tan 30 = 10.392 behind its full 12; its body
    begins 32 from the tip."""
    cone, neck, body = running_centre(mouth=4.0, front_z=1.0, machine=lathe())
    assert extent((cone,)) == pytest.approx((1.0 - 3.4641, 0.0, 1.0 - 3.4641 + 10.3923, 6.0), abs=1e-4)
    assert extent((neck,)) == pytest.approx((7.9282, 0.0, 29.5359, 6.0), abs=1e-4)
    assert extent((body,)) == pytest.approx((29.5359, 0.0, 89.5359, 20.0), abs=1e-4)
    assert min(signed_area(c) for c in (cone, neck, body)) > 0.0
    with pytest.raises(
        BadInput, match=r"does not stand in a mouth of 20 mm\. Its point takes countersinks up to 12 mm"
    ):
        running_centre(mouth=20.0, front_z=0.0, machine=lathe())
    with pytest.raises(BadInput, match="12 mm thick can not stand 9 mm out of its body"):
        running_centre(mouth=4.0, front_z=0.0, machine=lathe(centre_out=9))


def test_between_centres_a_dog_its_tail_and_the_drive_plate() -> None:
    """12 mm of dog to z -32 on a diameter of 10, 25 wide; the centre 18 mm out of the plate, in a mouth of 4."""
    made = hold("centres", Held(10.0, length=12.0, mouth=4.0), nose_z=-20.0, machine=lathe())
    dog, centre, plate = made.outlines
    assert extent((dog,)) == (-50.0, 5.0, -20.0, 12.5)
    assert extent((centre,)) == pytest.approx((-50.0, 0.0, -32.0 + 3.4641, 5.0), abs=1e-4)
    assert extent((plate,)) == (-70.0, 0.0, -50.0, 50.0)


def test_a_steady_leaves_the_work_free_and_stands_round_it() -> None:
    fingers, ring = steady(20.0, at=-50.0)
    assert extent((fingers,)) == (-56.0, 10.0, -44.0, 53.0) and extent((ring,)) == (-62.5, 53.0, -37.5, 77.0)
    assert min(signed_area(fingers), signed_area(ring)) > 0.0
    with pytest.raises(BadInput, match="does not go round a diameter of 110 mm"):
        steady(110.0, at=0.0)


@pytest.mark.parametrize(
    ("text", "read"),
    [
        ("M10x1", (10.0, 1.0, "right")),
        ("M10 x 1.25", (10.0, 1.25, "right")),
        ("M6", (6.0, 0.0, "right")),
        ("10", (10.0, 0.0, "right")),
        ("M10x1 LH", (10.0, 1.0, "left")),
    ],
)
def test_a_thread_as_it_is_written(text: str, read: tuple[float, float, str]) -> None:
    assert thread_of(text) == read


@pytest.mark.parametrize("text", ["", "M", "M0x1", "Mx1", "M10x", "M10y1", "ten", "M10x1 RH", "-5", "M9999"])
def test_what_is_no_thread(text: str) -> None:
    with pytest.raises(BadInput, match=r"is no thread\. Write its size, as M10x1 or"):
        thread_of(text)


@pytest.mark.parametrize(
    ("kind", "held", "message"),
    [
        ("fourjaw", Held(10.0), "'fourjaw' is no way of holding. Did you mean 'four-jaw'?"),
        ("four-jaw", Held(80.0), "holds bars of 2 to 70 mm, not of 80 mm"),
        ("split bush", Held(68.0), "holds bars of 2 to 70 mm, not of 74 mm"),
        ("expanding arbor", Held(8.0), "there is no bore at the back end that an arbor could open in"),
    ],
)
def test_what_does_not_go_in(kind: str, held: Held, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        hold(kind, held, nose_z=0.0, machine=lathe())
    assert message in str(caught.value)
