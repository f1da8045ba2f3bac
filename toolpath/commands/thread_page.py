"""The answer of `halfsection thread` as a page of at most 80 columns; it prints what `thread_answer` found, no more."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Any

Data = dict[str, Any]
WIDTH = 80
STEEP = "the helix is steep: the true measure is a little larger"


def page(found: Data) -> Iterator[str]:
    """All lines."""
    parts = (_head, _limits, _form, _screw, _hole, _drills, _wires, _said)
    for i, part in enumerate(parts):
        lines = list(part(found))
        if lines and i:
            yield ""
        yield from lines


def _head(found: Data) -> Iterator[str]:
    hand = "left hand" if found["left_hand"] else "right hand"
    starts = f", {found['starts']} starts, lead {found['lead']['mm']:.4g} mm" if found["starts"] > 1 else ""
    yield f"{found['thread']}: {found['standard']}, {hand}, {found['flank_angle_deg']:g} degrees"
    helix = f"helix angle {found['helix_angle_deg']:.2f} degrees"
    yield f"pitch {found['pitch']['mm']:.4f} mm, {found['tpi']:.4g} tpi{starts}; {helix}"


def _limits(found: Data) -> Iterator[str]:
    sides = [(name, found[name]) for name in ("screw", "hole") if found[name]]
    if not sides:
        return
    heads = "".join(f"{name + ' ' + side['class']:^30}" for name, side in sides)
    yield f"{'limits of diameter':20}{heads}".rstrip()
    yield (f"{'':20}" + f"{'least':>13}{'greatest':>13}    " * len(sides)).rstrip()
    for part in ("major", "pitch", "minor"):
        for unit, digits in (("mm", 3), ("in", 4)):
            cells = "".join(
                f"{side[part]['least'][unit]:13.{digits}f}{side[part]['greatest'][unit]:13.{digits}f}    "
                for _, side in sides
            )
            yield f"{part if unit == 'mm' else '':14}{unit:6}{cells}".rstrip()


def _form(found: Data) -> Iterator[str]:
    form = found["form"]
    yield _row("depth of a screw's thread", form["depth"], "from nominal to root")
    for name in ("crest", "root"):
        for kind in ("flat", "radius"):
            size = form[f"{name}_{kind}"]
            if size["mm"]:
                yield _row(f"{name} {kind}", size)


def _screw(found: Data) -> Iterator[str]:
    blank = found["blank"]
    yield _row("turn to, before die or point", blank["middle"], _range(blank))
    begin = found["start"]
    yield _row("chamfer the start down to", begin["dia"], f"{begin['angle_deg']:g} degrees from the axis")
    yield from _relief("relief", found["relief"])
    ends = found["ends"]
    yield _row("without relief: run-out", ends["run_out"], f"short {ends['short_run_out']['mm']:.2f} mm")
    yield _row("  thread to shoulder", ends["shoulder"], f"short {ends['short_shoulder']['mm']:.2f} mm")


def _hole(found: Data) -> Iterator[str]:
    if found["bore"] is None:
        return
    bore = found["bore"]
    yield _row("bore to, before tap or point", bore["middle"], _range(bore))
    mouth = found["mouth"]
    yield _row("countersink the mouth to", mouth["dia"], f"{mouth['angle_deg']:g} degrees included")
    yield from _relief("relief inside", found["inside_relief"])


def _relief(name: str, found: Data) -> Iterator[str]:
    if "why" in found:
        yield from textwrap.wrap(f"{name}: {found['why']}", WIDTH)
        return
    yield _row(f"{name}: width", found["width"]["greatest"], f"not under {found['width']['least']['mm']:.2f} mm")
    yield _row("  diameter", found["dia"]["middle"], _range(found["dia"]))
    yield _row("  radius at the foot", found["radius"], found["said"])


def _drills(found: Data) -> Iterator[str]:
    drills = found["tap_drills"]
    if drills is None:
        return
    if not drills:
        yield _row("drill before the tap, about", found["usual_drill"], "none of these sets fits")
        return
    chart = drills[0]["percent_of_chart"] is not None
    yield f"{'drill before the tap':34}{'mm':>9}{'in':>9}{'% of basic':>12}{'% of chart' if chart else '':>12}".rstrip()
    for one in drills:
        share = f"{one['percent_of_chart']:12.0f}" if chart else ""
        usual = "  *" if one["usual"] else ""
        name = f"{one['set']} {one['drill']}"
        yield f"  {name:32}{one['mm']:9.3f}{one['in']:9.4f}{one['percent_of_basic']:12.0f}{share}{usual}"
    if chart:
        yield "% of basic: of 5/8 H, all that the hole can have (D - drill) / 1.0825 P;"
        yield "% of chart: of 3/4 H, as on most shop charts (D - drill) / 1.299 P; * the usual"
    else:
        yield "% of basic: of the height of the basic form; * the usual"


def _wires(found: Data) -> Iterator[str]:
    wires = found["wires"]
    if wires is None:
        return
    best = wires["wire"] == wires["best"]
    yield _row("over three wires of", wires["wire"], "the best" if best else f"best {wires['best']['mm']:.4f} mm")
    yield _row("  least", wires["over"]["least"])
    yield _row("  greatest", wires["over"]["greatest"])
    if wires["steep"]:
        yield STEEP


def _said(found: Data) -> Iterator[str]:
    for line in found["said"]:
        yield from textwrap.wrap(line, WIDTH)


def _row(label: str, size: Data, remark: str = "") -> str:
    return f"{label:29}{size['mm']:9.3f} mm{size['in']:9.4f} in  {remark}".rstrip()


def _range(span: Data) -> str:
    return f"{span['least']['mm']:.3f} to {span['greatest']['mm']:.3f} mm"
