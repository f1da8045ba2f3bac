"""From a rack's row to a `Tool`: drawn right-hand, then mirrored to its hand; defaults filled in and listed."""

from __future__ import annotations

import math

from msgspec import Struct
from msgspec.structs import replace

from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain
from toolpath.shop import holders, outlines
from toolpath.shop.inserts import Insert, insert
from toolpath.shop.rack_rows import BladeRow, GroundRow, InsertRow, RoundRow, Row, Written
from toolpath.shop.tools import Tool
from toolpath.shop.written_values import at, degrees_of, size, word

MATERIALS = ("carbide", "HSS")
HANDS = ("right", "left", "neutral")
DUTIES = ("face", "turn", "groove", "part off")
POINTS = {"chuck side": "chuck-side corner", "free side": "free-side corner"}
UPRIGHT = (math.pi / 2.0, math.pi / 2.0)  # edges of blades and round tools: their sides go straight up

SHANK = 10.0  # mm, common practice on bench lathes of 200-280 mm swing
OVERHANG_PER_SHANK = 3.0  # the overhang assumed, in shank widths, common practice
EDGE_SHARE = 2.0 / 3.0  # of the edge may be in the cut, common practice
ROUND_SHARE = 0.5  # of a round tool's radius may be in the cut, common practice
STICK_OUT_PER_WIDTH = 8.0  # a blade stands out no more than this many widths, common practice
CLEAR_OF_BLOCK = 1.0  # mm kept between work and blade block, common practice
BLADE_CORNER = 0.1  # mm, the corner of a ground blade, common practice
BLOCK = (2.0, 10.0)  # mm of block beside the blade, chuck side and free side, common practice
BLOCK_HEIGHT = 40.0  # mm of block drawn beyond the blade


class Form(Struct, frozen=True):
    """What a row says of shape, as a right-hand tool; the fields mean what they mean in `Tool`."""

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


def tool_from(row: Row, *, unit: str = "mm") -> Tool:
    """The tool of one row; BadInput with `where` naming the key inside the row."""
    assumed: list[str] = []
    duties: tuple[str, ...]
    if isinstance(row, InsertRow):
        form, material, duties = _with_insert(row, unit, assumed), "carbide", ("face", "turn")
    elif isinstance(row, GroundRow):
        form, material, duties = _ground(row, unit, assumed), "HSS", ("face", "turn")
    elif isinstance(row, BladeRow):
        form, material, duties = _blade(row, unit, assumed), "HSS", ("groove", "part off")
    elif isinstance(row, RoundRow):
        form, material, duties = _half_round(row, unit, assumed), "HSS", ("turn",)
    else:
        raise TypeError(f"no tool is made from a {type(row).__name__}")
    form = _handed(form)
    if not row.material:
        assumed.append(f"material {material}")
    return Tool(
        number=row.number,
        offset=row.number if row.offset is None else row.offset,
        name=row.name or form.words,
        kind=form.kind,
        material=word(row.material or material, MATERIALS, "material"),
        hand=form.hand,
        tip=form.tip,
        point=form.point,
        nose_radius=form.nose,
        outline=form.outline,
        holder=form.holder,
        edges=form.edges,
        edge_length=form.edge_length,
        width=form.width,
        reach=form.reach,
        max_depth=form.max_depth,
        honed=form.honed,
        does=frozenset(word(w, DUTIES, "does") for w in (duties if row.does is None else row.does)),
        assumed=tuple(assumed),
    )


def _with_insert(row: InsertRow, unit: str, assumed: list[str]) -> Form:
    ins = at("insert", insert, row.insert)
    if bool(row.holder) == (row.entering is not None):
        twice = f"the style of {row.holder} already gives the entering angle"
        raise BadInput(
            twice if row.holder else f"{ins.designation} needs its holder or its entering angle",
            where="entering" if row.holder else "insert",
            right='Write holder = "SDJCR 1010 E07", or entering = 93 and hand = "right"',
        )
    if row.holder:
        hand, width, far, entering = _from_holder(row, ins)
    else:
        hand = word(row.hand or "right", HANDS, "hand")
        width = size(row.shank, "shank", unit=unit, default=SHANK, assumed=assumed)
        far = width / 2.0 if hand == "neutral" else holders.far_side(width)
        entering = degrees_of(row.entering, "entering", least=30.0, most=120.0)
    reach = size(row.overhang, "overhang", unit=unit, default=OVERHANG_PER_SHANK * width, assumed=assumed)
    shank = holders.Shank(left=far - width, right=far, set_back=holders.set_back(ins), reach=reach)
    form = _round_insert(ins, shank) if ins.shape == "R" else _edged_insert(ins, entering, shank)
    return replace(form, hand=hand, words=f"{form.words}, {hand} hand")


def _from_holder(row: InsertRow, ins: Insert) -> tuple[str, float, float, float]:
    """(hand, shank width, far side, entering angle) of the holder a row names."""
    hold = at("holder", holders.holder, row.holder)
    at("insert", hold.refuse_unfit, ins)
    if row.hand and row.hand != hold.hand:
        raise BadInput(f"{hold.designation} is a {hold.hand}-hand holder, not {row.hand}", where="hand")
    if row.shank is not None:
        raise BadInput(f"{hold.designation} already gives the shank, {hold.width:g} mm", where="shank")
    entering = hold.entering_with(ins.corners[0]) if ins.corners else UPRIGHT[0]
    return hold.hand, hold.width, hold.far_side, entering


def _edged_insert(ins: Insert, entering: float, shank: holders.Shank) -> Form:
    included, edge = ins.corners[0], ins.sides[-1]
    trailing = at("insert", outlines.trailing_angle, entering, included)
    return Form(
        words=f"{ins.designation}, {math.degrees(entering):.4g} deg",
        outline=outlines.polygon_outline(entering, corners=ins.corners, sides=ins.sides, nose=ins.nose_radius),
        holder=at("overhang", holders.edged_holder, entering, included, shank, nose=ins.nose_radius, edge=edge),
        nose=ins.nose_radius,
        edge_length=edge,
        reach=shank.reach,
        max_depth=EDGE_SHARE * edge * math.sin(entering),
        edges=(entering, trailing),
        honed=ins.honed,
    )


def _round_insert(ins: Insert, shank: holders.Shank) -> Form:
    r, half = ins.nose_radius, (shank.right - shank.left) / 2.0
    return Form(
        words=ins.designation,
        outline=outlines.round_outline(r),
        holder=at("overhang", holders.round_holder, r, replace(shank, left=r - half, right=r + half)),
        nose=r,
        edge_length=ins.ic,
        reach=shank.reach,
        max_depth=ROUND_SHARE * r,
        kind="round",
        width=ins.ic,
        honed=ins.honed,
    )


def _ground(row: GroundRow, unit: str, assumed: list[str]) -> Form:
    hand = word(row.hand, HANDS, "hand")
    entering = degrees_of(row.entering, "entering", least=30.0, most=120.0)
    included = degrees_of(row.included, "included", least=20.0, most=120.0)
    trailing = at("included", outlines.trailing_angle, entering, included)
    nose = size(row.nose_radius, "nose_radius", unit=unit, least=0.0)
    width = size(row.shank, "shank", unit=unit, default=SHANK, assumed=assumed)
    edge = size(row.edge, "edge", unit=unit, default=width, assumed=assumed)
    reach = size(row.overhang, "overhang", unit=unit, default=OVERHANG_PER_SHANK * width, assumed=assumed)
    # The unground side of the bit begins where the leading edge ends.
    left = outlines.sharp_corner(entering, included, nose)[0] - edge * math.cos(entering)
    shank = holders.Shank(left=left, right=left + width, set_back=holders.LEAST_SET_BACK, reach=reach)
    return Form(
        words=f"ground {math.degrees(entering):.4g}/{math.degrees(included):.4g} deg, nose {nose:g}, {hand} hand",
        outline=at("edge", outlines.ground_outline, entering, included, nose=nose, edge=edge),
        holder=at("overhang", holders.edged_holder, entering, included, shank, nose=nose, edge=edge),
        nose=nose,
        edge_length=edge,
        reach=reach,
        max_depth=EDGE_SHARE * edge * math.sin(entering),
        hand=hand,
        edges=(entering, trailing),
    )


def _blade(row: BladeRow, unit: str, assumed: list[str]) -> Form:
    width, reach = _blade_size(row.width, row.reach, unit)
    if row.corner is not None and row.corners is not None:
        raise BadInput("`corner` and `corners` say the same thing twice", where="corners", right="Keep one of them")
    if row.corners is not None:
        near, far = (size(c, "corners", unit=unit, least=0.0) for c in row.corners)
    else:
        near = far = size(row.corner, "corner", unit=unit, least=0.0, default=BLADE_CORNER, assumed=assumed)
    lean = degrees_of(row.side_clearance, "side_clearance", least=0.0, most=10.0)
    free_side = word(row.point, POINTS, "point") == "free side"
    outline = at("corner", outlines.blade_outline, width, reach, corners=(near, far), side_clearance=lean)
    shift = -width if free_side else 0.0
    return Form(
        words=f"blade {width:g} mm wide, reach {reach:g} mm",
        outline=moved(outline, shift),
        holder=(moved(_block(row.block, unit, assumed, width=width, reach=reach), shift),),
        nose=far if free_side else near,
        edge_length=width,
        reach=reach,
        max_depth=reach - CLEAR_OF_BLOCK,
        kind="blade",
        width=width,
        point=POINTS[row.point],
        tip=(1, -1) if free_side else (-1, -1),
    )


def _half_round(row: RoundRow, unit: str, assumed: list[str]) -> Form:
    width, reach = _blade_size(row.width, row.reach, unit)
    r = width / 2.0
    return Form(
        words=f"half-round form, radius {r:g} mm",
        outline=at("reach", outlines.blade_outline, width, reach, corners=(r, r)),
        holder=(_block(row.block, unit, assumed, width=width, reach=reach),),
        nose=r,
        edge_length=width,
        reach=reach,
        max_depth=ROUND_SHARE * r,
        kind="round",
        width=width,
    )


def _blade_size(width: Written, reach: Written, unit: str) -> tuple[float, float]:
    w, r = size(width, "width", unit=unit), size(reach, "reach", unit=unit)
    if r > STICK_OUT_PER_WIDTH * w:
        raise BadInput(
            f"a blade {w:g} mm wide that stands out {r:g} mm is too limber",
            where="reach",
            right=f"At most {STICK_OUT_PER_WIDTH:g} widths, {STICK_OUT_PER_WIDTH * w:g} mm, are safe (common practice)",
        )
    if r <= CLEAR_OF_BLOCK:
        raise BadInput(f"a reach of {r:g} mm leaves no depth to cut", where="reach")
    return w, r


def _block(
    sides: tuple[Written, Written] | None, unit: str, assumed: list[str], *, width: float, reach: float
) -> Chain:
    """What carries a blade, from where the blade comes out of it."""
    if sides is None:
        near, far = BLOCK
        assumed.append(f"block {near:g} mm beside the blade towards the chuck, {far:g} mm away from it")
    else:
        near, far = (size(s, "block", unit=unit, least=0.0) for s in sides)
    return outlines.box(-near, reach, width + far, reach + BLOCK_HEIGHT)


def _handed(form: Form) -> Form:
    """The form in its own hand. A pointed neutral tool has no side to touch a face with: its point lies below."""
    if form.hand == "left":
        return replace(
            form,
            tip=(1, -1),
            outline=outlines.mirrored(form.outline),
            holder=tuple(outlines.mirrored(h) for h in form.holder),
        )
    if form.hand == "neutral" and form.kind == "turning":
        return replace(
            form,
            tip=(0, -1),
            outline=moved(form.outline, -form.nose),
            holder=tuple(moved(h, -form.nose) for h in form.holder),
        )
    return form


def moved(chain: Chain, dz: float) -> Chain:
    """The outline shifted along z."""
    return tuple(e.moved((dz, 0.0)) for e in chain) if dz else chain
