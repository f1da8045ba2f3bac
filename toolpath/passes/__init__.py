"""Passes: one module an operation. Each turns what must be missed and what stands into legs for one tool.

A *leg* is one move of the point the program moves, in the approach frame or in (z, x); a pass is a run of legs that
join end to start. Nothing here knows a control or a machine file.
"""
