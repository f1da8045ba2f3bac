"""Tools that go straight in: blades, half-round forms, threading points; outside, on a bar inside, or into a face."""

from __future__ import annotations

import math

from msgspec.structs import replace

from toolpath.errors import BadInput
from toolpath.quantity.units import INCH
from toolpath.shop import outlines
from toolpath.shop.carrying import bar_of
from toolpath.shop.edged_tools import ROUND_SHARE
from toolpath.shop.forms import Form, moved
from toolpath.shop.rack_rows import BladeRow, RoundRow, ThreadingRow, Written
from toolpath.shop.threads.forms import insert_form
from toolpath.shop.tools import FullForm
from toolpath.shop.written_values import at, degrees_of, size, word

POINTS = {"chuck side": "chuck-side corner", "free side": "free-side corner"}
STICK_OUT_PER_WIDTH = 8.0  # a blade stands out no more than this many widths, common practice
CLEAR_OF_BLOCK = 1.0  # mm kept between work and blade block, common practice
CLEAR_OF_BAR = 0.5  # mm kept between the wall of a hole and the bar that carries a blade, common practice
BLADE_CORNER = 0.1  # mm, the corner of a ground blade, common practice
BLOCK = (2.0, 10.0)  # mm of block beside the blade, chuck side and free side, common practice
BAR_BLOCK = (1.0, 1.0)  # mm of a bar's head beside the blade, common practice
BLOCK_HEIGHT = 40.0  # mm of block drawn beyond the blade
LAND = 0.75  # of the pitch, half the edge with which a full-form insert cuts crests, common practice, no source
OVER_CREST = 0.1  # mm that this edge stands over the crest at the least, for the stock it cuts, common practice
POINT_FLAT = 0.05  # mm, the end of a threading point of which nothing is said, common practice


def blade(row: BladeRow, unit: str, assumed: list[str]) -> Form:
    """The form of a grooving or parting blade."""
    width, reach = _blade_size(row.width, row.reach, unit)
    near, far = _corners(row, unit, assumed)
    lean = degrees_of(row.side_clearance, "side_clearance", least=0.0, most=10.0)
    free_side = word(row.point, POINTS, "point") == "free side"
    outline = at("corner", outlines.blade_outline, width, reach, corners=(near, far), side_clearance=lean)
    shift = -width if free_side else 0.0
    form = Form(
        words=f"blade {width:g} mm wide, reach {reach:g} mm",
        outline=moved(outline, shift),
        holder=(),
        nose=far if free_side else near,
        edge_length=width,
        reach=reach,
        max_depth=reach - CLEAR_OF_BLOCK,
        kind="blade",
        width=width,
        point=POINTS[row.point],
        tip=(1, -1) if free_side else (-1, -1),
    )
    if row.face_grooves is not None:
        form = _into_faces(form, row, unit)
    return _carried(form, row, unit, assumed, sides=(shift, shift + width))


def _corners(row: BladeRow, unit: str, assumed: list[str]) -> tuple[float, float]:
    if row.corner is not None and row.corners is not None:
        raise BadInput("`corner` and `corners` say the same thing twice", where="corners", right="Keep one of them")
    if row.corners is not None:
        near, far = (size(c, "corners", unit=unit, least=0.0) for c in row.corners)
        return near, far
    corner = size(row.corner, "corner", unit=unit, least=0.0, default=BLADE_CORNER, assumed=assumed)
    return corner, corner


def _into_faces(form: Form, row: BladeRow, unit: str) -> Form:
    """The blade bent for face grooves: its point is its corner towards the axis."""
    if row.bar is not None or row.point != "chuck side":
        raise BadInput("a blade for face grooves has neither a bar nor a choice of its point", where="face_grooves")
    least, most = (size(c, "face_grooves", unit=unit) for c in row.face_grooves or ())
    if not 2.0 * form.width < least <= most:
        raise BadInput(
            f"{least:g} to {most:g} mm are no outer diameters for face grooves {form.width:g} mm wide",
            where="face_grooves",
            right=f"Give [least, greatest], above {2.0 * form.width:g} mm",
        )
    words = f"{form.words}, for face grooves of {least:g} to {most:g} mm"
    return replace(form, words=words, works="face", point="nose", curve=(least, most))


def half_round(row: RoundRow, unit: str, assumed: list[str]) -> Form:
    """The form of a tool ground to a half round."""
    width, reach = _blade_size(row.width, row.reach, unit)
    r = width / 2.0
    form = Form(
        words=f"half-round form, radius {r:g} mm",
        outline=at("reach", outlines.blade_outline, width, reach, corners=(r, r)),
        holder=(),
        nose=r,
        edge_length=width,
        reach=reach,
        max_depth=ROUND_SHARE * r,
        kind="round",
        width=width,
    )
    return _carried(form, row, unit, assumed, sides=(0.0, width))


def threading(row: ThreadingRow, unit: str, assumed: list[str]) -> Form:
    """The form of a threading point; its point lies in the middle of its end."""
    angle = degrees_of(row.angle, "angle", least=20.0, most=90.0)
    depth = size(row.depth, "depth", unit=unit)
    full = None if row.full_form is None else _pitch(row.full_form, unit)
    flat, r = _end(row, unit, assumed, angle=angle, full=full)
    cuts = None if full is None else _full_form(row, full, angle=angle, flat=flat, radius=r)
    deep = depth if cuts is None else cuts.crest
    if cuts is not None and depth < deep + OVER_CREST:
        right = (
            f"It takes {math.ceil(100.0 * (deep + OVER_CREST)) / 100.0:.2f} mm at the least, to where its body begins"
        )
        raise BadInput(f"a depth of {depth:g} mm does not hold the full form", where="depth", right=right)
    half = outlines.half_width(angle, deep, flat=flat, radius=r)
    land = 0.0 if cuts is None else LAND * cuts.pitch
    flank = math.pi / 2.0 - angle / 2.0
    what = "threading point" if cuts is None else f"full-form insert, pitch {cuts.pitch:.4g}"
    form = Form(
        words=f"{what}, {math.degrees(angle):.4g} deg, " + (f"radius {r:.3g}" if r else f"flat {flat:.3g}"),
        outline=at("depth", outlines.point_outline, angle, deep, flat=flat, radius=r),
        holder=(),
        nose=r,
        edge_length=deep / math.cos(angle / 2.0),
        reach=depth,
        max_depth=depth,
        kind="threading",
        edges=(flank, flank),
        width=flat,
        tip=(0, -1),
        steps=() if cuts is None else (outlines.box(-land, deep, land, depth),),
        full=cuts,
    )
    return _carried(form, row, unit, assumed, sides=(-max(half, land), max(half, land)))


def _end(row: ThreadingRow, unit: str, assumed: list[str], *, angle: float, full: float | None) -> tuple[float, float]:
    """(flat, radius) at the end of a threading point: as the row says, or as the standard's full form has it."""
    if row.flat is not None and row.radius is not None:
        raise BadInput("a threading point ends in a flat or in a radius", where="radius", right="Keep one of them")
    if row.radius is not None:
        return 0.0, size(row.radius, "radius", unit=unit, least=0.0)
    if full is None or row.flat is not None:
        return size(row.flat, "flat", unit=unit, least=0.0, default=POINT_FLAT, assumed=assumed), 0.0
    own = insert_form(angle, inside=row.bar is not None)
    if not own.flat and not own.radius:
        right = "Write flat or radius, as the insert's maker gives it"
        raise BadInput(f"the root of a full form of {math.degrees(angle):g} degrees is not known", right=right)
    flat, r = round(own.flat * full, 3), round(own.radius * full, 3)
    assumed.append(f"end of the full form: {'flat' if flat else 'radius'} {flat or r:g} mm, by the standard")
    return flat, r


def _full_form(row: ThreadingRow, pitch: float, *, angle: float, flat: float, radius: float) -> FullForm:
    """How far over its end an insert cuts the crest: at the pitch line its tooth is half a pitch wide."""
    half = angle / 2.0
    below = (pitch / 2.0 - flat) / (2.0 * math.tan(half)) - (radius / math.sin(half) - radius)
    if below <= 0.0:
        raise BadInput("so blunt an end leaves nothing of a thread of this pitch", where="full_form")
    return FullForm(pitch, below + insert_form(angle, inside=row.bar is not None).over * pitch)


def _pitch(written: Written, unit: str) -> float:
    """The pitch of a full form, mm: a length, or threads to the inch as `19 tpi`."""
    words = str(written).split()
    if len(words) == 2 and words[1] == "tpi":
        return INCH / size(words[0], "full_form", unit="mm", least=2.0)
    return size(written, "full_form", unit=unit)


def _carried(
    form: Form, row: BladeRow | RoundRow | ThreadingRow, unit: str, assumed: list[str], *, sides: tuple[float, float]
) -> Form:
    """The form with its block, or with its head on a bar; sides: of the blade where it comes out, along z."""
    bar = bar_of(row, unit, assumed, stands_out=form.reach)
    if bar is None:
        if row.overhang is not None:
            raise BadInput(
                "`overhang` belongs to a boring bar", where="overhang", right="A blade stands out by `reach`"
            )
        near, far = _sides(row.block, BLOCK, unit, assumed)
        block = outlines.box(sides[0] - near, form.reach, sides[1] + far, form.reach + BLOCK_HEIGHT)
        return replace(form, holder=(block,))
    near, far = _sides(row.block, BAR_BLOCK, unit, assumed)
    head = outlines.box(sides[0] - near, form.reach, sides[1] + far, max(bar.back, form.reach + near + far))
    deep = min(form.reach, bar.front) - (CLEAR_OF_BAR if form.kind == "blade" else 0.0)
    words = f"{form.words}, {bar.diameter:g} mm bar"
    return replace(form, words=words, holder=(head,), bar=bar, reach=bar.reach, max_depth=min(form.max_depth, deep))


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


def _sides(
    block: tuple[Written, Written] | None, default: tuple[float, float], unit: str, assumed: list[str]
) -> tuple[float, float]:
    """Millimetres of block beside the blade, towards the chuck and away from it."""
    if block is None:
        near, far = default
        assumed.append(f"block {near:g} mm beside the blade towards the chuck, {far:g} mm away from it")
        return default
    near, far = (size(s, "block", unit=unit, least=0.0) for s in block)
    return near, far
