"""Lines and arcs as broken lines, all corners of an arc at once; names for the arrays of the proof."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from toolpath.geometry.elements import Arc, Chain, Line

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Indices = NDArray[np.int64]
    Flags = NDArray[np.bool_]
else:
    Array = Indices = Flags = np.ndarray
Geometry = Any  # a shapely geometry, or an array of them
Box = tuple[float, float, float, float]  # least z, least x, greatest z, greatest x


def flattened(element: Line | Arc, tolerance: float, *, outside: bool = False) -> Array:
    """Points (k, 2) after the element's start, its end the last one, of a broken line at most `tolerance` (mm) from it.

    An arc gets corners that lie on it, or, `outside`, a run of tangents round its circle.
    """
    if isinstance(element, Line):
        return np.array([element.b])
    r, sweep = element.radius, element.sweep
    if r <= tolerance:
        return np.array([element.b])
    step = 2.0 * math.acos(r / (r + tolerance) if outside else 1.0 - tolerance / r)
    n = max(1, math.ceil(abs(sweep) / step))
    far = r / math.cos(sweep / n / 2.0) if outside else r
    angles = element.start_angle + sweep / n * (np.arange(n) + 0.5 if outside else np.arange(1, n))
    points = np.empty((len(angles) + 1, 2))
    points[:-1, 0] = element.centre[0] + far * np.cos(angles)
    points[:-1, 1] = element.centre[1] + far * np.sin(angles)
    points[-1] = element.b
    return points


def closed(chain: Chain, tolerance: float, *, outside: bool = False) -> Array:
    """Corners (k, 2) of a closed chain as a broken line; see `flattened`."""
    return np.concatenate([flattened(e, tolerance, outside=outside) for e in chain])
