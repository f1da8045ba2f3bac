"""Rows of a half-section: one frozen value for each kind of surface, as a drawing gives it.

Rows run from the front end (the free end) towards the chuck. They speak as a drawing does: diameters, `to` = distance
from the front face to where the surface ends, `length` = the surface's own along the axis; millimetres and radians. A
value that is None was not written. `start` is the diameter at a surface's front end where that is not simply the
diameter at which the surface before it ended; a difference between the two is a square shoulder.

A *surface* row makes surface; a *corner* row (chamfer, round, sharp) says what becomes of the corner between the
surfaces before and after it.
"""

from __future__ import annotations

from msgspec import Struct

from toolpath.quantity import Size
from toolpath.shop.threads import Thread


class Reach(Struct, frozen=True, kw_only=True):
    """How far a surface goes along the axis: at most one of the two is written."""

    to: float | None = None
    length: float | None = None


class Mate(Struct, frozen=True):
    """What a thread is screwed together with, mm. reach: from its face to the end of its full thread where it is a
    hole, from its shoulder to its end where it is a screw; mouth: how deep a hole is open over the thread's diameter
    """

    reach: float
    mouth: float = 0.0


class Threaded(Struct, frozen=True):
    """A thread and what cuts it: "die" outside, "tap" inside, "point" or "full form"; its mate, where it is known."""

    thread: Thread
    cut_by: str
    mate: Mate | None = None

    @property
    def in_step(self) -> bool:
        """Whether it is cut in step with the spindle, with a point or a full-form insert."""
        return self.cut_by in ("point", "full form")

    @property
    def full_form(self) -> bool:
        """Whether the insert cuts the crest too: what is turned before is then larger, what is bored smaller."""
        return self.cut_by == "full form"


class Cylinder(Reach, frozen=True, kw_only=True):
    """Plain diameter; `made`, of an inside one: "bored", "drilled", "reamed", "counterbored"; empty if not written."""

    dia: Size
    made: str = ""
    threaded: Threaded | None = None


class Groove(Struct, frozen=True):
    """A relief: its width along the axis, its diameter, the radius at its foot, mm."""

    width: float
    dia: Size
    radius: float | None


class ThreadRow(Reach, frozen=True, kw_only=True):
    """A thread: the cylinder it is cut on, the relief at its end, and whether it starts with a chamfer."""

    threaded: Threaded
    dia: Size
    undercut: Groove | None = None
    start: bool = True


class Taper(Reach, frozen=True, kw_only=True):
    """Straight cone. Two of end diameter, half angle (from the axis) and reach; `rising` where no diameter tells.

    made: of the seat of a centre hole "centred", else empty
    """

    end: float | None = None
    half_angle: float | None = None
    rising: bool | None = None
    start: float | None = None
    threaded: Threaded | None = None
    made: str = ""


class Curve(Reach, frozen=True, kw_only=True):
    """Arc of less than half a turn, bulging out of the part or hollow; `tangent` to the surface before it."""

    bulging: bool
    end: float | None = None
    radius: float | None = None
    tangent: bool = False
    start: float | None = None


class Quarter(Struct, frozen=True, kw_only=True):
    """Quarter of a circle between a square shoulder and a cylinder, bulging or hollow, rising or falling."""

    bulging: bool
    radius: float
    rising: bool
    start: float | None = None


class Dome(Reach, frozen=True, kw_only=True):
    """Part of a sphere whose centre lies on the axis, on one side of its largest diameter."""

    end: float
    radius: float | None = None
    start: float | None = None


class Ball(Reach, frozen=True, kw_only=True):
    """Part of a sphere whose centre lies on the axis, past its largest diameter and down to `end`."""

    sphere: float
    end: float | None = None
    start: float | None = None


class Neck(Reach, frozen=True, kw_only=True):
    """Groove between two larger diameters; its reach is the mouth, walls included.

    front_wall, back_wall: how far each wall leans from square, rad, opening outwards; foot_radius: its inside corners
    """

    dia: Size
    front_wall: float = 0.0
    back_wall: float = 0.0
    foot_radius: float | None = None


class Hole(Struct, frozen=True, kw_only=True):
    """Inside: a plain diameter and the floor that its tool leaves.

    deep:  from the face it is seen from to where the full diameter ends, mm; None when it goes through
    floor: "flat", "drilled" (a cone of `point_angle`, rad, included) or "round" (half a sphere)
    made:  "bored", "drilled", "reamed" or "counterbored"; "centred" is the pilot of a centre hole
    """

    dia: Size
    deep: float | None
    floor: str
    made: str
    point_angle: float


class Chamfer(Struct, frozen=True, kw_only=True):
    """size: straight from the corner to each end; with `angle` (from the axis): along the axis."""

    size: float
    angle: float | None = None
    on: str = ""


class Round(Struct, frozen=True, kw_only=True):
    """Round of `radius`; `on` says which corner of a shoulder: "edge" or "foot" (the inside corner)."""

    radius: float
    on: str = ""


class Sharp(Struct, frozen=True, kw_only=True):
    """The corner is left as it is."""

    on: str = ""


CornerRow = Chamfer | Round | Sharp
SurfaceRow = ThreadRow | Cylinder | Taper | Curve | Quarter | Dome | Ball | Neck | Hole
Row = CornerRow | SurfaceRow


class Inside(Struct, frozen=True):
    """A row of the inside; from_back: of the hollow that is seen from the back face.

    index: of the row in the written list that it came from; None: its own place in the list
    """

    row: Row
    from_back: bool = False
    index: int | None = None


class Holds(Struct, frozen=True):
    """Stands for the rows that take in a component; index: of its own row in the written list."""

    component: str
    index: int


class FaceGroove(Struct, frozen=True, kw_only=True):
    """Ring cut into an end face: two walls and a floor between `inner_dia` and `outer_dia`, measured in the face.

    deep: mm from the face; inner_wall, outer_wall: how far each leans from square to the face, rad, opening outwards
    """

    outer_dia: Size
    inner_dia: Size
    deep: float
    inner_wall: float = 0.0
    outer_wall: float = 0.0
    foot_radius: float | None = None
    from_back: bool = False
