"""What a part holds, as `check` prints it: each component step by step, its hole, its play, how far it stands out.

And the lengths that are cut to fit.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from toolpath.commands.inputs import Inputs
from toolpath.commands.stations import WIDTH, figure, long
from toolpath.part.afterwards import outside_change
from toolpath.part.fits import band
from toolpath.part.insertion import Insertion, Play


def components(inputs: Inputs) -> Iterator[str]:
    """Step, its limits, the hole's, the play, what makes it; then where it comes to rest."""
    for held in inputs.held:
        yield ""
        yield f"Holds '{held.component.name}', {inputs.job.unit}"
        yield f"{'step':>5} {'from':>9} {'to':>9} {'hole':>9} {'to':>9} {'play':>9} {'to':>9}  made with"
        for play in held.plays:
            yield _line(inputs, held, play)
        yield from _wrapped(f"  {_lies(inputs, held)}")
        for play in held.plays:
            wants = band(play.span.fit, play.span.dia)
            least, most = long(inputs, wants.least), long(inputs, wants.most)
            step = play.span.last + 1
            yield from _wrapped(f"  Step {step}: {play.span.fit} fit, play {least} to {most} ({wants.source})")
    yield from _allowed_for(inputs)


def trims(inputs: Inputs) -> Iterator[str]:
    """The lengths that are cut to fit, and how what was found comes off. Nothing where there are none."""
    if inputs.job.trims:
        yield ""
        yield "Cut to fit"
    for trim in inputs.job.trims:
        size, drawn = trim.size, long(inputs, trim.drawn)
        if trim.spare:
            longer = f"{long(inputs, trim.cut)}, {long(inputs, trim.spare)} longer than drawn ({drawn})"
            yield from _wrapped(f'{size} is cut to {longer}; after the trial: --set {size}="what it must be"')
        else:
            yield from _wrapped(f"{size} is cut to {drawn}, as --set says")


def _line(inputs: Inputs, held: Insertion, play: Play) -> str:
    columns = [v for limits in (play.body, play.hole, play.play) for v in (limits.smallest, limits.largest)]
    figures = " ".join(f"{figure(inputs, value):>9}" for value in columns)
    name = held.component.name
    tool = next((f.made.tool for f in inputs.picked if (f.of, f.span) == (name, play.span)), play.surface.made)
    return f"{play.span.last + 1:>5} {figures}  {tool}"


def _lies(inputs: Inputs, inserted: Insertion) -> str:
    """Where it comes to rest, and how far it stands out."""
    # To a hundredth: what was measured with a calliper is known no better.
    component, out = inserted.component, round(inserted.sticks_out, 2)
    face = "back" if component.from_back else "front"
    held = component.spans[0].fit == "press" or (component.through and len(component.spans) == 1)
    stands = f"it sticks out {long(inputs, out)}" if out >= 0.0 else f"its outer end lies {long(inputs, -out)} below it"
    rests = "is held" if held else "comes to rest"
    return f"Its body {rests} {long(inputs, round(component.body - out, 2))} from the {face} face; {stands}"


def _allowed_for(inputs: Inputs) -> Iterator[str]:
    """What the holes were reckoned with besides the tool."""
    if not inputs.held and not inputs.job.afterwards:
        return
    least, most = inputs.material.closes_in
    if most:
        source = inputs.material.sources["closes_in"]
        yield from _wrapped(
            f"  {inputs.material.title} closes in by {1e2 * least:g} to {1e2 * most:g} % of a hole ({source})"
        )
    for a in inputs.job.afterwards:
        on = "inside and outside" if a.on == "both" else a.on
        yield from _wrapped(f"  {a.kind}: {long(inputs, a.grows)} a side, within {long(inputs, a.within)}, {on}")
    if change := outside_change(inputs.job.afterwards):
        yield from _wrapped(
            f"  The rows are what is turned: outside diameters come to {long(inputs, abs(2.0 * change))} "
            f"{'more' if change > 0.0 else 'less'} when all is done"
        )


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False)
