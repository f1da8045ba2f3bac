"""Turning tools with two edges, and round inserts, from their rows: on a shank outside, on a bar inside."""

from __future__ import annotations

import math

from msgspec.structs import replace

from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain
from toolpath.shop import bars, holders, outlines
from toolpath.shop.bars import Bar
from toolpath.shop.carrying import bar_of
from toolpath.shop.forms import HANDS, Form
from toolpath.shop.inserts import Insert, insert
from toolpath.shop.rack_rows import GroundRow, InsertRow
from toolpath.shop.written_values import at, degrees_of, size, word

SHANK = 10.0  # mm, common practice on bench lathes of 200-280 mm swing
OVERHANG_PER_SHANK = 3.0  # the overhang assumed, in shank widths, common practice
EDGE_SHARE = 2.0 / 3.0  # of the edge may be in the cut, common practice
ROUND_SHARE = 0.5  # of a round tool's radius may be in the cut, common practice


def with_insert(row: InsertRow, unit: str, assumed: list[str]) -> Form:
    """The form of an insert in its holder, in its bar, or at its stated entering angle."""
    ins = at("insert", insert, row.insert)
    if bool(row.holder) == (row.entering is not None):
        twice = f"the style of {row.holder} already gives the entering angle"
        raise BadInput(
            twice if row.holder else f"{ins.designation} needs its holder or its entering angle",
            where="entering" if row.holder else "insert",
            right='Write holder = "SDJCR 1010 E07", or entering = 93 and hand = "right"',
        )
    seat, outside, inside = _holder(row, ins)
    hand = seat.hand if seat else word(row.hand or "right", HANDS, "hand")
    bar = bar_of(row, unit, assumed, named=inside)
    form = _round_form(ins) if ins.shape == "R" else _insert_form(row, ins, seat)
    if bar is not None:
        form = _on_bar(form, bar, holders.set_back(ins), row)
    else:
        width = outside.width if outside else size(row.shank, "shank", unit=unit, default=SHANK, assumed=assumed)
        far = outside.far_side if outside else width / 2.0 if hand == "neutral" else holders.far_side(width)
        reach = size(row.overhang, "overhang", unit=unit, default=OVERHANG_PER_SHANK * width, assumed=assumed)
        shank = holders.Shank(left=far - width, right=far, set_back=holders.set_back(ins), reach=reach)
        form = _on_shank(form, shank)
    return replace(form, hand=hand, words=f"{form.words}, {hand} hand", honed=ins.honed)


def _holder(row: InsertRow, ins: Insert) -> tuple[holders.Seat | None, holders.Holder | None, bars.BarHolder | None]:
    """(seat, outside holder, bar) that a row's holder names; the insert must sit in it."""
    if not row.holder:
        return None, None, None
    inside = at("holder", bars.bar_holder, row.holder) if bars.is_bar(row.holder) else None
    outside = None if inside else at("holder", holders.holder, row.holder)
    seat = (inside or outside).seat  # type: ignore[union-attr]
    at("insert", seat.refuse_unfit, ins)
    if row.hand and row.hand != seat.hand:
        raise BadInput(f"{seat.designation} is a {seat.hand}-hand holder, not {row.hand}", where="hand")
    if row.shank is not None and outside is not None:
        raise BadInput(f"{seat.designation} already gives the shank, {outside.width:g} mm", where="shank")
    return seat, outside, inside


def _insert_form(row: InsertRow, ins: Insert, seat: holders.Seat | None) -> Form:
    included = ins.corners[0]
    if seat is None:
        stated = degrees_of(row.entering, "entering", least=30.0, most=120.0)
        edges = (stated, at("insert", outlines.trailing_angle, stated, included))
    else:
        edges = at("insert", seat.edges_with, included)
    style = f"{math.degrees(edges[0]):.4g} deg" + (", facing" if seat and seat.faces else "")
    outline = outlines.polygon_outline(edges[0], corners=ins.corners, sides=ins.sides, nose=ins.nose_radius)
    return _edged_form(f"{ins.designation}, {style}", outline, edges, nose=ins.nose_radius, edge=ins.sides[-1])


def _edged_form(words: str, outline: Chain, edges: tuple[float, float], *, nose: float, edge: float) -> Form:
    """The form without what carries it. A facing tool takes its depth along z, with its lower edge."""
    entering, trailing = edges
    deep = EDGE_SHARE * edge * (math.sin(entering) if trailing > 0.0 else math.cos(trailing))
    return Form(words, outline, (), nose=nose, edge_length=edge, reach=0.0, max_depth=deep, edges=edges)


def _round_form(ins: Insert) -> Form:
    r, deep = ins.nose_radius, ROUND_SHARE * ins.nose_radius
    form = Form(ins.designation, outlines.round_outline(r), (), nose=r, edge_length=ins.ic, reach=0.0, max_depth=deep)
    return replace(form, kind="round", width=ins.ic)


def _on_shank(form: Form, shank: holders.Shank) -> Form:
    if form.kind == "round":
        r, half = form.nose, (shank.right - shank.left) / 2.0
        shank = replace(shank, left=r - half, right=r + half)
        return replace(form, holder=at("overhang", holders.round_holder, r, shank), reach=shank.reach)
    entering, included = form.edges[0], math.pi - sum(form.edges)
    make = holders.edged_holder
    holder = at("overhang", make, entering, included, shank, nose=form.nose, edge=form.edge_length)
    return replace(form, holder=holder, reach=shank.reach)


def _on_bar(form: Form, bar: Bar, set_back: float, row: InsertRow | GroundRow) -> Form:
    """The form with its head on a bar. How deep it cuts is bounded by the room in front of the bar, too."""
    if row.shank is not None:
        raise BadInput("a tool on a bar has no shank", where="shank")
    if form.kind == "round":
        r, s = form.nose, min(set_back, form.nose / 2.0)
        head = outlines.box(s, r, 2.0 * r - s, max(bar.back, r + s))
    else:
        entering, included = form.edges[0], math.pi - sum(form.edges)
        root, tip = holders.head_corner(entering, included, nose=form.nose, set_back=set_back)
        make = bars.edged_head
        head = at("overhang", make, entering, included, bar, root=root, tip=tip, edge=form.edge_length)
    words = f"{form.words}, {bar.diameter:g} mm bar"
    return replace(
        form, words=words, holder=(head,), reach=bar.reach, max_depth=min(form.max_depth, bar.front), bar=bar
    )


def ground(row: GroundRow, unit: str, assumed: list[str]) -> Form:
    """The form of a tool ground from a bit, or of a bar ground at its end."""
    hand = word(row.hand, HANDS, "hand")
    entering = degrees_of(row.entering, "entering", least=30.0, most=120.0)
    included = degrees_of(row.included, "included", least=20.0, most=120.0)
    edges = (entering, at("included", outlines.trailing_angle, entering, included))
    nose = size(row.nose_radius, "nose_radius", unit=unit, least=0.0)
    bar = bar_of(row, unit, assumed)
    width = size(row.shank, "shank", unit=unit, default=SHANK, assumed=None if bar else assumed)
    edge = size(row.edge, "edge", unit=unit, default=bar.neck / 2.0 if bar else width, assumed=assumed)
    outline = at("edge", outlines.ground_outline, entering, included, nose=nose, edge=edge)
    words = f"ground {math.degrees(entering):.4g}/{math.degrees(included):.4g} deg, nose {nose:g}"
    form = _edged_form(words, outline, edges, nose=nose, edge=edge)
    if bar is not None:
        form = _on_bar(form, bar, holders.LEAST_SET_BACK, row)
    else:
        reach = size(row.overhang, "overhang", unit=unit, default=OVERHANG_PER_SHANK * width, assumed=assumed)
        # The unground side of the bit begins where the leading edge ends.
        left = outlines.sharp_corner(entering, included, nose)[0] - edge * math.cos(entering)
        shank = holders.Shank(left=left, right=left + width, set_back=holders.LEAST_SET_BACK, reach=reach)
        form = _on_shank(form, shank)
    return replace(form, hand=hand, words=f"{form.words}, {hand} hand")
