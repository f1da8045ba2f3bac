"""`--material`: what changes against the job's own material, operation by operation, and what is no longer possible."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from toolpath.commands.inputs import Inputs, read_inputs
from toolpath.commands.road import Made, dialect_of, request, suited
from toolpath.errors import BadInput, CannotMake, HalfsectionError
from toolpath.plan.operations import ByHand, Operation, Planned
from toolpath.plan.plan import Plan, plan
from toolpath.plan.setups import next_stock, request_of

Key = tuple[str, str, int, int]
"""Set-up, kind, number of the tool (0 by hand), and which of several alike."""

WALL = 0.005
"""mm by which a wall must differ to be told."""


class Own(Struct, frozen=True):
    """The job in its own material: its plans, or why there are none."""

    inputs: Inputs | None
    plans: tuple[Plan, ...]
    refused: str = ""


def own(path: Path, *, sizes: Mapping[str, str], post: str | None) -> Own:
    """The job as it stands, planned and not proven; a refusal is returned, not raised."""
    try:
        inputs = read_inputs(path, sizes=sizes)
        dialect = dialect_of(inputs, post)
        inputs = replace(inputs, machine=suited(inputs.machine, dialect))
        base, holdings, out = request(inputs, dialect=dialect), inputs.job.holdings, []
        stock = base.stock
        for number in range(1, len(holdings) + 1):
            out.append(plan(request_of(base, holdings, number, stock)))
            stock = next_stock(out[-1], holdings) if number < len(holdings) else stock
    except HalfsectionError as error:
        return Own(None, (), str(error))
    return Own(inputs, tuple(out))


def no_longer(error: BadInput | CannotMake, path: Path, *, sizes: Mapping[str, str], material: str) -> HalfsectionError:
    """The refusal of a job in another material, with whatever else is no longer possible in it.

    The very error where the job can not be made of its own material either.
    """
    was = own(path, sizes=sizes, post=None)
    if was.inputs is None or was.inputs.material.name == material:
        return error
    more = [f"T{n}: {why}" for n, why in _unfit(was, material) if why not in str(error)]
    told = f"Of {was.inputs.material.title}, the job's own material, it can be made; of this it no longer can"
    said = "; ".join([told, *more])
    if isinstance(error, BadInput):
        right = f"{error.right}. {said}" if error.right else said
        return BadInput(error.what, where=error.where, right=right, file=error.file, line=error.line)
    return CannotMake(f"{error}. {said}")


def _unfit(was: Own, name: str) -> Iterator[tuple[int, str]]:
    """Tools that the job uses in its own material and that do not cut the other one."""
    from toolpath.shop.materials import material

    assert was.inputs is not None
    try:
        other = material(name, was.inputs.job.materials)
    except BadInput:
        return
    turning = {op.tool.number: op.tool for p in was.plans for op in p.operations if isinstance(op, Operation)}
    for number, tool in sorted(turning.items()):
        if tool.works != "hole":
            try:
                other.speed(tool.material)
            except BadInput as error:
                yield number, error.what


def changes(was: Own, made: Made) -> tuple[str, ...]:
    """What is otherwise in the material at hand, one line each; () where it is the job's own."""
    now = made.inputs
    if was.inputs is None:
        return (f"in its own material the job can not be made: {was.refused}",)
    if was.inputs.material == now.material:
        return ()
    before, after = _keyed(was.plans), _keyed([s.plan for s in made.setups])
    return (
        f"material: {now.material.title} instead of {was.inputs.material.title}",
        *_walls(was.inputs, now),
        *_holes(was.inputs, now),
        *_order(list(before), list(after)),
        *(line for key in after if key in before for line in _figures(key, before[key], after[key])),
        *_by_hand(before, after),
        *_cautions(was, made),
    )


def _keyed(plans: Sequence[Plan]) -> dict[Key, Planned]:
    """Every operation by a name that the same one has in another plan."""
    out: dict[Key, Planned] = {}
    seen: Counter[tuple[str, str, int]] = Counter()
    for p in plans:
        for op in p.operations:
            alike = (p.name, op.kind, op.tool.number if isinstance(op, Operation) else 0)
            out[(*alike, seen[alike])] = op
            seen[alike] += 1
    return out


def _named(key: Key) -> str:
    setup, kind, number, which = key
    again = f", the {which + 1}." if which else ""
    return f"set-up {setup}, {kind} {f'with T{number}' if number else 'by hand'}{again}"


def _figures(key: Key, before: Planned, after: Planned) -> Iterator[str]:
    """Speed, feed, depth and count of cuts that are no longer the same."""
    if isinstance(before, ByHand) or isinstance(after, ByHand):
        return
    a, b = before.data, after.data
    pairs = (
        ("m/min", a.surface.value, b.surface.value, 0, b.surface.because),
        ("rpm", a.rpm.value, b.rpm.value, 0, b.rpm.because),
        ("mm a turn", a.feed.value, b.feed.value, 3, b.feed.because),
        ("mm deep", before.depth, after.depth, 2, b.depth.because),
        ("cuts", before.passes, after.passes, 0, ""),
    )
    told = [
        f"{new:.{digits}f} {unit} instead of {old:.{digits}f}" + (f" ({why})" if why else "")
        for unit, old, new, digits, why in pairs
        if f"{old:.{digits}f}" != f"{new:.{digits}f}"
    ]
    if told:
        yield f"{_named(key)}: {'; '.join(told)}"


def _by_hand(before: Mapping[Key, Planned], after: Mapping[Key, Planned]) -> Iterator[str]:
    """What a hand does otherwise: die and tap, and the steps of drills, with their words."""
    for key, op in after.items():
        there = before.get(key)
        if isinstance(op, ByHand) and not (isinstance(there, ByHand) and there.does == op.does):
            yield f"{_named(key)}: now {op.does}"


def _order(before: list[Key], after: list[Key]) -> Iterator[str]:
    """Operations that are gone, or new, or come in another order."""
    for key in before:
        if key not in after:
            yield f"{_named(key)} falls away"
    for key in after:
        if key not in before:
            yield f"{_named(key)} is new"
    kept = [k for k in after if k in before]
    if kept != [k for k in before if k in after]:
        yield f"the order is now {', then '.join(_named(k) for k in after)}"


def _walls(before: Inputs, now: Inputs) -> Iterator[str]:
    """The wall that is allowed, and the thinnest there is."""
    a, b = before.least_wall.thick, now.least_wall.thick
    if abs(a - b) >= WALL:
        is_now = f"; the thinnest here is {now.wall.thick:.2f}" if now.wall else "; the part has none"
        yield f"walls: at least {b:g} mm instead of {a:g} ({now.least_wall.why}){is_now}"
    if before.wall and now.wall and abs(before.wall.thick - now.wall.thick) >= WALL:
        yield f"walls: the thinnest is {now.wall.thick:.2f} mm instead of {before.wall.thick:.2f}"


def _holes(before: Inputs, now: Inputs) -> Iterator[str]:
    """Holes that are picked otherwise for what they hold."""
    if before.part.inside != now.part.inside or before.part.inside_back != now.part.inside_back:
        low, high = (100.0 * share for share in now.material.closes_in)
        closes = f"a hole in {now.material.title} closes in by {low:g} to {high:g} % once it is cool"
        yield f"holes: picked anew, for {closes}"


def _cautions(was: Own, made: Made) -> Iterator[str]:
    """Cautions that are new."""
    old = {c for p in was.plans for c in p.cautions}
    for caution in dict.fromkeys(c for s in made.setups for c in s.plan.cautions):
        if caution not in old:
            yield f"caution: {caution}"
