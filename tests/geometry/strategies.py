"""Random half-sections, tools and frames for property tests.

Profiles travel left to right, are one-valued in u but for vertical walls, and are built leg by leg: flats, slopes,
walls, caps and cups, joined sharply or tangentially, with tiny legs and arcs that end in a vertical tangent.
Tools are convex outlines about the point the program moves.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from hypothesis import strategies as st

from toolpath.geometry.elements import Arc, Chain, Element, Line, Point, polyline

UPRIGHT = math.pi / 2.0


# ---------------------------------------------------------------- profiles


def arc_from_chord(a: Point, b: Point, half: float) -> Arc:
    """Arc from a to b whose tangent at a leans `half` radians to the left of the chord (> 0: a cap)."""
    du, dv = b[0] - a[0], b[1] - a[1]
    k = 0.5 / math.tan(half)  # centre: middle of the chord, moved k chords to the right of travel
    return Arc(a, b, ((a[0] + b[0]) / 2.0 + k * dv, (a[1] + b[1]) / 2.0 - k * du), -2.0 * half)


@st.composite
def lengths(draw: st.DrawFn) -> float:
    """Mostly bench sizes to 0.001 mm, sometimes an ugly float, sometimes tiny.

    What is smaller than a tenth of a micrometre stands in `test_traps.py`, by name: beside it a comparison of two roads
    to one path says more of rounding than of either.
    """
    kind = draw(st.integers(0, 9))
    if kind == 0:
        return draw(st.sampled_from([1e-4, 1e-3]))
    if kind <= 2:
        return draw(st.floats(0.05, 6.0))
    return draw(st.integers(1, 6000)) / 1000.0


@st.composite
def legs(draw: st.DrawFn, a: Point, heading: float) -> tuple[Element, float]:
    """One leg from a, and the heading (radians from +u) at its end."""
    kind = draw(st.sampled_from(["flat", "slope", "wall", "cap", "cup", "tangent", "quarter"]))
    n = draw(lengths())
    up = draw(st.booleans()) if 2.0 < a[1] < 30.0 else a[1] <= 2.0
    sign = 1.0 if up else -1.0
    if kind == "flat":
        return Line(a, (a[0] + n, a[1])), 0.0
    if kind == "wall":
        return Line(a, (a[0], a[1] + sign * n)), sign * UPRIGHT
    if kind == "quarter":  # from a flat into a wall or from a wall into a flat, as a round or a cove
        first_flat = draw(st.booleans())
        b = (a[0] + n, a[1] + sign * n)
        centre = (a[0], b[1]) if first_flat else (b[0], a[1])
        return Arc(a, b, centre, sign * UPRIGHT * (1.0 if first_flat else -1.0)), sign * UPRIGHT * first_flat
    phi = sign * draw(
        st.one_of(st.floats(0.0, 1.5), st.sampled_from([0.25, 0.5, 1.0]).map(lambda k: k * math.pi / 4.0))
    )
    b = (a[0] + n * math.cos(phi), a[1] + n * math.sin(phi))
    if kind == "slope":
        return Line(a, b), phi
    room = UPRIGHT - abs(phi)
    if kind == "tangent" and 1e-3 < abs(heading - phi) <= room:
        half = heading - phi
    else:
        half = room * draw(st.one_of(st.just(1.0), st.floats(0.02, 1.0))) * (-1.0 if kind == "cup" else 1.0)
    if abs(half) < 1e-3:
        return Line(a, b), phi
    return arc_from_chord(a, b, half), phi - half


@st.composite
def profiles(draw: st.DrawFn, *, most: int = 9, steps: bool = True) -> Chain:
    """A half-section in (u, v), left to right from u = 0, of width > 0; steps: also corners that nearly coincide."""
    out: list[Element] = []
    a, heading = (0.0, draw(st.integers(0, 20000)) / 1000.0), 0.0
    if draw(st.booleans()):
        out.append(Line(a, (a[0] + 1.0, a[1])))
        a = out[-1].b
    for _ in range(draw(st.integers(1, most))):
        leg, heading = draw(legs(a, heading))
        out.append(leg)
        a = leg.b
        if steps and draw(st.integers(0, 19)) == 0:  # a near-coincident corner: a step of next to nothing
            out.append(Line(a, (a[0] + draw(st.sampled_from([0.0, 1e-10])), a[1] + 1e-10)))
            a = out[-1].b
    if a[0] <= 0.01 or draw(st.booleans()):
        out.append(Line(a, (a[0] + 2.0, a[1])))
    return tuple(out)


def mirrored(chain: Chain) -> Chain:
    """Reflected in u = 0 and turned round, so that it travels to the right again."""
    return tuple(reflect(e, (-1.0, 1.0)).reversed() for e in reversed(chain))


def reflect(e: Element, k: Point) -> Element:
    """The element with its coordinates multiplied by k; one negative factor flips the sense of an arc."""

    def at(p: Point) -> Point:
        return (p[0] * k[0], p[1] * k[1])

    if isinstance(e, Line):
        return Line(at(e.a), at(e.b))
    return Arc(at(e.a), at(e.b), at(e.centre), e.sweep * math.copysign(1.0, k[0] * k[1]))


def scaled(chain: Chain, k: float) -> Chain:
    return tuple(reflect(e, (k, k)) for e in chain)


# ---------------------------------------------------------------- tools


def nose_tool(
    radius: float, edges: tuple[float, float], *, tip: int, long: tuple[float, float] = (12.0, 12.0)
) -> Chain:
    """Nose with two straight edges, counter-clockwise.

    edges: directions of the right and the left edge going up, radians from +u (right < left < right + pi).
    tip:   -1, 0, +1: the reference point stands under the nose's left end, middle or right end (its u is
           `tip * radius` from the nose centre); its v is the nose's lowest.
    long:  lengths of the right and the left edge.
    """
    right, left = edges
    c = (-tip * radius, radius)
    start, end = left + UPRIGHT, right + 3.0 * UPRIGHT
    p = (c[0] + radius * math.cos(start), c[1] + radius * math.sin(start))
    q = (c[0] + radius * math.cos(end), c[1] + radius * math.sin(end))
    top_left = (p[0] + long[1] * math.cos(left), p[1] + long[1] * math.sin(left))
    top_right = (q[0] + long[0] * math.cos(right), q[1] + long[0] * math.sin(right))
    nose = (Arc(p, q, c, end - start),) if radius > 0.0 else ()
    return (Line(top_left, p), *nose, Line(q, top_right), Line(top_right, top_left))


def round_tool(radius: float, *, tip: int = 0) -> Chain:
    """A full circle; reference as in `nose_tool`."""
    c = (-tip * radius, radius)
    left, right = (c[0] - radius, radius), (c[0] + radius, radius)
    return (Arc(left, right, c, math.pi), Arc(right, left, c, math.pi))


def blade(width: float, corners: Point, *, high: float = 15.0) -> Chain:
    """Flat bottom of a blade with its left and right corner radii; reference at its sharp lower left corner."""
    a, b = corners
    out: list[Element] = [Line((0.0, high), (0.0, a))]
    if a > 0.0:
        out.append(Arc((0.0, a), (a, 0.0), (a, a), UPRIGHT))
    if width - b > a:
        out.append(Line((a, 0.0), (width - b, 0.0)))
    if b > 0.0:
        out.append(Arc((width - b, 0.0), (width, b), (width - b, b), UPRIGHT))
    return (*out, Line((width, b), (width, high)), Line((width, high), (0.0, high)))


def box(left: float, right: float, bottom: float, *, high: float = 10.0) -> Chain:
    """An upright rectangle, as a shank or holder."""
    return polyline([(left, bottom), (right, bottom), (right, bottom + high), (left, bottom + high)], close=True)


radii = st.one_of(st.sampled_from([0.0, 0.2, 0.4, 0.8, 2.0]), st.floats(1e-4, 2.0))


@st.composite
def noses(draw: st.DrawFn) -> Chain:
    """Nose and edges; either edge may lean up to and past vertical. The wedge is 20 degrees at least."""
    right = draw(st.one_of(st.sampled_from([3.0, 45.0, 87.0, 90.0, 93.0]), st.floats(2.0, 110.0)))
    wedge = draw(st.one_of(st.sampled_from([35.0, 55.0, 60.0, 80.0]), st.floats(20.0, 150.0)))
    left = min(max(right + wedge, 70.0), 178.0)
    long = (draw(st.floats(8.0, 25.0)), draw(st.floats(8.0, 25.0)))
    return nose_tool(
        draw(radii), (math.radians(right), math.radians(left)), tip=draw(st.sampled_from([-1, 0, 1])), long=long
    )


@st.composite
def blades(draw: st.DrawFn, *, width: float | None = None) -> Chain:
    w = width or draw(st.one_of(st.sampled_from([1.0, 2.0, 3.0]), st.floats(0.5, 4.0)))
    share = st.one_of(st.sampled_from([0.0, 0.1, 0.5]), st.floats(0.01, 0.5))
    return blade(w, (w * draw(share), w * draw(share)))


@st.composite
def cutters(draw: st.DrawFn) -> Chain:
    """Any one convex cutting outline."""
    rounds = st.builds(round_tool, st.floats(0.1, 3.0), tip=st.sampled_from([-1, 0, 1]))
    return draw(st.one_of(noses(), noses(), blades(), rounds))


@st.composite
def tools(draw: st.DrawFn) -> tuple[Chain, ...]:
    """A cutting outline, sometimes with a holder or two above it that moves with it."""
    cutter = draw(cutters())
    holders = []
    for _ in range(draw(st.sampled_from([0, 0, 1, 2]))):
        left = draw(st.floats(-12.0, 4.0))
        holders.append(box(left, left + draw(st.floats(1.0, 16.0)), draw(st.floats(1.0, 10.0))))
    return (cutter, *holders)


@st.composite
def fits(draw: st.DrawFn) -> tuple[Chain, Chain, float]:
    """A groove in a bar and a blade exactly as wide: (profile, blade, u of the groove's left wall)."""
    width, deep = draw(st.sampled_from([1.0, 2.0, 2.4, 3.1])), draw(st.integers(100, 5000)) / 1000.0
    left = draw(st.one_of(st.integers(1000, 9000).map(lambda k: k / 1000.0), st.floats(1.0, 9.0)))
    top = 12.0
    right = left + width
    walls = [(0.0, top), (left, top), (left, top - deep), (right, top - deep), (right, top), (right + 5.0, top)]
    return polyline(walls), draw(blades(width=width)), left


# ---------------------------------------------------------------- frames


@dataclass(frozen=True, slots=True)
class Frame:
    """How (z, x) becomes (u, v): outside (z, x), inside (z, -x), face (x, z)."""

    name: str

    def into(self, chain: Chain) -> Chain:
        """A chain in (z, x) as it stands in (u, v), in the same order of travel."""
        return tuple(self._element(e) for e in chain)

    out_of = into  # each of the three is its own inverse

    def _element(self, e: Element) -> Element:
        if self.name == "face":

            def swap(p: Point) -> Point:
                return (p[1], p[0])

            if isinstance(e, Line):
                return Line(swap(e.a), swap(e.b))
            return Arc(swap(e.a), swap(e.b), swap(e.centre), -e.sweep)
        return reflect(e, (1.0, -1.0)) if self.name == "inside" else e


frames = st.sampled_from([Frame("outside"), Frame("inside"), Frame("face")])


# ---------------------------------------------------------------- changes that change nothing, or something known


def halved(chain: Chain, index: int, at: float) -> Chain:
    """The same chain with one more vertex, `at` (0..1) along element `index`."""
    e = chain[index % len(chain)]
    return (*chain[: index % len(chain)], e.part(0.0, at), e.part(at, 1.0), *chain[index % len(chain) + 1 :])


def turned(chain: Chain, angle: float) -> Chain:
    """Rotated about the origin, radians, between two level lines: walls lean over and hide what lies under them."""
    c, s = math.cos(angle), math.sin(angle)

    def at(p: Point) -> Point:
        return (c * p[0] - s * p[1], s * p[0] + c * p[1])

    out: list[Element] = []
    for e in chain:
        a, b = at(e.a), at(e.b)
        out.append(Line(a, b) if isinstance(e, Line) else Arc(a, b, at(e.centre), e.sweep))
    first, last = out[0].a, out[-1].b
    left, right = min(e.bounds()[0] for e in out) - 1.0, max(e.bounds()[2] for e in out) + 1.0
    return (Line((left, first[1]), first), *out, Line(last, (right, last[1])))


def widened(outline: Chain, along: float) -> Chain:
    """A counter-clockwise convex outline summed with [-along, along] x {0}: left sides go left, right ones right."""
    out: list[Element] = []
    for whole in outline:
        for e in _at_quadrants(whole):
            rise = e.b[1] - e.a[1]
            out.append(e.moved((math.copysign(along, rise) if rise else 0.0, 0.0)))
    joined: list[Element] = []
    for e, f in zip(out, [*out[1:], out[0]], strict=True):
        if isinstance(e, Line) and e.a[1] == e.b[1]:
            continue  # a flat is the join of what stands beside it
        joined.append(e)
        nxt = next((g for g in [*out[out.index(f) :], *out] if not (isinstance(g, Line) and g.a[1] == g.b[1])), e)
        if math.dist(e.b, nxt.a) > 0.0:
            joined.append(Line(e.b, nxt.a))
    return tuple(joined)


def _at_quadrants(e: Element) -> list[Element]:
    if isinstance(e, Line):
        return [e]
    lo, hi = sorted((e.start_angle, e.start_angle + e.sweep))
    cuts = [k * UPRIGHT for k in range(math.floor(lo / UPRIGHT), math.ceil(hi / UPRIGHT) + 1)]
    ts = sorted((w - e.start_angle) / e.sweep for w in cuts if lo + 1e-9 < w < hi - 1e-9)
    return [e.part(t0, t1) for t0, t1 in zip([0.0, *ts], [*ts, 1.0], strict=True)]
