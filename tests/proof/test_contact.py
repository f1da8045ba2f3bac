"""Touching, crashing and coming near, with outlines so plain that the answer can be read off."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from toolpath.motion import ArcCut, Cut, Point, Rapid, State
from toolpath.proof.contact import Target, bent_rapid, clearance, on_the_way, overlap
from toolpath.proof.engagement import shares
from toolpath.proof.measure import region
from toolpath.proof.shapes import Shapes, covered, shapes, simpler
from toolpath.proof.sweep import convex_from
from toolpath.proof.tracks import Run, run_of

from tests.proof.bench import box, rack  # isort: skip

TOUCH = 0.001
BLADE: Shapes = shapes(rack()[4], TOUCH)  # 2 mm wide, 16 mm long, corners of 0.1 mm
BARE = replace(BLADE, holders=(), holder_cores=())
BAR = Target.of("the stock", region([box(-60.0, 0.0, 10.0)]))


def run(*points: Point, kind: type[Cut] | type[Rapid] = Rapid) -> Run:

    return run_of([kind(p, q, State(tool=4), line=10 * (i + 1)) for i, (p, q) in enumerate(pairwise(points))])


def test_a_rapid_into_the_bar_names_line_depth_and_place() -> None:
    (found, *_) = on_the_way(run((5.0, 12.0), (-20.0, 12.0), (-20.0, 7.0)), BLADE, [BAR])
    assert (found.code, found.line, found.tool) == ("rapid-contact", 20, 4)
    assert found.size_mm == pytest.approx(3.0, abs=1e-3)
    assert found.at is not None and found.at[1] == pytest.approx(7.0, abs=1e-3)


@settings(max_examples=60, deadline=None)
@given(st.floats(-0.06, 0.02), st.sampled_from([0.01, 0.02, 0.3]), st.integers(1, 9), st.integers(40, 90))
def test_a_long_way_touches_where_its_sweep_does(gap: float, wave: float, periods: int, count: int) -> None:
    """However near a way of many moves comes: what is tried first, a few moves, must never hide a contact. The way
    begins and ends at the top of its waves, so that the few moves may pass above them all."""
    turn = np.linspace(0.0, 2.0 * np.pi * periods, count)
    z, x = np.linspace(5.0, -40.0, count), 10.0 + gap + wave * (1.0 + np.cos(turn))
    points = list(zip(z.tolist(), x.tolist(), strict=True))
    sweep = shapely.union_all(covered(BARE.edges[0].core, np.array(points)))
    less, more = (bool(shapely.intersects(BAR.body.buffer(by), sweep)) for by in (-2.0 * TOUCH, 2.0 * TOUCH))
    assume(less is more)  # not a graze, which is within the tolerance of contact
    assert bool(list(on_the_way(run(*points), BARE, [BAR]))) is more


@pytest.mark.parametrize("gap, hit", [(0.5, False), (0.0, False), (-0.0009, False), (-0.004, True), (-1.0, True)])
def test_touching_is_forgiven_to_the_tolerance(gap: float, hit: bool) -> None:
    along = run((5.0, 10.0 + gap), (-20.0, 10.0 + gap))
    assert bool(list(on_the_way(along, BLADE, [BAR]))) is hit


def test_metal_beyond_the_axis_comes_round() -> None:
    """A tool far past the axis meets the bar with its back."""
    assert not list(on_the_way(run((3.0, -9.0), (1.0, -9.0)), BARE, [BAR]))
    assert list(on_the_way(run((3.0, -9.0), (-1.0, -9.0)), BARE, [BAR]))


def test_only_the_holder_may_be_asked_about() -> None:
    found = list(on_the_way(run((-20.0, 12.0), (-20.0, -7.0), kind=Cut), BLADE, [BAR], only="the holder"))
    assert found and all("the holder" in f.text for f in found)


def test_one_finding_for_each_body_and_target() -> None:
    far = Target.of("the hold", region([box(-60.0, -40.0, 30.0, x0=10.0)]))
    found = list(on_the_way(run((5.0, 12.0), (-50.0, 5.0), (-50.0, 4.0)), BLADE, [BAR, far]))
    edge = [f for f in found if f.text.startswith("the tool")]
    assert sorted(f.code for f in edge) == ["hold-contact", "rapid-contact"]


def test_overlap_is_measured_from_the_surface() -> None:
    square = convex_from(np.array([(0, 0), (2, 0), (2, 5), (0, 5)], dtype=float))
    size, at = overlap(square, np.array([(-30.0, 15.0), (-30.0, 4.0)]), BAR.body)
    assert size == pytest.approx(6.0) and at is not None and at[1] == pytest.approx(4.0)


def test_a_bent_rapid_fills_its_whole_box() -> None:
    (found,) = list(bent_rapid(run((4.0, 8.5), (-2.0, 14.5)), BLADE, BAR))[:1]
    assert found.code == "bent-rapid" and found.rank == "look"
    assert not list(bent_rapid(run((4.0, 8.5), (4.0, 14.5), (-2.0, 14.5)), BLADE, BAR))


@pytest.mark.parametrize(
    "points, near",
    [
        (((5.0, 12.5), (-20.0, 12.5)), 2.5),  # past the bar
        (((-20.0, 10.0), (-20.0, 11.5)), 1.5),  # leaving metal: only where it ends counts
        (((8.0, 4.0), (3.0, 4.0)), 3.0),  # towards the face
        (((40.0, 4.0), (30.0, 4.0)), 30.0),
    ],
)
def test_how_near_a_rapid_comes(points: tuple[Point, ...], near: float) -> None:
    assert clearance(run(*points), BARE, [BAR], best=99.0, touch=TOUCH) == pytest.approx(near, abs=2e-3)
    assert clearance(run(*points), BARE, [BAR], best=0.5, touch=TOUCH) == 0.5


@pytest.mark.parametrize(
    "x, start, end, share", [(12.0, 5.0, -20.0, 0.0), (8.0, 15.0, -15.0, 0.5), (8.0, 6.0, -3.0, 1.0 / 3.0)]
)
def test_the_share_in_metal(x: float, start: float, end: float, share: float) -> None:
    """A square end pushed along the bar is in metal from the face on."""
    ((found,),) = shares([(run((start, x), (end, x), kind=Cut), BAR.body)], BLADE.edges[0].core)
    assert found == pytest.approx(share, abs=0.01)


def test_the_share_in_metal_across_a_groove() -> None:
    grooved = region([box(-60.0, 0.0, 10.0)]) - shapely.box(-20.0, 6.0, -10.0, 11.0)
    shapely.prepare(grooved)
    ((found,),) = shares([(run((0.0, 8.0), (-30.0, 8.0), kind=Cut), grooved)], BLADE.edges[0].core)
    assert found == pytest.approx(2.0 / 3.0, abs=0.01)


def test_every_move_of_a_run_has_its_own_share() -> None:
    (plunge,) = shares([(run((-20.0, 14.0), (-20.0, 10.0), (-20.0, 6.0), kind=Cut), BAR.body)], BLADE.edges[0].core)
    assert plunge == pytest.approx([0.0, 1.0], abs=0.01)


def test_every_run_is_held_against_its_own_stock() -> None:
    """Three runs judged at once: along the bar, the same way again when it is gone, and half in air by an arc."""
    along, again = (run((0.0, 8.0), (-20.0, 8.0), (-20.0, 14.0), kind=Cut) for _ in range(2))
    dip = ArcCut((-10.0, 15.0), (-20.0, 15.0), (-15.0, 15.0), False, State(tool=4))
    left = Target.of("the stock", BAR.body - shapely.box(-30.0, 7.0, 1.0, 30.0))
    first, second, third = shares(
        [(along, BAR.body), (again, left.body), (run_of([dip]), BAR.body)], BLADE.edges[0].core
    )
    assert first == pytest.approx([1.0, 0.0], abs=0.01)
    assert second == pytest.approx([0.0, 0.0])
    assert third == pytest.approx([0.0], abs=0.01)


def test_a_simpler_way_stays_within_its_tolerance() -> None:
    w = np.linspace(0.0, 1.5, 400)
    path = 10.0 * np.stack([np.cos(w), np.sin(w)], axis=1)
    few = simpler(path, 0.001)
    assert (
        len(few) < 100 and shapely.hausdorff_distance(shapely.LineString(few), shapely.LineString(path), 0.01) < 0.0011
    )
