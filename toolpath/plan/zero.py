"""How the hand finds z = 0 of a piece that goes into the lathe again: a stop before the first cut, in plain words."""

from __future__ import annotations

from collections.abc import Sequence

from toolpath.plan.operations import ByHand, Planned
from toolpath.plan.request import Request
from toolpath.shop.tools import Tool

KIND = "set zero"
FACED = 1e-6
"""mm: a face before which no more stands is finished."""
WHY = {
    "measured": "the saw and the stub leave the length open; what is measured over the faces is what is there",
    "stop": "a stop in the hold puts every piece in the same place",
    "plate": "the plate is faced in place, and the finished end lies flat on it",
    "mandrel face": "the face of the mandrel is turned in place, and the part's shoulder lies on it",
}


def set_zero(request: Request, tool: Tool) -> ByHand:
    """The stop at which zero is set with the tool that cuts first. request: of a set-up that grips the part"""
    length, spare = request.part.length, max(request.stock.front, 0.0)
    name, end = f"T{tool.number}", request.end
    if request.zero == "mandrel face":
        nose = request.gripped.nose_z if request.gripped else 0.0
        does = (
            f"before the part goes on touch the mandrel's face with {name} and set Z there to {nose:.3f} mm; then "
            f"screw the part home. Z0 is its finished {end} face"
        )
    elif request.zero == "plate":
        does = (
            f"before the work goes on touch the faceplate's face with {name} and set Z there to {-length:.3f} mm; then "
            f"clamp the work flat on it and clock it true. Z0 is its finished {end} face"
        )
    elif request.zero == "stop":
        does = (
            f"push the piece against the stop in the hold and tighten. The stop's face lies at Z {-length:.3f} mm: set "
            f"{name} so, once, with the stop bare. Z0 is the finished {end} face"
        )
    elif spare <= FACED:
        return ByHand(
            KIND,
            f"fit {name}, touch the {end} face, which is finished, and set Z of {name} to 0 there. Z0 is that face",
            (),
            "the face is finished: what touches it is at zero",
            name,
        )
    else:
        does = (
            f"fit {name}. By hand, with a skim of at most {spare:.2f} mm, face the {end} end until it is clean, and "
            f"leave the tool at that Z. Stop the spindle, measure the length over the faces; it must be {length:.3f} "
            "mm or more. If the piece must come out for that, put it back against the same step. "
            f"Set Z of {name} to the measured length less {length:.3f} mm. Z0 is the finished {end} face"
        )
    return ByHand(KIND, does, (), WHY[request.zero], name)


def with_tool(planned: Sequence[Planned]) -> int:
    """The number of the tool with which Z is set before the first cut, 0 where no stop for it is planned."""
    stops = (op for op in planned if isinstance(op, ByHand) and op.kind == KIND)
    return next((int(op.using.removeprefix("T")) for op in stops), 0)
