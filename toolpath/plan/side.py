"""One approach to the work: what must be missed, what of it is to be turned, and what stands now.

Outside, inside and face are one thing in three frames. A side is seen in its frame: chains run left to right in (u, v),
and a tool that feeds the other way sees them mirrored. Nothing here knows which of the three it is but for its limits.
"""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain, Line, Point, reverse
from toolpath.geometry.frame import FACE, INSIDE, OUTSIDE, Frame
from toolpath.shop.tools import Tool

AIR = 1000.0
"""mm: far enough from any part to stand for nothing there."""

LEAST_CLEARANCE = 0.15
"""mm that a bar is drawn off the wall before it goes back, at the least (common practice, no source)."""

MIRROR = Frame("mirror", -1, 0, 0, 1)
FRAMES = {"outside": OUTSIDE, "inside": INSIDE, "face": FACE}
TURNS = {"outside": "turn", "inside": "bore", "face": ""}
GROOVES = {"outside": "groove", "inside": "groove inside", "face": "groove face"}


class Side(Struct, frozen=True):
    """All in (u, v) of the frame, mm.

    works:     `outside` | `inside` | `face`
    contour:   what no tool may enter; outside and inside without the limit at the front (`closed`)
    wanted:    elements of the contour, by index, that are surfaces of the part to be turned here
    finished:  these and what is turned beyond them, so that the part's last surface is cut through
    stands:    what stands now
    begins, ends: least u where a tool may cut, and the greatest u of what is cut
    top:       v that is clear of all that stands where the tool goes
    clearance: distance from metal at which rapids end
    dia:       greatest diameter that is cut
    out:       u to which a tool draws back before it moves across; None where it may do so anywhere over `top`
    beyond:    what stands before the front face, a centre, from the face on; contour and `stands` end where it begins
    core:      u where the drilled diameter of a hole ends that a floor closes on the axis; None for any other side
    """

    works: str
    contour: Chain
    wanted: frozenset[int]
    finished: frozenset[int]
    stands: Chain
    begins: float
    ends: float
    top: float
    clearance: float
    dia: float
    out: float | None = None
    beyond: Chain = ()
    core: float | None = None

    @property
    def frame(self) -> Frame:
        return FRAMES[self.works]

    @property
    def turns(self) -> str:
        """The duty of a tool that turns here."""
        return TURNS[self.works]

    @property
    def grooves(self) -> str:
        """The duty of a blade that grooves here."""
        return GROOVES[self.works]

    def frame_of(self, tool: Tool) -> Frame:
        """The frame in which the tool feeds towards -u: a left-hand tool feeds the other way."""
        return self.frame.mirrored() if tool.hand == "left" else self.frame

    def seen(self, chain: Chain, frame: Frame) -> Chain:
        """A chain of this side in a tool's frame, or one in a tool's frame as this side has it."""
        return chain if frame == self.frame else reverse(MIRROR.chain(chain))

    def along(self, p: Point) -> float:
        """u of a point (z, x)."""
        return self.frame.point(p)[0]

    def chain(self, stands: Chain) -> Chain:
        """A chain of this side in (z, x), in the same order."""
        return self.frame.back.chain(stands)

    def closed(self, past: float) -> Chain:
        """The contour with its limit on the right: the front face to `past` mm below the axis or the hole's edge."""
        if self.works == "face" or self.beyond:
            return (*self.contour, *self.beyond)
        front = self.contour[-1].b
        floor = (front[0], -past if self.works == "outside" else front[1] - past)
        far: Point = (front[0] + AIR, -past)
        return (*self.contour, Line(front, floor), Line(floor, far))

    @property
    def up_to_end(self) -> Chain:
        """What stands, without the air beyond the work's end."""
        return self.trimmed(self.stands)

    def trimmed(self, stands: Chain) -> Chain:
        """The same of what stands later."""
        return stands if self.beyond else tuple(e for e in stands if e.b[0] <= self.ends)

    def fitted(self, tool: Tool) -> Side:
        """The side as a tool may move in it: a bar's back leaves half of what room it has in the hole as clearance.

        CannotMake when that is less than `LEAST_CLEARANCE`.
        """
        if tool.bar is None:
            return self
        thick = tool.bar.diameter if self.ends - self.begins > tool.bar.neck_length else tool.bar.neck
        room = -2.0 * self.top - tool.bar.tip_to_middle - thick / 2.0
        clearance = min(self.clearance, room / 2.0)
        if clearance < LEAST_CLEARANCE:
            raise CannotMake(
                f"T{tool.number} {tool.name} has {room:.2f} mm of room across the hole of {-2.0 * self.top:.2f} mm; "
                f"{2.0 * LEAST_CLEARANCE:g} mm are needed to draw it off the wall. Take a thinner bar"
            )
        return replace(self, clearance=clearance)
