"""What a row of the rack says of a tool's shape, before it has its hand and its side of the work.

Every form is drawn as a right-hand outside tool. A tool that works inside is the same tool across the axis, carried by
a bar; one that works into a face is the same tool with z and x exchanged.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from msgspec import Struct
from msgspec.structs import replace

from toolpath.geometry.elements import Arc, Chain, Line, Point, reverse
from toolpath.shop import outlines
from toolpath.shop.bars import Bar, bodies
from toolpath.shop.hole_tools import HoleTool
from toolpath.shop.tools import FullForm

HANDS = ("right", "left", "neutral")
UPRIGHT = (math.pi / 2.0, math.pi / 2.0)  # edges of blades and round tools: their sides go straight up


class Form(Struct, frozen=True):
    """The fields mean what they mean in `Tool`. bar: what carries it inside; `holder` is then the bar's head alone."""

    words: str
    outline: Chain
    holder: tuple[Chain, ...]
    nose: float
    edge_length: float
    reach: float
    max_depth: float
    hand: str = "neutral"
    kind: str = "turning"
    edges: tuple[float, float] = UPRIGHT
    width: float = 0.0
    honed: bool = False
    point: str = "nose"
    tip: tuple[int, int] = (-1, -1)
    works: str = "outside"
    bar: Bar | None = None
    curve: tuple[float, float] = (0.0, 0.0)
    hole: HoleTool | None = None
    steps: tuple[Chain, ...] = ()
    full: FullForm | None = None


def placed(form: Form) -> Form:
    """The form in its own hand, on its own side of the work."""
    form = _handed(form)
    if form.works == "face":
        return _reflected(form, lambda p: (p[1], p[0]))
    if form.bar is None:
        return form
    # The bar goes out to +z whatever the hand: a left-hand tool inside cuts behind a shoulder, coming out.
    begins = max(e.bounds()[2] for h in form.holder for e in h)
    carried = replace(form, holder=(*form.holder, *bodies(form.bar, begins)), works="inside")
    return _reflected(replace(carried, tip=(form.tip[0], -form.tip[1])), lambda p: (p[0], 0.0 - p[1]))


def moved(chain: Chain, dz: float) -> Chain:
    """The outline shifted along z."""
    return tuple(e.moved((dz, 0.0)) for e in chain) if dz else chain


def _handed(form: Form) -> Form:
    """A pointed neutral tool has no side to touch a face with: its point lies below its nose."""
    if form.hand == "left":
        holder = tuple(outlines.mirrored(h) for h in form.holder)
        return replace(form, tip=(1, -1), outline=outlines.mirrored(form.outline), holder=holder)
    if form.hand == "neutral" and form.kind == "turning":
        holder = tuple(moved(h, -form.nose) for h in form.holder)
        return replace(form, tip=(0, -1), outline=moved(form.outline, -form.nose), holder=holder)
    return form


def _reflected(form: Form, to: Callable[[Point], Point]) -> Form:
    """The outlines under a reflection, still counter-clockwise, still beginning with the same element's image."""

    def chain(whole: Chain) -> Chain:
        back = reverse(whole)
        return tuple(
            Line(to(e.a), to(e.b)) if isinstance(e, Line) else Arc(to(e.a), to(e.b), to(e.centre), -e.sweep)
            for e in back[-1:] + back[:-1]
        )

    return replace(
        form,
        outline=chain(form.outline),
        holder=tuple(chain(h) for h in form.holder),
        steps=tuple(chain(s) for s in form.steps),
    )
