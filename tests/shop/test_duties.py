"""What each tool of a rack may be asked to do, and the words in which the rest is refused."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, points_of, signed_area
from toolpath.shop.duties import DUTIES, curve_refusal, duty_refusal, slope_refusal
from toolpath.shop.outlines import half_width, point_outline
from toolpath.shop.rack import load_rack
from toolpath.shop.tools import Tool

DRAWER = {t.number: t for t in load_rack(Path(__file__).parents[2] / "samples" / "racks" / "drawer.toml")}
RAD = math.radians


def one(tmp_path: Path, rows: str) -> Tool:
    path = tmp_path / "rack.toml"
    path.write_text(f"[[tool]]\nnumber = 3\n{rows}\n", encoding="utf-8")
    (tool,) = load_rack(path)
    return tool


def test_what_the_drawer_does() -> None:
    assert {n: sorted(t.does) for n, t in DRAWER.items()} == {
        1: ["face", "turn"],
        2: ["face", "turn"],
        3: ["face", "turn"],
        4: ["groove", "part off"],
        5: ["turn"],  # a left-hand tool does not get to the front face
        6: ["turn"],
        7: ["bore"],
        8: ["bore"],
        9: ["thread"],
        10: ["thread inside"],
        11: ["groove inside"],
    }
    on_the_axis = {d for d, duty in DUTIES.items() if duty.works == "hole"}  # those of the drawer have no number
    assert {d for t in DRAWER.values() for d in t.does} | {"groove face"} | on_the_axis == set(DUTIES)


# Slopes that a tool can go down behind its nose, deg. Source: Tootool technical information: 80 deg at 95 up to 3,
# 55 deg at 93 up to 30; its 45 for 35 deg at 93 keeps more room than the 2 deg of clearance counted here.
@pytest.mark.parametrize(("number", "can"), [(1, 3.0), (2, 30.0), (3, 45.0)])
def test_slopes_that_published_tools_go_down(number: int, can: float) -> None:
    assert slope_refusal(DRAWER[number], RAD(can)) == ""


def test_slopes_that_tools_can_not_go_down() -> None:
    assert slope_refusal(DRAWER[1], RAD(35)) == (
        "a tool of 80 deg entering at 95 deg has 5 deg behind it and can not go down a 35 deg slope"
    )
    assert "has 32 deg behind it and can not go down a 30.5 deg slope" in slope_refusal(DRAWER[2], RAD(30.5))
    assert slope_refusal(DRAWER[3], RAD(50)) == "" != slope_refusal(DRAWER[3], RAD(50.1))
    assert "has 5 deg behind it" in slope_refusal(DRAWER[7], RAD(3.1))  # the same inside
    assert slope_refusal(DRAWER[6], RAD(80)) == ""  # a round tool has no edge behind its nose
    assert slope_refusal(DRAWER[4], RAD(89)) == "a blade can not go down a 89 deg slope"


@pytest.mark.parametrize(
    ("number", "duty", "message"),
    [
        (5, "face", "a left-hand tool entering at 93 deg with 32 deg behind its nose can not face"),
        (4, "turn", "a blade tool can not turn: that takes a turning or round tool"),
        (1, "part off", "a turning tool can not part off: that takes a blade tool"),
        (1, "bore", "a tool that works on the outside can not bore: that is done inside"),
        (7, "face", "a tool that works inside can not face: that is done on the outside"),
        (9, "thread inside", "a tool that works on the outside can not thread inside: that is done inside"),
        (4, "groove face", "a tool that works on the outside can not groove face: that is done in a face"),
    ],
)
def test_duties_that_a_tool_can_not_do(number: int, duty: str, message: str) -> None:
    assert duty_refusal(DRAWER[number], duty).startswith(message)
    assert duty not in DRAWER[number].does


def test_a_rack_can_not_ask_it_either(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=r"tool\[0\].does: a left-hand tool .* can not face: .* Take a right-hand tool"):
        one(tmp_path, 'insert = "DCMT 070204"\nholder = "SDJCL 1010 E07"\ndoes = ["face"]')
    narrow = one(tmp_path, 'insert = "DCMT 070204"\nholder = "SDJCR 1010 E07"\ndoes = ["face"]')
    assert narrow.does == {"face"}
    with pytest.raises(BadInput, match=r"a neutral-hand tool entering at 62.5 deg .* can not face"):
        one(tmp_path, 'insert = "DCMT 070204"\nholder = "SDNCN 1010 E07"\ndoes = ["face"]')


def test_facing_tools(tmp_path: Path) -> None:
    """U, 93 deg to the feed: faces and turns. K, 75 deg: its edge hangs 15 deg below the nose, so it only faces."""
    both = one(tmp_path, 'insert = "DCMT 070204"\nholder = "SDUCR 1010 E07"')
    assert [math.degrees(a) for a in both.edges] == pytest.approx([122, 3])
    assert both.does == {"face", "turn"}
    steep = one(tmp_path, 'insert = "SCMT 09T304"\nholder = "SSKCR 1212 F09"')
    assert [math.degrees(a) for a in steep.edges] == pytest.approx([105, -15])
    assert steep.does == {"face"}
    assert "can not turn: its nose does not get to a cylinder" in duty_refusal(steep, "turn")
    assert min(p[1] for p in points_of(steep.outline, 1e-3)) < -2.0  # the edge leads into the face's rim
    assert min(p[0] for p in points_of(steep.outline, 1e-3)) == pytest.approx(0.0, abs=1e-3)
    for tool in (both, steep):
        assert all(signed_area(c) > 0.0 for c in (tool.outline, *tool.holder))
        flush = one(tmp_path, 'insert = "TCMT 110204"\nholder = "STFCR 1212 F11"')
        assert flush.may_touch(0.0) and flush.may_touch(math.pi / 2.0)


def test_ground_tools_of_every_hand(tmp_path: Path) -> None:
    rows = 'kind = "ground"\nentering = {}\nincluded = 60\nnose_radius = 0.3\nedge = 6\nhand = "{}"'
    right, left = (one(tmp_path, rows.format(93, h)) for h in ("right", "left"))
    neutral = one(tmp_path, rows.format(60, "neutral"))
    assert [t.tip for t in (right, left, neutral)] == [(-1, -1), (1, -1), (0, -1)]
    assert [sorted(t.does) for t in (right, left, neutral)] == [["face", "turn"], ["turn"], ["turn"]]
    nose = neutral.outline[0]
    assert isinstance(nose, Arc) and nose.centre == (0.0, 0.3)


# ---------------------------------------------------------------- blades


def test_a_full_radius_grooves_but_does_not_part_off_by_itself(tmp_path: Path) -> None:
    full = one(tmp_path, 'kind = "blade"\nwidth = 3\nreach = 12\ncorner = 1.5')
    assert full.does == {"groove"} and full.nose_radius == 1.5
    asked = one(tmp_path, 'kind = "blade"\nwidth = 3\nreach = 12\ncorner = 1.5\ndoes = ["part off"]')
    assert asked.does == {"part off"}


def test_a_blade_for_face_grooves(tmp_path: Path) -> None:
    """Seen from above it is the outside blade with z and x exchanged: 3 mm across in x, standing out along z."""
    tool = one(tmp_path, 'kind = "blade"\nwidth = 3\nreach = 8\ncorner = 0.2\nface_grooves = [24, 35]')
    assert (tool.works, tool.tip, tool.curve) == ("face", (-1, -1), (24.0, 35.0))
    assert tool.does == {"groove face"}
    boxes = [e.bounds() for e in tool.outline]
    assert (min(b[0] for b in boxes), max(b[2] for b in boxes)) == (0.0, 8.0)
    assert (min(b[1] for b in boxes), max(b[3] for b in boxes)) == (0.0, 3.0)
    assert all(signed_area(c) > 0.0 for c in (tool.outline, *tool.holder))
    assert all(min(e.bounds()[0] for e in h) == 8.0 for h in tool.holder)
    assert tool.may_touch(0.0) and tool.may_touch(math.pi / 2) and tool.may_touch(-math.pi / 2)
    assert curve_refusal(tool, 24.0) == "" == curve_refusal(tool, 35.0)
    assert curve_refusal(tool, 20.0) == (
        "a blade bent for face grooves of 24 to 35 mm outer diameter rubs in one of 20 mm"
    )
    assert "rubs on the outer wall" in curve_refusal(DRAWER[4], 30.0)
    with pytest.raises(BadInput, match=r"face_grooves: 5 to 35 mm are no outer diameters"):
        one(tmp_path, 'kind = "blade"\nwidth = 3\nreach = 8\nface_grooves = [5, 35]')
    with pytest.raises(BadInput, match=r"face_grooves: a blade for face grooves has neither"):
        one(tmp_path, 'kind = "blade"\nwidth = 3\nreach = 8\nface_grooves = [24, 35]\nbar = 8')


# ---------------------------------------------------------------- threading points


def test_a_threading_points_flanks_and_flat() -> None:
    """60 deg: at depth d above a flat b it is b + 2 d tan 30 wide (plane geometry)."""
    point = point_outline(RAD(60), 2.0, flat=0.12, radius=0.0)
    assert [p for p in (point[0].a, point[0].b)] == [(-0.06, 0.0), (0.06, 0.0)]
    zs = [p[0] for p in points_of(point, 1e-3)]
    assert max(zs) - min(zs) == pytest.approx(0.12 + 4.0 * math.tan(RAD(30)))
    assert signed_area(point) > 0.0


@pytest.mark.parametrize("angle", [55.0, 60.0])
@pytest.mark.parametrize("radius", [0.05, 0.1, 0.25])
def test_a_threading_points_radius_touches_both_flanks(angle: float, radius: float) -> None:
    point = point_outline(RAD(angle), 2.0, flat=0.0, radius=radius)
    nose = point[0]
    assert isinstance(nose, Arc) and nose.centre == (0.0, radius)
    assert nose.sweep == pytest.approx(math.pi - RAD(angle))
    assert max(p[0] for p in points_of(point, 1e-4)) == pytest.approx(
        half_width(RAD(angle), 2.0, flat=0.0, radius=radius)
    )
    for e in (point[1], point[-1]):
        lean = abs(math.atan2(e.b[0] - e.a[0], e.b[1] - e.a[1])) % math.pi
        assert min(lean, math.pi - lean) == pytest.approx(RAD(angle / 2.0))


def test_whitworths_point_stands_a_sixth_under_its_sharp_end() -> None:
    """BS 84: 55 deg, radius 0.137329 P rounds off H/6 with H = 0.960491 P (published figures)."""
    pitch = 2.0
    r, sixth = 0.137329 * pitch, 0.960491 * pitch / 6.0
    assert r / math.sin(RAD(27.5)) - r == pytest.approx(sixth, abs=2e-5)
    wide = half_width(RAD(55), 1.0, flat=0.0, radius=r)
    assert wide == pytest.approx((1.0 + sixth) * math.tan(RAD(27.5)), abs=2e-5)


def test_threading_tools_outside_and_inside(tmp_path: Path) -> None:
    outside = one(tmp_path, 'kind = "threading"\nangle = 55\ndepth = 2\nradius = 0.14')
    assert (outside.tip, outside.nose_radius, outside.width, outside.hand) == ((0, -1), 0.14, 0.0, "neutral")
    assert math.degrees(outside.included_angle) == pytest.approx(55)
    assert outside.does == {"thread"} and outside.max_depth == 2.0
    inside = one(tmp_path, 'kind = "threading"\nangle = 60\ndepth = 1\nbar = 5')
    assert (inside.tip, inside.width) == ((0, 1), 0.05)
    assert inside.does == {"thread inside"}
    assert inside.assumed[0] == "flat 0.05 mm"
    with pytest.raises(BadInput, match="ends in a flat or in a radius"):
        one(tmp_path, 'kind = "threading"\nangle = 60\ndepth = 1\nflat = 0.1\nradius = 0.1')
    with pytest.raises(BadInput, match=r"tool\[0\].depth: a radius of 1 mm leaves nothing of flanks 0.4 mm high"):
        one(tmp_path, 'kind = "threading"\nangle = 60\ndepth = 0.4\nradius = 1')
    with pytest.raises(BadInput, match=r"tool\[0\].angle"):
        one(tmp_path, 'kind = "threading"\nangle = 10\ndepth = 1')
