"""Lengths, angles, speeds and limits as people write them."""

from toolpath.quantity.nearest import nearest

__all__ = ["nearest"]
