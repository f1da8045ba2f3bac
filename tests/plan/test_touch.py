"""What the bench is told of touching off, by kind of tool and by where the control keeps the offsets."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from tests.commands.conftest import BUSH, Call, call
from tests.plan.workshop import SAMPLES
from toolpath.commands.road import make
from toolpath.motion import Stop
from toolpath.plan.touch import entered, set_anew
from toolpath.shop.rack import load_rack
from toolpath.shop.tools import Tool

POSTS = Path(__file__).resolve().parents[2] / "posts"


@pytest.fixture(scope="module")
def tools() -> dict[str, Tool]:
    """One tool of each kind: an outside one, a blade, a bar, a drill."""
    rack = load_rack(SAMPLES / "racks" / "drawer.toml")
    found: dict[str, Tool] = {}
    for tool in rack:
        found.setdefault("blade" if tool.kind == "blade" else tool.works, tool)
    return {**found, "hole": replace(found["outside"], number=12, works="hole", point="drill point")}


def test_each_kind_has_its_own_way_into_the_tool_table(tools: dict[str, Tool]) -> None:
    outside, blade, bar, drill = (tools[k] for k in ("outside", "blade", "inside", "hole"))
    lines = entered((outside, blade, bar, drill), x_diameter=True, work_offset=False)
    skim = "skim the work or touch a turned part of it, leave X, measure its diameter and enter it as X of its row"
    assert lines == [
        f"Touch off T{outside.number}: {skim}",
        f"Touch off T{blade.number}: {skim}, X and Z with its chuck-side corner",
        f"Touch off T{bar.number}: skim a bore, leave X, measure the bore's diameter and enter it as X of its row",
        f"Touch off T{drill.number}: its drill point on the axis is X 0",
        "Z of every row: touch the front face with the tool and enter what still lies before the finished face there, "
        "0 once it is finished",
    ]


def test_tools_of_a_kind_share_a_line(tools: dict[str, Tool]) -> None:
    rack = load_rack(SAMPLES / "racks" / "drawer.toml")
    outside = [t for t in rack if t.works == "outside" and t.point == "nose"]
    (line, z) = entered(outside, x_diameter=True, work_offset=False, end="back")
    assert z.startswith("Z of every row: touch the back face with the tool and enter what")
    assert line.startswith("Touch off " + ", ".join(f"T{t.number}" for t in outside) + ": ")


def test_a_work_offset_keeps_the_zero_and_the_table_what_each_tool_reaches(tools: dict[str, Tool]) -> None:
    lines = entered((tools["outside"],), x_diameter=True, work_offset=True)
    assert lines[1] == "Z of every row: touch the front face with the tool and enter 0"
    assert lines[2].startswith("Z of the work offset: with one of these tools touch the front face and set what")


def test_without_offsets_every_tool_sets_both_zeros_anew(tools: dict[str, Tool]) -> None:
    skim = "skim the work or touch a turned part of it, leave X, measure its radius (half the diameter) and set X to it"
    assert set_anew(tools["outside"], x_diameter=False).startswith(f"{skim}; touch")
    assert set_anew(tools["blade"], x_diameter=True).endswith(", both with its chuck-side corner")
    assert set_anew(tools["inside"], x_diameter=True).startswith("skim a bore, leave X, measure the bore's diameter")
    turned = set_anew(tools["outside"], x_diameter=False, end="back")
    assert turned.startswith(f"{skim}; touch the back face and set Z")
    again = set_anew(tools["outside"], x_diameter=False, end="back", z_set=True)
    assert again == f"{skim}; leave Z as it was set at the stop before"
    assert set_anew(tools["hole"], x_diameter=True).startswith("the drill point on the axis is X 0; with it touch")


def test_the_tool_with_which_z_is_set_is_not_asked_for_it_twice() -> None:
    """On a control without offsets only X is still open at that tool's own stop."""
    cap = SAMPLES / "plumb-bob-cap.toml"
    done = make(cap, sizes={}, material=None, post="plain94", stop_before_tools=False)
    first, second = ([s.text for s in one.plan.program.steps if isinstance(s, Stop)] for one in done.setups)
    assert "set Z of T1 to the measured length" in second[0].replace("Set", "set")
    assert "leave Z as it was set at the stop before" in second[1] and "face" not in second[1]
    assert "touch the front face and set Z" in first[0] and not any("as it was set" in text for text in first)


@pytest.mark.parametrize("where", ["tool table", "work offset and tool table", "none"])
def test_the_program_says_it_as_its_dialect_has_it(tmp_path: Path, where: str, call: Call) -> None:
    source = (POSTS / ("plain94.toml" if where == "none" else "g99.toml")).read_text(encoding="utf-8")
    post = tmp_path / "mine.toml"
    post.write_text(source.replace('offsets       = "tool table"', f'offsets = "{where}"'), encoding="utf-8")
    job = BUSH.replace('"machines/', f'"{SAMPLES}/machines/').replace('"racks/', f'"{SAMPLES}/racks/')
    (tmp_path / "bush.toml").write_text(job, encoding="utf-8")
    assert call("make", str(tmp_path / "bush.toml"), "-q", "--post", str(post), "-o", str(tmp_path)).code == 0
    text = (tmp_path / "bush-1.nc").read_text(encoding="ascii").upper()
    spoken = " ".join(re.sub(r"[()]", "", text).split())
    assert ("X OF ITS ROW" in spoken) == (where != "none") == ("SET ZERO ANEW" not in spoken)
    assert ("Z OF THE WORK OFFSET" in spoken) == ("G54" in spoken) == (where == "work offset and tool table")
    assert "CHUCK-SIDE CORNER" in spoken


__all__ = ["call"]
