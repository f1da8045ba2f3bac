"""The threads of a part as `check` prints them: what to turn, bore and measure, and what cuts each."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from toolpath.commands.inputs import Inputs
from toolpath.commands.stations import WIDTH, figure, long
from toolpath.geometry.elements import Chain
from toolpath.part.halfsection import Surface
from toolpath.part.mates import closing
from toolpath.part.threads import ThreadOn
from toolpath.quantity import Size
from toolpath.shop.threads import Thread, limits
from toolpath.shop.threads.preparing import blank, bore
from toolpath.shop.threads.tap_drills import engagement
from toolpath.shop.threads.wires import best_wire, over_wires, steep

INDENT = 6


def threads(inputs: Inputs) -> Iterator[str]:
    """Thread by thread, outside first; nothing for a part without."""
    found = inputs.part.threads
    if not found:
        return
    yield ""
    yield f"Threads, {inputs.job.unit}"
    for on in found:
        surface = _side(inputs, on)[1][on.element]
        yield from _wrapped(_head(inputs, on, surface), 2)
        for line in (
            _blank(inputs, on, surface),
            *_drill(inputs, on),
            _start(inputs, on),
            _relief(inputs, on),
            *_wires(inputs, on),
            *_mate(inputs, on),
        ):
            yield from _wrapped(line, INDENT)


def _side(inputs: Inputs, on: ThreadOn) -> tuple[Chain, tuple[Surface, ...]]:
    """The chain that the thread is on, and its surfaces."""
    part = inputs.part
    sides = {
        "outside": (part.outside, part.surfaces),
        "inside": (part.inside, part.inside_surfaces),
        "inside_back": (part.inside_back, part.inside_back_surfaces),
    }
    return sides[on.chain]


def designated(thread: Thread, *, inside: bool) -> str:
    """The thread in full with the class of the partner that it is here."""
    own = thread.hole_class if inside else thread.screw_class
    between = "-" if own and own[0].isdigit() else " "
    return f"{thread.designation}{between + own if own else ''}{' LH' if thread.left else ''}"


def _head(inputs: Inputs, on: ThreadOn, surface: Surface) -> str:
    """What it is, where, and what cuts it."""
    where = {"outside": "outside", "inside": "inside", "inside_back": "inside, from the back"}[on.chain]
    full = f"{figure(inputs, -on.front)} to {figure(inputs, -on.back)}"
    return (
        f"{designated(on.threaded.thread, inside=on.inside)}, {where} ({surface.place('part')}), from {full}, "
        f"cut by {on.threaded.cut_by}"
    )


def _blank(inputs: Inputs, on: ThreadOn, surface: Surface) -> str:
    size = surface.dia or Size(2.0 * on.crest, 2.0 * on.crest, 2.0 * on.crest, "")
    verb = "drill" if on.threaded.cut_by == "tap" else "bore" if on.inside else "turn"
    if on.taper:
        ends = (figure(inputs, 2.0 * (on.crest + on.shift(z))) for z in (on.front, on.back))
        return f"{verb} to a cone, dia {' to '.join(ends)}, 1 in {1.0 / on.threaded.thread.taper:g} on diameter"
    lower, upper = figure(inputs, size.lower), figure(inputs, size.upper)
    plain = f"{verb} to {figure(inputs, size.value)}, {lower} to {upper}"
    if not on.threaded.full_form:
        return plain
    crest = bore(on.threaded.thread) if on.inside else blank(on.threaded.thread)
    least, greatest = figure(inputs, crest.least), figure(inputs, crest.greatest)
    return f"{plain}: stock for the insert, which cuts the crests to {least} to {greatest}"


def _drill(inputs: Inputs, on: ThreadOn) -> Iterator[str]:
    """How much of the thread the tap drill leaves, each figure with its scale."""
    if on.threaded.cut_by != "tap":
        return
    basic, chart = engagement(on.threaded.thread, 2.0 * on.crest)
    owned = sorted(
        {f"{d.name} ({d.set})" for s in inputs.drawer.sets for d in s.drills if abs(d.dia - 2.0 * on.crest) < 5e-4}
    )
    name = f"tap drill {owned[0]}" if owned else f"tap drill {long(inputs, 2.0 * on.crest)}, none in the rack"
    scales = "" if chart is None else f" (5/8 H), {chart:.0f} % on the scale of the charts (3/4 H)"
    yield f"{name}: {basic:.0f} % of the basic height{scales}"


def _start(inputs: Inputs, on: ThreadOn) -> str:
    chain, surfaces = _side(inputs, on)
    for k in (on.element - 1, on.element + 1):
        if 0 <= k < len(surfaces) and surfaces[k].name.startswith("chamfer"):
            far = max((chain[k].a[1], chain[k].b[1]), key=lambda x: abs(x - on.crest))
            return f"start: {surfaces[k].name}, from dia {figure(inputs, 2.0 * far)}"
    return "start: without a chamfer"


def _relief(inputs: Inputs, on: ThreadOn) -> str:
    if on.relief is None:
        return "no relief" + ("; the point leaves on a ramp" if on.threaded.in_step else "")
    high, low = on.relief
    groove = [e for e in _side(inputs, on)[0] if low < (e.a[0] + e.b[0]) / 2.0 < high]
    xs = [x for e in groove for x in (e.a[1], e.b[1])]
    foot = max(xs) if on.inside else min(xs)
    return (
        f"relief {figure(inputs, high - low)} wide, dia {figure(inputs, 2.0 * foot)}, between "
        f"{figure(inputs, -high)} and {figure(inputs, -low)}"
    )


def _wires(inputs: Inputs, on: ThreadOn) -> Iterator[str]:
    """What a micrometer reads over three wires, at the limits of the pitch diameter; outside threads alone."""
    thread = on.threaded.thread
    found = limits(thread).screw
    if on.inside or found is None or thread.taper:
        return
    least, greatest = (figure(inputs, over_wires(thread, d)) for d in (found.pitch.least, found.pitch.greatest))
    wire = f"over wires of {figure(inputs, best_wire(thread))}, the best: {least} to {greatest}"
    yield wire + ("; true figures are larger, the helix is steep" if steep(thread) else "")


def _mate(inputs: Inputs, on: ThreadOn) -> Iterator[str]:
    """How it closes up with its mate, where the job says what that is."""
    joint = closing(inputs.part, on)
    if joint is None:
        return
    male, female = ("the mate", "the hole") if on.inside else ("the screw", "the mate")
    long = f"{male} is {figure(inputs, joint.male)} long from its shoulder"
    if joint.female is None or joint.spare is None:
        yield f"mate: {long}, {female} is open at its end: the faces meet"
        return
    turns = joint.spare / on.threaded.thread.pitch
    yield (
        f"mate: {long}, {female} is full to {figure(inputs, joint.female)}: the faces meet, "
        f"{figure(inputs, joint.spare)} or {turns:.1f} turns before the screw's end would jam"
    )
    if joint.bare:
        bare, mouth = figure(inputs, joint.bare), figure(inputs, joint.mouth)
        yield f"mate: the last {bare} before the shoulder are not full, its mouth is open over {mouth}"


def _wrapped(text: str, indent: int) -> list[str]:
    first = " " * indent
    return textwrap.wrap(
        first + text, WIDTH, subsequent_indent=first + "  ", drop_whitespace=True, break_on_hyphens=False
    )
