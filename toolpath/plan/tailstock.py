"""A centre in the end that looks at the tools: its hole comes first, then it is brought up and stands in the way."""

from __future__ import annotations

import math

from msgspec import Struct

from toolpath.errors import CannotMake
from toolpath.geometry.elements import Chain, polyline
from toolpath.part.halfsection import HalfSection
from toolpath.plan.hole_rows import CENTRED
from toolpath.plan.request import Request
from toolpath.plan.side import AIR
from toolpath.shop import ways
from toolpath.shop.holding import UNSUPPORTED

KERF = 2.0
"""mm that a hand saw takes, its wander with it (common practice, no source)."""

CLEAR = 0.5
"""mm that tools keep from a centre (common practice, no source)."""

FACED = 1e-6
"""mm before the finished face that are none."""


class Centre(Struct, frozen=True):
    """outlines: closed, in (z, x), mm; beyond: what tools keep from, from the face to over its body, left to right

    edge: radius of the face at which `beyond` begins; body: greatest radius; there: it is in when the program begins
    """

    outlines: tuple[Chain, ...]
    beyond: Chain
    edge: float
    body: float
    there: bool


def centre_of(request: Request) -> Centre | None:
    """The centre of a set-up that has one. CannotMake where it would have no hole, or faces are not ready for it."""
    if not request.centre:
        return None
    machine, end = request.machine, "back" if request.turned_round else "front"
    if not machine.tailstock:
        raise CannotMake("this machine has no tailstock for a running centre (tailstock = false in the machine file)")
    mouth = seat(request.part)
    if not mouth:
        raise CannotMake(
            f"a running centre needs its centre hole, and the {end} end has none. Draw one: inside = [ {{ "
            f'centre = "A2"{_from(front=not request.turned_round)} }} ]; it stays in the part'
        )
    there = not request.first_here
    if there and request.stock.front > FACED:
        raise CannotMake(
            f"{request.stock.front:.2f} mm stand before the {end} face, which no tool faces round a centre"
        )
    rim = request.part.outside[0].b[1]
    begins = mouth / 2.0 + CLEAR / math.cos(math.radians(30.0))
    if rim < begins:
        raise CannotMake(
            f"the {end} face is {2.0 * rim:.2f} mm wide to its edge, and round a centre in its {mouth:g} mm hole "
            f"tools keep clear to {2.0 * begins:.2f} mm. Take a smaller centre hole"
        )
    outlines = ways.running_centre(mouth=mouth, front_z=0.0, machine=machine)
    return Centre(outlines, _beyond(outlines, begins), begins, max(e.bounds()[3] for e in outlines[-1]), there)


def seat(part: HalfSection) -> float:
    """Diameter of the centre hole's mouth in the end that looks at the tools, mm; 0 where there is none."""
    made = part.inside_surfaces[0].made if part.inside_surfaces else ""
    return 2.0 * part.inside[0].a[1] if made == CENTRED else 0.0


def refuse_no_back_centre(request: Request) -> None:
    """CannotMake where the end towards the spindle has no centre hole yet for the centre there."""
    part = request.part.turned_round()
    end = "front" if request.turned_round else "back"
    if not seat(part):
        raise CannotMake(
            f"between centres both ends have a centre hole, and the {end} end has none. Draw one: inside = [ {{ "
            f'centre = "A2"{_from(front=request.turned_round)} }} ]; it stays in the part'
        )
    if not request.stock.inside_back:
        raise CannotMake(
            f"between centres both ends are faced and centred before, and no set-up before this one had the {end} end "
            "at the tools. Add a [[holding]] for it in a chuck or collet"
        )


def refuse_far_out(request: Request, stick_out: float) -> None:
    """CannotMake where the end must be faced and centred farther out than is safe without the centre."""
    dia = request.gripped.dia if request.gripped else request.stock.grip.dia
    if stick_out <= UNSUPPORTED * dia:
        return
    raise CannotMake(
        f"before the centre can go in, the end is faced and centred {stick_out:g} mm out of the hold, more than "
        f"{UNSUPPORTED:g} diameters ({UNSUPPORTED * dia:g} mm). Write a holding before this one that does no more than "
        'that, close to the hold: [[holding]] grip = "bar", turn_to = 0; then pull the bar out for this one'
    )


def _beyond(outlines: tuple[Chain, ...], begins: float) -> Chain:
    """Along the centre from the face of the work, as far from it as tools keep."""
    _, neck, body = outlines
    thick, wide = (max(e.bounds()[3] for e in chain) + CLEAR for chain in (neck, body))
    at = (thick - begins) / math.tan(math.radians(30.0))
    wall = min(e.bounds()[0] for e in body) - CLEAR
    points = [(0.0, begins), (at, thick), (wall, thick), (wall, wide), (wall + AIR, wide)]
    return polyline(points)


def _from(*, front: bool) -> str:
    """The word of a row that says from which end it is seen."""
    return "" if front else ', from = "back"'
