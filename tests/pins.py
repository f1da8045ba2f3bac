"""A pin with one size that is cut to fit."""

from __future__ import annotations


def pin(bar: float) -> str:
    """The job's text. bar: mm of bar."""
    return f"""\
title = "Pin"
machine = "machines/bench.toml"
tools = "racks/drawer.toml"
material = "brass"
break_edges = 0
[bar]
dia = 16
length = {bar:g}
[sizes]
shoulder = 12.5
whole = "shoulder + 8"
[part]
outside = [ {{ dia = 8, to = "shoulder" }}, {{ dia = 12, to = "whole" }} ]
[[trim]]
size = "shoulder"
spare = 0.5
"""
