"""What there is to see of a set-up: stock, part, hold, and every move of the program as it was read back."""

from __future__ import annotations

from toolpath.cutting.drilling import OPERATIONS
from toolpath.drawing.scene import Mark, Scene, scene
from toolpath.geometry.elements import Chain, Element, Line, arc_about, polyline
from toolpath.motion import ArcCut, Move, Operation, Program, Rapid, ThreadCut
from toolpath.plan.operations import ByHand
from toolpath.plan.plan import Plan
from toolpath.proof.prove import Proof

LAYER_OF = {
    **dict.fromkeys(OPERATIONS, "DRILL"),
    "face": "ROUGH",
    "rough": "ROUGH",
    "finish": "FINISH",
    "groove": "GROOVE",
    "part off": "GROOVE",
    "break off": "GROOVE",
    "saw off": "GROOVE",
    "thread": "THREAD",
}


def picture(title: str, plan: Plan, program: Program, proof: Proof) -> Scene:
    """The scene of one set-up."""
    by_hand = [op for op in plan.operations if isinstance(op, ByHand)]
    holding = list(plan.work.hold.outlines)
    holding += [o for op in by_hand for o in op.holds or () if o not in holding]
    strokes: dict[str, list[Chain]] = {
        "STOCK": list(plan.work.stock),
        "PART": [plan.request.part.outline],
        "HOLDING": holding,
        "UNCUT": [polyline(list(u.outline), close=True) for u in proof.uncut],
        "RAPID": [],
        "ROUGH": [],
        "FINISH": [],
        "GROOVE": [],
        "THREAD": [],
        "DRILL": [],
    }
    for op in by_hand:
        for outline in op.removes:
            strokes[LAYER_OF[op.kind]].append(outline)
    for operation in program.operations:
        for layer, run in _runs(operation):
            strokes[layer].append(run)
    marks = [Mark(f.at, f.text) for f in proof.findings if f.at is not None and f.rank != "note"]
    return scene(title, strokes, marks=marks)


def _layer(move: Move, kind: str) -> str:
    if isinstance(move, Rapid | ThreadCut):
        return "RAPID" if isinstance(move, Rapid) else "THREAD"
    return LAYER_OF[kind]


def _runs(operation: Operation) -> list[tuple[str, Chain]]:
    """Moves that follow each other in one layer, as chains."""
    out: list[tuple[str, list[Element]]] = []
    for step in operation.steps:
        if not isinstance(step, Move) or step.start == step.end:
            continue
        layer = _layer(step, operation.kind)
        if isinstance(step, ArcCut):
            element: Element = arc_about(step.centre, step.start, step.end, ccw=step.ccw)
        else:
            element = Line(step.start, step.end)
        if out and out[-1][0] == layer and out[-1][1][-1].b == element.a:
            out[-1][1].append(element)
        else:
            out.append((layer, [element]))
    return [(layer, tuple(run)) for layer, run in out]
