"""The answer of `halfsection speed` as a page of at most 80 columns: figures first, then why, then the material."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from typing import Any

Data = dict[str, Any]
WIDTH = 80
LABEL = 13
WORDS = {
    "edge": "edge",
    "coolant": "coolant",
    "heat": "heat",
    "chips": "chips",
    "spring_back": "spring-back",
    "die": "with a die",
}
FIGURES = {
    "kc11_n_mm2": ("force", "N/mm2 at a 1 mm chip"),
    "mc": ("its exponent", ""),
    "density_g_cm3": ("density", "g/cm3"),
    "modulus_gpa": ("modulus", "GPa"),
    "greatest_feed_mm": ("feed up to", "mm a turn"),
    "least_feed_mm": ("feed from", "mm a turn"),
    "greatest_depth_mm": ("depth up to", "mm a side"),
    "least_wall_mm": ("least wall", "mm"),
}


def page(found: Data) -> Iterator[str]:
    """All lines."""
    yield from _wrapped("", f"{found['title']}, diameter {found['dia']['mm']:g} mm, {_tools(found)}", indent=0)
    for line in found["taken"]:
        yield from _wrapped("taken", line)
    yield ""
    yield from _table(found["operations"])
    for row in found["operations"]:
        yield ""
        yield from _why(row)
    yield ""
    yield from _figures(found["figures"])
    yield ""
    yield from _advice(found)


def _table(rows: list[Data]) -> Iterator[str]:
    yield f"{'':10}{'m/min':>8}{'ft/min':>8}{'rpm':>8}{'feed mm':>10}{'in':>9}{'depth mm':>11}{'in':>9}"
    for row in rows:
        if "refused" in row:
            yield f"{row['operation']:10}{'refused':>8}"
            continue
        speed = f"{row['surface']['m_min']:8.1f}{row['surface']['ft_min']:8.0f}{row['spindle']['rpm']:8.0f}"
        feed = _cells(row["feed"], (10, 9), digits=(3, 4), empty="pitch")
        yield f"{row['operation']:10}{speed}{feed}{_cells(row['depth'], (11, 9), digits=(2, 3), empty='')}".rstrip()


def _cells(size: Data | None, widths: tuple[int, int], *, digits: tuple[int, int], empty: str) -> str:
    if size is None:
        return f"{empty:>{widths[0]}}{'':{widths[1]}}"
    return f"{size['mm']:{widths[0]}.{digits[0]}f}{size['in']:{widths[1]}.{digits[1]}f}"


def _tools(found: Data) -> str:
    names = {row["tool"]: row for row in found["operations"]}
    return found["tool"] if len(names) == 1 else f"{found['tool']} (what works on the axis: HSS)"


def _why(row: Data) -> Iterator[str]:
    yield row["operation"]
    if "refused" in row:
        yield from _wrapped("  refused", row["refused"])
        return
    wanted, surface = row["wanted"], row["surface"]
    yield from _wrapped("  surface", f"{wanted['m_min']:.3g} m/min: {wanted['because']}")
    if wanted["m_min"] != surface["m_min"]:
        yield from _wrapped("  reached", f"{surface['m_min']:.3g} m/min: {surface['because']}")
    yield from _wrapped("  spindle", f"{row['spindle']['rpm']:.0f} rpm: {row['spindle']['because']}")
    if row["feed"] is None:
        yield from _wrapped("  feed, depth", "those of the thread: halfsection thread DESIGNATION")
        return
    yield from _wrapped("  feed", f"{row['feed']['mm']:.3f} mm a turn: {row['feed']['because']}")
    if row["depth"]:
        yield from _wrapped("  depth", f"{row['depth']['mm']:.2f} mm: {row['depth']['because']}")
    if row["later"]:
        yield from _wrapped("  later pecks", f"{row['later']['mm']:.2f} mm: {row['later']['because']}")


def _figures(figures: Data) -> Iterator[str]:
    for key, (label, unit) in FIGURES.items():
        if figures[key]:
            yield from _wrapped(label, f"{figures[key]['value']:g} {unit}".strip() + f": {figures[key]['source']}")
    low, high = figures["closes_in"]["value"]
    if high:
        share = f"{low:.1%} to {high:.1%} of its diameter: {figures['closes_in']['source']}"
        yield from _wrapped("a hole shrinks", share)


def _advice(found: Data) -> Iterator[str]:
    for key, label in WORDS.items():
        if found["advice"][key]:
            yield from _wrapped(label, found["advice"][key])
    for caution in found["cautions"]:
        yield from _wrapped("CAUTION", caution)
    yield from _wrapped("", "Advice is common practice, no source, but where one is named.", indent=0)


def _wrapped(label: str, text: str, *, indent: int = LABEL + 2) -> Iterator[str]:
    first = f"{label:{indent}}" if indent else label
    yield from textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=" " * indent)
