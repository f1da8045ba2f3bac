"""The words of a row that carries a thread -> the row; `words.py` says which there are."""

from __future__ import annotations

import re

from toolpath.errors import BadInput
from toolpath.part.row_reader import RowReader
from toolpath.part.rows import Mate, Threaded, ThreadRow
from toolpath.part.threads import groove, sized
from toolpath.shop.threads import Thread, read_thread

CUT_OUTSIDE = ("die", "point", "full form")
CUT_INSIDE = ("tap", "point", "full form")
MATE = ("mate_deep", "mate_mouth")  # of a screw; a threaded hole has mate_long

HOLES = "GHB"  # classes: ISO 965-1, small letters are screws, capitals holes; ASME B1.1, A is a screw's, B a hole's
CLASS = re.compile(rf"\d([efghA{HOLES}])(?![A-Za-z])")


def thread_row(read: RowReader, *, inside: bool) -> ThreadRow:
    """A row that carries a thread. BadInput at its place.

    Default of cut_by: what needs no spindle that the control can follow.
    """
    place = f"{read.where}.thread"
    text = read.row["thread"]
    if not isinstance(text, str):
        raise BadInput(f"{text!r} is no thread", where=place, right='Write it as on a drawing: thread = "M10x1-6g"')
    cut_by = read.choice("cut_by", CUT_INSIDE if inside else CUT_OUTSIDE) or (CUT_INSIDE if inside else CUT_OUTSIDE)[0]
    width, dia = read.length("undercut_width"), read.size("undercut_dia") if "undercut_dia" in read.row else None
    wanted = read.flag("undercut") or width is not None or dia is not None
    try:
        thread = read_thread(text)
        _refuse_other_side(text, thread, inside=inside)
        return ThreadRow(
            threaded=Threaded(thread, cut_by, _mate(read, inside=inside)),
            dia=sized(thread, inside=inside, cut_by=cut_by, drill=read.length("drill")),
            undercut=groove(thread, inside=inside, width=width, dia=dia) if wanted else None,
            start=not read.flag("no_start"),
            **read.reach(),
        )
    except BadInput as error:
        raise error.at(where=place) from None


def _refuse_other_side(text: str, thread: Thread, *, inside: bool) -> None:
    """BadInput for the name or the class of a screw in a hole, or of a hole on a screw."""
    here, there = ("a hole", "a screw") if inside else ("a screw", "a hole")
    if thread.series == "R" and thread.designation.startswith("Rc") is not inside:
        right = f"Write {thread.designation.replace('R ', 'Rc ') if inside else thread.designation.replace('Rc', 'R')}"
        raise BadInput(f"{thread.designation} is the name of {there}, and this is {here}", right=right)
    of_holes = [letter in HOLES for letter in CLASS.findall(text)] if thread.standard != "pipe" else []
    if of_holes and inside not in of_holes:
        own = thread.hole_class if inside else thread.screw_class
        raise BadInput(f"{text} has the class of {there}, and this is {here}", right=f"Write {own}, or leave it out")


def _mate(read: RowReader, *, inside: bool) -> Mate | None:
    """What the thread is screwed together with, where the row says it."""
    reach, mouth = read.length("mate_long" if inside else "mate_deep"), read.length("mate_mouth")
    if reach is None and mouth is not None:
        raise BadInput(
            "mate_mouth says how deep the mate's mouth is open, and nothing says how deep the mate is",
            where=f"{read.where}.mate_mouth",
            right="Write mate_deep, from the mate's face to the end of its full thread",
        )
    return None if reach is None else Mate(reach, mouth or 0.0)
