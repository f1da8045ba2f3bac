"""[[trim]]: a size that is cut longer by a spare, until a trial assembly has shown what comes off.

    [[trim]]
    size  = "shoulder"        # a name of [sizes]
    spare = 0.5               # added to it as long as `--set shoulder=...` does not say what it came to

Every size and row made of it follows, as with `--set`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from toolpath import quantity
from toolpath.errors import BadInput
from toolpath.job.tables import TrimTable
from toolpath.quantity import LENGTH, Quantity


class Trim(Struct, frozen=True):
    """size: its name; drawn: mm, as the job has it; spare: mm, what it is cut longer by, 0 once `--set` said it."""

    size: str
    drawn: float
    spare: float

    @property
    def cut(self) -> float:
        """What it is cut to, mm."""
        return self.drawn + self.spare


def trims_of(
    tables: Sequence[TrimTable], sizes: Mapping[str, Quantity], overrides: Mapping[str, str], *, unit: str
) -> tuple[Trim, ...]:
    """The sizes that are cut to fit. overrides: of `--set`, by name. BadInput with the key path."""
    found: list[Trim] = []
    for k, table in enumerate(tables):
        where = f"trim[{k}]"
        size = sizes.get(table.size)
        if size is None:
            right = quantity.nearest(table.size, sizes) or "Name the length under [sizes] and use the name in its row"
            raise BadInput(f"there is no size named '{table.size}'", where=f"{where}.size", right=right)
        if size.dims != LENGTH:
            raise BadInput(f"'{table.size}' is no length: nothing comes off it", where=f"{where}.size")
        if table.size in {t.size for t in found}:
            raise BadInput(f"'{table.size}' is trimmed already", where=f"{where}.size")
        spare = quantity.length(table.spare, unit=unit, names=sizes, positive=True, where=f"{where}.spare")
        found.append(Trim(table.size, size.value, 0.0 if table.size in overrides else spare))
    return tuple(found)


def with_spare(trims: Sequence[Trim], overrides: Mapping[str, str]) -> dict[str, str]:
    """The overrides, and those that add the spares."""
    return {**overrides, **{t.size: f"{t.cut:.9f} mm" for t in trims if t.spare}}
