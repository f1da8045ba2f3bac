"""Full-form inserts: one cuts flanks, root and crest of one pitch, so that it fits no other thread."""

from __future__ import annotations

from toolpath.cutting.thread_form import ThreadForm
from toolpath.errors import CannotMake
from toolpath.shop.tools import Tool

SAME_PITCH = 1e-3  # mm: an insert of 19 to the inch is one of 1.337 mm
ROUNDED = 1e-3  # mm on the radius: limits are printed so


def crest_left(tool: Tool, form: ThreadForm, whole: float) -> float:
    """Radius, mm, of the crests that a full-form insert leaves when its end is `whole` below the blank's."""
    if tool.full is None:
        return form.crest
    return form.crest - _out(form) * (whole - tool.full.crest)


def refuse_other_form(tool: Tool, form: ThreadForm, whole: float) -> None:
    """CannotMake for an insert of another pitch or form, or a blank without the stock that it cuts; and for a point
    where an insert is asked for."""
    who = f"T{tool.number} {tool.name}"
    if tool.full is None:
        if form.crests is not None:
            raise CannotMake(f"{who} leaves crests as they are turned, and a full-form insert is asked for")
        return
    if form.crests is None:
        raise CannotMake(f'{who} cuts crests too and wants stock left on: write cut_by = "full form"')
    if abs(tool.full.pitch - form.spacing) > SAME_PITCH:
        raise CannotMake(
            f"{who} has the full form of a pitch of {tool.full.pitch:.4g} mm, the thread has {form.spacing:.4g}"
        )
    out, left = _out(form), crest_left(tool, form, whole)
    least, greatest = form.crests
    if not least - ROUNDED <= left <= greatest + ROUNDED:
        raise CannotMake(
            f"{who} leaves crests of dia {2.0 * left:.3f} when the pitch diameter is right, and they lie between "
            f"{2.0 * least:.3f} and {2.0 * greatest:.3f}: it has the form of another thread"
        )
    end = form.crest - out * whole
    if out * (form.deepest - end) > ROUNDED:
        raise CannotMake(
            f"{who} comes to dia {2.0 * end:.3f} at the root, and a sound thread goes to {2.0 * form.deepest:.3f}: its "
            "root form is that of another thread"
        )


def _out(form: ThreadForm) -> float:
    """1.0 where metal lies below the crest, -1.0 inside."""
    return -1.0 if form.inside else 1.0
