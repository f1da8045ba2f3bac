"""Full-form inserts of the rack: how far over their end they cut the crest, by the standards' own heights."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from toolpath.errors import BadInput
from toolpath.shop.rack import load_rack
from toolpath.shop.tools import Tool

BAR = "bar = 6\noverhang = 20"


def tool(tmp_path: Path, words: str) -> Tool:
    rack = tmp_path / "rack.toml"
    rack.write_text(f'title = "x"\n[[tool]]\nnumber = 1\nkind = "threading"\n{words}\n', encoding="utf-8")
    (one,) = load_rack(rack)
    return one


@pytest.mark.parametrize("p", [1.0, 1.5, 2.0])
@pytest.mark.parametrize(
    ("angle", "more", "height"),
    [
        (60, "", 0.613435),  # ISO 68-1, h3 of the screw; a maker's full-form table has 0.613 P
        (60, BAR, 0.541266),  # ISO 68-1, 5/8 H in the hole; the same table has 0.541 P
        (55, "", 0.640327),  # BS 84
        (55, BAR, 0.640327),
    ],
)
def test_from_root_to_crest_it_is_the_height_of_the_standard(
    tmp_path: Path, p: float, angle: int, more: str, height: float
) -> None:
    made = tool(tmp_path, f"angle = {angle}\ndepth = 2.5\nfull_form = {p}\n{more}")
    assert made.full is not None and made.full.pitch == p
    assert made.full.crest == pytest.approx(height * p, abs=1.2e-3)  # its end is rounded to 0.001 mm
    assert any("by the standard" in line for line in made.assumed)


def test_threads_to_the_inch(tmp_path: Path) -> None:
    made = tool(tmp_path, 'angle = 55\ndepth = 2\nfull_form = "19 tpi"')
    assert made.full is not None and made.full.pitch == pytest.approx(25.4 / 19.0)


def test_its_edge_over_the_crest_cuts_and_is_wider_than_a_pitch(tmp_path: Path) -> None:
    """One turn after the other must meet: half the edge is 0.75 P (common practice)."""
    made = tool(tmp_path, f"angle = 60\ndepth = 2\nfull_form = 1\n{BAR}")
    (land,) = made.steps
    zs, xs = [e.a[0] for e in land], [e.a[1] for e in land]
    assert made.full is not None
    assert (min(zs), max(zs)) == (-0.75, 0.75) and max(xs) == pytest.approx(-made.full.crest)
    assert made.works == "inside" and min(xs) == -2.0


def test_an_end_of_its_own_moves_the_crest_so_that_the_pitch_line_stays(tmp_path: Path) -> None:
    """A flat of P/8 instead of the radius H/6: from 0.613435 to 0.649519 P (ISO 68-1)."""
    made = tool(tmp_path, "angle = 60\ndepth = 2\nfull_form = 1\nflat = 0.125")
    assert made.full is not None and made.full.crest == pytest.approx(0.649519, abs=1e-6)
    assert math.degrees(made.included_angle) == pytest.approx(60.0)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("angle = 60\ndepth = 0.6\nfull_form = 1", "a depth of 0.6 mm does not hold the full form. It takes 0.72 mm"),
        (
            "angle = 30\ndepth = 3\nfull_form = 3",
            "the root of a full form of 30 degrees is not known. Write flat or",
        ),
        (
            "angle = 60\ndepth = 3\nfull_form = 1\nflat = 0.6",
            "so blunt an end leaves nothing of a thread of this",
        ),
        ("angle = 60\ndepth = 3\nfull_form = 1\nflat = 0.1\nradius = 0.1", "ends in a flat or in a radius"),
    ],
)
def test_what_is_no_full_form_is_refused(tmp_path: Path, words: str, said: str) -> None:
    with pytest.raises(BadInput) as error:
        tool(tmp_path, words)
    assert said in str(error.value)


def test_of_30_degrees_with_its_flat(tmp_path: Path) -> None:
    """A trapezoidal crest lies a quarter of the pitch over the pitch line (ISO 2901)."""
    made = tool(tmp_path, "angle = 30\ndepth = 3\nfull_form = 3\nflat = 0.96")
    below = (1.5 - 0.96) / (2.0 * math.tan(math.radians(15.0)))
    assert made.full is not None and made.full.crest == pytest.approx(below + 0.75)
