"""One job through every dialect that comes with the program: written, read back, proven, the same surface each time."""

from __future__ import annotations

import json
from pathlib import Path

import shapely

from tests.commands.conftest import Call

DIALECTS = ("g95", "g99", "iso6983", "plain94")


def test_the_bush_is_the_same_in_every_dialect(bench: Path, call: Call) -> None:
    machine = bench / "machines" / "bench.toml"
    machine.write_text(machine.read_text(encoding="utf-8") + "\nunits_by_g70_g71 = true\n", encoding="utf-8")
    surfaces, texts = [], {}
    for name in DIALECTS:
        assert call("make", "bush.toml", "-q", "--post", name, "-o", name).code == 0
        (setup,) = json.loads((bench / name / "bush.json").read_text(encoding="utf-8"))["setups"]
        assert setup["gouge_mm"] <= 0.6e-3
        surfaces.append([shapely.Polygon(o) for o in setup["result"]])
        texts[name] = (bench / name / "bush-1.nc").read_text(encoding="ascii")
    for other in surfaces[1:]:
        for a, b in zip(surfaces[0], other, strict=True):
            assert shapely.hausdorff_distance(a, b) < 1e-3  # half a last digit of each, across and along
    assert ["G96" in texts[n] for n in DIALECTS] == [True, True, False, False]
    assert "X words are radii" in texts["plain94"] and "set zero anew" in texts["plain94"].replace("\n", " ")
    assert max(map(len, texts["plain94"].splitlines())) < 70


def test_units_that_are_cycles_elsewhere_need_the_machines_word(bench: Path, call: Call) -> None:
    code, out, err = call("make", "bush.toml", "--post", "iso6983")
    assert (code, out) == (1, "")
    assert "machines/bench.toml" in err and "units_by_g70_g71: the dialect iso6983 sets units by G70 and G71" in err
    assert not (bench / "bush").exists()
