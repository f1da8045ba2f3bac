"""Rows of the outside -> its sharp profile: every surface, shoulder and face as one element, and the named corners.

The profile starts on the axis at the front, (0, 0), and ends on it at the back, (-length, 0); it runs counter-clockwise
about the metal.
"""

from __future__ import annotations

from collections.abc import Sequence

from toolpath.errors import BadInput
from toolpath.geometry.elements import Line
from toolpath.part.rows import Ball, Dome, Row, SurfaceRow
from toolpath.part.walk import SAME, Profile, Walk


def profile(rows: Sequence[Row], *, where: str) -> Profile:
    """The sharp profile of the rows. Errors: BadInput with the place `where.outside[index]`."""
    return _Outside(list(enumerate(rows)), where=where, chain="outside").run()


class _Outside(Walk):
    """From the front end towards the chuck."""

    def start(self, row: SurfaceRow) -> float:
        return 0.0 if self.at_point(row) else super().start(row)

    def at_point(self, row: SurfaceRow) -> bool:
        return not self.pieces and isinstance(row, Dome | Ball) and row.start is None

    def close(self) -> None:
        if not self.surfaces:
            raise BadInput(
                "no row makes a surface", where=self.where, right="Write at least one, as { dia = 12, to = 20 }"
            )
        if self.x > SAME:
            self.add(Line((self.z, self.x), (self.z, 0.0)), None, "back face")
        else:
            self.open = []
