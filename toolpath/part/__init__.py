"""The part: its half-section built from rows as a turner reads them off a drawing.

rows.py         one frozen value for each kind of row
words.py        a row of the job file -> such a value
walk.py         surface after surface, what outside and inside share
profile.py      outside rows -> the sharp profile, and the corners that rows name
hollow.py       inside rows of one end -> the same; hollows.py: both ends, and where they meet
faces.py        the end faces, opened by hollows and cut by grooves
ring.py         outside, hollows and faces as one profile about the metal
arcs.py         arcs through two ends, tangent arcs, arcs about the axis
checks.py       what no part can be
halfsection.py  profile + corners -> HalfSection, with its checks and measures
walls.py        how thick the metal is between inside and outside
"""
