"""Grooves in the front face: seen from the free end, cut last by a blade bent for their diameter."""

from __future__ import annotations

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain, Line
from toolpath.geometry.frame import FACE
from toolpath.plan.reach import Reach, reach
from toolpath.plan.request import Request
from toolpath.plan.rest import Rest
from toolpath.plan.share import SAME, front_of
from toolpath.plan.side import AIR, Side
from toolpath.shop.duties import curve_refusal
from toolpath.shop.tools import Tool

Span = tuple[float, float]


def grooved_face(request: Request) -> tuple[Side, tuple[Span, ...]] | None:
    """The front face as blades see it, and the least and greatest radius of each groove in it; None without grooves."""
    face = front_of(request.part.outside)
    cut = [k for k, e in enumerate(face) if min(e.a[0], e.b[0]) < -SAME]
    if not cut:
        return None
    seen = FACE.chain(face)
    inner, rim = seen[0].a, seen[-1].b
    contour = (Line((-AIR, 0.0), inner), *seen, Line(rim, (rim[0], -AIR)), Line((rim[0], -AIR), (AIR, -AIR)))
    wanted = frozenset(1 + k for k in cut)
    stands = (Line((-AIR, 0.0), rim), Line(rim, (rim[0], -AIR)), Line((rim[0], -AIR), (AIR, -AIR)))
    side = Side(
        works="face",
        contour=contour,
        wanted=wanted,
        finished=wanted,
        stands=stands,
        begins=inner[0],
        ends=rim[0],
        top=0.0,
        clearance=request.machine.clearance,
        dia=2.0 * rim[0],
    )
    return side, _grooves(seen)


def blade(rack: tuple[Tool, ...], side: Side, span: Span) -> Rest:
    """The blade that leaves least of one groove; CannotMake with the reason of each blade when none may go in."""
    outer = 2.0 * span[1]
    blades = sorted((t for t in rack if t.kind == "blade" and t.works == "face"), key=lambda t: t.number)
    told = {t.number: curve_refusal(t, outer) for t in blades}
    fit: list[Reach] = [reach(t, side) for t in blades if not told[t.number]]
    if not fit:
        why = "; ".join(f"T{n}: {reason}" for n, reason in told.items()) or "the rack has no blade bent for faces"
        raise CannotMake(f"nothing cuts the face groove of {outer:g} mm outer diameter. {why}")
    best = min(fit, key=lambda r: (round(_thick(r, span), 3), -r.tool.width, r.tool.number))
    others = [f"T{r.tool.number} leaves {_thick(r, span):.2f} mm" for r in fit if r is not best]
    beside = "; ".join(others) or "no other blade goes into this diameter"
    return Rest(best, (span,), f"T{best.tool.number} leaves {_thick(best, span):.2f} mm of the face groove; {beside}")


def _thick(r: Reach, span: Span) -> float:
    """Greatest thickness that a blade leaves in one groove, mm."""
    return max((u.thick for u in r.left if span[0] <= r.side.along(r.frame.back.point(u.at)) <= span[1]), default=0.0)


def _grooves(seen: Chain) -> tuple[Span, ...]:
    """Stretches of the face that lie below it."""
    out: list[Span] = []
    for e in seen:
        if min(e.a[1], e.b[1]) < -SAME:
            if out and out[-1][1] >= e.a[0] - SAME and e.a[1] < -SAME:
                out[-1] = (out[-1][0], e.b[0])
            else:
                out.append((e.a[0], e.b[0]))
    return tuple(out)
