"""Speed, feed, depth and what is left on for finishing: each figure with the bound that decided it.

Units at this room's doors are those of the trade: surface speed m/min, spindle 1/min, feed mm a turn, depth mm per
side, power W, force N. Nothing here moves a tool.
"""
