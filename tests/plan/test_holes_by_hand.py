"""Holes drilled by hand from the tailstock: what the stop tells, and where the carriage stands meanwhile; and the eased
feed of the same hole drilled from the tool post."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import pytest

from tests.plan.bench import faults, machine_text, made, rack_text
from toolpath.commands.road import Made
from toolpath.motion import Cut, Stop
from toolpath.plan.drilling import EASED
from toolpath.plan.operations import ByHand

TIP = 2.5 / math.tan(math.radians(59.0))
"""mm: the point of a 5 mm drill of 118 degrees, d / 2 / tan 59."""

CHUCK = '\n[[tool]]\nnumber = 12\nkind = "drill holder"\nlargest = 13\nfurther = [13, 14, 15]\n'


def plate(hole: dict[str, Any], machine: str = "", rack: str = "") -> Made:
    job = {"outside": [{"dia": 14, "to": 12}], "inside": [{"hole": 5, **hole}], "bar": {"dia": 16, "length": 60}}
    return made(**job, holdings=[{"in": "collet"}], machine=machine_text() + machine, rack=rack or rack_text())


@cache
def blind() -> Made:
    return plate({"deep": 8})


def told(done: Made, kind: str = "drill") -> str:
    (found,) = [op.does for op in done.setups[0].plan.operations if isinstance(op, ByHand) and op.kind == kind]
    return found


def test_the_depth_counts_from_the_face_with_the_point_in_it() -> None:
    """Only what meets a whole face can be told to touch it: a drill sinks into its centre first, 2 mm and more."""
    assert f"go {8.0 + TIP:.1f} mm deep on the quill's scale" in told(blind())
    assert "from touching the face go" in told(blind(), "centre")
    assert "touching" not in told(blind())
    assert (
        "drill 5 mm, 118 deg point; with its point level with the face, by a rule laid across it, set the quill's "
        "scale to 0; start the spindle" in told(blind())
    )


def test_a_countersink_counts_from_the_edge_that_it_touches() -> None:
    """Its cone of 90 degrees meets the edge of the 5 mm hole: a broken edge of 0.2 lies 0.2 mm deeper."""
    assert "from touching the edge of the hole go 0.2 mm deep on the quill's scale" in told(blind(), "countersink")


def test_a_reamer_counts_from_its_end_level_with_the_face() -> None:
    done = plate({"deep": 8, "made": "reamed", "hole": 6})
    assert "; with its end level with the face, by a rule laid across it, set" in told(done, "ream")
    assert "go 8.0 mm deep on the quill's scale" in told(done, "ream")


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ('\nquill_scale = "inch"\n', f"go {(8.0 + TIP) / 25.4:.3f} in deep on the quill's scale"),
        ("\nquill_per_turn = 2.0\n", f"on the quill's scale, {(8.0 + TIP) / 2.0:.2f} turns of its wheel"),
    ],
)
def test_in_the_units_and_turns_of_the_machines_own_quill(keys: str, words: str) -> None:
    assert words in told(plate({"deep": 8}, keys))


def test_it_is_fed_gently_only_where_it_breaks_through() -> None:
    assert "feed gently at the end, where it breaks through" in told(plate({"through": True}))
    assert "gently" not in told(blind())


def test_the_centre_is_as_deep_as_its_mouth_asks() -> None:
    """A2 (ISO 866): 2 mm pilot, 60 degrees; a mouth of 0.8 times 5 mm lies (4 - 2) / 2 / tan 30 behind the pilot."""
    from tests.plan.test_holes import asked, hollow

    centre = asked(hollow({"hole": 5, "deep": 8}))[0]
    assert centre.operation == "centre" and centre.dia == pytest.approx(4.0)
    assert centre.tool.hole is not None
    pilot, length = centre.tool.hole.pilot
    assert centre.tip == pytest.approx(-length - (4.0 - pilot) / 2.0 / math.tan(math.radians(30.0)))


@pytest.mark.parametrize(
    ("hole", "told_of", "not_told"),
    [({"deep": 8}, "stays on a stub of 1 mm", "drops"), ({"through": True}, "The part drops when", "stub")],
)
def test_a_part_that_is_hollow_where_it_comes_off_hangs_on_no_stub(
    hole: dict[str, Any], told_of: str, not_told: str
) -> None:
    said = " ".join(plate(hole).setups[0].plan.cautions)
    assert told_of in said and not_told not in said


def test_the_carriage_is_parked_and_the_spindle_off_at_every_stop() -> None:
    (one,) = blind().setups
    assert faults(blind()) == []
    by_hand = [k for k, op in enumerate(one.plan.operations) if isinstance(op, ByHand)]
    stops = [s for k in by_hand for s in one.read_back.operations[k].steps if isinstance(s, Stop)]
    assert len(stops) == len(by_hand) >= 3
    for stop in stops:
        assert stop.at == pytest.approx(one.plan.change_point) and stop.state.spindle is None


def test_from_the_post_the_feed_is_halved_before_it_breaks_through() -> None:
    done = plate({"through": True}, '\ndrilling = "post"\n', rack_text() + CHUCK)
    assert faults(done) == []
    (one,) = done.setups
    at = [op.kind for op in one.plan.operations].index("drill")
    cuts = [s for s in one.read_back.operations[at].steps if isinstance(s, Cut)]
    full, last = cuts[0].state.feed, cuts[-1].state.feed
    assert full is not None and last is not None
    assert last.value == pytest.approx(full.value / 2.0, abs=0.001)
    assert cuts[-1].start[0] - cuts[-1].end[0] == pytest.approx(EASED, abs=0.002)
