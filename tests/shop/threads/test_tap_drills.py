"""Drills before a tap against a published chart, whole, and percents against published figures."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.shop.threads.published import rows
from toolpath.errors import BadInput
from toolpath.quantity.units import INCH
from toolpath.shop.drills import drill_named, drill_set, every_set
from toolpath.shop.threads import read_thread
from toolpath.shop.threads.preparing import bore
from toolpath.shop.threads.standards import known_threads
from toolpath.shop.threads.tap_drills import best, engagement, rated, tap_drills, usual_drill

METRIC = [s for s in every_set() if s.name == "metric"]
INCHES = [s for s in every_set() if s.name != "metric"]
# Drill, percent of the basic height and of the chart, all within the limits of the hole (published "75 %" charts; the
# percents are those of the two formulas).
PERCENTS = """
M2       1.6   92.4 77.0
M2.5     2.05  92.4 77.0
M3       2.5   92.4 77.0
M4       3.3   92.4 77.0
M5       4.2   92.4 77.0
M6       5     92.4 77.0
M8       6.8   88.7 73.9
M8x1     7     92.4 77.0
M10      8.5   92.4 77.0
M10x1.25 8.8   88.7 73.9
M10x1    9     92.4 77.0
M12      10.2  95.0 79.2
M12x1.5  10.5  92.4 77.0
M12x1.25 10.8  88.7 73.9
M14      12    92.4 77.0
#4-40    #43   85 71
#6-32    #36   93 78
#8-32    #29   83 69
#10-24   #25   90 75
#10-32   #21   92 76
1/4-20   #7    91 75
1/4-28   #3    96 80
5/16-18  F     92 77
5/16-24  I     90 75
3/8-16   5/16  92 77
3/8-24   Q     95 79
7/16-14  U     90 75
7/16-20  25/64 87 72
1/2-13   27/64 94 78
1/2-20   29/64 87 72
"""


@pytest.mark.parametrize("line", PERCENTS.strip().splitlines())
def test_percents_on_both_scales(line: str) -> None:
    name, drill, basic, chart = line.split()
    one = rated(read_thread(name), drill_named(drill))
    digits = len(basic.partition(".")[2])
    assert one.chart is not None
    assert f"{one.basic:.{digits}f}" == basic
    assert f"{one.chart:.{digits}f}" == chart
    assert one.within


@pytest.mark.parametrize("row", rows("tapping_chart.csv"), ids=lambda row: row["thread"])
def test_the_usual_drill_is_that_of_the_chart(row: dict[str, str]) -> None:
    thread = read_thread(row["thread"])
    try:
        drill = drill_named(row["drill"])
    except BadInput:  # beyond the sets, which end at 13 mm and a half inch: to the step of such drills
        size = float(row["drill"]) if thread.form == "iso" else _inches(row["drill"])
        assert usual_drill(thread) == pytest.approx(size, abs=0.26 if thread.form == "iso" else INCH / 64)
        return
    found = best(thread, tap_drills(thread, METRIC if thread.form == "iso" else INCHES))
    assert found is not None
    assert found.drill.name == drill.name


def test_the_chart_is_whole() -> None:
    assert len(rows("tapping_chart.csv")) > 80


def _inches(text: str) -> float:
    over, under = text.split("/")
    return int(over) / int(under) * INCH


def test_pitch_taken_off_the_diameter() -> None:
    """The rule of thumb D - P leaves 92.4 percent of the basic height, 77.0 of the chart's, at every size."""
    for name in ("M3", "M6", "M10x1", "1/4-20", "3/8-24"):
        thread = read_thread(name)
        assert [f"{p:.1f}" for p in engagement(thread, thread.diameter - thread.pitch) if p] == ["92.4", "77.0"]


def test_other_forms_have_one_scale() -> None:
    basic, chart = engagement(read_thread("2 BA"), 4.7 - 1.2 * 0.81)
    assert basic == pytest.approx(100.0)
    assert chart is None


def test_the_fifty_percent_drill_is_no_drill_of_the_limits() -> None:
    """7/32 in for 1/4-20 stands in charts as the hard column, and lies over the 0.207 in of 2B."""
    assert not rated(read_thread("1/4-20"), drill_named("7/32")).within


def test_only_what_is_owned() -> None:
    owned = [drill_set("metric 0.5")]
    assert [d.drill.name for d in tap_drills(read_thread("M6"), owned)] == ["5"]
    assert tap_drills(read_thread("M8"), owned) == ()
    assert best(read_thread("M8"), ()) is None


@given(st.sampled_from([name for name in known_threads() if "NPT" not in name and name not in ("M1", "M1.6x0.2")]))
def test_what_is_listed_lies_within_the_limits(name: str) -> None:
    thread = read_thread(name)
    room = bore(thread)
    found = tap_drills(thread, every_set())
    assert all(room.least - 1e-3 < d.drill.dia < room.greatest + 1e-3 and d.within for d in found)
    assert [d.basic for d in found] == sorted((d.basic for d in found), reverse=True)
    assert all(d.basic <= 101.5 for d in found)
