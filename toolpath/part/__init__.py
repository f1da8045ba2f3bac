"""The part: its half-section built from rows as a turner reads them off a drawing.

rows.py         one frozen value for each kind of row
words.py        a row of the job file -> such a value
profile.py      rows -> the sharp profile, and the corners that rows name
arcs.py         arcs through two ends, tangent arcs, arcs about the axis
halfsection.py  profile + corners -> HalfSection, with its checks and measures
"""
