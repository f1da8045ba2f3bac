"""The proof: what a program that was read back from its text does to the stock, the hold and the clock.

It takes moves, tool outlines, a machine and closed outlines of stock, part, goal and hold, and nothing from those who
planned: never passes, a plan or an envelope.
"""
