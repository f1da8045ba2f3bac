"""`[finish] compensation = "control"` from the job file to the report."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import shapely

from tests.commands.conftest import SAMPLES, Call


def setup_of(folder: Path) -> dict[str, object]:
    (setup,) = json.loads((folder / "stepped-arbor.json").read_text(encoding="utf-8"))["setups"]
    assert isinstance(setup, dict)
    return setup


def test_the_sample_arbor_is_the_same_either_way(bench: Path, call: Call) -> None:
    """Same metal left within rounding, proven from either text; each report says who compensated."""
    job = bench / "stepped-arbor.toml"
    shutil.copy(SAMPLES / job.name, job)
    assert call("make", job.name, "-q", "-o", "own").code == 0
    job.write_text(job.read_text(encoding="utf-8") + '\n[finish]\ncompensation = "control"\n', encoding="utf-8")
    assert call("make", job.name, "-q", "-o", "aside").code == 0
    own, aside = setup_of(bench / "own"), setup_of(bench / "aside")
    assert (own["compensation"], aside["compensation"]) == (False, True)
    for setup in (own, aside):
        assert isinstance(setup["gouge_mm"], float) and setup["gouge_mm"] <= 0.6e-3
    results = [[shapely.Polygon(o) for o in s["result"]] for s in (own, aside)]  # type: ignore[attr-defined]
    for a, b in zip(*results, strict=True):
        assert shapely.hausdorff_distance(a, b) < 1e-3
    texts = [(bench / f / "stepped-arbor-1.nc").read_text(encoding="utf-8") for f in ("own", "aside")]
    assert ["G42 " in text for text in texts] == [False, True]


def test_a_job_whose_contour_does_not_allow_it_is_refused_with_the_way_round(bench: Path, call: Call) -> None:
    """The bush has a square shoulder: a nose leaves a fillet there, and the published language refuses the corner."""
    job = bench / "bush.toml"
    job.write_text(job.read_text(encoding="utf-8") + '\n[finish]\ncompensation = "control"\n', encoding="utf-8")
    code, out, err = call("make", "bush.toml")
    assert (code, out) == (1, "")
    assert "inner corner at z -6.00, diameter 7.98" in err
    assert 'leave out [finish] compensation, or say "program"' in err
    assert not (bench / "bush").exists()
