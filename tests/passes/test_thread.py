"""Passes of a thread: published schedules, the V they leave, and the air they come back through."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from toolpath.passes.legs import Leg, Pace
from toolpath.passes.thread import Infeed, Threading, depths, infeeds, thread

HALF = math.radians(30.0)
M10 = Threading(
    crest=4.93, depth=0.92, half_angle=HALF, lead=1.5, begins=0.0, ends=-12.0, run_in=4.0, run_out=2.0, clear=6.0,
    most=0.2, least=0.05, springs=1,
)  # fmt: skip
START = (30.0, 20.0)


def cuts(job: Threading) -> list[Leg]:
    return [leg for leg in thread(job, START)[0] if leg.pace is Pace.THREAD]


# -- depths ------------------------------------------------------------------------------------------------------------


def test_a_published_schedule() -> None:
    """M25x2 of a national vocational school's public turning course, slide 137: height 1.3 mm, first pass 0.392."""
    printed = [0.392, 0.554, 0.679, 0.784, 0.877, 0.960, 1.037, 1.109, 1.176, 1.240, 1.300]
    assert depths(1.3, most=0.3925, least=0.02) == pytest.approx(printed, abs=6e-4)


def test_passes_are_as_many_as_the_rule_of_equal_areas_gives() -> None:
    """n = ceil((h / d1)^2), common practice; depth after pass k is d1 sqrt(k)."""
    for whole, first in ((0.92, 0.2), (0.61, 0.2), (1.3, 0.4)):
        got = depths(whole, most=first, least=0.01)
        assert len(got) == math.ceil((whole / first) ** 2)
        assert got[0] * math.sqrt(len(got)) == pytest.approx(whole)


@pytest.mark.parametrize(
    "total, fewest, most",
    [
        (0.46, 4, 7),
        (0.61, 4, 8),
        (0.77, 5, 9),
        (0.92, 6, 10),
        (1.07, 7, 12),
        (1.23, 7, 12),
        (1.53, 8, 14),
        (1.84, 10, 16),
    ],
)
def test_with_the_passes_a_maker_gives_none_is_deeper_or_finer_than_makers_bear(
    total: float, fewest: int, most: int
) -> None:
    """Passes by pitch 0.75 to 3 of Tungaloy 2020-21 p. 1636, totals of Mitsubishi Materials: with the greater count the
    first pass is not over 0.5 mm and the last not below 0.05 (Tungaloy, Widia), up to what equal areas leave it."""
    for count in (fewest, most):
        got = depths(total, most=total / math.sqrt(count), least=0.01)
        assert len(got) == count
    assert got[0] <= 0.5 and got[-1] - got[-2] >= 0.03


@given(whole=st.floats(0.02, 3.0), most=st.floats(0.05, 0.5), share=st.floats(0.05, 0.5), begun=st.floats(0.0, 0.99))
@example(whole=0.2, most=0.15, share=7 / 15, begun=0.0)
def test_every_pass_is_between_the_finest_and_the_deepest(
    whole: float, most: float, share: float, begun: float
) -> None:
    least = most * share
    got = depths(whole, most=most, least=least, begun=begun * whole)
    steps = [b - a for a, b in pairwise([begun * whole, *got])]
    assert got[-1] == whole
    assert max(steps) <= most * (1.0 + 1e-6) + 1e-9
    assert min(steps) >= least - 1e-9 or len(steps) == 1
    areas = [b * b - a * a for a, b in pairwise([begun * whole, *got])]
    assert max(areas) <= areas[0] * (1.0 + 1e-6) + 4.0 * least * whole  # the first takes the most, but for the finest


def test_a_second_helping_cuts_on_from_what_stands() -> None:
    helping = replace(M10, begun=0.92, depth=0.97)
    assert depths(0.97, most=0.2, least=0.05, begun=0.92) == [0.97]
    again, first = cuts(helping), cuts(M10)
    assert len(again) == 2 and again[0].path.a[0] == first[-1].path.a[0]  # the same start along z


@pytest.mark.parametrize("most, least, begun", [(0.1, 0.06, 0.0), (0.1, 0.0, 0.0), (0.1, 0.05, 1.0), (0.1, 0.05, -0.1)])
def test_depths_that_can_not_be(most: float, least: float, begun: float) -> None:
    with pytest.raises(ValueError, match="passes between"):
        depths(1.0, most=most, least=least, begun=begun)


# -- infeed ------------------------------------------------------------------------------------------------------------


def test_published_shift_along_z_by_depth() -> None:
    """Shift for each mm of depth = tan(angle): 30 deg 0.577, 29 deg 0.554, 27 deg 0.510 (makers' infeed pages)."""
    for angle, shift in ((30.0, 0.577), (29.0, 0.554), (27.0, 0.510)):
        job = replace(M10, infeed=Infeed.FLANK, relief=math.radians(30.0 - angle))
        (d0, z0), (d1, z1) = infeeds(job)[:2]
        assert (z0 - z1) / (d1 - d0) == pytest.approx(shift, abs=6e-4)


def test_flank_infeed_follows_one_flank_and_leads_with_the_other() -> None:
    """Running towards the chuck the point lies back, at greater z: its trailing flank lies in the last one's."""
    for depth, aside in infeeds(replace(M10, infeed=Infeed.FLANK)):
        assert aside >= 0.0
        assert aside + depth * math.tan(HALF) == pytest.approx(M10.depth * math.tan(HALF))  # the trailing flank's top


def test_alternating_infeed_changes_sides() -> None:
    sides = [aside for _, aside in infeeds(replace(M10, infeed=Infeed.ALTERNATING))]
    assert sides[0] > 0.0 > sides[1] and sides[-1] == 0.0
    assert all(a * b < 0.0 for a, b in pairwise(sides[:-2]))


jobs = st.builds(
    Threading,
    crest=st.floats(3.0, 30.0),
    depth=st.floats(0.1, 1.0),
    half_angle=st.floats(math.radians(14.0), math.radians(30.0)),
    lead=st.floats(0.3, 6.0),
    begins=st.floats(-20.0, 5.0),
    ends=st.floats(-60.0, -25.0),
    run_in=st.floats(0.5, 10.0),
    run_out=st.floats(0.2, 5.0),
    clear=st.just(40.0),
    most=st.floats(0.2, 0.4),
    least=st.just(0.05),
    starts=st.integers(1, 4),
    taper=st.floats(-0.06, 0.06),
    ramped=st.booleans(),
    springs=st.integers(0, 2),
    infeed=st.sampled_from(Infeed),
    relief=st.floats(0.0, 0.08),
)


@settings(max_examples=40, deadline=None)
@given(job=jobs)
def test_no_pass_leaves_the_groove_of_the_last(job: Threading) -> None:
    """At each depth the V of a pass lies in the V of full depth, whichever flank it follows."""
    for depth, aside in infeeds(job):
        assert abs(aside) <= (job.depth - depth) * math.tan(job.half_angle) + 1e-12


@settings(max_examples=40, deadline=None)
@given(job=jobs, turned=st.booleans(), inside=st.booleans())
def test_passes_of_any_thread(job: Threading, turned: bool, inside: bool) -> None:
    if turned:  # from the other end
        job = replace(job, begins=job.ends, ends=job.begins)
    if inside:
        job = replace(job, inside=True, clear=0.5)
    legs, passes = thread(job, START)
    synchronised = [leg for leg in legs if leg.pace is Pace.THREAD]
    assert all(leg.lead == job.lead for leg in synchronised)
    assert len(synchronised) == passes * job.starts * (2 if job.ramped else 1)
    assert legs[0].path.a == START
    assert all(a.path.b == b.path.a for a, b in pairwise(legs))  # nothing jumps
    assert all(
        leg.path.a[0] == leg.path.b[0] or leg.path.a[1] == leg.path.b[1] for leg in legs if leg.pace is Pace.RAPID
    )
    out = max if inside else min
    sign = -1.0 if inside else 1.0
    for leg, after in pairwise(legs):
        if leg.pace is Pace.RAPID and leg.path.a[0] != leg.path.b[0] and leg is not legs[0]:
            assert sign * leg.path.a[1] >= sign * job.clear  # back in the air only
        if leg.pace is Pace.THREAD and after.pace is not Pace.THREAD:
            assert after.path.b[1] == job.clear or leg.path.b[1] == job.clear  # out as soon as the pass is over
    first = synchronised[0 :: 2 if job.ramped else 1]
    deepest = out(leg.path.a[1] + job.taper * (job.begins - leg.path.a[0]) for leg in first)
    assert deepest == pytest.approx(job.crest - sign * job.depth)
    for leg in first:
        a, b = leg.path.a, leg.path.b
        assert (b[1] - a[1]) / (b[0] - a[0]) == pytest.approx(job.taper, abs=1e-9)
        assert (job.begins - a[0]) * job.way >= job.run_in - (job.depth * math.tan(job.half_angle)) - 1e-9
        assert b[0] == pytest.approx(job.ends + (0.0 if job.ramped else job.way * job.run_out))


@settings(max_examples=40, deadline=None)
@given(job=jobs)
def test_starts_lie_a_pitch_apart(job: Threading) -> None:
    """Modulo the lead the full-depth passes of the starts divide it evenly."""
    job = replace(job, springs=0)
    last = [leg for leg in thread(job, START)[0] if leg.pace is Pace.THREAD and leg.path.a[1] != job.clear]
    last = [leg for leg in last if leg.path.a[0] != leg.path.b[0]][:: 2 if job.ramped else 1][-job.starts :]
    places = sorted((leg.path.a[0] / job.lead) % 1.0 for leg in last)
    gaps = [(b - a) % 1.0 for a, b in pairwise([*places, places[0] + 1.0])]
    assert len(places) == job.starts
    assert job.starts == 1 or gaps == pytest.approx([1.0 / job.starts] * job.starts, abs=1e-9)


@pytest.mark.parametrize(
    "change",
    [
        {"ends": 0.0}, {"clear": 4.0}, {"run_in": 0.0}, {"run_out": 0.0}, {"lead": 0.0}, {"starts": 0},
        {"begun": 0.92}, {"relief": HALF}, {"inside": True},
    ],
)  # fmt: skip
def test_lengths_out_of_order(change: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="a thread"):
        thread(replace(M10, **change), START)


def test_the_legs_of_one_pass() -> None:
    """Over the start, down, along, out, back over the start."""
    one = replace(M10, most=1.0, springs=0)
    got = [(leg.pace.value, leg.path.b) for leg in thread(one, START)[0]]
    root = pytest.approx(4.01)
    assert got == [
        ("rapid", (4.0, 20.0)), ("rapid", (4.0, 6.0)), ("rapid", (4.0, root)), ("thread", (-14.0, root)),
        ("rapid", (-14.0, 6.0)), ("rapid", (4.0, 6.0)),
    ]  # fmt: skip
