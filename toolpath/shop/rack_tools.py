"""From a rack's row to a `Tool`: drawn right-hand, then put in its hand and on its side; defaults are listed."""

from __future__ import annotations

from msgspec.structs import replace

from toolpath.errors import BadInput
from toolpath.quantity import length
from toolpath.shop import blade_tools, edged_tools, hole_forms
from toolpath.shop.duties import duties
from toolpath.shop.forms import Form, placed
from toolpath.shop.rack_rows import BladeRow, GroundRow, HoleRow, InsertRow, RoundRow, Row, ThreadingRow
from toolpath.shop.tools import Tool
from toolpath.shop.written_values import at, word

MATERIALS = ("carbide", "HSS")


def tool_from(row: Row, *, unit: str = "mm") -> Tool:
    """The tool of one row; BadInput with `where` naming the key inside the row."""
    assumed: list[str] = []
    form = placed(_form(row, unit, assumed))
    material = "carbide" if isinstance(row, InsertRow) else "HSS"
    if not row.material:
        assumed.append(f"material {material}")
    material = word(row.material or material, MATERIALS, "material")
    offset = row.number if row.offset is None else row.offset
    tool = tool_of(form, number=row.number, offset=offset, material=material, assumed=tuple(assumed))
    return replace(
        tool, name=row.name or form.words, does=duties(tool, row.does), face=_face(row), stands=_stands(row, unit)
    )


def _face(row: Row) -> str:
    """Where the cutting face looks, "" as the machine file says; BadInput for what stands on the axis."""
    if row.face and isinstance(row, HoleRow):
        raise BadInput("a tool on the axis has no face that looks up or down", where="face", right="Leave it out")
    return word(row.face, ("up", "down"), "face") if row.face else ""


def _stands(row: Row, unit: str) -> tuple[float, float] | None:
    """(z, x) on the slide, mm; BadInput for what is no length."""
    if row.stands is None:
        return None
    x, z = (at("stands", length, v, unit=unit) for v in row.stands)
    return (z, x)


def tool_of(form: Form, *, number: int, offset: int, material: str, assumed: tuple[str, ...]) -> Tool:
    """The tool of a form that is in its place; it does what its shape allows."""
    tool = Tool(
        number=number,
        offset=offset,
        name=form.words,
        kind=form.kind,
        material=material,
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
        does=frozenset(),
        assumed=assumed,
        works=form.works,
        bar=form.bar,
        curve=form.curve,
        hole=form.hole,
        steps=form.steps,
        full=form.full,
    )
    return replace(tool, does=duties(tool, None))


def _form(row: Row, unit: str, assumed: list[str]) -> Form:
    if isinstance(row, InsertRow):
        return edged_tools.with_insert(row, unit, assumed)
    if isinstance(row, GroundRow):
        return edged_tools.ground(row, unit, assumed)
    if isinstance(row, BladeRow):
        return blade_tools.blade(row, unit, assumed)
    if isinstance(row, RoundRow):
        return blade_tools.half_round(row, unit, assumed)
    if isinstance(row, ThreadingRow):
        return blade_tools.threading(row, unit, assumed)
    if isinstance(row, HoleRow):
        return hole_forms.form_of(row, unit, assumed)
    raise TypeError(f"no tool is made from a {type(row).__name__}")
