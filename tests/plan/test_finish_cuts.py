"""Finish cuts as a machinist would have them, in the program as it was read back from its text."""

from __future__ import annotations

from functools import cache

import pytest

from tests.plan.test_rest import planned_rest
from tests.plan.workshop import ArcCut, Cut, Dwell, Piece, Rapid, Wait, cuts, made, part, rack, request
from toolpath.geometry.uncut import contact
from toolpath.motion import Operation
from toolpath.plan.rest import stretch

SHAFT = ({"chamfer": 0.5}, {"dia": 12, "to": 10}, {"dia": 16, "to": 20}, {"fillet": 1.0}, {"dia": 20, "to": 30})


@cache
def twice() -> Piece:
    return made(request(part(*SHAFT), finish_passes=2))


def finishes(piece: Piece) -> list[Operation]:
    return [op for op in piece.program.operations if op.kind == "finish"]


def test_the_second_pass_goes_over_the_same_path_at_the_same_feeds() -> None:
    (operation, *_) = finishes(twice())
    ways = [(s.start, s.end, s.state.feed, getattr(s, "centre", None)) for s in cuts(operation)]
    half = len(ways) // 2
    assert half > 5 and ways[:half] == ways[half:]
    assert twice().stops == []


def test_nothing_waits_between_the_first_and_the_last_cut_of_a_pass() -> None:
    """A tool that stands still in the metal marks it."""
    for operation in finishes(made(request(part(*SHAFT)))):
        steps = list(operation.steps)
        fed = [k for k, s in enumerate(steps) if isinstance(s, Cut | ArcCut)]
        between = steps[fed[0] : fed[-1] + 1]
        assert not [s for s in between if isinstance(s, Rapid | Dwell | Wait)]


@pytest.mark.parametrize("length", [12.0, 16.0])
def test_two_tools_overlap_by_three_tenths_exactly(length: float) -> None:
    """The left-hand tool takes what the right-hand one leaves of a neck, and goes 0.3 mm on over its floor and
    over the cylinder before it, measured where the tools touch."""
    _, further = planned_rest(length, (1, 2, 3, 5))
    (rest,) = further
    ((lo, hi),) = rest.spans
    r = rest.reach
    touched = [contact(p, r.keep, r.cut, at_end=end)[0][0] for p in stretch(r, (lo, hi)) for end in (False, True)]
    turned = 1.0 if r.frame == r.side.frame else -1.0
    places = [turned * u for u in touched]
    assert (min(places), max(places)) == pytest.approx((lo - 0.3, hi + 0.3), abs=1e-9)
    assert rack(5)[0] is r.tool


def test_the_skin_of_the_bar_is_left_as_it_is() -> None:
    """A step turned in front of a collar as thick as the bar: no tool goes along that, it has nothing on it."""
    piece = made(request(part({"dia": 16, "to": 10}, {"dia": 25, "to": 30}), dia=25.0, parted=False))
    assert piece.stops == [] and piece.proof.uncut_mm < 0.1
    (operation,) = finishes(piece)
    assert min(min(s.start[0], s.end[0]) for s in cuts(operation)) > -10.0 - 1.5


def test_a_piece_that_is_only_parted_is_not_turned() -> None:
    piece = made(request(part({"dia": 25, "to": 15}), dia=25.0, face_off=0.0))
    assert [op.kind for op in piece.program.operations] == ["part off"] and piece.stops == []
