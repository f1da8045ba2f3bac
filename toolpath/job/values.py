"""Values taken out of the decoded file; where one is missing its default stands in and is noted."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import UNSET, Struct, UnsetType, field

from toolpath import quantity
from toolpath.errors import BadInput
from toolpath.job.defaults import DEFAULTS, Written
from toolpath.job.job import Used
from toolpath.quantity import Quantity


class Values(Struct):
    """Takes values out of the decoded file; where one is missing, its default stands in and is noted."""

    unit: str
    sizes: Mapping[str, Quantity]
    used: list[Used] = field(default_factory=list)

    def take(self, key: str, written: Written | UnsetType) -> Written | bool:
        """What is written at `key`, else its default."""
        if written is not UNSET:
            return written
        default = DEFAULTS[key]
        value = default.value if isinstance(default.value, str) else str(default.value).lower()
        self.used.append(Used(key, value, default.why))
        return default.value

    def length(self, key: str, written: Written | UnsetType, *, zero: bool = False, at: str = "") -> float:
        """Millimetres, above zero (or from zero on). at: the key's path where it is not the key itself"""
        value, where = self.take(key, written), at or key
        length = quantity.length(value, unit=self.unit, names=self.sizes, positive=not zero, where=where)
        if length < 0.0:
            raise BadInput(f"'{value}' is less than 0", where=where, right="0 means none")
        return length
