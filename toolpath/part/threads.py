"""Rows that carry threads: what a designation makes of a cylinder, and where the threads of a part are.

A thread row stands for up to three rows: the chamfer it starts with, the cylinder it is cut on, and the relief at its
end. They keep the index of the row a person wrote, so that every message names that one.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from msgspec import Struct

from toolpath.errors import BadInput, CannotMake
from toolpath.part.figures import mm
from toolpath.part.rows import Chamfer, CornerRow, Cylinder, Groove, Neck, Row, Sharp, Taper, Threaded, ThreadRow
from toolpath.quantity import Size
from toolpath.shop.drills import every_set
from toolpath.shop.threads import Thread, limits
from toolpath.shop.threads.forms import profile
from toolpath.shop.threads.preparing import blank, bore, mouth, start
from toolpath.shop.threads.relief import inside_relief, relief
from toolpath.shop.threads.tap_drills import tap_drills
from toolpath.shop.threads.thread import Span

RELIEF_WALL = math.radians(45.0)
"""Lean of the relief's wall on the thread's side, from square: the point leaves its last turn on it (common practice;
the standard's table asks for 30 degrees at the least)."""


RAMP = 2.0
"""Pitches in which the point leaves the metal where there is no relief (common practice, no source)."""

LEAST_STOCK, STOCK, MOST_STOCK = 0.03, 0.05, 0.07
"""mm of radius over the crest's limits, left on for an insert that cuts the crest (common practice, from memory)."""

ROUNDED = 5e-4
"""mm by which a drill may pass the limits of its hole, which are printed so."""


class ThreadOn(Struct, frozen=True):
    """A thread on a part, in (z, x) and mm, radii.

    chain:   "outside", "inside" or "inside_back"; element: index in it of the cylinder the thread is on
    front, back: z between which it is full, front > back
    crest:   as turned or bored, with the stock for a full-form insert
    pitch:   the middle of its limits; root: as deep as its mate needs
    deepest: to where a sound thread may go: the least root of a screw, the greatest of a hole
    relief:  (z, z) of the groove at its end, high and low, or None; it lies behind the thread as the rows run
    taper:   change of all these radii per mm towards +z; they are those at `front`
    crests:  least and greatest that a full-form insert may leave of them, None where they stay as turned
    """

    threaded: Threaded
    chain: str
    element: int
    front: float
    back: float
    crest: float
    pitch: float
    root: float
    deepest: float
    relief: tuple[float, float] | None
    taper: float = 0.0
    crests: tuple[float, float] | None = None

    @property
    def inside(self) -> bool:
        return self.chain != "outside"

    def shift(self, z: float) -> float:
        """How much larger all radii are at z than at the front, mm."""
        return self.taper * (z - self.front)


def sized(thread: Thread, *, inside: bool, cut_by: str, drill: float | None = None) -> Size:
    """Diameter to turn or bore before the thread is cut, with its limits; a tapped hole has that of its drill.

    drill: diameter of the tap drill, mm, where the row names one
    Errors: BadInput when no drill lies within the limits of the hole, and for a taper thread by tap.
    """
    span = bore(thread) if inside else blank(thread)
    if thread.taper and cut_by == "tap":
        raise BadInput(
            f"{thread.in_full} is a taper thread, and no drill or taper reamer before its tap is known here",
            right='Write cut_by = "point": its hole is bored to the taper',
        )
    if drill is not None and cut_by != "tap":
        raise BadInput(
            f"a drill of {mm(drill)} goes before a tap, and this thread is cut with the point",
            right="Leave drill out: the hole is bored to the thread's own limits",
        )
    if cut_by == "full form":
        return _with_stock(thread, span, inside=inside)
    if not inside or cut_by != "tap":
        return Size(span.middle, span.least, span.greatest, thread.in_full)
    dia = drill if drill is not None else _usual(thread, span)
    if dia >= thread.diameter:
        raise BadInput(
            f"a hole of {mm(dia)} is as large as the thread itself, {mm(thread.diameter)}: nothing is left to tap",
            right=f"The hole lies between {mm(span.least)} and {mm(span.greatest)}",
        )
    if not span.least - ROUNDED <= dia <= span.greatest + ROUNDED:
        raise BadInput(
            f"a drill of {mm(dia)} does not lie within the limits of the hole of {thread.in_full}",
            right=f"The hole lies between {mm(span.least)} and {mm(span.greatest)}; a wider class has wider limits",
        )
    return Size(dia, span.least, span.greatest, thread.in_full)


def _with_stock(thread: Thread, span: Span, *, inside: bool) -> Size:
    """What is turned or bored before an insert that cuts the crests."""
    if thread.taper:
        raise BadInput(f"{thread.in_full} is a taper thread, and full-form inserts are taken for straight ones alone")
    sign, crest = (-1.0, span.least) if inside else (1.0, span.greatest)
    value, one, other = (crest + sign * 2.0 * s for s in (STOCK, LEAST_STOCK, MOST_STOCK))
    return Size(value, min(one, other), max(one, other), thread.in_full)


def _usual(thread: Thread, span: Span) -> float:
    """The drill within the limits that is nearest to diameter less pitch, metric ones first."""
    found = [t.drill for t in tap_drills(thread, every_set()) if t.within]
    if not found:
        raise BadInput(
            f"no drill lies within the hole's limits, {mm(span.least)} to {mm(span.greatest)}",
            right="Name one with drill",
        )
    aim = thread.diameter - thread.pitch
    return min(found, key=lambda d: (round(abs(d.dia - aim), 3), d.set != "metric", d.dia)).dia


def groove(thread: Thread, *, inside: bool, width: float | None, dia: Size | None) -> Groove:
    """The relief by the standard's table, but for what the row states. BadInput where the table has none."""
    try:
        found = inside_relief(thread) if inside else relief(thread)
    except CannotMake as error:
        if width is None or dia is None:
            raise BadInput(str(error), right="Write undercut_width and undercut_dia") from None
        _refuse_shallow(thread, dia, inside=inside)
        return Groove(width=width, dia=dia, radius=None)
    if dia is not None:
        _refuse_shallow(thread, dia, inside=inside)
    own = Size(found.dia.middle, found.dia.least, found.dia.greatest, f"relief of {thread.in_full}")
    return Groove(width=width or found.width.greatest, dia=dia or own, radius=found.radius)


def _refuse_shallow(thread: Thread, dia: Size, *, inside: bool) -> None:
    """BadInput for a relief in which the end of a point would still stand in metal."""
    form = profile(thread)
    root = form.hole_major + thread.at_mouth if inside else form.root
    if (dia.value < root) if inside else (dia.value > root):
        side = "larger" if inside else "smaller"
        raise BadInput(
            f"an undercut of dia {mm(dia.value)} does not clear the root of {thread.in_full}, dia {mm(root)}",
            right=f"Make it {side} than that, or write undercut = true alone: the standard's table has its diameter",
        )


def chamfer(thread: Thread, size: Size, *, inside: bool) -> Chamfer:
    """Where the thread starts: below the root outside, over the major diameter inside."""
    at = mouth(thread) if inside else start(thread)
    deep = abs(at.dia - size.value) / 2.0
    return Chamfer(size=deep, on="edge")


def expanded(rows: Iterable[tuple[int, Row]], *, inside: bool, where: str = "part") -> list[tuple[int, Row]]:
    """The rows with every thread row as the rows it stands for. BadInput at `where[index]` where a relief takes all."""
    out: list[tuple[int, Row]] = []
    for k, row in rows:
        if not isinstance(row, ThreadRow):
            out.append((k, row))
            continue
        if row.start and not (out and isinstance(out[-1][1], CornerRow)):
            out.append((k, chamfer(row.threaded.thread, row.dia, inside=inside)))
        made = "" if not inside else "drilled" if row.threaded.cut_by == "tap" else "bored"
        width = row.undercut.width if row.undercut else 0.0
        to = None if row.to is None else row.to - width
        length = None if row.length is None else row.length - width
        if min(v for v in (to, length, math.inf) if v is not None) <= 0.0:
            own, long = row.threaded.thread.in_full, mm(min(v for v in (row.to, row.length) if v is not None))
            raise BadInput(
                f"a relief of {mm(width)} leaves nothing of {own}, which is {long} long with it",
                where=f"{where}[{k}]",
                right="Make the row longer, or write a smaller undercut_width",
            )
        out.append((k, _crest(row, to=to, length=length, made=made, inside=inside)))
        if row.undercut:
            wall = RELIEF_WALL if not inside else 0.0
            neck = Neck(
                dia=row.undercut.dia,
                to=row.to,
                length=None if row.length is None else width,
                front_wall=wall,
                foot_radius=row.undercut.radius,
            )
            out += [(k, Sharp()), (k, neck)]
    return out


def _crest(row: ThreadRow, *, to: float | None, length: float | None, made: str, inside: bool) -> Cylinder | Taper:
    """What the thread is cut on: a cylinder, or a cone whose small end the screw goes in with."""
    taper = row.threaded.thread.taper
    if not taper:
        return Cylinder(dia=row.dia, to=to, length=length, made=made, threaded=row.threaded)
    lean = math.atan(taper / 2.0)
    return Taper(half_angle=lean, rising=not inside, start=row.dia.value, to=to, length=length, threaded=row.threaded)


def refuse_no_room(row: Row, z: float, following: Sequence[Row]) -> None:
    """BadInput when the relief of a thread row leaves nothing of its cylinder, which begins at z."""
    if not isinstance(row, Cylinder | Taper) or row.threaded is None or row.to is None or row.to > -z:
        return
    neck = following[0] if following and isinstance(following[0], Neck) else None
    end = row.to if neck is None or neck.to is None else neck.to
    relief = f", and its relief takes {mm(end - row.to)}" if end > row.to else ""
    raise BadInput(
        f"{row.threaded.thread.in_full} ends {mm(end)} from the face and begins {mm(-z)} from it{relief}: nothing is "
        "left of the thread",
        right="Make the row longer, or write a smaller undercut_width",
    )


class Place(Struct, frozen=True):
    """An element of a chain and what it is: (z, x) of its ends, the row it came from, its name."""

    a: tuple[float, float]
    b: tuple[float, float]
    row: int | None
    name: str
    threaded: Threaded | None


def threads_of(chain: str, places: Sequence[Place]) -> tuple[ThreadOn, ...]:
    """The threads on a chain, in its order."""
    return tuple(_on(chain, k, p.threaded, places) for k, p in enumerate(places) if p.threaded is not None)


def _on(chain: str, k: int, threaded: Threaded, places: Sequence[Place]) -> ThreadOn:
    inside, here = chain != "outside", places[k]
    found, form = limits(threaded.thread), profile(threaded.thread)
    own = found.hole if inside else found.screw
    beside = [z for n in _neck_of(k, places) for z in (places[n].a[0], places[n].b[0])]
    (back, low), (front, crest) = sorted((here.a, here.b))
    taper = (crest - low) / (front - back) if threaded.thread.taper else 0.0
    mouth = threaded.thread.at_mouth if inside else 0.0
    # A taper has its stated diameters where its row begins: so much off that it is larger at its front, on the radius.
    whole = (bore if inside else blank)(threaded.thread)
    off = crest - whole.middle / 2.0 if taper else 0.0
    return ThreadOn(
        threaded=threaded,
        chain=chain,
        element=k,
        front=front,
        back=back,
        crest=crest,
        pitch=(own.pitch.middle if own else form.pitch_dia + mouth) / 2.0 + off,
        root=((form.hole_major if inside else form.minor) + mouth) / 2.0 + off,
        deepest=_deepest(threaded.thread, inside=inside) / 2.0 + off,
        relief=(max(beside), min(beside)) if beside else None,
        taper=taper,
        crests=(whole.least / 2.0, whole.greatest / 2.0) if threaded.full_form else None,
    )


def _neck_of(k: int, places: Sequence[Place]) -> range:
    """The elements of the relief that the row of element k makes: from wall to wall, with the fillets between them."""
    necks = [n for n, p in enumerate(places) if p.row == places[k].row and "neck" in p.name.split()]
    return range(min(necks), max(necks) + 1) if necks else range(0)


def _deepest(thread: Thread, *, inside: bool) -> float:
    """Diameter to which a sound thread may go: by the limits, else that of the form."""
    found, form = limits(thread), profile(thread)
    if inside:
        return max(found.hole.major.greatest if found.hole else 0.0, form.hole_major + thread.at_mouth)
    return min(found.screw.minor.least if found.screw else math.inf, form.root)
