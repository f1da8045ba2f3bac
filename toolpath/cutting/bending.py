"""How far work, bars and blades give way under the forces of a cut, what that leaves on the diameter, and what helps.

Forces are those of Kienzle's law with the margin of `bench`; of a cut deeper than the nose a quarter pushes the work
away, of a shallower one half, for the force turns radial there.
"""

from __future__ import annotations

from msgspec import Struct

from toolpath.cutting import bench
from toolpath.cutting.beams import Beam, Station, beam, even_beam, give, plate_moment
from toolpath.cutting.figures import Figure
from toolpath.cutting.formulas import cantilever_deflection, cutting_force, specific_force
from toolpath.errors import CannotMake
from toolpath.shop.bars import Bar
from toolpath.shop.materials import Material
from toolpath.shop.tools import Tool

AS_GOOD_AS_NOTHING = 1e-3
"""Diameters: a bar that stands out no farther does not bend, it is only sheared."""


class Bends(Struct, frozen=True):
    """Where the work gives way most under a tool. give: mm for each N there; words: the place and the section."""

    give: float
    words: str


def modulus(material: Material) -> float:
    """N/mm2; CannotMake when the material's table has none."""
    if not material.modulus > 0.0:
        raise CannotMake(
            f"{material.title} has no modulus, so nothing tells how far it gives way under a tool. Give its table one: "
            'modulus = { value = 105, source = "..." }, in GPa'
        )
    return material.modulus * 1000.0


def plain(material: Material, *, diameter: float, stick_out: float) -> Bends | None:
    """A plain bar hanging free; None where as good as nothing stands out."""
    if stick_out <= AS_GOOD_AS_NOTHING * diameter:
        return None
    found = even_beam(diameter, stick_out, modulus=modulus(material))
    return Bends(give(found, stick_out), f"{diameter:g} mm {material.title} standing out {stick_out:g} mm")


def radial_force(material: Material, tool: Tool, *, feed: float, depth: float) -> float:
    """N that push work and tool apart in a cut so deep (mm per side)."""
    force = bench.FORCE_MARGIN * specific_force(material.kc11, material.mc, feed=feed, entering=tool.edges[0])
    return radial_share(tool, depth) * cutting_force(force, depth=depth, feed=feed)


def radial_share(tool: Tool, depth: float) -> float:
    """Of the cutting force: more where only the nose cuts."""
    return bench.RADIAL_IN_NOSE if depth < bench.NOSE_DEPTH * tool.nose_radius else bench.RADIAL_SHARE


def depth_that_bends(material: Material, tool: Tool, *, feed: float, give: float) -> float:
    """mm per side at which what gives way `give` mm for each N does so by `bench.DEFLECTION`."""
    deep = bench.DEFLECTION / (give * radial_force(material, tool, feed=feed, depth=1000.0) / 1000.0)
    return deep if radial_share(tool, deep) == bench.RADIAL_SHARE else deep * bench.RADIAL_SHARE / bench.RADIAL_IN_NOSE


def left_thick(material: Material, tool: Tool, *, feed: float, depth: float, bends: Bends) -> Figure:
    """mm on the diameter that a cut leaves on, for the work gives way under it."""
    force = radial_force(material, tool, feed=feed, depth=depth)
    away = force * bends.give
    words = f"{force:.2g} N push {bends.words}, {away:.1g} mm away, and it comes out twice that thick there"
    return Figure(2.0 * away, words)


def what_helps(*, free: bool) -> str:
    """What to change where work gives way too much."""
    centre = "a centre in its free end, " if free else ""
    return (
        f"What helps: {centre}a second finish pass over it ([finish] passes = 2), less depth, a smaller nose, the thin "
        "end finished first with the bar left thick behind it"
    )


def bar_beam(bar: Bar) -> Beam:
    """A boring bar from its holder to its edge, thinner behind the edge where it is necked."""
    full, neck = bar.diameter / 2.0, min(bar.diameter, bar.neck) / 2.0
    shoulder = max(bar.reach - bar.neck_length, 0.0)
    stations = (Station(0.0, full), Station(shoulder, full), Station(shoulder, neck), Station(bar.reach, neck))
    return beam(stations, modulus=bench.BAR_MODULUS)


def of_bar(bar: Bar) -> Bends:
    """A boring bar at its edge."""
    words = f"a bar of {bar.diameter:g} mm standing out {bar.reach:g} mm"
    return Bends(give(bar_beam(bar), bar.reach), words)


def of_blade(tool: Tool) -> Bends:
    """A blade at its edge, under the cutting force that presses it down."""
    if tool.bar is not None:
        return of_bar(tool.bar)
    moment = plate_moment(tool.width, bench.BLADE_HEIGHT)
    sinks = cantilever_deflection(1.0, length=tool.reach, modulus=bench.BAR_MODULUS, moment=moment)
    return Bends(sinks, f"a blade {tool.width:g} mm wide standing out {tool.reach:g} mm")


def feed_that_sinks(material: Material, tool: Tool) -> Figure:
    """mm a turn at which a blade's edge is pressed down by `bench.SINKS`: it dips under centre, bites and grabs.

    Force rises with feed to the power 1 - mc, so it solves at once.
    """
    bends = of_blade(tool)
    force = bench.SINKS / bends.give
    at_one = bench.FORCE_MARGIN * material.kc11 * tool.width
    feed = (force / at_one) ** (1.0 / (1.0 - material.mc))
    return Figure(feed, f"{bends.words} is pressed down by {bench.SINKS:g} mm")
