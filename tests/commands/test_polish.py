"""`polished_um`: free diameters are turned larger by what papers take, fits and threads are not; papers are listed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.commands.conftest import SAMPLES, Call
from toolpath.part.allowance import left_on
from toolpath.part.halfsection import build
from toolpath.part.words import outside_rows

HEAD = f"""
title = "Trial"
machine = "{SAMPLES}/machines/bench.toml"
tools = "{SAMPLES}/racks/drawer.toml"
material = "brass"
break_edges = 0
[bar]
dia = 25
length = 90
[finish]
height_um = 6.3
polished_um = 2.0
"""
ROWS = """
[part]
outside = [
  { dia = "10 h9", to = 8 },
  { dia = 14, to = 20 },
  { taper_to = 20, to = 30 },
  { dia = "20 -0.02/-0.05", to = 36 },
]
[[holding]]
in = "collet"
"""


def test_free_diameters_are_left_larger(tmp_path: Path, call: Call) -> None:
    job = tmp_path / "trial.toml"
    job.write_text(HEAD + ROWS, "utf-8")
    said = call("make", str(job), "-o", str(tmp_path / "out"))
    assert (said.code, said.err) == (0, "")
    report = json.loads((tmp_path / "out" / "trial.json").read_text("utf-8"))
    radii = {z: max(r for a, r in report["setups"][0]["part"][0] if abs(a - z) < 1e-6) for z in (-8.0, -20.0, -36.0)}
    takes = float(report["polish"][0].split("; ")[1].split(" mm")[0])
    corners = [r for z, r in report["setups"][0]["part"][0] if abs(z + 8.0) < 1e-6]
    assert min(corners) == pytest.approx((10.0 - 0.018) / 2.0, abs=1e-4)  # h9 of 10: 0 to -36 µm, ISO 286
    assert max(corners) == pytest.approx(7.0 + takes / 2.0, abs=1e-3) == radii[-20.0]
    assert radii[-36.0] == pytest.approx(10.0 - 0.0175, abs=1e-4)
    assert report["setups"][0]["gouge_mm"] < 1e-3
    assert "\nPolish\n" in said.out and "- P320: takes 0.020 mm off the diameter, leaves 4.6 µm" in said.out
    text = (tmp_path / "out" / "trial-1.nc").read_text("ascii")
    assert "(POLISH: P400: takes" in text and "never wrapped" in text


def test_a_job_that_is_not_polished_is_left_nothing(tmp_path: Path, call: Call) -> None:
    job = tmp_path / "trial.toml"
    job.write_text(HEAD.replace("polished_um = 2.0", "") + ROWS, "utf-8")
    said = call("make", str(job), "-o", str(tmp_path / "out"))
    assert said.code == 0 and "Polish" not in said.out
    assert "polish" not in json.loads((tmp_path / "out" / "trial.json").read_text("utf-8"))


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ("polished_um = 2.0", "polished_um = 0", "0 µm is no height of a surface"),
        ("polished_um = 2.0", "polished_um = 8", "nothing to polish them to"),
        ('"brass"', '"magnesium"', "its dust burns and explodes"),
    ],
)
def test_refused(old: str, new: str, why: str, *, tmp_path: Path, call: Call) -> None:
    job = tmp_path / "trial.toml"
    job.write_text((HEAD + ROWS).replace(old, new), "utf-8")
    said = call("make", str(job), "-o", str(tmp_path / "out"))
    assert said.code == 1 and "finish.polished_um" in said.err and why in said.err


def test_threads_and_what_runs_into_a_fit_stay() -> None:
    """A neck, a dome and a free taper grow; a thread, a fit and the taper that meets it do not."""
    rows = outside_rows(
        {
            "outside": [
                {"dome_to": 6, "length": 2},
                {"taper_to": "9 h9", "to": 8},
                {"dia": "9 h9", "to": 14},
                {"thread": "M12x1.5-6g", "to": 24, "cut_by": "die"},
                {"dia": 16, "to": 30},
                {"neck": 12, "to": 34},
                {"dia": 16, "to": 40},
            ]
        },
        unit="mm",
        names={},
    )
    drawn, turned = build(rows, break_edges=0.0), build(left_on(rows, 0.1), break_edges=0.0)

    def radius(part: object, z: float) -> float:
        found = [e for e in part.outside if min(e.a[0], e.b[0]) < z < max(e.a[0], e.b[0])]  # type: ignore[attr-defined]
        return max(e.a[1] if abs(e.a[0] - z) < abs(e.b[0] - z) else e.b[1] for e in found)

    for z, more in ((-11.0, 0.0), (-20.0, 0.0), (-27.0, 0.05), (-32.0, 0.05), (-38.0, 0.05)):
        assert radius(turned, z) - radius(drawn, z) == pytest.approx(more, abs=1e-9), z
