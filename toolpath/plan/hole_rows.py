"""The hollow of a set-up as rows from its mouth inwards, (z, -x), and one tool on the axis."""

from __future__ import annotations

from msgspec import Struct

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain
from toolpath.part.halfsection import HalfSection
from toolpath.plan.share import SAME
from toolpath.shop.drawer import Drawer, drill_tool
from toolpath.shop.drills import Drill
from toolpath.shop.tools import Tool

DRILLED = ("drilled", "reamed", "counterbored")
CENTRED = "centred"

SAME_SIZE = 1e-6
"""mm: sizes closer than this are one."""


class Step(Struct, frozen=True):
    """One tool on the axis, mm.

    operation: of `cutting.drilling.OPERATIONS`; dia: greatest diameter cut; tip: z of the tool's point at the bottom
    opens:     True where the tool breaks through at its bottom
    """

    operation: str
    tool: Tool
    dia: float
    tip: float
    because: str
    opens: bool = False


class Rows(Struct, frozen=True):
    """The hollow that a set-up makes, from its mouth inwards, and for each element how it is made.

    through: it goes on out of the far face, behind `edge`: the edge of that mouth, which only the other end sees
    """

    chain: Chain
    made: tuple[str, ...]
    through: bool = False
    edge: Chain = ()

    @property
    def opens(self) -> bool:
        """Whether its last cylinder opens into a wider hollow from the other end."""
        last = self.chain[-1]
        return last.b[1] > SAME and abs(last.a[1] - last.b[1]) <= SAME and self.made[-1] in DRILLED

    @property
    def closed(self) -> bool:
        """Whether it is bored down to a floor that a cone or an arc closes on the axis."""
        last = self.chain[-1] if self.chain and self.bored == len(self.chain) else None
        return last is not None and last.b[1] <= SAME and abs(last.a[0] - last.b[0]) > SAME

    @property
    def bored(self) -> int:
        """How many elements, from the mouth, a bar must go along: up to the last that is not drilled or reamed."""
        return max((k + 1 for k, m in enumerate(self.made) if m not in (*DRILLED, CENTRED)), default=0)


def rows_of(part: HalfSection) -> Rows:
    """The hollow of the end in hand.

    The edge of a hole's far mouth is left to the set-up that sees it; the near edge of a hole that the other end made
    is cut here.
    """
    made = tuple(s.made for s in part.inside_surfaces)
    chain, back = part.inside, part.inside_back
    if chain:
        keep = len(chain) - _flare(chain, part.length)
        through = abs(chain[-1].b[0] + part.length) <= SAME and chain[-1].b[1] > SAME
        return Rows(chain[:keep], made[:keep], through, chain[keep:])
    if back and back[-1].b[0] >= -SAME:
        n = _flare(tuple(back), 0.0)
        edge = tuple(e.reversed() for e in reversed(back[len(back) - n :])) if n else ()
        return Rows(edge, ("drilled",) * len(edge))
    return Rows((), ())


def _flare(chain: Chain, far: float) -> int:
    """How many elements at the end of a chain widen towards the other face, at z = -far."""
    if abs(chain[-1].b[0] + far) > SAME:
        return 0
    n = 0
    while n < len(chain) and chain[-1 - n].b[1] > chain[-1 - n].a[1] + SAME:
        n += 1
    return n


def drill_step(drill: Drill, z: float, because: str) -> Step:
    """A drill whose full diameter goes down to z, mm."""
    tool = drill_tool(drill)
    assert tool.hole is not None
    return Step("drill", tool, drill.dia, z - tool.hole.point_length, because)


def centre_step(drawer: Drawer, rows: Rows) -> list[Step]:
    """The centre drill for a centre hole that stays in the part; CannotMake where the rack lacks it."""
    if CENTRED not in rows.made:
        return []
    mouth, pilot, tip = (2.0 * rows.chain[0].a[1], 2.0 * rows.chain[0].b[1], rows.chain[-1].b[0])
    drills = of_kind(drawer, "centre drill")
    tool = next((t for t in drills if t.hole and abs(t.hole.pilot[0] - pilot) < SAME_SIZE), None)
    if tool is None or tool.hole is None or abs(tool.hole.depth_for_mouth(mouth) + tip) > SAME_SIZE:
        has = ", ".join(t.name for t in drills) or "none"
        raise CannotMake(f"the centre hole takes a centre drill with a pilot of {pilot:g} mm; in the rack: {has}")
    return [Step("centre", tool, mouth, tip, f"a seat of {mouth:g} mm for the centre")]


def of_kind(drawer: Drawer, kind: str) -> list[Tool]:
    """The hole tools of a kind that have no number."""
    return [t for t in drawer.by_hand if t.kind == kind]


def diameter(tool: Tool) -> float:
    """mm."""
    return tool.hole.diameter if tool.hole else 0.0
