"""The trial assembly: a stop at which a size that was cut longer by a spare is tried with what it must fit."""

from __future__ import annotations

from toolpath.plan.operations import ByHand
from toolpath.plan.request import Request, Trial

KIND = "trial"

FROM_START = "run that program from its start"
NEXT_PIECE = "use that program for the next piece: what this one has too little can not be put back"


def stop(request: Request, trial: Trial) -> ByHand:
    """The stop itself, in the set-up of `request`."""
    cool = "let it cool, " if "grows warm" in request.material.traits else ""
    clean = "take the part off, clean it" if trial.loose else "clean the part, leave it as it is held"
    does = (
        f"stop the spindle and isolate the drives; {cool}{clean}, try it with {trial.mate}: '{trial.size}' is "
        f"{trial.cut:.3f} mm, with {trial.spare:.3f} mm to come off. If nothing is too long go on. Else measure what "
        "is too long, end the program here, make it again with "
        f'--set {trial.size}="{trial.cut:.3f} mm - FOUND mm", and {_then(request, trial)}'
    )
    why = "a length that is cut to fit is tried before the part leaves its hold"
    return ByHand(KIND, does, (), why, using=f"{trial.size} with {trial.mate}")


def _then(request: Request, trial: Trial) -> str:
    if not trial.off or trial.loose:
        return NEXT_PIECE
    face = "face the end back by hand by as much as was found, " if trial.off == "front" else ""
    if request.gripped is not None:
        return f"{face}{FROM_START}: it sets Z0 anew"
    # The program that is made again faces no more than a sawn end: what is too long goes before it starts.
    return f"{face}set Z0 there, and {FROM_START}" if face else f"{FROM_START} with Z0 where it is"
