"""What holds where a job is silent: each key that may be left out, its value as it would be written, and why."""

from __future__ import annotations

from typing import NamedTuple

Written = str | int | float


class Default(NamedTuple):
    """What holds when the job does not say: the value as it would be written, and why this one."""

    value: Written | bool
    why: str


DEFAULTS: dict[str, Default] = {
    "units": Default("mm", "bare numbers are millimetres"),
    "break_edges": Default("0.2 mm", "a turned edge cuts fingers; common practice, no source"),
    "least_wall": Default("as the material", "the table of materials says how thin a wall of each stands the tool"),
    "true_within": Default("0 mm", "what must run true is cut in one holding"),
    "thin": Default("refuse", "a thin wall gives way to the tool: too thick where it is cut, or broken through"),
    "bar.face_off": Default("1 mm", "cleans a sawn end that is out of square; common practice, no source"),
    "drawn bar.face_off": Default(
        "0 mm", "a drawn outline says where its metal is; its front face may be turned already"
    ),
    "holding.grip": Default("bar", "the part is cut from the bar and parted off"),
    "holding.end": Default("back", "the part is turned round for its second holding"),
    "holding.in": Default("chuck", "a three-jaw chuck is wider than a collet: what clears it clears both"),
    "holding.stick_out": Default("as needed", "part, faced end, parting cut and the clearance of the machine file"),
    "roughing.pattern": Default("quickest", "along z or along x, whichever takes less time and gets everywhere"),
    "threading.infeed": Default("flank clear", "one flank cuts, the other stands clear by a degree and does not rub"),
    "threading.springs": Default("as the material", "passes at full depth, but where the metal hardens under a rub"),
    "finish.height_um": Default("as it comes", "the finishing feed of the material table decides the finish"),
    "finish.polished_um": Default("not polished", "asked for, free diameters are left larger, papers listed"),
    "finish.compensation": Default("program", "the program moves the tip itself: right on every control"),
    "finish.passes": Default("1", "a second, light pass over the same path takes what the first was pushed away from"),
    "finish.one_way": Default(False, "one pass along the contour; split, the lost motion of X leaves no step"),
    "finish.measure": Default(False, "the part is measured when it is done; else a stop that block skip leaves out"),
    "parting.off": Default(True, "the piece is cut from the bar"),
    "parting.stub": Default("1 mm", "broken off by hand, so that the piece is not flung; common practice, no source"),
    "component.measured_within": Default("0.02 mm", "either way: a calliper; common practice, no source"),
    "expect.within": Default("0.01 %", "of the volume; finer than any size on a drawing, coarser than rounding"),
}
