"""Thread standards: what a designation on a drawing means, and the limits, drills and diameters that follow from it.

    thread = read_thread("5/16-24 UNF-2A")     designation.py; any spelling a drawing has
    found = limits(thread)                     found.screw.pitch.least, found.hole.minor.greatest, found.said
    tap_drills(thread, sets)                   tap_drills.py; over_wires(thread): wires.py; relief(thread): relief.py
    blank(thread), bore(thread)                preparing.py: what to turn or bore to before the thread is cut

One module a standard, its figures in a data file of the same name; `standards.py` lists them. Lengths are mm, and
diameters are diameters, as the standards have them (not radii); angles are radians.
"""

from toolpath.shop.threads.designation import read_thread
from toolpath.shop.threads.standards import limits
from toolpath.shop.threads.thread import Limits, Profile, Span, Thread, ThreadLimits

__all__ = ["Limits", "Profile", "Span", "Thread", "ThreadLimits", "limits", "read_thread"]
