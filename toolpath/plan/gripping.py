"""Which surface of the work is held when it goes into the lathe again, and how far out it then stands."""

from __future__ import annotations

from msgspec import Struct

from toolpath.errors import BadInput, CannotMake
from toolpath.geometry.elements import Line
from toolpath.geometry.minimum import between, height_over
from toolpath.part.radii import radii
from toolpath.part.stock import BROKEN_EDGE, Grip, Stock
from toolpath.part.threads import ThreadOn
from toolpath.plan.request import Gripped
from toolpath.plan.share import SAME
from toolpath.shop.holding import table
from toolpath.shop.ways import thread_of

LEAST = 4.0
"""mm of a cylinder that must be held, at the least (common practice, no source)."""

THREAD_OFF = 0.1
"""Part of its nominal diameter by which a thread may be turned off it: a crest lies below it, common practice."""

THREAD_LEAST = 0.5
"""Times its diameter that a thread must be long to hold the work by (common practice, no source)."""

ARBOR_SHORT = 5.0
"""mm that an arbor ends behind the front face, so that facing runs free of it (common practice, no source)."""

AS_WRITTEN = 0.005
"""mm by which a pitch may differ that is written with two or three figures: 24 an inch as 1.06 or 1.058."""

STANDS_OVER = 0.05
"""mm over its crest that show a thread not to be cut yet."""

SHOULDER = 0.5
"""mm that a shoulder must rise to lie on a mandrel's face (common practice, no source)."""

PER_DIA = 0.3
"""Times its diameter that a cylinder must be held, at the least (common practice, no source)."""

OVERHANG = 3.0
"""Times the held length that may stand out in front of the hold (common practice, no source)."""


class Cylinder(Struct, frozen=True):
    """A plain diameter of the work and the stretch of z it takes, mm."""

    dia: float
    far: float
    near: float


def cylinders(stock: Stock) -> tuple[Cylinder, ...]:
    """The plain diameters on the outside, from the back end to the front."""
    out: list[Cylinder] = []
    for e in stock.skyline:
        if not isinstance(e, Line) or abs(e.a[1] - e.b[1]) > SAME or e.b[0] - e.a[0] <= SAME:
            continue
        if out and out[-1].dia == 2.0 * e.a[1] and out[-1].near == e.a[0]:
            out[-1] = Cylinder(out[-1].dia, out[-1].far, e.b[0])
        else:
            out.append(Cylinder(2.0 * e.a[1], e.a[0], e.b[0]))
    return tuple(out)


def grip(
    stock: Stock,
    *,
    keep_off: float,
    held: tuple[float, float] | None = None,
    threads: tuple[tuple[float, float], ...] = (),
    steadied: bool = False,
) -> Gripped:
    """The cylinder to hold: the one that leaves the least overhang for the length held.

    keep_off: z from which tools come no nearer to the hold, mm; held: the stretch of z asked for
    threads:  stretches of z that carry one, which no jaw may crush; steadied: the end that stands out is borne
    CannotMake naming every cylinder and why it does not do.
    """
    if held is not None:
        return _as_asked(stock, held, keep_off, threads, steadied=steadied)
    told: list[str] = []
    best: tuple[float, Gripped] | None = None
    for c in cylinders(stock):
        nose = min(c.near, keep_off)
        length, out = nose - c.far, stock.front - nose
        why = _why_not(stock, c, nose, threads, steadied=steadied)
        if why:
            told.append(f"diameter {c.dia:g} from z {c.far:.2f} to {c.near:.2f}: {why}")
        elif best is None or length / out > best[0]:
            best = (length / out, Gripped(c.dia, nose, c.far))
    if best is None:
        raise CannotMake(f"nothing of the work can be held for this set-up. {'; '.join(told) or 'It has no cylinder'}")
    return best[1]


def on_mandrel(stock: Stock, *, dia: float, shoulder: float, keep_off: float) -> Gripped:
    """The work on its own thread of diameter dia, mm, its shoulder at z = shoulder against the mandrel's face.

    CannotMake when there is no such thread or shoulder, or tools come to the mandrel.
    """
    there = [c for c in cylinders(stock) if c.near <= shoulder + SAME and abs(c.dia - dia) <= THREAD_OFF * dia]
    if not there:
        found = ", ".join(f"{c.dia:g} from z {c.far:.2f} to {c.near:.2f}" for c in cylinders(stock)) or "none"
        raise CannotMake(
            f"behind z {shoulder:.2f} mm there is no thread of {dia:g} mm; the work has cylinders: {found}"
        )
    far, near = there[0].far, there[-1].near
    if near - far < max(LEAST, THREAD_LEAST * dia):
        needed = max(LEAST, THREAD_LEAST * dia)
        raise CannotMake(f"{near - far:.2f} mm of thread are too short to hold by, {needed:.2f} mm are needed")
    before = height_over(between(stock.skyline, shoulder, stock.front), (shoulder, shoulder + SHOULDER))
    # An undercut may lie between thread and shoulder.
    up_to = height_over(between(stock.skyline, near, shoulder - SHOULDER), (near, near))
    if 2.0 * before < dia + 2.0 * SHOULDER or 2.0 * up_to > there[-1].dia + SAME:
        raise CannotMake(f"there is no shoulder at z {shoulder:.2f} mm that could lie on the face of a mandrel")
    if shoulder > keep_off + SAME:
        raise CannotMake(f"tools come to z {keep_off:.2f} mm, behind the mandrel's face at z {shoulder:.2f} mm")
    return Gripped(there[-1].dia, shoulder, far)


def refuse_other_thread(threads: tuple[ThreadOn, ...], gripped: Gripped, *, on: str) -> None:
    """CannotMake where the work's own thread does not go into a mandrel with the thread `on`; it may say no pitch."""
    _, pitch, hand = thread_of(on)
    for there in threads:
        own = there.threaded.thread
        if there.inside or there.front <= gripped.far_z + SAME or there.back >= gripped.nose_z - SAME:
            continue
        if (pitch and abs(own.pitch - pitch) > AS_WRITTEN) or hand != ("left" if own.left else "right"):
            raise CannotMake(
                f"a mandrel {on} does not take the thread that the work is held by, {own.in_full}. Write that one: its "
                "diameter, pitch and hand"
            )


def is_cut(on: ThreadOn, stock: Stock) -> bool:
    """Whether a thread on the outside may be there already: nothing stands over its crest."""
    return height_over(stock.skyline, (on.back, on.front)) <= on.crest + STANDS_OVER


def by_dog(stock: Stock, *, keep_off: float, threads: tuple[tuple[float, float], ...]) -> Gripped:
    """The cylinder at the back end with a driving dog on it. keep_off: z from which tools come no nearer to it, mm

    CannotMake when there is none as long as the dog, a thread is on it, or tools come to it.
    """
    long = table()["dog"]["long"]
    held = _at_back(stock, "the driving dog")
    if held.reach < long - SAME:
        raise CannotMake(
            f"the driving dog takes {long:g} mm of a cylinder at the end towards the spindle, and there are "
            f"{held.reach:.2f} mm of diameter {held.dia:g}"
        )
    nose = stock.back + long
    if any(low < nose - SAME for low, _ in threads):
        raise CannotMake(
            f"the driving dog stands on the last {long:g} mm, and a thread is there that its screw would crush"
        )
    if nose > keep_off + SAME:
        most = stock.front - nose - (stock.front - keep_off)
        raise CannotMake(
            f"the driving dog stands on the last {long:g} mm, as far as z {nose:.2f} mm, and tools come to z "
            f"{keep_off:.2f}, {-most:.2f} mm too far. Write a smaller turn_to, and turn the rest from the other end in "
            "a holding of its own"
        )
    return Gripped(held.dia, nose, stock.back)


def under_clamps(stock: Stock, *, keep_off: float) -> Gripped:
    """The flange at the back end, flat on a faceplate, with clamps on its front shoulder; far_z is the plate's face.

    CannotMake when there is no shoulder wide enough, or tools come to the clamps.
    """
    row, flange = table()["faceplate"], _at_back(stock, "the faceplate")
    front = stock.back + flange.reach
    beyond = between(stock.skyline, front, stock.front)
    for e in beyond:  # down its edge, its wall and the fillet at its foot
        if e.b[1] >= e.a[1] - SAME:
            break
        front = e.b[0]
    neck = 2.0 * height_over(beyond, (front + SAME, min(front + row["clamps"], stock.front)))
    wide = (flange.dia - neck) / 2.0
    if flange.reach > stock.length - SAME or wide < row["bears"]:
        raise CannotMake(
            f"clamps need {row['bears']:g} mm of shoulder to press on, in front of the cylinder at the end that lies "
            f"on the faceplate; there are {max(wide, 0.0):.2f} mm round diameter {neck:.2f}. Turn the work round, or "
            "hold it in the four-jaw chuck"
        )
    nose = front + row["clamps"]
    if nose > keep_off + SAME:
        raise CannotMake(
            f"the clamps reach {row['clamps']:g} mm over the shoulder they press on, to z {nose:.2f} mm, and tools "
            f"come to z {keep_off:.2f}. Write a smaller turn_to"
        )
    return Gripped(flange.dia, nose, stock.back, neck)


def _at_back(stock: Stock, hold: str) -> Grip:
    """The cylinder at the end towards the spindle. CannotMake where the work ends there in something else."""
    try:
        return stock.grip
    except BadInput:
        there = ", ".join(f"{c.dia:g} from z {c.far:.2f} to {c.near:.2f}" for c in cylinders(stock)) or "none"
        raise CannotMake(
            f"{hold} takes a cylinder at the end towards the spindle, and at z {stock.back:.2f} the work does not end "
            f"in one; its cylinders: {there}. Turn that end in a later holding, or give it a plain dia"
        ) from None


def in_bore(stock: Stock) -> Gripped:
    """The work on an arbor in the bore at its back end; far_z is the end of the arbor, which lies before the nose.

    CannotMake when there is no cylinder there, or too short a one.
    """
    hollow = stock.inside if stock.bore else stock.inside_back
    for e in hollow:
        if e.a[0] - stock.back > BROKEN_EDGE:
            break
        end = min(e.b[0], stock.front - ARBOR_SHORT)
        if isinstance(e, Line) and abs(e.a[1] - e.b[1]) <= SAME and end - e.a[0] >= max(LEAST, 2.0 * e.a[1]):
            return Gripped(2.0 * e.a[1], stock.back, end)
    raise CannotMake(
        "there is no bore at the back end that an arbor could open in: it takes a cylinder as long as it is wide, "
        f"and {LEAST:g} mm at the least (common practice)"
    )


def widest_hole(stock: Stock, stretch: tuple[float, float]) -> float:
    """Greatest diameter of the work's hollows in a stretch of z, mm; 0 where it is solid."""
    low, high = stretch
    hollow = [e for e in (*stock.inside, *stock.inside_back) if e.bounds()[0] < high and e.bounds()[2] > low]
    places = {low, high, *(p[0] for e in hollow for p in (e.a, e.b) if low <= p[0] <= high)}
    return 2.0 * max((x for e in hollow for z in places for x in radii(e, z)), default=0.0)


def _as_asked(
    stock: Stock,
    held: tuple[float, float],
    keep_off: float,
    threads: tuple[tuple[float, float], ...],
    *,
    steadied: bool,
) -> Gripped:
    far, near = min(held), max(held)
    for c in cylinders(stock):
        if c.far <= far + SAME and near <= c.near + SAME:
            why = _why_not(stock, Cylinder(c.dia, far, near), near, threads, steadied=steadied)
            if near > keep_off + SAME:
                why = f"the tools come to z {keep_off:.2f} mm"
            if why:
                raise CannotMake(f"the work can not be held from z {far:.2f} to {near:.2f} mm: {why}")
            return Gripped(c.dia, near, far)
    there = ", ".join(f"{c.dia:g} from z {c.far:.2f} to {c.near:.2f}" for c in cylinders(stock)) or "none"
    raise CannotMake(f"from z {far:.2f} to {near:.2f} mm there is no one cylinder to hold; the work has: {there}")


def _why_not(
    stock: Stock, c: Cylinder, nose: float, threads: tuple[tuple[float, float], ...], *, steadied: bool
) -> str:
    """Why a cylinder can not be held with the hold's nose there, or nothing."""
    length, out = nose - c.far, stock.front - nose
    if any(low < nose - SAME and high > c.far + SAME for low, high in threads):
        return "a thread is on it, which jaws would crush: hold it by its thread on a mandrel"
    needed = max(LEAST, PER_DIA * c.dia)
    if length < needed - SAME:
        return f"only {max(length, 0.0):.2f} mm of it are behind what is cut, {needed:g} are needed"
    if out > OVERHANG * length and not steadied:
        return f"{out:.2f} mm would stand out of {length:.2f} mm held, more than {OVERHANG:g} times"
    beyond = height_over(between(stock.skyline, stock.back, c.far), (stock.back, c.far))
    if 2.0 * beyond > c.dia + SAME:
        return f"the work is thicker behind it, diameter {2.0 * beyond:g}"
    return ""
