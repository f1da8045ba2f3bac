"""What one tool of the rack can do on one contour: where it may stand, and what it leaves."""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.cutting.turning import leave_on
from toolpath.geometry.cutter import EDGE_CLEARANCE, Cutter, Touch, cutter
from toolpath.geometry.elements import Chain, Element
from toolpath.geometry.envelope import Envelope, Piece, envelope, highest
from toolpath.geometry.frame import OUTSIDE, Frame
from toolpath.geometry.maximum import lifted, maximum
from toolpath.geometry.minimum import between, lower
from toolpath.geometry.near import near
from toolpath.geometry.silhouette import silhouette
from toolpath.geometry.uncut import Uncut, closing, farthest, uncut
from toolpath.plan.side import AIR, Side
from toolpath.shop.duties import slope_refusal
from toolpath.shop.tools import Tool

WHY = {
    Touch.NOSE: "the nose is larger than the hollow",
    Touch.EDGE: "the edge behind the nose shades the wall",
    Touch.FLAT: "the end of the tool is wider than the place",
    Touch.SIDE: "the side of the tool shades the wall",
    Touch.HOLDER: "what carries the tool comes against the work",
}

HOLDER_ROOM = 0.05
"""mm kept between what carries the edge and the metal that roughing leaves there (common practice, no source)."""

LIFTS = 8
"""Times the metal left is looked at again after what carries the tool lifted it; each time less changes."""


class Reach(Struct, frozen=True):
    """A tool over one side of the work, in the frame in which it feeds towards -u.

    keep:  what the tool sees of the contour with the limit at the axis, left to right in (u, v)
    source: for each element of `keep` its index in the contour; other numbers are not the contour's
    cut:   the bare cutter; env: its envelope, holder included
    wanted: the elements of `keep` that were asked for
    left:  what it leaves on them
    meets: what stands when the tool comes, as `keep` runs
    """

    tool: Tool
    side: Side
    frame: Frame
    keep: Chain
    source: tuple[int, ...]
    cut: Cutter
    env: Envelope
    wanted: frozenset[int]
    left: tuple[Uncut, ...]
    meets: Chain

    def elements(self, contour: frozenset[int]) -> frozenset[int]:
        """The elements of `keep` that are part of these elements of the contour."""
        return frozenset(n for n, k in enumerate(self.source) if k in contour)

    @property
    def thickest(self) -> Uncut | None:
        return max(self.left, key=lambda u: u.thick, default=None)

    @property
    def thick(self) -> float:
        """Greatest thickness left, mm."""
        return self.thickest.thick if self.thickest else 0.0

    @property
    def stands(self) -> Chain:
        """What stands after the tool has been everywhere it may, as the side's chains run."""
        return self.side.seen(closing(self.env, self.keep, self.cut, drawn(self.tool, self.frame)), self.frame)

    def in_words(self) -> str:
        """What it leaves, where and why."""
        worst = self.thickest
        if worst is None:
            return "reaches everything"
        # As leftovers are told everywhere: how far what stands is from the part, not the part from the tool.
        thick, at = farthest(worst.bridge, worst.work)
        z, x = self.frame.back.point(at)
        why = slope_refusal(self.tool, steepest(worst.work)) if worst.touch is Touch.EDGE else ""
        return f"leaves {thick:.2f} mm at z {z:.2f}, diameter {2.0 * x:.2f}: {why or WHY[worst.touch]}"


def steepest(work: Chain) -> float:
    """The steepest slope, rad, that a tool which feeds towards -u goes down along `work`; negative where it climbs."""
    tangents = [e.tangent_at(t) for e in work for t in (0.0, 1.0)]
    return max((math.atan2(dv, du) for du, dv in tangents if du >= 0.0), default=0.0)


def cutters(tool: Tool, frame: Frame) -> tuple[Cutter, tuple[Cutter, ...]]:
    """(the cutting part, what carries it) in the frame. A blade's sides have their own clearance."""
    clearance = 0.0 if tool.kind == "blade" else EDGE_CLEARANCE
    holders = tuple(cutter(frame.outline(h), holder=True) for h in tool.holder)
    return cutter(frame.outline(tool.outline), edge_clearance=clearance), holders


def drawn(tool: Tool, frame: Frame) -> Cutter | None:
    """The cutting part in the frame as it is, where its edges are counted flatter: only so much does it take."""
    return None if tool.kind == "blade" else cutter(frame.outline(tool.outline))


def standing(
    tool: Tool, keep: Chain, frame: Frame = OUTSIDE, *, leave: tuple[float, float] = (0.0, 0.0), stock: Chain = ()
) -> tuple[Cutter, Envelope]:
    """(cutter, envelope) of the whole tool over `keep`. leave: metal left on along u and along v, mm.

    stock: what stands before the tool cuts, left to right in u: more than that never stands in the way of its holder
    """
    cut, holders = cutters(tool, frame)
    edge = drawn(tool, frame)
    if leave != (0.0, 0.0):
        cut, edge = cut.leaving(*leave), edge and edge.leaving(*leave)
    env = envelope(keep, cut)
    away, along = (figure.value + HOLDER_ROOM for figure in leave_on(tool))
    grown = [h.leaving(along, away) for h in holders]
    # What the edge leaves stands in the way of what carries it; where that lifts the tool, more is left standing. The
    # work itself stands whatever is left on it.
    stands, known = lower(keep, stock) if stock else keep, set[Element]()
    for looked in range(LIFTS + 1 if grown else 0):
        higher = env
        for holder in grown:
            fresh = [k for k in near(stands, holder, higher) if stands[k] not in known]
            higher = lifted(higher, highest(stands, holder, fresh), keep)
        if looked and higher is env:
            break
        known.update(stands)
        env, stands = higher, closing(higher, keep, cut, edge)
        if stock:
            stands = lower(stands, stock)
    return cut, env


def leaving(r: Reach, leave: tuple[float, float]) -> Envelope:
    """Where the tool may stand when it leaves metal on along u and along v, mm: nowhere deeper than without.

    What carries the tool is held against what stands when this much is left: in a narrow place that may be thicker than
    what is left on.
    """
    return maximum(standing(r.tool, r.keep, r.frame, leave=leave, stock=r.meets)[1], r.env, r.keep)


def reach(tool: Tool, side: Side, *, stands: Chain = ()) -> Reach:
    """The tool over a side; the leftovers on the side's wanted elements count.

    stands: what stands when the tool comes, if that is no longer what the side says
    """
    frame = side.frame_of(tool)
    # Over the hold and its clearance the contour itself stands.
    stock = side.seen(between(stands or side.stands, side.begins + side.clearance, AIR), frame)
    whole = side.seen(side.closed(tool.nose_radius), frame)
    seen = silhouette(whole)
    backwards = frame != side.frame
    source = tuple(len(whole) - 1 - k if backwards and k >= 0 else k for k in seen.source)
    keep, asked = seen.chain, frozenset(n for n, k in enumerate(source) if k in side.wanted)
    cut, env = standing(tool, keep, frame, stock=stock)
    left = tuple(
        u
        for u in uncut(env, keep, cut, drawn=drawn(tool, frame))
        if any(k in asked for k in range(u.span[0], u.span[1] + 1))
    )
    return Reach(tool, side, frame, keep, source, cut, env, asked, left, stock)


def on_contour(p: Piece, wanted: frozenset[int]) -> bool:
    """True when the nose lies along one of the wanted elements."""
    return p.touch is Touch.NOSE and not p.corner and p.element in wanted
