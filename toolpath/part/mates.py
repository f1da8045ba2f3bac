"""Whether a thread and its mate close up face to face: the male must be shorter than the female is deep.

The male is measured from the shoulder that meets the mate's face to its own end, the female from that face to where its
thread is no longer full. Where a male has no relief its last turns before the shoulder are not full either: the mate's
mouth must be open over them.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from msgspec import Struct

from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain
from toolpath.part.figures import mm
from toolpath.part.rows import Mate
from toolpath.part.threads import RAMP, ThreadOn
from toolpath.shop.threads.relief import ends

if TYPE_CHECKING:
    from toolpath.part.halfsection import HalfSection, Surface

SPARE = 1.0
"""Pitches that the female is deeper than the male goes in, at the least: a turn (common practice, no source)."""

SAME = 1e-6  # mm


class Closing(Struct, frozen=True):
    """A joint, mm. male: from its shoulder to its end; female: from its face to the end of its full thread, None where
    it runs through; bare: turns at the male's shoulder that are not full; mouth: how far the mate is open over them
    """

    male: float
    female: float | None
    bare: float = 0.0
    mouth: float = 0.0

    @property
    def spare(self) -> float | None:
        """mm that the male ends before the full thread of the female does."""
        return None if self.female is None else self.female - self.male


def closing(part: HalfSection, on: ThreadOn) -> Closing | None:
    """The joint of a thread with its mate; None where its row names none. BadInput where nothing stops a male."""
    mate = on.threaded.mate
    if mate is None:
        return None
    if on.threaded.thread.taper:
        raise BadInput("a taper thread closes on its flanks, not at a shoulder", right="Leave its mate out")
    return Closing(mate.reach, _full_depth(part, on)) if on.inside else _screw(part, on, mate)


def refuse_jamming(part: HalfSection, *, where: str) -> None:
    """BadInput at its row for a thread that jams in its mate before the faces meet, with the figures of both."""
    for on in part.threads:
        surface = _of(part, on)[1][on.element]
        try:
            joint = closing(part, on)
            if joint is not None:
                _refuse(joint, on)
        except BadInput as error:
            raise error.at(where=surface.place(where)) from None


def _refuse(joint: Closing, on: ThreadOn) -> None:
    own = on.threaded.thread
    least = SPARE * own.pitch
    if joint.spare is not None and joint.female is not None and joint.spare < least - SAME:
        male, female = ("the mate", own.in_full) if on.inside else (own.in_full, "the mate")
        raise BadInput(
            f"{male} is {mm(joint.male)} long from its shoulder and {female} is full to {mm(joint.female)}: the screw "
            "jams at its end before the faces meet",
            right=f"Let the hole be deeper than the screw is long by a turn at the least, {mm(least)}",
        )
    if joint.bare > joint.mouth + SAME:
        raise BadInput(
            f"the last {mm(joint.bare)} of {own.in_full} before its shoulder are not full, for it has no relief, and "
            f"the mate's mouth is open {mm(joint.mouth)} deep: the screw jams there before the faces meet",
            right="Write undercut = true, or counterbore the mate to the thread's diameter and write mate_mouth",
        )


def _screw(part: HalfSection, on: ThreadOn, mate: Mate) -> Closing:
    """A male, whose shoulder is the step at one end of its row that stands over the crest."""
    chain, _ = _of(part, on)
    first, last = _span(part, on)
    before = first > 0 and _over(chain, first - 1, on)
    behind = last + 1 < len(chain) and _over(chain, last + 1, on)
    if before == behind:
        raise BadInput(
            "a mate that is so deep stops a screw at its shoulder, and this one has "
            + ("one at either end" if before else "none"),
            right="Let a larger diameter follow it, or leave mate_deep out",
        )
    zs = [z for k in range(first, last + 1) for z in (chain[k].a[0], chain[k].b[0])]
    bare = 0.0 if on.relief else ends(on.threaded.thread).shoulder
    return Closing(max(zs) - min(zs), mate.reach, bare, mate.mouth)


def _span(part: HalfSection, on: ThreadOn) -> tuple[int, int]:
    """First and last element of the thread's row, chamfer and relief included, and of an edge broken at its end."""
    chain, surfaces = _of(part, on)
    own = [k for k, s in enumerate(surfaces) if s.row == surfaces[on.element].row]

    def broken(k: int) -> bool:
        edge = 0 <= k < len(chain) and surfaces[k].row is None and "face" not in surfaces[k].name
        return edge and (on.inside or not _over(chain, k, on))

    first, last = min(own), max(own)
    return first - broken(first - 1), last + broken(last + 1)


def _over(chain: Chain, k: int, on: ThreadOn) -> bool:
    """Whether an element stands over the thread's crest."""
    return max(chain[k].a[1], chain[k].b[1]) > on.crest + SAME


def _full_depth(part: HalfSection, on: ThreadOn) -> float | None:
    """mm from the face in which a female opens to the end of its full thread, its relief included; None: it is open."""
    chain, _ = _of(part, on)
    first, _ = _span(part, on)
    deeper, met = chain[on.element + 1 :], _other_end(part, on)
    if all(min(e.a[1], e.b[1]) >= on.crest - SAME for e in (*deeper, *met)):
        return None
    mouth, far = chain[first].a[0], chain[on.element].b[0]
    if on.relief is not None:
        far = min(on.relief, key=lambda z: -abs(z - mouth))
    elif on.threaded.in_step:
        far += math.copysign(RAMP * on.threaded.thread.pitch, mouth - far)
    return abs(mouth - far)


def _other_end(part: HalfSection, on: ThreadOn) -> Chain:
    """The hollow from the other face, where the thread's own opens into it."""
    own, other = (part.inside, part.inside_back) if on.chain == "inside" else (part.inside_back, part.inside)
    return other if other and own[-1].b == other[-1].b else ()


def _of(part: HalfSection, on: ThreadOn) -> tuple[Chain, tuple[Surface, ...]]:
    """The chain that a thread is on, and its surfaces."""
    if on.chain == "outside":
        return part.outside, part.surfaces
    return (
        (part.inside, part.inside_surfaces) if on.chain == "inside" else (part.inside_back, part.inside_back_surfaces)
    )
