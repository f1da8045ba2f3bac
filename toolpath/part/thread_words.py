"""The words of a row that carries a thread -> the row; `words.py` says which there are."""

from __future__ import annotations

from toolpath.errors import BadInput
from toolpath.part.row_reader import RowReader
from toolpath.part.rows import Mate, Threaded, ThreadRow
from toolpath.part.threads import groove, sized
from toolpath.shop.threads import read_thread

CUT_OUTSIDE = ("die", "point", "full form")
CUT_INSIDE = ("tap", "point", "full form")
MATE = ("mate_deep", "mate_mouth")  # of a screw; a threaded hole has mate_long


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
        return ThreadRow(
            threaded=Threaded(thread, cut_by, _mate(read, inside=inside)),
            dia=sized(thread, inside=inside, cut_by=cut_by, drill=read.length("drill")),
            undercut=groove(thread, inside=inside, width=width, dia=dia) if wanted else None,
            start=not read.flag("no_start"),
            **read.reach(),
        )
    except BadInput as error:
        raise error.at(where=place) from None


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
