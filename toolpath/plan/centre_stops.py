"""What the hand does about a centre while the program waits: it is brought up, and the piece is sawn off behind it."""

from __future__ import annotations

from toolpath.geometry.elements import Chain, polyline
from toolpath.plan.operations import ByHand
from toolpath.plan.request import Request
from toolpath.plan.tailstock import KERF, Centre

BRING_UP = "centre in"
SAW = "saw off"


def bring_up(request: Request, centre: Centre, hold: tuple[Chain, ...]) -> ByHand:
    """The stop at which the centre is brought up. hold: what holds the work besides"""
    does = (
        "clean the centre hole, bring the tailstock up with the running centre until the work can not be shaken, and "
        "lock barrel and tailstock. From here on the tools work round it"
    )
    because = "the face and its centre hole are finished; what follows pushes the free end"
    return ByHand(BRING_UP, does, (), because, holds=(*hold, *centre.outlines))


def saw_off(request: Request, hold: tuple[Chain, ...]) -> ByHand:
    """The piece off the bar by hand: with a centre in, a blade would be pinched in its slot."""
    far = -request.part.length - request.spare
    r = request.stock.dia / 2.0
    kerf = polyline([(far - KERF, 0.0), (far, 0.0), (far, r + 1.0), (far - KERF, r + 1.0)], close=True)
    does = (
        f"isolate the drives, draw the centre back, then saw the piece off at Z {far:.2f}, {request.part.length:g} mm "
        f"and {request.spare:g} to face behind the finished face"
    )
    because = "with a centre in, a parting blade would be pinched in its slot as the piece comes loose"
    return ByHand(SAW, does, (kerf,), because, "hand saw", holds=hold)
