"""The helical groove that all passes of a thread leave together, measured in a section through the axis.

At one angle of the work every pass has its point at z = start + k x lead, so the section repeats with the lead, and the
groove is all that the outlines of the points cover there. Measured are: pitch diameter (the simple one, where grooves
and ridges are equally wide: ISO 5408, ASME B1.7), flanks, root, what is left of the crest, starts, full length.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from msgspec import Struct

from toolpath.proof.findings import Finding, finding
from toolpath.proof.flatten import Array, Geometry
from toolpath.proof.setting import Setting
from toolpath.proof.thread_passes import Pass
from toolpath.proof.thread_zones import ThreadZone

SPACING = 0.005  # mm that grooves of several starts may lie off their even places; common practice, no source
FLANK = math.radians(0.5)  # that a flank may be off, common practice; thread points are ground to a quarter degree
UNDER_CREST = 0.002  # mm under a crest that the insert cuts at which it is measured: more than the digits of a program
HALVINGS = 40  # of the thread's height, down to less than rounding


class CutThread(Struct, frozen=True):
    """A thread as its passes left it: z where it is of full form, radii of crest and root, pitch diameter and what is
    left of the crest along z, mm, in the middle of its length."""

    inside: bool
    hand: str
    starts: int
    lead_mm: float
    z: tuple[float, float]
    crest_mm: float
    root_mm: float
    pitch_dia_mm: float
    flat_mm: float


class _Section(Struct, frozen=True):
    """The groove over one lead at one z. out: +1.0 outside, -1.0 inside; radii are those there."""

    groove: Geometry
    lead: float
    out: float
    crest: float
    tip: float

    def pieces(self, radius: float) -> Array:
        """(k, 2): where grooves begin and end along one lead at a radius."""
        line = shapely.LineString([(-self.lead, radius), (2.0 * self.lead, radius)])
        cut = shapely.get_parts(shapely.intersection(line, self.groove))
        cut = cut[shapely.length(cut) > 0.0]
        ends = shapely.bounds(cut)[:, [0, 2]] if len(cut) else np.empty((0, 2))
        middle = ends.mean(axis=1)
        return np.asarray(ends[(middle >= 0.0) & (middle < self.lead)])

    def width(self, radius: float) -> float:
        """mm along z that all grooves take of one lead."""
        line = shapely.LineString([(0.0, radius), (self.lead, radius)])
        return float(shapely.length(shapely.intersection(line, self.groove)))

    def pitch_radius(self) -> float:
        """Radius at which grooves take half of the lead; that of the crest where they nowhere do."""
        low, high = self.tip, self.crest
        for _ in range(HALVINGS):
            middle = (low + high) / 2.0
            low, high = (middle, high) if self.width(middle) < self.lead / 2.0 else (low, middle)
        return high


def judge(passes: Sequence[Pass], setting: Setting) -> tuple[tuple[CutThread, ...], list[Finding]]:
    """The threads that were cut, and what is wrong with them."""
    cut: list[CutThread] = []
    found: list[Finding] = []
    for i, zone in enumerate(setting.threads):
        own = [p for p in passes if p.zone == i]
        if not own:
            low, high = zone.z
            text = f"the part has a thread between z {low:.3f} and {high:.3f} that no pass cuts; cut it"
            found.append(finding("thread-missing", text, at=(high, zone.crest)))
            continue
        found += _same_speed(own)
        middle = _section(own, zone, (zone.z[0] + zone.z[1]) / 2.0)
        if middle is None:
            found.append(_short(own, zone.z[0]))
            continue
        thread, wrong = _measured(middle, own, zone, setting)
        cut.append(thread)
        found += wrong or _full_length(middle, own, zone, setting)
    return tuple(cut), found


def _same_speed(own: list[Pass]) -> Iterator[Finding]:
    spindles = [p.moves[0].state.spindle for p in own]
    for one, spindle in zip(own, spindles, strict=True):
        if spindle != spindles[0]:
            text = "the spindle's speed changes between passes of a thread, so they do not fall together; keep it"
            yield finding("thread-speed", text, line=one.moves[0].line, tool=one.tool.number, at=one.moves[0].start)
            return


def _section(own: Sequence[Pass], zone: ThreadZone, z: float) -> _Section | None:
    """The groove at z; None where no pass gets to."""
    out = -1.0 if zone.inside else 1.0
    seen: set[tuple[int, float, float]] = set()
    tips: list[float] = []
    covered: list[Geometry] = []
    for one in own:
        for move in one.moves:
            (za, xa), (zb, xb) = move.start, move.end
            if not min(za, zb) - 1e-9 <= z <= max(za, zb) + 1e-9:
                continue
            x = xa + (xb - xa) * (z - za) / (zb - za)
            turned = (move.angle if one.towards_chuck else -move.angle) / (2.0 * math.pi)
            place = (one.moves[0].start[0] + turned * zone.lead) % zone.lead
            if (key := (one.tool.number, round(place, 7), round(x, 7))) in seen:
                continue
            seen.add(key)
            tips.append(x)
            along = [np.array([place + k * zone.lead, x]) for k in (-2, -1, 0, 1, 2)]
            covered += [shapely.polygons(edge.inner.points + at) for edge in one.tool.edges for at in along]
    if not covered:
        return None
    tip = min(tips) if out > 0.0 else max(tips)
    crest = zone.flats_at(z) - (out * UNDER_CREST if zone.cut_crest is not None else 0.0)
    return _Section(shapely.union_all(covered), zone.lead, out, crest, tip)


def _measured(s: _Section, own: list[Pass], zone: ThreadZone, setting: Setting) -> tuple[CutThread, list[Finding]]:
    """What the groove is in the middle of the thread, and what is wrong with it there."""
    z = (zone.z[0] + zone.z[1]) / 2.0
    last = own[-1]
    move = last.moves[0]
    here = zone.crest_at(z) - zone.crest  # how much a taper shifts all radii
    pitch = s.pitch_radius()
    flat = (zone.lead - s.width(s.crest)) / zone.starts
    thread = CutThread(
        zone.inside, last.hand, len(s.pieces(pitch)), move.lead, zone.z, zone.flats_at(zone.z[1]), s.tip - here,
        2.0 * (pitch - here), flat,
    )  # fmt: skip
    wrong = [
        finding(code, text, line=move.line, tool=last.tool.number, at=(z, pitch), size=size)
        for code, text, size in _faults(s, thread, zone, setting, pitch=pitch)
    ]
    return thread, wrong


def _faults(
    s: _Section, thread: CutThread, zone: ThreadZone, setting: Setting, *, pitch: float
) -> Iterator[tuple[str, str, float]]:
    """(code, text, size) of all that is wrong in one section."""
    slack = setting.contact_tolerance
    least, greatest = zone.pitch_dia
    dia = thread.pitch_dia_mm
    if zone.pitch_dia == (0.0, 0.0):
        short = s.out * (thread.root_mm - zone.root)
        if short > slack:
            yield "thread-depth", f"the thread is {short:.3f} mm less deep than it should be; cut it deeper", short
    elif not least - 2.0 * slack <= dia <= greatest + 2.0 * slack:
        off = dia - greatest if dia > greatest else least - dia
        deeper = (dia > greatest) is (s.out > 0.0)
        text = (
            f"the pitch diameter comes to {dia:.3f} mm, outside {least:.3f} to {greatest:.3f}; "
            f"cut {off / 2.0:.3f} mm {'deeper' if deeper else 'less deep'}"
        )
        yield "pitch-diameter", text, off
    if thread.flat_mm <= max(zone.least_flat - slack, 0.0):
        text = (
            f"{max(thread.flat_mm, 0.0):.3f} mm is left of the crest, {zone.least_flat:.3f} are needed: passes do not "
            "fall together, or the point is too wide; start them at one place, or take a narrower point"
        )
        yield "thread-crest", text, zone.least_flat - thread.flat_mm
    yield from _stock(s, zone)
    yield from _starts(s.pieces(pitch), zone)
    if zone.half_angle and s.out * (s.crest - pitch) > slack:
        up = pitch + 0.8 * (s.crest - pitch)
        half = math.atan2(s.width(up) - s.width(pitch), 2.0 * zone.starts * abs(up - pitch))
        if abs(half - zone.half_angle) > FLANK:
            text = (
                f"the flanks enclose {math.degrees(2.0 * half):.1f} degrees, the thread's "
                f"{math.degrees(2.0 * zone.half_angle):.1f}; take a point of that angle, and let it come down its flank"
            )
            yield "thread-flank", text, 0.0


def _stock(s: _Section, zone: ThreadZone) -> Iterator[tuple[str, str, float]]:
    """What is left over the crests where the insert is to cut them."""
    if zone.cut_crest is None:
        return
    left = (zone.lead - s.width(s.crest + s.out * 2.0 * UNDER_CREST)) / zone.starts
    if left > UNDER_CREST:
        high = abs(zone.crest - zone.cut_crest)
        text = (
            f"{left:.3f} mm along z of every crest keep the {high:.3f} mm that were left on for the insert; let its "
            "last pass go to full depth, or take a full-form insert of this pitch"
        )
        yield "thread-crest", text, high


def _starts(pieces: Array, zone: ThreadZone) -> Iterator[tuple[str, str, float]]:
    """Number of grooves, and whether they lie evenly."""
    if len(pieces) != zone.starts:
        text = f"{len(pieces)} grooves lie side by side, the thread has {zone.starts}; correct where the passes start"
        yield "thread-starts", text, 0.0
        return
    middle = np.sort(pieces.mean(axis=1))
    gaps = np.diff(np.append(middle, middle[0] + zone.lead))
    off = float(np.abs(gaps - zone.spacing).max())
    if off > SPACING:
        text = f"the starts lie {off:.3f} mm off their even places; shift each by {zone.spacing:g} mm along z"
        yield "thread-starts", text, off


def _full_length(middle: _Section, own: list[Pass], zone: ThreadZone, setting: Setting) -> Iterator[Finding]:
    """An end of the zone where the groove is narrower than in the middle, or off a taper's cone."""
    wide = middle.width(middle.crest)
    for z in zone.z:
        end = _section(own, zone, z)
        if end is None or end.width(end.crest) < wide - 4.0 * setting.contact_tolerance * zone.starts:
            yield _short(own, z)
        elif zone.taper:
            yield from _along(end, own, zone, setting, z=z)


def _along(end: _Section, own: list[Pass], zone: ThreadZone, setting: Setting, *, z: float) -> Iterator[Finding]:
    """A pitch diameter that leaves its limits at an end of a taper: the passes do not follow its cone."""
    pitch, slack = end.pitch_radius(), 2.0 * setting.contact_tolerance
    aside = 2.0 * (zone.crest_at(z) - zone.crest)
    least, greatest = (d + aside for d in zone.pitch_dia)
    if zone.pitch_dia == (0.0, 0.0) or least - slack <= 2.0 * pitch <= greatest + slack:
        return
    text = (
        f"the pitch diameter comes to {2.0 * pitch:.3f} mm at z {z:.3f}, where the taper's limits are {least:.3f} to "
        f"{greatest:.3f}; let the passes follow the cone"
    )
    off = max(least - 2.0 * pitch, 2.0 * pitch - greatest)
    line, tool = own[-1].moves[0].line, own[-1].tool.number
    yield finding("pitch-diameter", text, line=line, tool=tool, at=(z, pitch), size=off)


def _short(own: list[Pass], z: float) -> Finding:
    one = own[-1]
    text = f"the thread is not cut to full form at z {z:.3f}; let every pass start before it and run past it"
    return finding("thread-short", text, line=one.moves[0].line, tool=one.tool.number, at=(z, one.moves[-1].end[1]))
