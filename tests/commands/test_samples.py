"""The sample jobs: what their drawings come to, worked out here a second time without the project's rows.

Each sample is drawn again from its dimensions as a polygon (corners by the tangent length R tan(turn/2), arcs by their
closed forms), and its volume is 2 pi times area times the centroid's distance from the axis (Pappus), by shapely.
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from shapely import LineString, Point, Polygon, box

from toolpath.commands.inputs import read_inputs
from toolpath.job.read import read_job
from toolpath.part.mates import closing

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
Place = tuple[float, float]
STEPS = 400  # chords an arc: a volume is out by less than 1 part in 10^6


def arc(a: Place, b: Place, centre: Place) -> list[Place]:
    """Points from a to b the short way about the centre."""
    start = math.atan2(a[1] - centre[1], a[0] - centre[0])
    turn = math.remainder(math.atan2(b[1] - centre[1], b[0] - centre[0]) - start, 2 * math.pi)
    r = math.dist(a, centre)
    angles = (start + turn * k / STEPS for k in range(STEPS + 1))
    return [(centre[0] + r * math.cos(w), centre[1] + r * math.sin(w)) for w in angles]


def centre_of(a: Place, b: Place, radius: float, *, below: bool) -> Place:
    """Centre of the arc through a and b: below the chord (nearer the axis) when it bulges, above when it is hollow."""
    mid, half = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), math.dist(a, b) / 2
    away = math.sqrt(radius**2 - half**2)
    normal = ((b[1] - a[1]) / (2 * half), -(b[0] - a[0]) / (2 * half))
    if (normal[1] < 0) != below:
        normal = (-normal[0], -normal[1])
    return (mid[0] + away * normal[0], mid[1] + away * normal[1])


def rounded(before: Place, corner: Place, after: Place, radius: float) -> list[Place]:
    """The corner between two straight lines, rounded."""
    u = unit(corner, before)
    v = unit(corner, after)
    half = math.acos(u[0] * v[0] + u[1] * v[1]) / 2
    along, far = radius / math.tan(half), radius / math.sin(half)
    w = unit((0, 0), (u[0] + v[0], u[1] + v[1]))
    a = (corner[0] + along * u[0], corner[1] + along * u[1])
    b = (corner[0] + along * v[0], corner[1] + along * v[1])
    return arc(a, b, (corner[0] + far * w[0], corner[1] + far * w[1]))


def unit(a: Place, b: Place) -> Place:
    d = math.dist(a, b)
    return ((b[0] - a[0]) / d, (b[1] - a[1]) / d)


def broken(section: Polygon, corner: Place, size: float) -> Polygon:
    """The section with a corner cut off straight, `size` from the corner on both sides."""
    ring = LineString(Point(corner).buffer(size, quad_segs=STEPS).exterior.coords)
    a, b = ring.intersection(section.exterior).geoms
    return section.difference(Polygon([corner, a.coords[0], b.coords[0]]))


def volume(section: Polygon) -> float:
    return 2 * math.pi * section.area * section.centroid.y


def plumb_bob_body() -> Polygon:
    """Limits by ISO 286-2: 20 h9 is 0/-52 µm."""
    body, head, neck = (24 - 0.10) / 2, (20 - 0.026) / 2, 17 / 2
    dome_end = (-(4 - math.sqrt(4**2 - 3.6**2)), 3.6)
    shoulder, cylinder_end = (-34.0, body), (-44.0, body)
    foot = (-44 - (body - neck) * math.tan(math.radians(65)), neck)
    back_foot = (-55.0, neck)
    edge = (-55.0, head)
    section = Polygon(
        [
            *arc((0, 0), dome_end, (-4, 0)),
            *rounded(dome_end, shoulder, cylinder_end, 20),
            cylinder_end,
            *rounded(cylinder_end, foot, back_foot, 0.5),
            *rounded(foot, back_foot, edge, 0.5),
            edge,
            (-60, head),
            (-60, 0),
        ]
    )
    # the round between nose and taper is what a disc of 3 mm can reach from inside the whole section
    whole = section.union(Polygon([(z, -x) for z, x in section.exterior.coords]))
    opened = whole.buffer(-3, quad_segs=STEPS).buffer(3, quad_segs=STEPS)
    front = box(-6, 0, 1, 30)
    section = section.difference(front).union(opened.intersection(front))
    for corner in (cylinder_end, edge, (-60, head)):
        section = broken(section, corner, 0.3)
    return section


def stepped_arbor() -> Polygon:
    """Limits by ISO 286-2: 8 h7 is 0/-15 µm."""
    spigot, journal, collar = (8 - 0.0075) / 2, (12 - 0.02) / 2, 18 / 2
    first, second = (-14.0, spigot), (-34.0, journal)
    return Polygon(
        [
            (0, 0),
            (0, spigot - math.tan(math.radians(30))),
            (-1, spigot),
            *rounded((-1, spigot), first, (-14, journal), 0.8),
            (-14, journal - 0.5),
            (-14.5, journal),
            *rounded((-14.5, journal), second, (-34, collar), 1.5),
            *rounded(second, (-34, collar), (-42, collar), 1.0),
            (-41, collar),
            (-42, collar - 1),
            (-42, 0),
        ]
    )


def drawer_knob() -> Polygon:
    head, waist, foot = 12.0, 6.0, 8.0
    crown_end, bulge_end, waist_at, foot_at = (-3.0, 9.0), (-9.0, head), (-22.0, waist), (-28.0, foot)
    crown = (3**2 + 9**2) / (2 * 3)  # radius of a cap 3 high and 9 in half width
    under = centre_of(bulge_end, waist_at, 20, below=False)
    # tangent at the waist: the next centre lies on the line through the waist and the last one, as far from both ends
    u = unit(waist_at, under)
    chord = (foot_at[0] - waist_at[0], foot_at[1] - waist_at[1])
    radius = (chord[0] ** 2 + chord[1] ** 2) / (2 * (chord[0] * u[0] + chord[1] * u[1]))
    section = Polygon(
        [
            *arc((0, 0), crown_end, (-crown, 0)),
            *arc(crown_end, bulge_end, centre_of(crown_end, bulge_end, 7, below=True)),
            *arc(bulge_end, waist_at, under),
            *arc(waist_at, foot_at, (waist_at[0] + radius * u[0], waist_at[1] + radius * u[1])),
            (-31, foot),
            (-31, 0),
        ]
    )
    for corner in (bulge_end, foot_at, (-31, foot)):
        section = broken(section, corner, 0.2)
    return section


def plumb_bob_cap() -> Polygon:
    """Spigot 10.4 round a bore of 8, flange 14 -0.02/-0.05, taper to 9; the cord's hole of 2 from the back."""
    spigot, flange, end, bore, cord = 5.2, (14 - 0.035) / 2, 4.5, 4.0, 1.0
    foot, floor = (-9.0, spigot), (-12.0, bore)
    section = Polygon(
        [
            (0, bore),
            (0, spigot - 0.5),
            (-0.5, spigot),
            *rounded((-0.5, spigot), foot, (-9, flange), 0.4),
            (-9, flange),
            (-13, flange),
            (-22, end),
            (-22, cord),
            (-12, cord),
            *rounded((-12, cord), floor, (0, bore), 0.3),
        ]
    )
    for corner in ((0, bore), (-9, flange), (-22, end), (-22, cord)):
        section = broken(section, corner, 0.2)
    return section


def point_holder() -> Polygon:
    """Reamed for a body of 5.95 that rests 8 mm from the back, its tail to 16 in a drill #32 (0.116 in) 0.5 mm deeper;
    both drills end in 118 degrees. 6 H7 is 0/+12 µm by ISO 286-2; the square edge of the body rests on the reamer's
    lead, 45 degrees from the axis, and so above the end of the full diameter by half of what the hole is larger."""
    points, _ = spigot(-9.0)
    body, end, point, thin = 7.0, 4.5, 3.0, 0.116 * 25.4 / 2
    cone = math.tan(math.radians(59))
    bottom, tail = -34 + 8 - (6.006 - 5.95) / 2, -34 + 16 + 0.5
    step = (bottom + (point - thin) / cone, thin)
    section = Polygon(
        [
            (0, 0),
            *points,
            (-9, body),
            (-18, body),
            (-34, end),
            (-34, point),
            (bottom, point),
            step,
            (tail, thin),
            (tail + thin / cone, 0),
        ]
    )
    for corner in ((-9, body), (-34, end), (-34, point)):
        section = broken(section, corner, 0.2)
    return section


def reamed_bush() -> Polygon:
    """Limits by ISO 286-2: 12 h9 is 0/-43 µm."""
    body, flange, bore = (12 - 0.0215) / 2, 9.0, 4.0
    section = Polygon(
        [
            (0, bore),
            (0, body),
            *rounded((0, body), (-16, body), (-16, flange), 0.4),
            (-16, flange),
            (-20, flange),
            (-20, bore),
        ]
    )
    for corner in ((0, bore), (0, body), (-16, flange), (-20, flange), (-20, bore)):
        section = broken(section, corner, 0.2)
    return section


def spigot(start: float) -> tuple[list[Place], Place]:
    """M10 x 1 - 6g, 9.974/9.794, its relief 3 wide, 8.4 h13 (0/-0.22), foot radius 0.6, wall 45 degrees, `start` from
    the front to the shoulder; the points from (0, x) to the shoulder's foot, and that foot."""
    crest, floor = (9.974 + 9.794) / 4, (8.4 - 0.11) / 2
    chamfer = crest - 8.496 / 2  # the start lies 0.1 P under the least root
    begin = start + 3.0
    wall = (begin - (crest - floor), floor)
    foot = (start, floor)
    points = [
        (0.0, crest - chamfer),
        (-chamfer, crest),
        (begin, crest),
        *rounded((begin, crest), wall, foot, 0.6),
        *rounded(wall, foot, (start, 2 * crest), 0.6),
    ]
    return points, foot


def screwed_cap() -> Polygon:
    """The knot in a drilled hole of 6, point 118 degrees; the cord's hole of 2 from the back meets it."""
    points, _ = spigot(-9.0)
    flange, end, knot, cord = (14 - 0.035) / 2, 4.5, 3.0, 1.0
    cone = math.tan(math.radians(59))
    section = Polygon(
        [
            (0, knot),
            *points,
            (-9, flange),
            (-13, flange),
            (-22, end),
            (-22, cord),
            (-12 - (knot - cord) / cone, cord),
            (-12, knot),
        ]
    )
    for corner in ((0, knot), (-9, flange), (-22, end), (-22, cord)):
        section = broken(section, corner, 0.2)
    return section


def try_plug() -> Polygon:
    points, _ = spigot(-10.0)
    section = Polygon([(0, 0), *points, (-10, 7.5), (-30, 7.5), (-30, 0)])
    for corner in ((-10, 7.5), (-30, 7.5)):
        section = broken(section, corner, 0.3)
    return section


def screwed_body() -> Polygon:
    """M10 x 1 - 6H bored to 8.917/9.153, its mouth 1.05 times the diameter; behind it a drill of 8.5 to 14."""
    bore, hole = (8.917 + 9.153) / 4, 4.25
    mouth = 10.5 / 2
    cone = math.tan(math.radians(59))
    section = Polygon(
        [
            (0, mouth),
            (0, 10),
            *rounded((0, 10), (-12, 10), (-12, 12), 0.5),
            (-12, 12),
            (-30, 12),
            (-30, 0),
            (-14 - hole / cone, 0),
            (-14, hole),
            (-12, hole),
            (-12, bore),
            (-(mouth - bore), bore),
        ]
    )
    for corner in ((0, 10), (-12, 12), (-30, 12)):
        section = broken(section, corner, 0.3)
    return broken(section, (-12, hole), (bore - hole) / 3)  # as much as leaves the low step two thirds of itself


def polishing_spindle() -> Polygon:
    """Limits by ISO 286-2: 8 h9 is 0/-36 µm, 10 h7 0/-15 µm. Centre holes A2: a seat of 60 degrees from 4.25 (ISO 6411)
    to the pilot of 2, which is 2.5 long with its point of 118 degrees."""
    nose, seat, collar = (8 - 0.018) / 2, (10 - 0.0075) / 2, 7.5
    cone, tip = (4.25 / 2 - 1.0) / math.tan(math.radians(30)), 1.0 / math.tan(math.radians(59))
    front = [(0.0, 4.25 / 2), (-cone, 1.0), (-cone - 2.5 + tip, 1.0), (-cone - 2.5, 0.0)]
    section = Polygon(
        [
            *reversed(front),
            (0, nose),
            *rounded((0, nose), (-20, nose), (-20, seat), 0.6),
            (-20, seat),
            *rounded((-20, seat), (-52, seat), (-52, collar), 0.6),
            (-52, collar),
            (-62, collar),
            *rounded((-62, collar), (-62, seat), (-110, seat), 0.6),
            (-110, seat),
            *((-110 - z, x) for z, x in front),
        ]
    )
    for corner in ((0, nose), (-52, collar), (-62, collar), (-110, seat)):
        section = broken(section, corner, 0.3)
    return broken(section, (-20, seat), (seat - nose - 0.6) / 3)  # as much as leaves the low step two thirds of itself


DRAWN = {
    "polishing-spindle": polishing_spindle,
    "screwed-cap": screwed_cap,
    "try-plug": try_plug,
    "screwed-body": screwed_body,
    "plumb-bob-body": plumb_bob_body,
    "stepped-arbor": stepped_arbor,
    "drawer-knob": drawer_knob,
    "plumb-bob-cap": plumb_bob_cap,
    "point-holder": point_holder,
    "reamed-bush": reamed_bush,
}


def test_every_sample_is_drawn_here() -> None:
    assert {p.stem for p in SAMPLES.glob("*.toml")} == set(DRAWN)


@pytest.mark.parametrize("name", DRAWN)
def test_the_volume_that_a_sample_states_is_that_of_its_drawing(name: str) -> None:
    read = read_inputs(SAMPLES / f"{name}.toml", sizes={})  # with the holes that are picked for a component
    job, part = read.job, read.part
    drawn = volume(DRAWN[name]())
    assert job.expected is not None
    assert job.expected.volume == pytest.approx(drawn, rel=1e-5)
    assert part.volume() == pytest.approx(drawn, rel=1e-5)


HELD = {  # by sample: what it holds, and how far in it comes to rest, or is held by its fit
    "plumb-bob-cap": ("knotted cord", 12.0),
    "point-holder": ("steel point", 8.0),
    "reamed-bush": ("pin", 24.0),
}


@pytest.mark.parametrize("name", HELD)
def test_a_sample_that_holds_something_shows_it_in_its_place(name: str) -> None:
    """It goes in, and stops within 0.1 mm of where the job says: an edge that lies on a fillet or a cone."""
    read = read_inputs(SAMPLES / f"{name}.toml", sizes={})
    (held,) = read.held
    called, rests = HELD[name]
    assert held.component.name == called and held.stops == pytest.approx(rests, abs=0.1)
    assert all(play.play.smallest > 0.0 for play in held.plays)


@pytest.mark.parametrize("name", DRAWN)
def test_samples_name_their_shop_by_short_paths(name: str) -> None:
    job = read_job(SAMPLES / f"{name}.toml")
    assert job.machine == SAMPLES / "machines" / "bench.toml"
    assert job.tools == SAMPLES / "racks" / "drawer.toml"


def test_cap_and_body_name_each_other_s_length_and_close_up_face_to_face() -> None:
    """The body's thread leaves on a ramp of two pitches, 12 - 2; the cap is 9 from its shoulder. A turn is left."""
    joints = []
    for name in ("screwed-cap", "screwed-body"):
        part = read_inputs(SAMPLES / f"{name}.toml", sizes={}).part
        joints += [closing(part, on) for on in part.threads]
    cap, body = joints
    assert cap is not None and body is not None
    assert (cap.male, cap.female) == (pytest.approx(9.0), 10.0) and (body.male, body.female) == (
        9.0,
        pytest.approx(10.0),
    )
