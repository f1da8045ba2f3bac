"""Lengths, angles, speeds, feeds and limits as people write them; the values of a job's named sizes.

    length("1 3/8\\"") -> 34.925            size("14 h7") -> Size(13.991, 13.982, 14.0, "14 h7")
    angle("30 deg")   -> 0.5236            surface_or_rpm("300 ft/min") -> ("surface", 91.44)
    feed("0.08 mm/rev") -> ("per turn", 0.08)

What can not be read raises BadInput, in plain words.
"""

from toolpath.quantity.limits import Size
from toolpath.quantity.nearest import nearest
from toolpath.quantity.sizes import evaluate_sizes
from toolpath.quantity.value import ANGLE, FEED, LENGTH, PLAIN, SPEED, SPIN, TIME, Quantity
from toolpath.quantity.wanted import angle, duration, feed, length, rpm, size, surface_or_rpm

__all__ = [
    "ANGLE",
    "FEED",
    "LENGTH",
    "PLAIN",
    "SPEED",
    "SPIN",
    "TIME",
    "Quantity",
    "Size",
    "angle",
    "duration",
    "evaluate_sizes",
    "feed",
    "length",
    "nearest",
    "rpm",
    "size",
    "surface_or_rpm",
]
