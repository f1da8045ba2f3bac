"""Slow, independent oracles for the kernel. None of them builds an envelope; none imports the kernel.

The setting: an approach frame (u, v); the tool comes down along -v and everything above its lower outline counts as
tool. `keep` is a chain whose upper boundary must be missed. E(u), the lowest height at which the tool's reference
point may stand at u, is the greatest `q_v - t(q_u - u)` over the points q of keep, with t the tool's lower outline.

    graphs.py   elements cut into stretches that are functions of u; the tool's lower outline t in closed form
    dense.py    E(u) by chording, with rigorous bounds on both sides, refined until they meet
    hulls.py    E(u) as the upper boundary of a shapely union of hulls (chord of keep + reflected tool)
    touch.py    what can be touched, by brute force over contacts
    reach.py    what can be touched and what stays uncut, by brute force over positions
    slope.py    comparisons in normal distance; how deep a placed tool stands in keep
"""
