"""Which stretch of the outside each holding turns, whatever their number: none is turned twice, none is left out."""

from __future__ import annotations

from toolpath.errors import BadInput
from toolpath.part.halfsection import HalfSection
from toolpath.plan.share import SAME, faces_back_from
from toolpath.shop.holding import Holding

Stretch = tuple[float, float]
"""Where what is turned begins and ends, distances from the end that looks at the tools, mm; equal: nothing is."""


def stretches(part: HalfSection, holdings: tuple[Holding, ...]) -> tuple[Stretch, ...]:
    """What each holding turns, in their order.

    BadInput where a turn_to is not on the part, where some of the outside is turned in none, or where a holding after
    the first has nothing to do.
    """
    length = part.length
    for k, h in enumerate(holdings):
        if h.turn_to is not None and not 0.0 <= h.turn_to <= length:
            raise BadInput(
                f"turn_to {h.turn_to:g} mm is not on the part, which is {length:g} mm long",
                where=f"holding[{k}].turn_to",
                right="It is the distance from the end that looks at the tools to where this holding turns no farther",
            )
    if len(holdings) == 2 and holdings[0].end != holdings[1].end:
        first = _border(part, holdings)
        return ((0.0, first), (0.0, length - first))
    return _in_turn(part, holdings)


def turned_from_end(part: HalfSection, holdings: tuple[Holding, ...], number: int) -> float:
    """Distance from the end in hand to which the outside is turned, mm; BadInput as `stretches`."""
    return stretches(part, holdings)[number - 1][1]


def first_here(holdings: tuple[Holding, ...], number: int) -> bool:
    """Whether no set-up before this one had its end at the tools: it faces that end and makes what is hollow there."""
    return all(h.end != holdings[number - 1].end for h in holdings[: number - 1])


def _border(part: HalfSection, holdings: tuple[Holding, ...]) -> float:
    """Where two holdings from both ends meet, from the end of the first, mm."""
    for k, h in enumerate(holdings):
        if h.turn_to is not None:
            return h.turn_to if k == 0 else part.length - h.turn_to
    return faces_back_from((part.turned_round() if holdings[0].end == "back" else part).outside)


def _in_turn(part: HalfSection, holdings: tuple[Holding, ...]) -> tuple[Stretch, ...]:
    """Each turns from where its end is finished to its turn_to."""
    length = part.length
    done = {"front": 0.0, "back": 0.0}
    out: list[Stretch] = []
    for k, h in enumerate(holdings):
        most = length - done["back" if h.end == "front" else "front"]
        said = _unsaid(part, h, holdings[k + 1 :]) if h.turn_to is None else h.turn_to
        to = max(min(said, most), done[h.end])
        if to - done[h.end] <= SAME and not first_here(holdings, k + 1) and not h.bar:
            raise BadInput(
                f"holding {k + 1} has nothing to do: its {h.end} end is faced, and the outside is turned to {to:g} mm "
                "from there",
                where=f"holding[{k}]",
                right="Leave it out, or let an earlier one turn less (turn_to)",
            )
        out.append((done[h.end], to))
        done[h.end] = to
    if (bare := length - done["front"] - done["back"]) > SAME:
        raise BadInput(
            f"no holding turns the outside from {done['front']:g} to {length - done['back']:g} mm behind the front "
            f"face, {bare:g} mm",
            where="holding",
            right="Write a greater turn_to, or leave it out in the last holding",
        )
    return tuple(out)


def _unsaid(part: HalfSection, holding: Holding, later: tuple[Holding, ...]) -> float:
    """How far a holding turns that does not say: nothing where a later one of its end has a centre in and it has not;
    as far as nothing looks the other way where one from the other end follows; else all that is left."""
    if not holding.centred and any(h.end == holding.end and h.centred for h in later):
        return 0.0
    if any(h.end != holding.end and h.turn_to is None for h in later):
        return faces_back_from((part.turned_round() if holding.end == "back" else part).outside)
    return part.length
