"""Where a part has threads that this program is to cut, and what its tools may take there.

In the outline of a part a thread is a plain cylinder, or cone, at its crest; below that metal may be cut in its zone
only.
"""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from msgspec import Struct

from toolpath.proof.flatten import Geometry

WIDEST = 8.0  # of the pitch, half the end of a point at most: P/4 wide (ISO 68-1, crest of an inside thread)


class ThreadZone(Struct, frozen=True):
    """A thread to be cut with a point; those made by die, tap or in another set-up are not listed. mm and rad.

    z:          (low, high): here it must be of full form; crest, root: radii at the high end, `root` the deepest the
                end of a point may come; taper: change of both per mm towards +z
    run_out:    beyond z at its low and at its high end: there metal may be cut below the crest, as the thread runs out
    lead:       along z in one turn; starts: how many threads run side by side; hand: `right` | `left`
    half_angle: between flank and the plane across the axis; 0: not judged
    pitch_dia:  (least, greatest) pitch diameter at the high end; (0, 0): not judged, but the root must be reached
    least_flat: what must be left of the crest, along z
    cut_crest:  radius, at the high end, of crests that the insert cuts; None: they stay as they are before
    """

    z: tuple[float, float]
    crest: float
    root: float
    lead: float
    hand: str = "right"
    starts: int = 1
    inside: bool = False
    taper: float = 0.0
    run_out: tuple[float, float] = (0.0, 0.0)
    half_angle: float = 0.0
    pitch_dia: tuple[float, float] = (0.0, 0.0)
    least_flat: float = 0.0
    cut_crest: float | None = None

    @property
    def spacing(self) -> float:
        """mm from groove to groove: the pitch."""
        return self.lead / self.starts

    @property
    def height(self) -> float:
        """mm from crest to root."""
        return abs(self.crest - self.root)

    def crest_at(self, z: float) -> float:
        return self.crest + self.taper * (z - self.z[1])

    def flats_at(self, z: float) -> float:
        """Radius of what is left of the crests at z."""
        return self.crest_at(z) + (0.0 if self.cut_crest is None else self.cut_crest - self.crest)

    def root_at(self, z: float) -> float:
        return self.root + self.taper * (z - self.z[1])

    def band(self, slack: float) -> Geometry:
        """What a point may take: from the root, all round `slack` (mm) wider, to a thread's height over the crest,
        where a blank may stand a little high. On a taper one corner of the point's end goes deeper than its middle.
        """
        slack += abs(self.taper) * self.spacing / WIDEST
        low, high = self.z[0] - self.run_out[0] - slack, self.z[1] + self.run_out[1] + slack
        out = 1.0 if self.root < self.crest else -1.0
        corners = [(low, self.root_at(low) - out * slack), (high, self.root_at(high) - out * slack)]
        corners += [(z, self.crest_at(z) + out * self.height) for z in (high, low)]
        return shapely.polygons(corners)

    def over_crests(self) -> Geometry:
        """What an insert takes off the crests, all round, up to a thread's height over them."""
        out = 1.0 if self.root < self.crest else -1.0
        ends = (self.z[0] - self.run_out[0], self.z[1] + self.run_out[1])
        corners = [(z, self.flats_at(z)) for z in ends]
        corners += [(z, self.crest_at(z) + out * self.height) for z in reversed(ends)]
        return shapely.polygons(corners)


def zone_of(zones: Sequence[ThreadZone], *, inside: bool, low: float, high: float) -> int | None:
    """Index of the zone that passes between these z lie in most, None where they lie in none."""
    shared = [min(high, t.z[1]) - max(low, t.z[0]) if t.inside is inside else 0.0 for t in zones]
    best = max(range(len(zones)), key=lambda i: shared[i], default=None)
    return best if best is not None and shared[best] > 0.0 else None
