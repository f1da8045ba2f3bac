"""A demonstration scene: a stepped bob of 25 mm brass in a collet, roughed, finished once around, parted off."""

from __future__ import annotations

import math

from toolpath.drawing.scene import Label, Mark, Scene, scene
from toolpath.geometry.elements import Arc, Chain, Line, arc_about, polyline

OUTSIDE: Chain = (
    arc_about((-6.0, 0.0), (0.0, 0.0), (-6.0, 6.0), ccw=True),  # ball end of radius 6
    Line((-6.0, 6.0), (-16.0, 6.0)),
    arc_about((-16.0, 8.0), (-16.0, 6.0), (-18.0, 8.0), ccw=False),  # hollow of radius 2 into the shoulder
    Line((-18.0, 8.0), (-18.0, 11.0)),
    arc_about((-19.0, 11.0), (-18.0, 11.0), (-19.0, 12.0), ccw=True),
    Line((-19.0, 12.0), (-27.0, 12.0)),
    Line((-27.0, 12.0), (-33.0, 8.0)),
    Line((-33.0, 8.0), (-38.0, 8.0)),
    Line((-38.0, 8.0), (-38.0, 0.0)),
)
PART: Chain = (*OUTSIDE, Line((-38.0, 0.0), (0.0, 0.0)))
STOCK = polyline([(-70.0, 0.0), (1.0, 0.0), (1.0, 12.5), (-70.0, 12.5)], close=True)
COLLET = polyline([(-70.0, 12.5), (-46.0, 12.5), (-46.0, 17.0), (-52.0, 20.0), (-70.0, 20.0)], close=True)


def levels() -> tuple[list[Chain], list[Chain]]:
    """Roughing levels and the rapids between them."""
    cuts, rapids = [], []
    for x, end in ((11.0, -17.7), (9.5, -17.7), (8.0, -17.7), (6.5, -15.4), (5.0, -2.6), (3.5, -0.9)):
        cuts.append((Line((2.0, x), (end, x)), Line((end, x), (end + 0.5, x + 0.5))))
        back = [(end + 0.5, x + 0.5), (2.0, x + 0.5), (2.0, x - 1.5)]
        rapids.append(polyline(back))
    return cuts, rapids


def finish() -> Chain:
    """Once around; the arcs are those of the tip of a nose of 0.4 mm."""
    r = 0.4
    return (
        Line((2.0, -r), (0.0, -r)),
        Arc((0.0, -r), (-6.0 - r, 6.0), (-6.0 - r, -r), math.pi / 2.0),
        Line((-6.0 - r, 6.0), (-16.0 - r, 6.0)),
        arc_about((-16.0 - r, 7.6), (-16.4, 6.0), (-18.0, 7.6), ccw=False),
        Line((-18.0, 7.6), (-18.0, 10.6)),
        arc_about((-19.4, 10.6), (-18.0, 10.6), (-19.4, 12.0), ccw=True),
        Line((-19.4, 12.0), (-27.3, 12.0)),
        Line((-27.3, 12.0), (-29.3, 14.0)),
    )


def demo(title: str = "Plumb-bob body, set-up 1 of 2") -> Scene:
    """The scene with something on every layer but one, and two marks."""
    cuts, rapids = levels()
    wedge = (Line((-27.3, 12.5), (-27.3, 11.8)), Line((-27.3, 11.8), (-33.0, 8.0)), Line((-33.0, 8.0), (-33.0, 12.5)))
    return scene(
        title,
        {
            "STOCK": [STOCK],
            "PART": [PART],
            "HOLDING": [COLLET],
            "ROUGH": cuts,
            "RAPID": [*rapids, polyline([(-29.3, 14.0), (60.0, 45.0)]), polyline([(60.0, 45.0), (2.0, -0.4)])],
            "FINISH": [finish()],
            "GROOVE": [polyline([(-40.0, 13.5), (-40.0, 0.5)]), polyline([(-35.0, 13.5), (-35.0, 8.0), (-36.0, 8.0)])],
            "DRILL": [polyline([(3.0, 0.0), (-12.0, 0.0)])],
            "THREAD": [polyline([(-5.0, 5.4), (-14.0, 5.4)])],
            "UNCUT": [(*wedge, Line((-33.0, 12.5), (-27.3, 12.5)))],
        },
        labels={"FINISH": [Label((-26.0, 12.9), "finish T2")], "GROOVE": [Label((-39.5, 13.9), "part off T4")]},
        marks=[
            Mark((-30.0, 10.5), "Left standing: tool 2 does not reach behind the shoulder, 1.9 mm thick."),
            Mark((-18.0, 8.0), "Look: line 84, the nose of 0.4 mm fits the hollow of 2 mm."),
        ],
    )
