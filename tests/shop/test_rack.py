"""Racks as a turner writes them, and the wrong combinations that are refused."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from toolpath.errors import BadInput
from toolpath.geometry.elements import Arc, signed_area
from toolpath.shop.rack import load_rack
from toolpath.shop.tools import Tool

SAMPLE = Path(__file__).parents[2] / "samples" / "racks" / "drawer.toml"


def rack(tmp_path: Path, text: str) -> tuple[Tool, ...]:
    path = tmp_path / "rack.toml"
    path.write_text(text, encoding="utf-8")
    return load_rack(path)


def one(tmp_path: Path, rows: str) -> Tool:
    (tool,) = rack(tmp_path, f"[[tool]]\nnumber = 3\n{rows}\n")
    return tool


def refused(tmp_path: Path, text: str) -> str:
    with pytest.raises(BadInput) as caught:
        rack(tmp_path, text)
    return str(caught.value)


def test_the_drawer() -> None:
    tools = {t.number: t for t in load_rack(SAMPLE)}
    assert list(tools) == list(range(1, 12))
    inside, outside = [t for t in tools.values() if t.bar], [t for t in tools.values() if not t.bar]
    assert [t.number for t in inside] == [7, 8, 10, 11]
    tools = {t.number: t for t in outside if t.kind != "threading"}
    assert [t.kind for t in tools.values()] == ["turning", "turning", "turning", "blade", "turning", "round"]
    degrees = {n: tuple(round(math.degrees(a), 6) for a in t.edges) for n, t in tools.items()}
    assert degrees == {1: (95, 5), 2: (93, 32), 3: (93, 52), 4: (90, 90), 5: (93, 32), 6: (90, 90)}
    assert [t.nose_radius for t in tools.values()] == [0.4, 0.2, 0.2, 0.1, 0.2, 3.0]
    assert [t.tip for t in tools.values()] == [(-1, -1), (-1, -1), (-1, -1), (-1, -1), (1, -1), (-1, -1)]
    assert all(t.offset == t.number for t in tools.values())
    assert tools[1].honed and not tools[2].honed
    assert tools[4].does == {"groove", "part off"} and tools[6].does == {"turn"}


def test_the_drawers_blade_parts_its_bar() -> None:
    """25 mm bar: the blade must go 12.5 mm deep to the axis and keep its block clear of the work."""
    blade = next(t for t in load_rack(SAMPLE) if t.kind == "blade")
    assert blade.max_depth == 15.0 >= 12.5 + 1.0  # 1 mm of the reach stays clear between work and block
    assert blade.point == "chuck-side corner"
    boxes = [e.bounds() for e in blade.outline]
    assert (min(b[0] for b in boxes), max(b[2] for b in boxes)) == (0.0, blade.width)
    assert (min(b[1] for b in boxes), max(b[3] for b in boxes)) == (0.0, blade.reach)
    assert all(min(e.bounds()[1] for e in h) == blade.reach for h in blade.holder)


def test_every_outline_and_holder_runs_counter_clockwise() -> None:
    for tool in load_rack(SAMPLE):
        for chain in (tool.outline, *tool.holder):
            assert signed_area(chain) > 0.0
            assert all(e.b == f.a for e, f in zip(chain, chain[1:] + chain[:1], strict=True))
        if not tool.nose_radius:
            assert tool.kind == "threading"  # it ends in a flat
            continue
        nose = tool.outline[0]
        assert isinstance(nose, Arc) and nose.radius == pytest.approx(tool.nose_radius)
        want = (-tool.tip[0] * tool.nose_radius, -tool.tip[1] * tool.nose_radius)
        assert nose.centre == want


def test_a_left_hand_tool_is_the_mirror_of_the_right_hand_one(tmp_path: Path) -> None:
    right = one(tmp_path, 'insert = "DCMT 070204"\nholder = "SDJCR 1010 E07"')
    left = one(tmp_path, 'insert = "DCMT 070204"\nholder = "SDJCL 1010 E07"')
    assert {(-z, x) for z, x in (e.a for e in right.outline)} == {e.a for e in left.outline}
    assert {(-z, x) for h in right.holder for z, x in (e.a for e in h)} == {e.a for h in left.holder for e in h}
    assert left.edges == right.edges and left.tip == (1, -1)


def test_a_round_insert_sits_in_the_middle_of_its_holder() -> None:
    tool = next(t for t in load_rack(SAMPLE) if t.number == 6)
    head, shank = tool.holder
    for chain, half in ((head, 2.7), (shank, 5.0)):
        zs = [b for e in chain for b in (e.bounds()[0], e.bounds()[2])]
        assert (min(zs), max(zs)) == (pytest.approx(3.0 - half), pytest.approx(3.0 + half))
    assert min(e.bounds()[1] for e in head) == 3.0  # the head begins under the insert's middle
    assert max(e.bounds()[3] for e in shank) == tool.reach


def test_shanks_stand_where_their_holders_have_them() -> None:
    """10 mm shank, tip to far side 12 mm: 2 to 12 mm from the tip, mirrored for the left hand."""
    tools = {t.number: t for t in load_rack(SAMPLE)}
    for number, want in ((1, (2.0, 12.0)), (3, (2.0, 12.0)), (5, (-12.0, -2.0))):
        shank = tools[number].holder[1]
        zs = [b for e in shank for b in (e.bounds()[0], e.bounds()[2])]
        assert (min(zs), max(zs)) == want


def test_the_bit_of_a_ground_tool_carries_on_its_leading_edge(tmp_path: Path) -> None:
    """Its unground side begins exactly where the ground leading edge ends."""
    rows = 'kind = "ground"\nentering = {}\nincluded = 60\nnose_radius = 0.3\nedge = 6\nshank = 8\noverhang = 25'
    for entering in (60, 90, 95):
        tool = one(tmp_path, rows.format(entering))
        top = tool.outline[-1].a  # the leading edge comes down to the nose
        left = min(e.bounds()[0] for e in tool.holder[1])
        assert left == pytest.approx(top[0], abs=1e-9)
        assert max(e.bounds()[2] for e in tool.holder[1]) == pytest.approx(top[0] + 8.0)


def test_a_neutral_tool_has_its_point_under_its_nose(tmp_path: Path) -> None:
    tool = one(tmp_path, 'insert = "DCMT 070204"\nholder = "SDNCN 1010 E07"')
    nose = tool.outline[0]
    assert isinstance(nose, Arc) and nose.centre == (0.0, 0.4)
    assert tool.tip == (0, -1)
    zs = [b for e in tool.outline for b in (e.bounds()[0], e.bounds()[2])]
    assert min(zs) == pytest.approx(-max(zs), abs=1e-9)  # 62.5 deg makes a 55 deg insert symmetrical


def test_what_a_tool_may_touch(tmp_path: Path) -> None:
    """93 deg with a 55 deg insert: faces, cylinders, walls leaning 3 deg, slopes falling to 32 deg, and no more."""
    tool = one(tmp_path, 'insert = "DCMT 070204"\nholder = "SDJCR 1010 E07"')
    for degrees, may in ((0, True), (90, True), (-3, True), (-3.01, False), (122, True), (122.01, False), (180, False)):
        assert tool.may_touch(math.radians(degrees)) is may, degrees
    left = one(tmp_path, 'insert = "DCMT 070204"\nholder = "SDJCL 1010 E07"')
    for degrees, may in ((180, True), (90, True), (183, True), (183.01, False), (58, True), (57.99, False), (0, False)):
        assert left.may_touch(math.radians(degrees)) is may, degrees
    roughing = one(tmp_path, 'insert = "CCMT 060204"\nholder = "SCLCR 1010 E06"')
    assert roughing.may_touch(math.radians(95)) and not roughing.may_touch(math.radians(95.1))
    assert not roughing.may_touch(math.radians(90 + 35))  # an 80 deg insert at 95 deg can not go down a 35 deg slope


def test_ground_tool_in_inches(tmp_path: Path) -> None:
    (tool,) = rack(
        tmp_path,
        'units = "inch"\n[[tool]]\nnumber = 7\nkind = "ground"\nentering = 93\nincluded = "60 deg"\n'
        'nose_radius = 0.015\nshank = "3/8 in"\nedge = "8 mm"\n',
    )
    assert tool.nose_radius == pytest.approx(0.381)
    assert (tool.material, tool.honed, tool.edge_length) == ("HSS", False, 8.0)
    assert [math.degrees(a) for a in tool.edges] == pytest.approx([93, 27])
    assert tool.max_depth == pytest.approx(2 / 3 * 8 * math.sin(math.radians(93)))
    assert tool.reach == pytest.approx(3 * 0.375 * 25.4)
    assert tool.assumed == ("overhang 28.57 mm", "material HSS")


def test_blade_by_its_free_side_corner(tmp_path: Path) -> None:
    tool = one(
        tmp_path, 'kind = "blade"\nwidth = 3\nreach = 12\ncorners = [0.2, 0.4]\npoint = "free side"\noffset = 13'
    )
    assert (tool.point, tool.tip, tool.offset, tool.nose_radius) == ("free-side corner", (1, -1), 13, 0.4)
    zs = [b for e in tool.outline for b in (e.bounds()[0], e.bounds()[2])]
    assert (min(zs), max(zs)) == (-3.0, 0.0)
    assert {round(e.radius, 9) for e in tool.outline if isinstance(e, Arc)} == {0.2, 0.4}


def test_half_round_form_tool(tmp_path: Path) -> None:
    tool = one(tmp_path, 'kind = "round"\nwidth = 4\nreach = 12\nname = "bead"')
    assert (tool.kind, tool.nose_radius, tool.width, tool.name) == ("round", 2.0, 4.0, "bead")
    (arc,) = [e for e in tool.outline if isinstance(e, Arc)]
    assert arc.centre == (2.0, 2.0) and arc.sweep == pytest.approx(math.pi)


def test_insert_at_a_stated_angle_notes_what_it_assumed(tmp_path: Path) -> None:
    tool = one(tmp_path, 'insert = "VCGT 110302"\nentering = "95 deg"\nhand = "left"')
    assert (tool.hand, tool.name) == ("left", "VCGT 110302, 95 deg, left hand")
    assert tool.assumed == ("shank 10 mm", "overhang 30 mm", "material carbide")


HOLDER = 'insert = "DCMT 070204"\nholder = "SDJCR 1010 E07"\n'
WRONG = [
    ('insert = "CCMT 060204"\nholder = "SDJCR 1010 E07"', "tool[0].insert: CCMT 060204 does not fit SDJCR 1010 E07"),
    (
        'insert = "SCMT 09T304"\nentering = 95',
        "tool[0].insert: an insert or tool of 90 deg entering at 95 deg has -5 deg",
    ),
    (HOLDER + "entering = 93", "tool[0].entering: the style of SDJCR 1010 E07 already gives"),
    (HOLDER + 'hand = "left"', "tool[0].hand: SDJCR 1010 E07 is a right-hand holder, not left"),
    (HOLDER + "shank = 12", "tool[0].shank: SDJCR 1010 E07 already gives the shank"),
    (HOLDER + "overhang = 10", "tool[0].overhang: the tool stands out 10 mm, its head alone takes"),
    (HOLDER + "overhang = -3", "tool[0].overhang: -3 mm is no overhang"),
    (HOLDER + "ofset = 3", "unknown key 'ofset'. Did you mean 'offset'?"),
    (HOLDER + "offset = 0", "tool[0].offset: 0 is no offset number"),
    (HOLDER + 'material = "cermet"', "'cermet' is not known as material. Known here: carbide, HSS"),
    (HOLDER + 'does = ["turn", "mill"]', "'mill' is not known as does"),
    ('insert = "DCMT 070204"', "tool[0].insert: DCMT 070204 needs its holder or its entering angle"),
    ('insert = "DCMT 070204"\nentering = 20', "tool[0].entering: 20 deg is no entering angle"),
    ('insert = "DCMX 0702"\nentering = 93', "tool[0].insert: 'DCMX 0702' is no insert designation"),
    ('kind = "blade"\nwidth = 2\nreach = 17', "tool[0].reach: a blade 2 mm wide that stands out 17 mm is too limber"),
    ('kind = "blade"\nwidth = 2\nreach = 0.9', "tool[0].reach: a reach of 0.9 mm leaves no depth to cut"),
    (
        'kind = "blade"\nwidth = 2\nreach = 10\ncorner = 1.2',
        "tool[0].corner: corner radii of 1.2 and 1.2 mm do not fit",
    ),
    ('kind = "blade"\nwidth = 2\nreach = 10\ncorner = 0.1\ncorners = [0, 0]', "say the same thing twice"),
    ('kind = "blade"\nwidth = 2', "'reach' is missing"),
    ('kind = "blade"\nwidth = "2 deg"\nreach = 10', "tool[0].width"),
    ('kind = "blade"\nwidth = 0\nreach = 10', "tool[0].width: 0 mm is no width"),
    ('kind = "knife"\nwidth = 2', "tool[0].kind: 'knife' is no kind of tool"),
    ("width = 2", "this tool says neither `insert` nor `kind`"),
    (
        'kind = "ground"\nentering = 93\nincluded = 55\nnose_radius = 6\nedge = 8',
        "tool[0].edge: an edge of 8 mm is used up",
    ),
    (
        'kind = "ground"\nentering = 93\nincluded = 95\nnose_radius = 0.2',
        "tool[0].included: an insert or tool of 95 deg",
    ),
    ('kind = "round"\nwidth = 4\nreach = 1.5', "tool[0].reach"),
]


@pytest.mark.parametrize(("rows", "message"), WRONG)
def test_wrong_combinations_are_refused_with_their_reason(tmp_path: Path, rows: str, message: str) -> None:
    told = refused(tmp_path, f"[[tool]]\nnumber = 3\n{rows}\n")
    assert message in told
    assert told.startswith(f"{tmp_path / 'rack.toml'}:")


def test_messages_carry_the_line(tmp_path: Path) -> None:
    told = refused(
        tmp_path, f'[[tool]]\nnumber = 1\n{HOLDER}\n[[tool]]\nnumber = 2\nkind = "blade"\nreach = 40\nwidth = 2\n'
    )
    assert told.startswith(f"{tmp_path / 'rack.toml'}:9: tool[1].reach: ")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (f"[[tool]]\nnumber = 1\n{HOLDER}[[tool]]\nnumber = 1\n{HOLDER}", "tool number 1 stands in the rack twice"),
        (
            f"[[tool]]\nnumber = 1\n{HOLDER}[[tool]]\nnumber = 2\noffset = 1\n{HOLDER}",
            "offset 1 already belongs to tool 1",
        ),
        (f"[[tool]]\nnumber = 100\n{HOLDER}", "100 is no tool number"),
        (f"[[tool]]\nnumber = true\n{HOLDER}", "number"),
        (f"[[tool]]\n{HOLDER}", "'number' is missing"),
        (f"[[tool]]\nnumber = 1\n{HOLDER}overhang = nan", "overhang"),
        ("tool = []", "there is no tool in this rack"),
        ("", "tool"),
        (f'units = "cm"\n[[tool]]\nnumber = 1\n{HOLDER}', "'cm' are no units"),
        ("[[tool", "rack.toml"),
    ],
)
def test_racks_that_can_not_be(tmp_path: Path, text: str, message: str) -> None:
    assert message in refused(tmp_path, text)


def test_missing_rack(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="no such file"):
        load_rack(tmp_path / "rack.toml")
