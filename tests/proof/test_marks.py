"""What the proof finds stands at its place in the DXF and in the picture, with its words."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import ezdxf
import pytest

from posts.reader import read
from tests.proof import seeded
from toolpath.commands.picture import picture
from toolpath.commands.road import noses, setting
from toolpath.drawing.dxf import write_dxf
from toolpath.drawing.figure import svg
from toolpath.proof.prove import prove


def test_findings_are_marked_where_they_are(tmp_path: Path) -> None:
    """A rapid sent 3 mm into the bar: a ring at the point that the finding names, its text in both."""
    case = next(iter(seeded.cases(seeded.shelf(tmp_path), ["plumb-bob-cap"], ("g95",))))
    text = case.text.replace("G00 Z1.0\n", "G00 Z-3.0\n", 1)
    plan, program = case.setup.plan, read(text, case.dialect, noses=noses(case.inputs.tools))
    proof = prove(program, setting(case.inputs, plan, case.setup.stock))
    found = next(f for f in proof.findings if f.code == "rapid-contact")
    assert found.at is not None
    scene = picture("cap", plan, program, proof)
    assert (found.at, found.text) in {(m.at, m.text) for m in scene.marks}
    drawing = ezdxf.read(StringIO(write_dxf(scene).decode()))
    rings = [c.dxf.center for c in drawing.modelspace().query("CIRCLE")]
    assert any((r.x, r.y) == pytest.approx(found.at, abs=1e-6) for r in rings)
    words = " ".join(" ".join(t.dxf.text.split()) for t in drawing.modelspace().query("TEXT"))
    number = 1 + [m.text for m in scene.marks].index(found.text)
    assert f"{number} {found.text[:30]}" in words
    assert f"Finding {number}: {found.text[:30]}" in svg(scene)
