"""What a light lathe bears. No single source stands behind most of this: each row says so where it stands."""

from __future__ import annotations

from bisect import bisect_right

DERATE = {"light": 0.5, "bench": 0.6, "stiff": 0.7}  # of speeds meant for heavy machines, common practice 0.5 to 0.7
PART_SHARE = 0.55  # of the turning speed when parting: 50 to 60 % on light lathes, common practice
THREAD_SHARE = (
    0.5  # of the turning speed when threading: about half, a school's table of speeds; army tables agree, from memory
)
MOTOR_SHARE = 0.75  # of the motor's power reaches the edge: Mitsubishi and Kyocera reckon with 0.7 to 0.8
FORCE_MARGIN = 1.4  # makers' forces for the same steel differ by 25 to 65 %, common practice 1.3 to 1.5
RADIAL_SHARE = 0.25  # of the cutting force pushes the work away: Isakov, Cutting Tool Engineering 2013, a rule of thumb
RADIAL_IN_NOSE = 0.5  # where only the nose cuts: the half that else goes along the feed turns radial, common practice

ROUGH_FEED = {"light": 0.10, "bench": 0.15, "stiff": 0.20}  # mm/rev, common practice 0.05 to 0.20
FINISH_FEED = 0.10  # mm/rev, the most a bench lathe finishes with, common practice 0.03 to 0.10
BLADE_FEED = {"light": 0.03, "bench": 0.05, "stiff": 0.05}  # mm/rev; War Department lathe manual: 0.05
LEAST_CHIP = {"ground": 0.02, "honed": 0.05}  # mm, from memory; the least feed a maker prints is 0.02 (Kyocera)
LEAVE_ON = {"ground": 0.10, "honed": 0.20}  # mm per side for finishing, common practice
LEAVE_ON_FACES = 0.5  # of that on faces, common practice
PLAIN_FINISH = 1.6  # um Ra when nobody asks for another, common practice
REAL_FINISH = 2.0  # a real surface is 1.5 to 2 times as rough as the theory, common practice

NOSE_SHARE = {"strong": 0.5, "slim": 0.4}  # feed per nose radius: rough 0.5 to 0.66, common practice; slim corners 0.4
STRONG_CORNER = 80.0  # deg included angle from which a corner counts as strong
NOSE_DEPTH = 2.0 / 3.0  # of the nose radius a cut should be deep, or the force turns radial, common practice
DEFLECTION = 0.05  # mm the work may give way while roughing, common practice
BAR_MODULUS = (
    210_000.0  # N/mm2, of the steel of a boring bar: usual value for steels; carbide is stiffer, so this stays safe
)
BLADE_HEIGHT = 10.0  # mm, of a blade that stands on edge: the low end of the usual 10 to 13, common practice
SINKS = 0.03  # mm a blade's edge may be pressed down, or it dips under centre and grabs, common practice
FREE_RATIO = 3.0  # diameters that may stand out without a centre; Woodstock M1099 lathe manual
LIGHT_RATIO = 4.0  # diameters up to which light cuts still go, common practice
LIGHT_SHARE = 0.5  # of the depth for such light cuts, common practice

# Depth per side that a motor of so many watts pulls on a bench lathe: (least, greatest) mm, common practice.
DEPTH_STEEL = ((250.0, (0.2, 0.4)), (500.0, (0.4, 0.8)), (1000.0, (0.8, 1.5)))
DEPTH_SOFT = ((250.0, (0.5, 1.0)), (500.0, (1.0, 1.5)), (1000.0, (2.0, 3.0)))
WITHIN = {"light": 0.0, "bench": 0.5, "stiff": 1.0}  # where in that range a rigidity class stands


def depth_for(power: float, *, group: str, rigidity: str) -> float:
    """Depth per side, mm, by the table above: straight between rows, in proportion below, no more beyond."""
    rows = DEPTH_SOFT if group == "soft" else DEPTH_STEEL
    share = WITHIN[rigidity]
    watts = [w for w, _ in rows]
    depths = [low + share * (high - low) for _, (low, high) in rows]
    i = bisect_right(watts, power)
    if i == 0:
        return depths[0] * power / watts[0]
    if i == len(rows):
        return depths[-1]
    t = (power - watts[i - 1]) / (watts[i] - watts[i - 1])
    return depths[i - 1] + t * (depths[i] - depths[i - 1])
