"""A thread with a single point: passes in step with the spindle, each a little deeper, back in the air.

Depths go by constant area: what a pass takes off is a V grown from h1 to h2, so its area grows with the square of the
depth and h_i = h sqrt(i / n). Starts of a thread are shifted along z by a pitch, which every control can do.
"""

from __future__ import annotations

import math
from enum import StrEnum

from msgspec import Struct

from toolpath.geometry.elements import Point
from toolpath.passes.legs import Legs, end_of, rapid, threading


class Infeed(StrEnum):
    """How the point comes down: both flanks, one flank, or the flanks by turns."""

    RADIAL = "radial"
    FLANK = "flank"
    ALTERNATING = "alternating"


class Threading(Struct, frozen=True):
    """Lengths in mm, angles in rad. Outside the metal lies below `crest`, inside above it.

    crest:      radius at z = `begins`, where the full thread begins; taper: change of it per mm towards +z
    depth:      from the crest to where the point's end comes; half_angle: of the thread
    lead:       mm along z in one turn; starts: how many threads run side by side
    begins, ends: between these z the thread is full; ends < begins when the tool runs towards the chuck
    run_in:     before `begins`, along z; a pass that lies ahead by turns starts nearer, by its shift
    run_out:    after `ends`, along z: in an undercut, or on a ramp when `ramped`
    clear:      radius at which the tool travels back
    most, least: depth of a pass
    springs:    passes at full depth after the last
    infeed:     with `relief` (rad): how much steeper than its flank the tool comes down one side, so that it clears
    begun:      depth that stands already: a second helping for a tight thread cuts on from there
    """

    crest: float
    depth: float
    half_angle: float
    lead: float
    begins: float
    ends: float
    run_in: float
    run_out: float
    clear: float
    most: float
    least: float
    inside: bool = False
    starts: int = 1
    taper: float = 0.0
    ramped: bool = False
    springs: int = 0
    infeed: Infeed = Infeed.RADIAL
    relief: float = 0.0
    begun: float = 0.0

    @property
    def way(self) -> float:
        """+1.0 or -1.0: the sense of z in which the tool cuts."""
        return math.copysign(1.0, self.ends - self.begins)

    def at(self, z: float, depth: float) -> Point:
        """Where the point's end stands over z at a depth."""
        crest = self.crest + self.taper * (z - self.begins)
        return (z, crest + depth if self.inside else crest - depth)


def thread(job: Threading, start: Point) -> tuple[Legs, int]:
    """Legs from `start` (clear of the work; in front of it for an inside thread) and back out, and the passes of each
    start. Outside they end over the run-in, inside where `start` stands along z.

    ValueError when lengths or depths are out of order.
    """
    _check(job)
    legs: Legs = ()
    here = start
    plan = infeeds(job)
    for depth, aside in plan:
        for k in range(job.starts):
            z = job.begins - job.way * (job.run_in + k * job.lead / job.starts) + aside
            legs += _to(job, here, z)
            legs += _pass(job, z, depth)
            here = end_of(legs)
    if job.inside:
        legs += rapid(here, (start[0], here[1]))
    else:
        legs += rapid(here, (job.begins - job.way * job.run_in, here[1]))
    return legs, len(plan)


def _check(job: Threading) -> None:
    beyond = job.clear < job.crest if job.inside else job.clear > job.crest
    if job.begins == job.ends or not beyond or not 0.0 <= job.begun < job.depth or job.lead <= 0.0 or job.starts < 1:
        raise ValueError(f"a thread from z {job.begins:g} to {job.ends:g}, crest {job.crest:g}, depth {job.depth:g}")
    if job.run_in <= 0.0 or job.run_out <= 0.0 or not 0.0 <= job.relief < job.half_angle:
        raise ValueError(f"a thread with {job.run_in:g} mm to come up to speed and {job.run_out:g} mm to stop")


def _to(job: Threading, here: Point, z: float) -> Legs:
    """In the air to over the start of a pass: outside along z first, inside first to the radius of travel."""
    if job.inside:
        return (*rapid(here, (here[0], job.clear)), *rapid((here[0], job.clear), (z, job.clear)))
    return (*rapid(here, (z, here[1])), *rapid((z, here[1]), (z, job.clear)))


def _pass(job: Threading, z: float, depth: float) -> Legs:
    """Down, along in step with the spindle, out, all from the radius of travel and back to it."""
    begin, end = job.at(z, depth), job.at(job.ends if job.ramped else job.ends + job.way * job.run_out, depth)
    legs = (*rapid((z, job.clear), begin), *threading(begin, end, lead=job.lead))
    if job.ramped:
        out = (job.ends + job.way * job.run_out, job.clear)
        return (*legs, *threading(end, out, lead=job.lead))
    return (*legs, *rapid(end, (end[0], job.clear)))


def infeeds(job: Threading) -> list[tuple[float, float]]:
    """(depth, shift along z) of every pass. The shift falls to nothing at full depth, where both flanks are met; until
    then the point lies back from the way it goes, so that its leading flank cuts, or by turns back and ahead."""
    cuts = depths(job.depth, most=job.most, least=job.least, begun=job.begun)
    slope = 0.0 if job.infeed is Infeed.RADIAL else math.tan(job.half_angle - job.relief)
    out = []
    for k, depth in enumerate(cuts):
        side = -1.0 if job.infeed is Infeed.ALTERNATING and k % 2 else 1.0
        out.append((depth, -job.way * side * (job.depth - depth) * slope))
    return [*out, *((job.depth, 0.0) for _ in range(job.springs))]


def depths(whole: float, *, most: float, least: float, begun: float = 0.0) -> list[float]:
    """Depth after each pass, the last one `whole`: constant area, the first pass no deeper than `most`, none finer than
    `least` but where the whole is.

    ValueError unless 0 < 2 least <= most: else no last pass fits between them.
    """
    if not (0.0 < 2.0 * least <= most + 1e-9 and 0.0 <= begun < whole):
        raise ValueError(f"passes between {least:g} and {most:g} mm from {begun:g} to {whole:g} mm")
    area, first = whole**2 - begun**2, (begun + most) ** 2 - begun**2
    n = max(1, math.ceil(area / first - 1e-9))
    out = [begun]
    for i in range(1, n + 1):
        depth = max(math.sqrt(begun**2 + area * i / n), out[-1] + least)
        if whole - depth < least:  # nothing too fine may be left for the last
            depth = whole if whole - out[-1] <= most else whole - least
        out.append(min(depth, whole))
        if out[-1] >= whole:
            break
    out[-1] = whole
    return out[1:]
