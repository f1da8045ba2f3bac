"""What a hole tool bears on a light lathe: shares of a drill's speed and feed, pecks, feeds by diameter."""

from __future__ import annotations

from bisect import bisect_right

from toolpath.shop.materials import DRILLS

# Share of a drill's surface speed. Reamers at half to two thirds and countersinks at a third to a half lest they
# chatter; flat drills have no point to guide them. All common practice.
SPEED_SHARE = {"centre": 1.0, "drill": 1.0, "flat bottom": 0.7, "countersink": 0.5, "ream": 0.5}

# Share of a drill's feed: a reamer is fed at two to three times it, lest it rub; common practice.
FEED_SHARE = {"centre": 0.5, "drill": 1.0, "flat bottom": 0.5, "countersink": 0.5, "ream": 2.0}

TOOL_SPEED = {"HSS": 1.0, "carbide": 2.0}  # US Navy Engineman manual 14345: carbide drills 2 to 3 times the speed
HEAVY_SHARE = 0.5  # of feeds meant for heavy machines: halved on a bench lathe, common practice
EASED = 0.5  # of the feed where a drill breaks through or holes meet, common practice
HARD = 18.0  # m/min: metals drilled no faster count as hard (tool steel, stainless, titanium)
RUBS = 0.01  # mm/rev below which a drill rubs and does not cut, common practice: half a least chip a lip

FREE_DEPTH = 3.0  # diameters drilled in one go, common practice
FIRST_PECK = {"short chips": 3.0, "": 2.5, "stringy": 2.0}  # diameters; common practice 2 to 3
LATER_PECK = {"short chips": 1.0, "": 1.0, "stringy": 0.5}  # diameters; common practice 1, less where chips clog
# Diameters down to which a drill is only drawn back to break the chip; deeper, and where chips are short from the first
# peck on, it comes out of the hole to clear them. Common practice, no source.
CLEAR_FROM = {"short chips": 3.0, "": 6.0, "stringy": 4.0}
BEHAVE = {"short chips": "short chips need no breaking", "": "chips curl up the flutes", "stringy": "long chips clog"}
CHIP_LIFT = 0.5  # mm a drill is drawn back to break the chip, common practice
FLOOR_TURNS = 1.0  # turns a tool stands on a floor so that it is cut all round, common practice

# Diameter (mm) below which, feed in hard and in soft metal (mm/rev): US Navy Engineman manual 14345.
NAVY = ((3.2, (0.025, 0.05)), (6.4, (0.05, 0.10)), (12.7, (0.10, 0.18)), (float("inf"), (0.18, 0.38)))


def navy_feed(diameter: float, *, hard: bool) -> float:
    """mm/rev by the table above: the low end in hard metal, the high one in soft."""
    i = bisect_right([d for d, _ in NAVY], diameter)
    low, high = NAVY[i][1]
    return low if hard else high


def feed_by_size(diameter: float, feeds: tuple[float, ...]) -> float:
    """mm/rev from feeds at the diameters `DRILLS`: straight between, in proportion below, no more beyond."""
    i = bisect_right(DRILLS, diameter)
    if i == 0:
        return feeds[0] * diameter / DRILLS[0]
    if i == len(DRILLS):
        return feeds[-1]
    t = (diameter - DRILLS[i - 1]) / (DRILLS[i] - DRILLS[i - 1])
    return feeds[i - 1] + t * (feeds[i] - feeds[i - 1])
