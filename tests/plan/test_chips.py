"""Roughing that parts its chips: proven programs of stringy materials, and what the person is told."""

from __future__ import annotations

from itertools import pairwise

import pytest

from tests.plan.workshop import Cut, Dwell, cuts, made, part, request
from toolpath.geometry.elements import Line
from toolpath.passes.chips import Breaks, broken
from toolpath.passes.legs import Leg, Legs, Pace, feed, length, rapid
from toolpath.shop.materials import material

ROWS = ({"dia": 14, "to": 20}, {"dia": 20, "to": 30})


def longest(name: str) -> float:
    """mm of feed in one level cut of roughing, between two stops of the feed."""
    piece = made(request(part(*ROWS), material=material(name)))
    assert piece.stops == []
    best = run = 0.0
    for step in piece.operation("rough").steps:
        level = isinstance(step, Cut) and step.end[1] == step.start[1] and step.end[0] < step.start[0]
        run = run + step.start[0] - step.end[0] if level and isinstance(step, Cut) else 0.0
        best = max(best, run)
    return best


@pytest.mark.parametrize("name", ["aluminium", "nylon", "acetal", "titanium"])
def test_no_string_is_cut(name: str) -> None:
    piece = made(request(part(*ROWS), material=material(name)))
    data = piece.planned("rough").data
    assert longest(name) <= data.breaks.value * data.feed.value + 2e-3


def test_short_chips_are_cut_in_one() -> None:
    assert longest("brass") > 15.0


def test_the_feed_stands_but_where_nothing_may_rub() -> None:
    """Titanium hardens: there the tool draws back; nylon's chip thins while the feed stands for a turn."""
    soft, hard = (made(request(part(*ROWS), material=material(n))).operation("rough") for n in ("nylon", "titanium"))
    assert sum(isinstance(s, Dwell) for s in soft.steps) > 10
    assert sum(isinstance(s, Dwell) for s in hard.steps) <= 1
    back = [s for s in cuts(hard) if s.end[0] > s.start[0] and s.end[1] > s.start[1]]
    assert len(back) > 10


@pytest.mark.parametrize("name", ["nylon", "aluminium", "titanium"])
def test_hook_never_fingers(name: str) -> None:
    told = made(request(part(*ROWS), material=material(name))).plan.cautions
    (chips,) = [c for c in told if c.startswith("Chips come as strings")]
    assert chips.endswith("Clear them with a hook, spindle stopped, never with fingers.")
    cool = [c for c in told if "let it cool before you measure" in c]
    assert len(cool) == (1 if name == "nylon" else 0)


def test_breaking_takes_nothing_away_from_the_way() -> None:
    """The same level cut in equal parts; what is not level, or short, or rapid stays whole."""
    legs: Legs = (
        *rapid((5.0, 9.0), (5.0, 4.0)),
        *feed((5.0, 4.0), (-10.0, 4.0)),
        *feed((-10.0, 4.0), (-12.0, 6.0)),
        Leg(Line((-12.0, 6.0), (-10.0, 6.0))),
    )
    stood = broken(legs, Breaks(2.0, 1.0))
    assert [leg for leg in stood if leg.turns] and length(stood, Pace.FEED) == pytest.approx(length(legs, Pace.FEED))
    assert max(leg.path.length for leg in stood[1:-2]) <= 2.0
    assert stood[0] == legs[0] and stood[-2:] == legs[-2:]
    drawn = broken(legs, Breaks(2.0, 0.0, 0.3))
    assert all(a.path.b == b.path.a for a, b in pairwise(drawn))
    assert broken(legs, None) is legs
