"""A tool as every room sees it: its point, its cutting outline, what carries it, and what it may touch."""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.geometry.elements import Chain, Point
from toolpath.shop.bars import Bar
from toolpath.shop.hole_tools import HoleTool

TOUCH_EPS = 1e-9  # rad: a surface flush with the end of the nose arc still is touched by the nose


class FullForm(Struct, frozen=True):
    """Of an insert that cuts the crests too: the pitch it is for, mm, and from its end to the edge that cuts them."""

    pitch: float
    crest: float


class Tool(Struct, frozen=True):
    """One tool of the rack; lengths in mm, angles in rad, outlines in (z, x) relative to the point the program moves.

    number:       as the tool call has it; 0 for what is held in the tailstock and fed by hand
    offset:       number of the offset that goes with it
    name:         one line for a person, e.g. `DCMT 070204, 93 deg, right hand`
    kind:         `turning` | `round` | `blade` | `threading` | one of `hole_tools.HOLE_KINDS`
    material:     `carbide` | `HSS`
    hand:         `right` | `left` | `neutral`; a right-hand tool cuts while it feeds towards the chuck
    tip:          signs (z, x) from the nose centre to the imaginary tip; right-hand outside (-1, -1), neutral (0, -1),
                  right-hand boring bar (-1, 1), on the axis (-1, 0)
    point:        `nose` | `chuck-side corner` | `free-side corner` | `drill point`
    nose_radius:  >= 0; for a blade that of its chuck-side corner
    outline:      closed, counter-clockwise, convex; the nose arc (if there is one) is its first element
    holder:       closed convex outlines of what carries the edge
    edges:        (entering angle, trailing angle); the trailing angle is measured from the line away from the chuck
    edge_length:  length of the leading edge (a blade's or round tool's width)
    width:        of a blade or round tool, of a threading point its flat, else 0
    reach:        how far it stands out of what holds it: along x, of a bar along z
    max_depth:    greatest depth of cut, per side; for a blade and a threading point the greatest depth below the work
    honed:        True for a rounded, tougher edge (pressed inserts), False for one ground sharp
    does:         operations it is meant for: `duties.DUTIES`
    assumed:      what the rack did not say and was taken for granted, one line each
    works:        `outside` | `inside` | `face`: the frame it approaches in; `hole`: along the axis, standing on it
    bar:          what carries a tool that works inside, else None
    curve:        least and greatest outer diameter of the face grooves it goes into, (0, 0) for all other tools
    hole:         what only a tool that works `hole` has, else None; its outline spans both sides of the axis
    face:         where its cutting face looks, "up" | "down"; "" as the machine file says
    steps:        closed convex outlines that cut besides `outline`: cone and body of a centre drill behind its pilot,
                  the edge of a full-form insert that cuts crests
    full:         of a threading insert that cuts crests, else None
    stands:       (z, x) of its point on a slide that carries several, mm, from any one place; None: not known
    """

    number: int
    offset: int
    name: str
    kind: str
    material: str
    hand: str
    tip: tuple[int, int]
    point: str
    nose_radius: float
    outline: Chain
    holder: tuple[Chain, ...]
    edges: tuple[float, float]
    edge_length: float
    width: float
    reach: float
    max_depth: float
    honed: bool
    does: frozenset[str]
    assumed: tuple[str, ...] = ()
    works: str = "outside"
    bar: Bar | None = None
    curve: tuple[float, float] = (0.0, 0.0)
    hole: HoleTool | None = None
    steps: tuple[Chain, ...] = ()
    face: str = ""
    full: FullForm | None = None
    stands: Point | None = None

    @property
    def included_angle(self) -> float:
        """Angle between leading and trailing edge, rad."""
        return math.pi - self.edges[0] - self.edges[1]

    @property
    def nose_normals(self) -> tuple[float, float]:
        """Directions, rad, between which the normals of the part must lie for the nose to touch it.

        Normals point from the metal into the air and are measured counter-clockwise from +z: a cylinder has pi/2, a
        face towards the free end 0. A right-hand tool of 93 deg touches from -3 deg (its leading edge lies flush on a
        wall that leans over by 3 deg) to pi/2 plus its trailing angle (a slope that falls towards the chuck). Inside,
        every normal is mirrored in z: a bore has -pi/2.
        """
        low, high = math.pi / 2.0 - self.edges[0], math.pi / 2.0 + self.edges[1]
        if self.hand == "left":
            low, high = math.pi - high, math.pi - low
        if self.works == "inside":
            return -high, -low
        return (math.pi / 2.0 - high, math.pi / 2.0 - low) if self.works == "face" else (low, high)

    def may_touch(self, normal: float) -> bool:
        """Whether the nose can lie against a surface with this outward normal (rad, see `nose_normals`)."""
        low, high = self.nose_normals
        middle = (low + high) / 2.0
        return abs(math.remainder(normal - middle, 2.0 * math.pi)) <= (high - low) / 2.0 + TOUCH_EPS
