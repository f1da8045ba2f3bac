"""How each kind of tool is touched off, in words for the bench, by where its control keeps the offsets."""

from __future__ import annotations

from toolpath.shop.tools import Tool


def touch_off(tool: Tool) -> str:
    """What of the tool is touched off, for the list of tools at the top of a program."""
    if tool.point == "nose":
        return f"nose radius {tool.nose_radius:g} mm, X and Z touched off at the imaginary tip"
    return f"touched off at its {tool.point}"


def set_anew(tool: Tool, *, x_diameter: bool) -> str:
    """How both zeros are set with the tool at its stop, on a control that keeps no offsets.

    Z0 is the finished front face: what lies before it is measured (common practice, no source).
    """
    measure = "diameter" if x_diameter else "radius (half the diameter)"
    face = "touch the front face and set Z to what still lies before the finished face there, 0 once it is finished"
    if tool.works == "hole":
        return f"the {tool.point} on the axis is X 0; with it {face}"
    if tool.works == "inside":
        across = f"skim a bore, leave X, measure the bore and set X to its {measure}"
    else:
        across = f"skim the work or touch a turned part of it, leave X, measure it and set X to its {measure}"
    where = "" if tool.point == "nose" else f", both with its {tool.point}"
    return f"{across}; {face}{where}"
