"""ISO metric threads: `M10`, `M10 x 1`, `M10x1-6g`, `M6-6H/6g`, `M20x4(P2)` (ISO 68-1, 261, 262, 965-1)."""

from __future__ import annotations

import math
import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from toolpath.errors import BadInput
from toolpath.shop.threads import grades
from toolpath.shop.threads.forms import form_angle
from toolpath.shop.threads.thread import Limits, Standard, Thread, ThreadLimits, span
from toolpath.shop.threads.words import BY, NUMBER, number

CLASS = r"\d[A-Za-z](?:\d[A-Za-z])?"
CLASSES = rf"(?P<classes>(?:{CLASS})(?:/(?:{CLASS}))?)"
LEADS = rf"(?:(?P<pitch>{NUMBER})(?: *\( *P *(?P<of>{NUMBER}) *\))?|Ph *(?P<lead>{NUMBER}) *P *(?P<of_lead>{NUMBER}))"
PATTERN = rf"(?i:M *(?P<dia>{NUMBER})(?: *mm)?(?:{BY}{LEADS})?)(?:[ -]+{CLASSES})?"
ROOT_LEAST = 0.61603  # P below the least pitch diameter: reproduces the least root diameters of published charts
ROOT_MOST = 0.793857  # P above the greatest pitch diameter, 11/12 H: ASME B1.13M, from memory
SOURCE = "ISO 965-1, the standard's tables"


def known() -> tuple[str, ...]:
    """Every size of ISO 261 that is here, as it is designated."""
    return tuple(_named(dia, pitch) for dia in diameters() for pitch in pitches(dia))


def diameters() -> list[str]:
    """The diameters that have a thread, as written, smallest first."""
    return sorted({*_table()["coarse"], *_table()["fine"]}, key=float)


def pitches(dia: str) -> list[float]:
    """Pitches of a diameter, the coarse one first."""
    coarse = _table()["coarse"].get(dia)
    return ([] if coarse is None else [float(coarse)]) + [float(p) for p in _table()["fine"].get(dia, ())]


def read(match: re.Match[str]) -> Thread:
    """The thread that is meant; BadInput with the nearest one where there is none."""
    dia = f"{number(match['dia']):g}"
    pitch, starts = lead_of(match)
    if dia not in diameters():
        near = min(diameters(), key=lambda d: abs(float(d) - float(dia)))
        right = f"The nearest is {_named(near, pitches(near)[0])}; any other: '{dia} x {pitch or 1:g} 60deg'"
        raise BadInput(f"M{dia} is no size of ISO 261", right=right)
    pitch = pitch or float(_table()["coarse"].get(dia, 0.0))
    if pitch not in pitches(dia):
        said = f"M{dia} has no pitch of {pitch:g} mm" if pitch else f"M{dia} has no coarse pitch"
        right = f"It has {', '.join(f'{p:g}' for p in pitches(dia))}; any other: '{dia} x {pitch or 1:g} 60deg'"
        raise BadInput(said, right=right)
    screw, hole = classes(match["classes"], screw="6g", hole="6H")
    named = f"M{dia}x{pitch * starts:g}(P{pitch:g})" if starts > 1 else _named(dia, pitch)
    return Thread(
        designation=named,
        standard="ISO metric",
        series="coarse" if pitch == _table()["coarse"].get(dia) else "fine",
        form="iso",
        diameter=float(dia),
        pitch=pitch,
        starts=starts,
        angle=form_angle("iso"),
        screw_class=screw,
        hole_class=hole,
    )


def lead_of(match: re.Match[str]) -> tuple[float, int]:
    """(pitch or 0, starts) of `x4(P2)` or `xPh4P2`; BadInput unless the lead is whole pitches."""
    lead = match["lead"] or match["pitch"]
    of = match["of_lead"] or match["of"]
    if not lead:
        return 0.0, 1
    pitch = number(of or lead)
    starts = number(lead) / pitch if pitch else 0.0
    if starts < 1 or abs(starts - round(starts)) > 1e-6:
        raise BadInput(f"a lead of {lead} is no whole number of pitches of {pitch:g}", right="Write M20x4(P2)")
    return pitch, round(starts)


def classes(text: str | None, *, screw: str, hole: str) -> tuple[str, str]:
    """(screw, hole) classes: small letters are screws, capitals holes; those not said are the usual ones."""
    for word in (text or "").split("/") if text else []:
        letters = re.sub(r"\d", "", word)
        if letters.islower() and set(letters) <= set(grades.POSITIONS["screw"]):
            screw = word
        elif letters.isupper() and set(letters) <= set(grades.POSITIONS["hole"]):
            hole = word
        else:
            raise BadInput(f"'{word}' is no class of a thread", right="Screws are e f g h (6g), holes G H (6H)")
    for name in (screw, hole):
        places(name)
    return screw, hole


def places(name: str) -> tuple[tuple[int, str], tuple[int, str]]:
    """((grade, letter) of the pitch diameter, the same of the crest): `5g6g`; one pair holds for both."""
    parts = [(int(g), letter) for g, letter in re.findall(r"(\d)([A-Za-z])", name)]
    return parts[0], parts[-1]


def limits(thread: Thread) -> ThreadLimits:
    """Limits of size; a hole of grade 6 has none where the standard's tables have none (P below 0.3)."""
    screw = screw_limits(thread, table=True)
    hole = hole_limits(thread, table=True)
    said = [f"limits {thread.screw_class} and {thread.hole_class}: {SOURCE}"]
    if hole is None:
        said.append(f"the standard gives no {thread.hole_class} for a pitch of {thread.pitch:g} mm")
    if thread.starts > 1:
        said.append("limits are those of one start of this pitch")
    return ThreadLimits(screw, hole, tuple(said))


def screw_limits(thread: Thread, *, table: bool) -> Limits | None:
    """Screw by its class, from the tables or (table false) by formula; None where a table has no such thread."""
    (grade2, letter), (grade, crest) = places(thread.screw_class)
    t2, t = _both(thread, (("Td2", grade2), ("Td", grade)), table=table)
    if t2 is None or t is None:
        return None
    d2, d1 = basic(thread)
    es2, es = grades.deviation(letter, thread.pitch), grades.deviation(crest, thread.pitch)
    pitch = span(d2 - es2 - t2, d2 - es2)
    major = span(thread.diameter - es - t, thread.diameter - es)
    return Limits(major, pitch, span(pitch.least - ROOT_LEAST * height(thread) * thread.pitch, d1 - es2))


def hole_limits(thread: Thread, *, table: bool) -> Limits | None:
    """Hole by its class, in the same way."""
    (grade2, letter), (grade, crest) = places(thread.hole_class)
    t2, t = _both(thread, (("TD2", grade2), ("TD1", grade)), table=table)
    if t2 is None or t is None:
        return None
    d2, d1 = basic(thread)
    ei2, ei = grades.deviation(letter, thread.pitch), grades.deviation(crest, thread.pitch)
    pitch = span(d2 + ei2, d2 + ei2 + t2)
    major = span(thread.diameter + ei2, pitch.greatest + ROOT_MOST * height(thread) * thread.pitch)
    return Limits(major, pitch, span(d1 + ei, d1 + ei + t))


def basic(thread: Thread) -> tuple[float, float]:
    """Basic pitch and minor diameters, rounded to a micrometre as ISO 724 has them."""
    from toolpath.shop.threads.forms import profile

    form = profile(thread)
    return math.floor(form.pitch_dia * 1000 + 0.5) / 1000, math.floor(form.minor * 1000 + 0.5) / 1000


def height(thread: Thread) -> float:
    """Height of the sharp V, that of 60 degrees being 1."""
    return math.tan(math.pi / 6.0) / math.tan(thread.angle / 2.0)


def _both(
    thread: Thread, wanted: tuple[tuple[str, int], tuple[str, int]], *, table: bool
) -> tuple[float | None, float | None]:
    dia, pitch = thread.diameter, thread.pitch
    if table:
        first, second = (grades.tolerance(what, grade, dia=dia, pitch=pitch) for what, grade in wanted)
        return first, second
    share = min(height(thread), 1.0)  # a flatter thread than the formulas are meant for takes no more of its depth
    a, b = (share * grades.by_formula(what, grade, dia=dia, pitch=pitch) for what, grade in wanted)
    return a, b


def _named(dia: str, pitch: float) -> str:
    return f"M{dia}" if pitch == _table()["coarse"].get(dia) else f"M{dia}x{pitch:g}"


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name("metric.toml").read_text(encoding="utf-8"))


METRIC = Standard(PATTERN, read, limits, known)
