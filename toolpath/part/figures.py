"""Figures as messages and names of surfaces write them."""

from __future__ import annotations

import math


def plain(value: float) -> str:
    """Four decimals at most, no needless digit: a tenth of a micrometre is below anything turned."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def mm(value: float) -> str:
    return f"{plain(value)} mm"


def dia(radius: float) -> str:
    """A radius as the diameter that a drawing shows."""
    return f"dia {plain(2.0 * radius)}"


def degrees(angle: float) -> str:
    """Radians as degrees, enough digits to tell a tiny angle from none."""
    return f"{math.degrees(angle):.4g}°"
