"""Volume and surface of every sample against solids: manifold3d 3.5, a library of meshes, hulls and booleans.

It knows neither lathe nor proof. The text's moves come from the plain interpreter; each is the library's own hull of
the tool at its two ends, the hulls of a set-up are joined by it, turned about the axis into a solid of SIDES sides,
and taken off the solid of the stock in space. A solid of n sides is less than the round one by a known factor.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path
from typing import Any

import manifold3d as solids
import numpy as np
import pytest
import shapely

from tests.oracles.listing import listing
from tests.oracles.replay import _way, bodies
from tests.proof import seeded
from toolpath.geometry.elements import Chain, points_of
from toolpath.plan.operations import ByHand
from toolpath.plan.steps import tools_of

JOBS = sorted(p.stem for p in seeded.SAMPLES.glob("*.toml"))
SIDES = 96
ROUND = (2.0 * math.pi / SIDES) / math.sin(2.0 * math.pi / SIDES)
"""Volume of a round solid over that of one of SIDES sides through the same corners."""

FINE = 0.00025
"""mm between the outlines' curves and their chords here."""

OFF = 0.0003
"""mm by which the two surfaces may be apart on average: both stand on chords, those of tools and ways of 1 µm here."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return seeded.shelf(tmp_path_factory.mktemp("shelf"))


def section(points: Any) -> solids.CrossSection:
    """Of corners (z, x), as the library turns it: radius to the right, z up."""
    return solids.CrossSection([np.asarray(points)[:, ::-1].copy()], solids.FillRule.EvenOdd)


def sections(chains: Iterable[Chain]) -> solids.CrossSection:
    return joined([section(points_of(c, FINE)[:-1]) for c in chains])


def joined(several: list[solids.CrossSection]) -> solids.CrossSection:
    return solids.CrossSection.batch_boolean(several, solids.OpType.Add) if several else solids.CrossSection()


def swept(case: seeded.Case) -> solids.CrossSection:
    """All that the cuts of the text cover, and what hands take off, on both sides of the axis."""
    plan, hulls = case.setup.plan, []
    edges = {t.number: bodies((t.outline, *t.steps)) for t in (*case.inputs.tools, *tools_of(plan.operations))}
    for act in listing(case.text, case.dialect.name):
        way = _way(act) if act.kind in ("feed", "arc") else np.empty((0, 2))
        for body in edges[act.tool] if len(way) else ():
            at = [section(body.corners + p) for p in way]
            hulls += [solids.CrossSection.batch_hull(pair) for pair in pairwise(at)]
    hands = sections(o for op in plan.operations if isinstance(op, ByHand) for o in op.removes)
    one_side = joined([*hulls, hands])
    return one_side + one_side.mirror((1.0, 0.0))


def turned(flat: solids.CrossSection) -> solids.Manifold:
    return solids.Manifold.revolve(flat, SIDES)


@pytest.mark.parametrize("job", JOBS)
def test_volume_and_surface_are_those_of_solids(job: str, folder: Path) -> None:
    for case in seeded.cases(folder, [job], ("g95",)):
        proof = case.setup.proof
        stock = turned(sections(case.setup.stock))
        left = stock - turned(swept(case))
        assert left.status() == solids.Error.NoError
        slack = OFF * left.surface_area()
        assert (stock.volume() - left.volume()) * ROUND == pytest.approx(proof.removed_mm3, abs=slack), case.name
        ours = shapely.union_all([shapely.Polygon(o) for o in (*proof.result, *(p.outline for p in proof.parted))])
        assert left.surface_area() == pytest.approx(surface(ours), rel=5e-4), case.name
        same = left ^ turned(sections_of(ours))
        both = left.volume() + turned(sections_of(ours)).volume() - 2.0 * same.volume()
        assert both < 2.0 * slack, f"{case.name}: {both:.2f} mm3 lie in one of the two solids only"


def sections_of(area: Any) -> solids.CrossSection:
    rings = [r for p in shapely.get_parts(area) for r in (p.exterior, *p.interiors)]
    return solids.CrossSection([np.array(r.coords)[:-1, ::-1].copy() for r in rings], solids.FillRule.EvenOdd)


def surface(area: Any) -> float:
    """mm2 of what turns about the axis: each stretch a cone's skin, pi (r1 + r2) s (Pappus)."""
    total = 0.0
    for ring in shapely.get_rings(shapely.get_parts(area)):
        z, x = shapely.get_coordinates(ring).T
        total += float(np.sum(np.hypot(np.diff(z), np.diff(x)) * (x[1:] + x[:-1])))
    return math.pi * total
