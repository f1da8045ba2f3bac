"""Lines can be told apart without colour, and with the eyes of people who see red and green alike."""

from __future__ import annotations

from itertools import combinations

import pytest
from ezdxf.colors import aci2rgb
from ezdxf.lldxf.const import VALID_DXF_LINEWEIGHTS

from toolpath.drawing.figure import PATHS
from toolpath.drawing.scene import LAYERS
from toolpath.drawing.styles import INK, PAPER, PENCIL, STYLES, stroke

RGB = tuple[float, float, float]
# Machado, Oliveira and Fernandes, A physiologically-based model for simulation of color vision deficiency, IEEE TVCG
# 15 (2009), severity 1.0, on linear light (figures from memory; each row must come to 1, checked below).
SEEN_BY = {
    "protanope": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "deuteranope": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
}


def linear(colour: str) -> RGB:
    """Linear light of `#rrggbb` by the sRGB curve (IEC 61966-2-1)."""
    channels = [int(colour[k : k + 2], 16) / 255.0 for k in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return (r, g, b)


def contrast(one: str, other: str) -> float:
    """Contrast ratio of WCAG 2.1, from relative luminance."""
    light = sorted(sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear(v), strict=True)) for v in (one, other))
    return (light[1] + 0.05) / (light[0] + 0.05)


def lab(rgb: RGB) -> RGB:
    """CIE L*a*b* under D65 of linear sRGB (CIE 15)."""
    to_xyz = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
    xyz = [sum(m * max(0.0, min(1.0, c)) for m, c in zip(row, rgb, strict=True)) for row in to_xyz]
    x, y, z = (
        v ** (1 / 3) if v > 216 / 24389 else (24389 / 27 * v + 16) / 116
        for v in (c / w for c, w in zip(xyz, (0.9505, 1.0, 1.089), strict=True))
    )
    return (116 * y - 16, 500 * (x - y), 200 * (y - z))


def test_every_layer_has_a_style():
    assert list(STYLES) == list(LAYERS)


@pytest.mark.parametrize(("one", "other"), list(combinations(PATHS, 2)))
def test_any_two_paths_differ_in_dash_and_weight_together(one, other):
    a, b = STYLES[one], STYLES[other]
    assert a.dash != b.dash, "the dash alone must tell them apart in black and white"
    assert a.dash != b.dash or a.weight != b.weight


def test_cuts_stand_out_by_weight():
    assert STYLES["RAPID"].weight < STYLES["ROUGH"].weight < STYLES["FINISH"].weight < STYLES["PART"].weight


@pytest.mark.parametrize("name", LAYERS)
def test_lines_show_on_paper(name):
    """WCAG 2.1, 1.4.11: graphical objects need 3 : 1; labels in the layer's colour are text, 1.4.3: 4.5 : 1 is met
    by every layer but the thin rapid."""
    assert contrast(STYLES[name].colour, PAPER) >= (3.0 if name == "RAPID" else 4.5)


def test_lettering_shows_on_paper():
    assert contrast(INK, PAPER) >= 7.0  # 1.4.6, the stricter bar
    assert contrast(PENCIL, PAPER) >= 4.5  # 1.4.3


def test_contrast_is_reckoned_as_published():
    """WCAG's own ends of the scale: black on white 21 : 1, equal colours 1 : 1; #767676 on white just passes 4.5."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert 4.5 < contrast("#767676", "#ffffff") < 4.6


@pytest.mark.parametrize("eye", SEEN_BY)
@pytest.mark.parametrize(("one", "other"), list(combinations(("RAPID", "ROUGH", "FINISH", "PART"), 2)))
def test_the_common_lines_keep_different_colours_for_any_eye(eye, one, other):
    """A difference of 2.3 in CIE 1976 is just seen (Mahy and others, 1994; from memory); ten is plain."""
    seen = [
        lab(tuple(sum(m * c for m, c in zip(row, linear(STYLES[n].colour), strict=True)) for row in SEEN_BY[eye]))
        for n in (one, other)
    ]
    assert sum((a - b) ** 2 for a, b in zip(*seen, strict=True)) ** 0.5 >= 10.0


def test_the_eye_models_leave_white_white():
    assert all(sum(row) == pytest.approx(1.0, abs=2e-6) for rows in SEEN_BY.values() for row in rows)


@pytest.mark.parametrize("name", LAYERS)
def test_dxf_knows_the_weights_and_shows_the_colours_on_black_and_on_white(name):
    style = STYLES[name]
    assert round(style.weight * 100) in VALID_DXF_LINEWEIGHTS
    if style.aci != 7:  # DXF reference: 7 is black on white and white on black
        shown = "#{:02x}{:02x}{:02x}".format(*aci2rgb(style.aci))
        assert contrast(shown, "#ffffff") >= 3.0 and contrast(shown, "#000000") >= 3.0


def test_a_dash_has_one_linetype_and_a_linetype_one_dash():
    assert len({s.dash for s in STYLES.values()}) == len({s.kind for s in STYLES.values()})
    assert len({(s.dash, s.kind) for s in STYLES.values()}) == len({s.kind for s in STYLES.values()})
    assert all(len(s.dash) % 2 == 0 for s in STYLES.values())


def test_a_style_as_attributes_of_a_line():
    assert stroke(STYLES["ROUGH"]) == {"fill": "none", "stroke": "#a64b00", "stroke_width": 0.25}
    assert stroke(STYLES["RAPID"])["stroke_dasharray"] == "1.2 1.6"
