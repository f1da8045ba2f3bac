"""Thread rows: what they make of a part, by the published tables, and what they refuse with figures.

Limits and reliefs: the tables that tests/shop/threads hold to their publishers (ISO 965-1 and ASME B1.1 as handbooks
print them, GB/T 3). Figures below are worked from those tables by hand and stand beside the row that needs them.
"""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.part.rows import named, part, refusal
from toolpath.part.halfsection import HalfSection
from toolpath.part.threads import ThreadOn
from toolpath.shop.threads import read_thread
from toolpath.shop.threads.standards import known_threads

HEAD = "{ dia = 15, to = 25 }"


def screw(thread: str, *, to: float = 10.0, words: str = "") -> HalfSection:
    return part(f'{{ thread = "{thread}", to = {to}{words and ", " + words} }}, {HEAD}')


def nut(*rows: str, outside: str = "{ dia = 24, to = 30 }") -> HalfSection:
    return part(outside, inside=", ".join(rows))


def only(half: HalfSection) -> ThreadOn:
    (on,) = half.threads
    return on


SCREWS = [
    # designation, major limits of the published tables (least, greatest), relief dia and greatest width of GB/T 3
    ("M10x1-6g", 9.794, 9.974, 10.0 - 1.6, 3.0),
    ("M6-6g", 5.794, 5.974, 6.0 - 1.6, 3.0),
    ("5/16-24 UNF-2A", 0.3042 * 25.4, 0.3114 * 25.4, None, None),  # ASME B1.1, inches
    ("1/4-20 UNC-2A", 0.2408 * 25.4, 0.2489 * 25.4, None, None),
]


@pytest.mark.parametrize(("thread", "least", "greatest", "foot", "wide"), SCREWS)
def test_a_screw_is_turned_to_the_middle_of_its_published_major_limits(
    thread: str, least: float, greatest: float, foot: float | None, wide: float | None
) -> None:
    half = screw(thread, words="undercut = true")
    on = only(half)
    assert 2.0 * on.crest == pytest.approx((least + greatest) / 2.0, abs=0.002)
    size = half.surfaces[on.element].dia
    assert size is not None
    assert (size.lower, size.upper) == (pytest.approx(least, abs=0.002), pytest.approx(greatest, abs=0.002))
    assert on.relief is not None and on.relief[1] == -10.0 and on.relief[0] == on.back
    if foot is not None and wide is not None:
        assert on.relief[0] - on.relief[1] == pytest.approx(wide)
        floor = min(x for e in half.outside for z, x in (e.a, e.b) if on.relief[1] <= z < on.relief[0] - 1.0)
        assert foot - 0.22 <= 2.0 * floor <= foot  # h13 of 6 to 10 mm: 0.22, ISO 286


def test_the_pitch_line_lies_in_the_middle_of_its_limits_and_the_root_where_the_mate_needs_it() -> None:
    """M10x1-6g: 9.212 to 9.324, and the minor diameter of the nut 10 - 1.0825 (ISO 965-1, ISO 68-1)."""
    on = only(screw("M10x1-6g"))
    assert 2.0 * on.pitch == pytest.approx((9.212 + 9.324) / 2.0)
    assert 2.0 * on.root == pytest.approx(10.0 - 1.0825, abs=1e-4)
    assert 2.0 * on.deepest == pytest.approx(8.596, abs=1e-3)  # root of 6g at the least: 9.212 - 0.6160 P


def test_a_whitworth_screw_without_limits_of_its_relief_is_an_inch_quarter() -> None:
    """1/4 BSW: 0.25 in over the crests at the most, 20 to the inch, 55 degrees (BS 84)."""
    on = only(screw("1/4 BSW"))
    own = on.threaded.thread
    assert (own.diameter, own.pitch) == (6.35, pytest.approx(1.27))
    assert math.degrees(own.angle) == pytest.approx(55.0)
    assert 2.0 * on.crest <= 6.35 and on.relief is None


def test_the_start_chamfer_comes_down_below_the_root() -> None:
    """M10x1: least root 8.596 less a tenth of the pitch, 8.496; from 9.884 at 45 degrees that is 0.694 mm."""
    half = screw("M10x1-6g")
    chamfer = named(half, "chamfer 0.694")
    assert chamfer.a == (0.0, pytest.approx(8.496 / 2.0)) and chamfer.b == (pytest.approx(-0.694), pytest.approx(4.942))
    assert only(half).front == pytest.approx(-0.694)


def test_a_corner_row_of_its_own_or_no_start_takes_the_chamfer_s_place() -> None:
    own = part(f'{{ chamfer = 1 }}, {{ thread = "M10x1-6g", to = 10 }}, {HEAD}')
    assert only(own).front == -1.0
    bare = screw("M10x1-6g", words="no_start = true")
    assert only(bare).front == 0.0 and not any("chamfer" in s.name for s in bare.surfaces)


def test_a_tapped_hole_has_the_diameter_of_its_drill_and_says_so() -> None:
    """M6: 5 mm, the tapping drill of every chart; limits of 6H 4.917 to 5.153 (ISO 965-1)."""
    half = nut('{ thread = "M6-6H", to = 11 }', "{ hole = 5, deep = 14, made = 'drilled' }")
    on = only(half)
    surface = half.inside_surfaces[on.element]
    assert 2.0 * on.crest == 5.0 and surface.made == "drilled" and on.threaded.cut_by == "tap"
    assert surface.dia is not None and (surface.dia.lower, surface.dia.upper) == (4.917, 5.153)
    assert 2.0 * on.root == 6.0


@pytest.mark.parametrize("drill", ["5", "4.95", "5.15"])
def test_a_drill_within_the_limits_may_be_named(drill: str) -> None:
    half = nut(f'{{ thread = "M6-6H", to = 11, drill = {drill} }}', "{ hole = 4.5, deep = 14, made = 'drilled' }")
    assert 2.0 * only(half).crest == float(drill)


def test_a_hole_for_the_point_is_bored_to_the_middle_of_its_limits_with_its_mouth_countersunk() -> None:
    """M10x1-6H: minor 8.917 to 9.153 (ISO 965-1); mouth 1.05 times the diameter."""
    half = nut('{ thread = "M10x1-6H", to = 11, cut_by = "point" }', "{ hole = 8.5, deep = 13 }")
    on = only(half)
    assert 2.0 * on.crest == pytest.approx((8.917 + 9.153) / 2.0) and half.inside_surfaces[on.element].made == "bored"
    assert half.inside[0].a == (0.0, pytest.approx(10.5 / 2.0))
    assert (on.front, on.back) == (pytest.approx(-(10.5 - 9.035) / 2.0), -11.0)


def test_an_inside_relief_lies_beyond_the_major_diameter() -> None:
    """M16x1.5: D + 0.5 with H13 (0.27), 3 to 6 mm wide (GB/T 3)."""
    half = nut('{ thread = "M16x1.5-6H", to = 15, cut_by = "point", undercut = true }', "{ hole = 13, deep = 18 }")
    on = only(half)
    assert on.relief is not None and on.relief[1] == -15.0
    widest = max(x for e in half.inside for z, x in (e.a, e.b) if on.relief[1] <= z <= on.relief[0])
    assert 16.5 <= 2.0 * widest <= 16.5 + 0.27 and 3.0 <= on.relief[0] - on.relief[1] <= 6.0


def test_stated_width_and_diameter_of_a_relief_hold() -> None:
    on = only(screw("M10x1-6g", words="undercut_width = 4, undercut_dia = 8"))
    assert on.relief == (-6.0, -10.0)


def test_a_shoulder_before_a_thread_is_no_relief() -> None:
    """The shoulder is part of the thread's row, outside as inside."""
    behind = part(f'{{ dia = 8, to = 4 }}, {{ thread = "M10x1-6g", to = 14 }}, {HEAD}')
    assert only(behind).relief is None
    deeper = nut(
        '{ dia = 14, to = 4 }, { thread = "M10x1-6H", to = 14, cut_by = "point" }', "{ hole = 8.5, deep = 18 }"
    )
    assert only(deeper).relief is None


BOTH_ENDS = part(
    '{ thread = "M10x1-6g", to = 10, undercut = true }, { dia = 15, to = 25 }, { thread = "M8-6g", to = 35 }',
    inside='{ thread = "M4-6H", to = 6 }, { hole = 3.3, deep = 8, made = "drilled" }, '
    '{ thread = "M3-6H", to = 5, from = "back" }, { hole = 2.5, deep = 7, made = "drilled", from = "back" }',
)


def test_threads_of_both_ends_and_sides_are_listed_with_their_chain() -> None:
    told = [(on.threaded.thread.in_full, on.chain, on.inside) for on in BOTH_ENDS.threads]
    assert told == [
        ("M10x1", "outside", False),
        ("M8", "outside", False),
        ("M4", "inside", True),
        ("M3", "inside_back", True),
    ]


def test_turned_round_every_thread_lies_mirrored_and_twice_where_it_was() -> None:
    around = BOTH_ENDS.turned_round()
    far = BOTH_ENDS.length
    flip = {"outside": "outside", "inside": "inside_back", "inside_back": "inside"}
    seen = {on.threaded.thread.in_full: on for on in around.threads}
    for on in BOTH_ENDS.threads:
        other = seen[on.threaded.thread.in_full]
        assert other.chain == flip[on.chain]
        assert (other.front, other.back) == (pytest.approx(-far - on.back), pytest.approx(-far - on.front))
        if on.relief is None:
            assert other.relief is None
        else:
            assert other.relief == (pytest.approx(-far - on.relief[1]), pytest.approx(-far - on.relief[0]))
        assert (other.crest, other.pitch, other.root) == (on.crest, on.pitch, on.root)
    for on, again in zip(BOTH_ENDS.threads, around.turned_round().threads, strict=True):
        assert (again.chain, again.element) == (on.chain, on.element)
        assert (again.front, again.back) == (pytest.approx(on.front), pytest.approx(on.back))


def test_a_taper_screw_is_a_cone_with_its_published_diameters_at_the_gauge_plane() -> None:
    """R 1/4: 13.157, 12.301 and 11.445 over crests, at the pitch line and in the root 6.0 mm from its small end, where
    it is the G thread (ISO 228-1); 1 in 16 on diameter."""
    half = part('{ thread = "R 1/4", to = 14, cut_by = "point" }, { dia = 20, to = 25 }')
    on = only(half)
    at_gauge = on.shift(-6.0)
    assert 2.0 * (on.crest + at_gauge) == pytest.approx(13.157) and on.taper == pytest.approx(-1.0 / 32.0)
    assert 2.0 * (on.pitch + at_gauge) == pytest.approx(12.301, abs=1.1e-3)
    assert 2.0 * (on.root + at_gauge) == pytest.approx(11.445, abs=1.1e-3)
    cone = half.outside[on.element]
    assert (cone.a[1], cone.b[1]) == (pytest.approx(on.crest), pytest.approx(on.crest + on.shift(on.back)))
    turned = only(half.turned_round())
    assert turned.taper == pytest.approx(1.0 / 32.0)
    assert 2.0 * (turned.pitch + turned.shift(6.0 - 25.0)) == pytest.approx(12.301, abs=1.1e-3)


def test_a_taper_hole_is_bored_from_its_mouth_inwards() -> None:
    """Rc 1/4 and 1/4 NPT: in the plane of the mouth 11.445 (ISO 228-1) and E1 - 0.8 P = 0.49163 - 0.04444 in."""
    for name, dia in (("Rc 1/4", 11.445), ("1/4 NPT", (0.49163 - 0.8 / 18.0) * 25.4)):
        on = only(nut(f'{{ thread = "{name}", to = 14, cut_by = "point" }}', "{ hole = 9, deep = 18 }"))
        assert 2.0 * (on.crest + on.shift(0.0)) == pytest.approx(dia, abs=1.1e-3)
        assert on.taper == pytest.approx(1.0 / 32.0) and on.crest + on.shift(on.back) < on.crest


def test_the_wall_under_a_taper_counts_from_its_slanting_root() -> None:
    """A hole that is clear of the root at its wide end and not at its small one, dia 10.989 at the least."""
    screwed = '{ thread = "R 1/4", to = 14, cut_by = "point", no_start = true }, { dia = 20, to = 25 }'
    assert part(screwed, inside="{ hole = 10.9, deep = 20 }").threads
    said = refusal(screwed, inside="{ hole = 11.2, deep = 20 }")
    assert "nothing is left under its root" in said and "R 1/4 goes 0.8966 mm deep" in said


KNOWN = known_threads()


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(KNOWN), st.booleans(), st.booleans())
def test_any_thread_makes_a_part_whose_crest_pitch_line_and_root_lie_in_order(
    name: str, inside: bool, left: bool
) -> None:
    """And it lies where it was when the part has been turned round twice."""
    name = re.sub("^Rc? ", "Rc " if inside else "R ", name)
    thread = f"{name} LH" if left else name
    own = read_thread(thread)
    dia, to = own.diameter, 10.0 * own.pitch + 2.0 * own.diameter
    words = f'thread = "{thread}", to = {to}, cut_by = "point"'
    head = f"{{ dia = {2.0 * dia}, to = {2.0 * to} }}"
    half = part(head, inside=f"{{ {words} }}") if inside else part(f"{{ {words} }}, {head}")
    on = only(half)
    order = [on.crest, on.pitch, on.root, on.deepest] if inside else [on.deepest, on.root, on.pitch, on.crest]
    assert order == sorted(order) and on.threaded.thread.left is left and on.front > on.back
    again = only(half.turned_round().turned_round())
    assert (again.front, again.back) == (pytest.approx(on.front), pytest.approx(on.back))
    assert (again.chain, again.crest, again.relief) == (on.chain, on.crest, None)


def row(words: str) -> str:
    return f"{{ {words} }}, {HEAD}"


REFUSED_OUTSIDE = [
    # Rc is the taper hole of ISO 7-1; capitals are holes by ISO 965-1, B by ASME B1.1
    (row('thread = "Rc 1/4", to = 14'),
     "part.outside[0].thread: Rc 1/4 is the name of a hole, and this is a screw. Write R 1/4"),
    (row('thread = "M10x1-6H", to = 10'),
     "part.outside[0].thread: M10x1-6H has the class of a hole, and this is a screw. Write 6g, or leave it out"),
    (row('thread = "5/16-24 UNF-2B", to = 10'),
     "part.outside[0].thread: 5/16-24 UNF-2B has the class of a hole, and this is a screw. Write 2A, or leave it out"),
    (row('thread = "M10x1-6g", to = 2, undercut = true'),
     "part.outside[0]: a relief of 3 mm leaves nothing of M10x1, which is 2 mm long with it. Make the row longer, or "
     "write a smaller undercut_width"),
    (f'{{ dia = 8, to = 5 }}, {row("""thread = "M10x1-6g", to = 7, undercut = true""")}',
     "part.outside[1]: M10x1 ends 7 mm from the face and begins 5 mm from it, and its relief takes 3 mm: nothing is "
     "left of the thread. Make the row longer, or write a smaller undercut_width"),
    (f'{{ dia = 8, to = 5 }}, {row("""thread = "M10x1-6g", to = 5""")}',
     "part.outside[1]: M10x1 ends 5 mm from the face and begins 5 mm from it: nothing is left of the thread. Make the "
     "row longer, or write a smaller undercut_width"),
    (row('thread = "M10x1-6g", to = 3.5, undercut = true'),
     "part.outside[0]: chamfer 0.694 takes 0.694 mm of dia 9.884 (M10x1), and only 0.5 mm is there. At most 0.5 mm "
     "fits"),
    (row('thread = "M10x1-6g", to = 10, undercut_dia = 9.6'),
     "part.outside[0].thread: an undercut of dia 9.6 mm does not clear the root of M10x1, dia 8.7731 mm. Make it "
     "smaller than that, or write undercut = true alone: the standard's table has its diameter"),
    (row('thread = "M10x1.1", to = 10'),
     "part.outside[0].thread: M10 has no pitch of 1.1 mm. It has 1.5, 1.25, 1, 0.75; any other: '10 x 1.1 60deg'"),
    (row('thread = "M10x1", to = 10, cut_by = "tap"'),
     "part.outside[0].cut_by: cut_by can not be 'tap'. It is die or point or full form"),
    # longer than what is there: the row after it would begin before the thread ends
    ('{ thread = "M10x1-6g", to = 10 }, { dia = 15, to = 8 }',
     "part.outside[1]: to = 8 mm does not go beyond the surface before it, which ends 10 mm from the front face"),
    (row('thread = "R 1/4", to = 14, undercut = true'),
     "part.outside[0].thread: no table of reliefs holds R 1/4; give width and diameter. Write undercut_width and "
     "undercut_dia"),
    (row('thread = "R 1/4", to = 14, mate_deep = 16'),
     "part.outside[0]: a taper thread closes on its flanks, not at a shoulder. Leave its mate out"),
    (row('thread = 10, to = 10'),
     "part.outside[0].thread: 10 is no thread. Write it as on a drawing: thread = \"M10x1-6g\""),
    (row('thread = "Tr 12x3", to = 12, undercut = true'),
     "part.outside[0].thread: no table of reliefs holds Tr 12x3; give width and diameter. Write undercut_width and "
     "undercut_dia"),
]  # fmt: skip


@pytest.mark.parametrize(
    "thread", ["M10x1-6H/6g", "5/16-24 UNF-2A", "G 1/4 B", "2 BA", "1/4 BSW", "Tr 12x3-7e", "1/4 NPT", "M10x1-5g6g LH"]
)
def test_a_screw_s_own_class_or_none_is_taken(thread: str) -> None:
    assert only(screw(thread, to=20)).threaded.thread == read_thread(thread)


@pytest.mark.parametrize(("rows", "said"), REFUSED_OUTSIDE)
def test_a_screw_that_can_not_be_is_refused_at_its_row(rows: str, said: str) -> None:
    assert refusal(rows) == said


REFUSED_INSIDE = [
    ('{ thread = "R 1/4", to = 11, cut_by = "point" }',
     "part.inside[0].thread: R 1/4 is the name of a screw, and this is a hole. Write Rc 1/4"),
    ('{ thread = "M6-6g LH", to = 11 }',
     "part.inside[0].thread: M6-6g LH has the class of a screw, and this is a hole. Write 6H, or leave it out"),
    ('{ thread = "M6-6H", to = 11, drill = 5.5 }',
     "part.inside[0].thread: a drill of 5.5 mm does not lie within the limits of the hole of M6. The hole lies between "
     "4.917 mm and 5.153 mm; a wider class has wider limits"),
    ('{ thread = "M6-6H", to = 11, drill = 4.5 }',
     "part.inside[0].thread: a drill of 4.5 mm does not lie within the limits of the hole of M6. The hole lies between "
     "4.917 mm and 5.153 mm; a wider class has wider limits"),
    ('{ thread = "M6-6H", to = 11, drill = 6 }',
     "part.inside[0].thread: a hole of 6 mm is as large as the thread itself, 6 mm: nothing is left to tap. The hole "
     "lies between 4.917 mm and 5.153 mm"),
    ('{ thread = "M10x1-6H", to = 11, cut_by = "point", drill = 9 }',
     "part.inside[0].thread: a drill of 9 mm goes before a tap, and this thread is cut with the point. Leave drill "
     "out: the hole is bored to the thread's own limits"),
    ('{ thread = "Rc 1/4", to = 11 }',
     "part.inside[0].thread: Rc 1/4 is a taper thread, and no drill or taper reamer before its tap is known here. "
     "Write cut_by = \"point\": its hole is bored to the taper"),
    ('{ thread = "M10x1-6H", to = 11, cut_by = "die" }',
     "part.inside[0].cut_by: cut_by can not be 'die'. It is tap or point or full form"),
    ('{ thread = "M10x1-6H", to = 11, cut_by = "point", undercut_dia = 9.8 }',
     "part.inside[0].thread: an undercut of dia 9.8 mm does not clear the root of M10x1, dia 10 mm. Make it larger "
     "than that, or write undercut = true alone: the standard's table has its diameter"),
    ('{ thread = "M16x1.5-6H", to = 15, cut_by = "point", undercut_dia = 25 }, { hole = 13, deep = 18 }',
     "part.inside[0]: inside neck dia 25 comes through dia 24, by 0.5 mm: no wall is left"),
]  # fmt: skip


@pytest.mark.parametrize(("rows", "said"), REFUSED_INSIDE)
def test_a_threaded_hole_that_can_not_be_is_refused_at_its_row(rows: str, said: str) -> None:
    assert refusal("{ dia = 24, to = 30 }", inside=rows) == said
