"""Which corner a corner row means.

Between two surfaces lies one corner, or, where the diameter changes, a shoulder with two: its *edge*, which stands out,
and its *foot*, the inside corner. As many rows as corners are taken in order. One row at a shoulder means the edge when
it is a chamfer; a round could mean either, so it has to say.
"""

from __future__ import annotations

from collections.abc import Sequence

from toolpath.errors import BadInput
from toolpath.geometry.corners import SMOOTH
from toolpath.part.figures import mm
from toolpath.part.rows import CornerRow, Round

Asked = tuple[int, CornerRow]  # index of the row, the row


def assign(rows: Sequence[Asked], turns: dict[int, float], *, where: str) -> dict[int, Asked]:
    """Joint -> corner row. turns: the joints that may be meant, in order, with the turn (rad) of the profile there."""
    corners = [j for j in turns if abs(turns[j]) >= SMOOTH]
    kinds = ["edge" if turns[j] > 0.0 else "foot" for j in corners]
    out: dict[int, Asked] = {}
    for n, (k, row) in enumerate(rows):
        try:
            if len(rows) > len(corners):
                raise BadInput(_too_many(len(corners), bool(turns)))
            at = n if len(rows) == len(corners) else _choose(row, kinds)
            _check_kind(row, kinds[at])
        except BadInput as e:
            raise e.at(where=f"{where}[{k}]") from None
        out[corners[at]] = (k, row)
    return out


def _too_many(corners: int, joined: bool) -> str:
    if corners:
        return f"more rows name a corner here than there are corners ({corners})"
    if joined:
        return "the two surfaces meet smoothly here, so there is no corner"
    return "the part begins or ends on the axis here, so there is no corner"


def _check_kind(row: CornerRow, kind: str) -> None:
    if row.on and row.on != kind:
        words = {"edge": "an edge, which stands out", "foot": "an inside corner"}
        raise BadInput(
            f"the row asks for {words[row.on]}, and the corner here is {words[kind]}",
            right="Corner rows stand in order from the front end",
        )


def _choose(row: CornerRow, kinds: list[str]) -> int:
    """One row, two corners."""
    if isinstance(row, Round) and not row.on:
        raise BadInput(
            f"radius {mm(row.radius)} could be the shoulder's edge or the inside corner at its foot",
            right='Write fillet for the foot, or on = "edge"',
        )
    on = row.on or "edge"
    if kinds.count(on) != 1:
        raise BadInput(
            f"there is no single {on} here but two corners", right="Write a row for each, in order from the front end"
        )
    return kinds.index(on)
