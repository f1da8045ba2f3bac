"""`check` on a part with threads: what to turn, drill and measure, in the figures of the published tables."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.commands.conftest import Call

JOB = """\
title = "Threads"
machine = "machines/bench.toml"
tools = "racks/drawer.toml"
material = "brass"
{unit}
[bar]
dia = {dia}
length = {length}
[part]
outside = [ {outside} ]
{inside}
"""


def told(call: Call, bench: Path, outside: str, *, inside: str = "", unit: str = "mm") -> list[str]:
    """The lines about threads."""
    dia, length = ("0.75", "3") if unit == "inch" else ("20", "70")
    rows = f"inside = [ {inside} ]" if inside else ""
    words = 'units = "inch"' if unit == "inch" else ""
    text = JOB.format(unit=words, dia=dia, length=length, outside=outside, inside=rows)
    (bench / "thread.toml").write_text(text, encoding="utf-8")
    said = call("check", "thread.toml")
    assert said.code == 0, said.err
    lines = said.out.splitlines()
    if f"Threads, {unit}" not in lines:
        return []
    start = lines.index(f"Threads, {unit}")
    return lines[start : lines.index("", start)]


def test_a_screw_for_the_point(bench: Path, call: Call) -> None:
    """M10x1-6g: 9.794 to 9.974, pitch diameter 9.212 to 9.324 (ISO 965-1). Over wires of P / (2 cos 30) = 0.577 that is
    d2 + 3 w - 0.866025 P, the formula of every chart: 9.212 + 1.73205 - 0.86603 = 10.078, and 10.190."""
    outside = '{ thread = "M10x1-6g", to = 10, cut_by = "point", undercut = true }, { dia = 15, to = 25 }'
    assert told(call, bench, outside) == [
        "Threads, mm",
        "  M10x1-6g, outside (part.outside[0]), from 0.694 to 7.000, cut by point",
        "      turn to 9.884, 9.794 to 9.974",
        "      start: chamfer 0.694, from dia 8.496",
        "      relief 3.000 wide, dia 8.290, between 7.000 and 10.000",
        "      over wires of 0.577, the best: 10.078 to 10.190",
    ]


def test_a_tapped_hole_with_both_scales_of_percent(bench: Path, call: Call) -> None:
    """M6 with 5 mm: 1 / 1.0825 = 92 % of the basic height, 1 / 1.299 = 77 % on the charts' scale."""
    inside = '{ thread = "M6-6H", to = 11 }, { hole = 5, deep = 14, made = "drilled" }'
    assert told(call, bench, "{ dia = 15, to = 25 }", inside=inside) == [
        "Threads, mm",
        "  M6-6H, inside (part.inside[0]), from 0.650 to 11.000, cut by tap",
        "      drill to 5.000, 4.917 to 5.153",
        "      tap drill 5 (metric): 92 % of the basic height (5/8 H), 77 % on the scale",
        "        of the charts (3/4 H)",
        "      start: chamfer 0.65, from dia 6.300",
        "      no relief",
    ]


def test_a_drill_that_no_box_holds_is_told(bench: Path, call: Call) -> None:
    inside = '{ thread = "M6-6H", to = 11, drill = 5.03 }, { hole = 4.5, deep = 14 }'
    assert any(
        "tap drill 5.03 mm, none in the rack:" in line
        for line in told(call, bench, "{ dia = 15, to = 25 }", inside=inside)
    )


def test_an_inch_job_is_told_in_inches_and_a_left_hand_thread_as_one(bench: Path, call: Call) -> None:
    """5/16-24 UNF-2A: 0.3042 to 0.3114 (ASME B1.1)."""
    outside = '{ thread = "5/16-24 UNF-2A LH", to = 0.4, no_start = true }, { dia = 0.6, to = 1 }'
    lines = told(call, bench, outside, unit="inch")
    assert lines[1] == "  5/16-24 UNF-2A LH, outside (part.outside[0]), from 0.0079 to 0.4000, cut by"
    assert "      turn to 0.3078, 0.3042 to 0.3114" in lines
    assert "      start: without a chamfer" in lines and "      no relief" in lines


def test_a_thread_for_the_point_without_relief_says_that_it_leaves_on_a_ramp(bench: Path, call: Call) -> None:
    outside = '{ thread = "M10x1-6g", to = 10, cut_by = "point" }, { dia = 15, to = 25 }'
    assert "      no relief; the point leaves on a ramp" in told(call, bench, outside)


def test_a_thread_of_the_other_end_is_told_from_the_back(bench: Path, call: Call) -> None:
    inside = '{ thread = "M6-6H", to = 11, from = "back" }, { hole = 5, deep = 14, made = "drilled", from = "back" }'
    lines = told(call, bench, "{ dia = 15, to = 25 }", inside=inside)
    assert lines[1].startswith("  M6-6H, inside, from the back (part.inside[0]), from 14.000 to 24.350")


@pytest.mark.parametrize(
    "thread", ["M10x1-6g", "1/4 BSW", "2 BA", "G 1/8", "M10xPh2P1", "12 x 1.25 60deg", "Tr 12x3", "R 1/8"]
)
def test_every_standard_can_be_told(bench: Path, call: Call, thread: str) -> None:
    lines = told(call, bench, f'{{ thread = "{thread}", to = 12 }}, {{ dia = 15, to = 25 }}')
    assert lines and max(len(line) for line in lines) <= 80


def test_a_part_without_threads_says_nothing_of_them(bench: Path, call: Call) -> None:
    assert told(call, bench, "{ dia = 15, to = 25 }") == []


def test_walls_along_a_thread_are_told_from_its_root(bench: Path, call: Call) -> None:
    outside = '{ thread = "M10x1-6g", to = 10, no_start = true }, { dia = 15, to = 25 }'
    told(call, bench, outside, inside="{ hole = 7, deep = 20 }")
    out = call("check", "thread.toml").out
    assert "Walls, mm, across the axis, of a thread at its root" in out
    assert "   10.000     8.596     7.000     0.798" in out


def test_a_joint_is_told_with_its_figures(bench: Path, call: Call) -> None:
    """9 mm with chamfer and relief into 11 mm; without relief 3 P are not full (GB/T 3)."""
    row = '{ thread = "M10x1-6g", to = 9, cut_by = "point", undercut = true, mate_deep = 11 }, { dia = 15, to = 25 }'
    lines = " ".join(" ".join(told(call, bench, row)).split())
    assert "mate: the screw is 9.000 long from its shoulder, the mate is full to 11.000: the faces meet" in lines
    assert "2.000 or 2.0 turns before the screw's end would jam" in lines and "not full" not in lines
    row = row.replace("undercut = true", "mate_mouth = 3.2")
    lines = " ".join(" ".join(told(call, bench, row)).split())
    assert "the last 3.000 before the shoulder are not full, its mouth is open over 3.200" in lines


def test_a_hole_is_told_how_its_mate_goes_in(bench: Path, call: Call) -> None:
    inside = '{ thread = "M6-6H", to = 11, mate_long = 8 }, { hole = 5, deep = 14, made = "drilled" }'
    lines = " ".join(" ".join(told(call, bench, "{ dia = 15, to = 25 }", inside=inside)).split())
    assert "mate: the mate is 8.000 long from its shoulder, the hole is full to 11.000: the faces meet" in lines
    through = '{ thread = "M6-6H", to = 25, mate_long = 40 }'
    lines = " ".join(" ".join(told(call, bench, "{ dia = 15, to = 25 }", inside=through)).split())
    assert "the hole is open at its end: the faces meet" in lines


def test_a_taper_is_told_as_a_cone(bench: Path, call: Call) -> None:
    """R 1/4, full from 0.963 mm on, 12.782 at its end: + 0.963 / 16 and + 14 / 16."""
    lines = told(call, bench, '{ thread = "R 1/4", to = 14 }, { dia = 19, to = 25 }')
    assert "      turn to a cone, dia 12.842 to 13.657, 1 in 16 on diameter" in lines


def test_stock_for_a_full_form_insert_is_told(bench: Path, call: Call) -> None:
    """0.05 mm on the radius over 9.974, not under 0.03 and not over 0.07; crests come to 9.794 to 9.974 (ISO 965-1)."""
    outside = '{ thread = "M10x1-6g", to = 10, cut_by = "full form", undercut = true }, { dia = 15, to = 25 }'
    lines = " ".join(" ".join(told(call, bench, outside)).split())
    said = "turn to 10.074, 10.034 to 10.114: stock for the insert, which cuts the crests to 9.794 to 9.974"
    assert said in lines
