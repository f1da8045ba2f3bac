"""Inside and face are the outside in a mirror: the same envelope on the mapped profile, and real bores and faces."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.geometry.strategies import cutters, profiles, round_tool
from toolpath.geometry.cutter import Touch, cutter
from toolpath.geometry.elements import Arc, Chain, Line, points_of, polyline, reverse, signed_area
from toolpath.geometry.envelope import Envelope, envelope
from toolpath.geometry.frame import FACE, INSIDE, OUTSIDE, Frame

FRAMES = [OUTSIDE, INSIDE, FACE, OUTSIDE.mirrored(), INSIDE.mirrored(), FACE.mirrored()]
RAD = math.radians


def through(frame: Frame, profile: Chain, outline: Chain) -> Envelope:
    """The envelope of a job that lies in (z, x) where `frame` has its profile and tool."""
    in_zx, tool_zx = frame.back.chain(profile), frame.back.outline(outline)
    assert signed_area(tool_zx) > 0.0  # a tool is stored counter-clockwise, whatever side it works on
    return envelope(frame.chain(in_zx), cutter(frame.outline(tool_zx)))


@settings(max_examples=80, deadline=None)
@given(profile=profiles(), outline=cutters(), frame=st.sampled_from(FRAMES))
def test_every_frame_gives_the_envelope_of_the_outside(profile: Chain, outline: Chain, frame: Frame) -> None:
    """Bit for bit in the path, and with the same witnesses: the maps only exchange and negate coordinates."""
    straight, mapped = envelope(profile, cutter(outline)), through(frame, profile, outline)
    # A reflected outline begins with another element, so its cap may add up in another order.
    assert len(mapped.pieces) == len(straight.pieces)
    for p, q in zip(straight.pieces, mapped.pieces, strict=True):
        assert (p.touch, p.element, p.corner) == (q.touch, q.element, q.corner)
        assert type(p.path) is type(q.path)
        assert q.path.a == pytest.approx(p.path.a, abs=1e-9) and q.path.b == pytest.approx(p.path.b, abs=1e-9)
        if isinstance(p.path, Arc) and isinstance(q.path, Arc):
            assert q.path.sweep == pytest.approx(p.path.sweep, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(profile=profiles(most=6), radius=st.floats(0.1, 2.0), frame=st.sampled_from([INSIDE, FACE]))
def test_a_round_tool_keeps_its_radius_from_bore_and_face(profile: Chain, radius: float, frame: Frame) -> None:
    """Against a general geometry library, in the lathe's own (z, x): the centre is never nearer than the radius to the
    wall, and where it is no vertical step it is exactly there."""
    wall = shapely.LineString(points_of(frame.back.chain(profile), 1e-4))
    env = envelope(profile, cutter(round_tool(radius), fit_tolerance=0.0))
    for piece in env.pieces:
        for k in (0.0, 0.3, 0.7, 1.0):
            u, v = piece.path.point_at(k)
            centre = frame.back.point((u, v + radius))
            gap = shapely.Point(centre).distance(wall)
            assert gap >= radius - 2e-4
            if not piece.vertical:
                assert gap <= radius + 2e-4


def test_finishing_a_bore_with_a_shoulder() -> None:
    """Bore 20 to z -10, then 12: tip (-1, +1), nose 0.4, so on the walls the tip itself lies on bore and shoulder."""
    wall = polyline([(-20.0, 6.0), (-10.0, 6.0), (-10.0, 10.0), (0.0, 10.0)])
    nose = Arc((0.0, -0.4), (0.4, 0.0), (0.4, -0.4), -math.pi / 2.0)  # as it lies in (z, x): up and to the left
    outline = reverse((nose, Line((0.4, 0.0), (4.0, -0.3)), Line((4.0, -0.3), (0.3, -4.0)), Line((0.3, -4.0), nose.a)))
    assert signed_area(outline) > 0.0
    env = envelope(INSIDE.chain(wall), cutter(INSIDE.outline(outline), fit_tolerance=0.0))
    back = INSIDE.back.chain(env.path)
    assert any(isinstance(e, Line) and e.a[1] == e.b[1] == pytest.approx(10.0) for e in back)
    shoulder = [p for p in env.pieces if p.vertical and p.element == 1]
    assert len(shoulder) == 1 and shoulder[0].touch is Touch.NOSE
    assert INSIDE.back.point(shoulder[0].path.a)[0] == pytest.approx(-10.0, abs=1e-12)
    # Round the shoulder's inner edge the nose centre goes on an arc of 0.4 about (-10, 6); the tip is (-0.4, +0.4) off.
    arcs = {INSIDE.back.point(p.path.centre): p.path for p in env.pieces if isinstance(p.path, Arc)}
    edge = next(arc for centre, arc in arcs.items() if math.dist(centre, (-10.4, 6.4)) < 1e-12)
    assert edge.radius == pytest.approx(0.4)


@pytest.mark.parametrize("angle", [15.0, 30.0, 45.0, 60.0])
@pytest.mark.parametrize("nose", [0.2, 0.4, 0.8])
def test_nose_shift_on_an_inside_taper_is_that_of_the_outside_table(angle: float, nose: float) -> None:
    """dz = r (1 - tan(theta/2)) where a taper meets a cylinder. Source: machinists' published hand compensation, as in
    the worked values r 0.8: 45 deg 0.4686, 30 deg 0.5856, 15 deg 0.6947. Inside, the bore narrows towards the chuck."""
    slope = math.tan(RAD(angle))
    wall = polyline([(-10.0, 12.0 - 5.0 * slope), (-5.0, 12.0), (0.0, 12.0)])
    start, end = (0.0, -nose), (nose, 0.0)  # nose and two edges as a bar's insert has them, tip (-1, +1)
    edges = (Line(end, (9.0, -0.5)), Line((9.0, -0.5), (0.5, -9.0)), Line((0.5, -9.0), start))
    outline = reverse((Arc(start, end, (nose, -nose), -math.pi / 2.0), *edges))
    env = envelope(INSIDE.chain(wall), cutter(INSIDE.outline(outline), fit_tolerance=0.0))
    bore = [p for p in env.pieces if p.element == 1 and not p.corner]
    meets = min(p.path.a[0] for p in bore)
    # The tip lies (-r, +r) from the centre, the taper's normal points towards +z: the corner moves towards the chuck.
    assert meets == pytest.approx(-5.0 - nose * (1.0 - math.tan(RAD(angle) / 2.0)), abs=1e-9)
    if nose == 0.8:
        published = {15.0: 0.6947, 30.0: 0.5856, 45.0: 0.4686}
        if angle in published:
            assert -5.0 - meets == pytest.approx(published[angle], abs=5e-5)


def test_a_face_groove_by_a_blade_as_wide() -> None:
    """In the face frame u is the radius: a groove between diameters 10 and 14, 2 mm deep, and a blade of 2 mm."""
    face = polyline([(0.0, 2.0), (0.0, 5.0), (-2.0, 5.0), (-2.0, 7.0), (0.0, 7.0), (0.0, 12.0)])
    blade = polyline([(0.0, 0.0), (9.0, 0.0), (9.0, 2.0), (0.0, 2.0)], close=True)
    assert signed_area(blade) > 0.0
    env = envelope(FACE.chain(face), cutter(FACE.outline(blade)))
    assert min(env.height(5.0 + d) for d in np.linspace(-2e-6, 2e-6, 41)) == pytest.approx(-2.0, abs=1e-9)
    assert [env.height(u) for u in (3.1, 4.9, 5.1, 9.0)] == pytest.approx([0.0] * 4, abs=1e-12)
