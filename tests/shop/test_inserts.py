"""Insert designations against the published code tables."""

from __future__ import annotations

import math

import pytest

from toolpath.errors import BadInput
from toolpath.shop.inserts import insert

# Size code by inscribed circle. Source: Widia catalogue 2017.
SIZES = [
    (5.56, {"C": "05", "D": "06", "S": "05", "T": "09", "V": "09", "W": "03"}),
    (6.35, {"C": "06", "D": "07", "S": "06", "T": "11", "V": "11", "W": "04"}),
    (7.94, {"C": "08", "D": "09", "S": "07", "T": "13", "V": "13", "W": "05"}),
    (9.525, {"C": "09", "D": "11", "S": "09", "T": "16", "V": "16", "W": "06"}),
    (12.70, {"C": "12", "D": "15", "S": "12", "T": "22", "V": "22", "W": "08"}),
]


@pytest.mark.parametrize(("ic", "codes"), SIZES)
def test_size_code_is_the_edge_length_truncated(ic: float, codes: dict[str, str]) -> None:
    """ISO 1832: the size is the edge length (as tabled, to 0.1 mm) without its decimals; ours come from the circle."""
    for letter, code in codes.items():
        ins = insert(f"{letter}CMT {code}T304")
        assert ins.ic == ic
        assert math.floor(round(ins.sides[-1], 1)) == int(code), (letter, ic, ins.sides[-1])


# Worked by hand from IC / sin(angle) for rhombic and IC sqrt(3) for triangular inserts.
@pytest.mark.parametrize(
    ("code", "edge"),
    [("CCMT 0602", 6.45), ("CCMT 09T3", 9.67), ("DCMT 0702", 7.75), ("DCMT 11T3", 11.63), ("VCMT 1103", 11.07),
     ("VCMT 1604", 16.6), ("TCMT 0902", 9.63), ("TCMT 1102", 11.0), ("TCMT 16T3", 16.5)],
)  # fmt: skip
def test_edge_lengths(code: str, edge: float) -> None:
    assert insert(code + "04").sides[-1] == pytest.approx(edge, abs=0.02)


# Source: Denitool "ISO 1832 designation", Mitsubishi General Catalogue 2020-21, Tungaloy 2020-21.
EXAMPLES = [
    ("CCMT060204", 80, 7, 6.35, 2.38, 0.4),
    ("CCMT 09T304", 80, 7, 9.525, 3.97, 0.4),
    ("DCMT 070204", 55, 7, 6.35, 2.38, 0.4),
    ("dcmt 11T308", 55, 7, 9.525, 3.97, 0.8),
    ("VCMT 110304", 35, 7, 6.35, 3.18, 0.4),
    ("VBMT 160412", 35, 5, 9.525, 4.76, 1.2),
    ("TCMT 090204", 60, 7, 5.56, 2.38, 0.4),
    ("TPGH 110201", 60, 11, 6.35, 2.38, 0.1),
    ("SNMG 120416", 90, 0, 12.7, 4.76, 1.6),
    ("WNMG 080408", 80, 0, 12.7, 4.76, 0.8),
    ("DEGX 150400", 55, 20, 12.7, 4.76, 0.0),
]


@pytest.mark.parametrize(("code", "angle", "clearance", "ic", "thickness", "nose"), EXAMPLES)
def test_published_designations(
    code: str, angle: float, clearance: float, ic: float, thickness: float, nose: float
) -> None:
    ins = insert(code)
    assert math.degrees(ins.corners[0]) == pytest.approx(angle)
    assert math.degrees(ins.clearance) == pytest.approx(clearance)
    assert (ins.ic, ins.thickness, ins.nose_radius) == (ic, thickness, pytest.approx(nose))


def test_corner_angles_close_the_polygon() -> None:
    """The angles inside a polygon of n corners make (n - 2) half turns."""
    for code in (
        "CCMT 060204",
        "DCMT 070204",
        "VCMT 110304",
        "SCMT 09T304",
        "TCMT 110204",
        "WCMT 06T304",
        "KNUX 160405",
    ):
        corners = insert(code).corners
        assert sum(corners) == pytest.approx((len(corners) - 2) * math.pi)


def test_round_inserts() -> None:
    ins = insert("RCMT 0803M0")
    assert (ins.ic, ins.nose_radius, ins.corners) == (8.0, 4.0, ())


def test_pressed_edges_are_honed_and_ground_ones_are_sharp() -> None:
    assert insert("CCMT 060204").honed
    assert not insert("CCGT 060204").honed
    assert not insert("DCEX 070202").honed


def test_what_follows_the_designation_is_left_aside() -> None:
    assert insert("CCMT 060204-F2").designation == "CCMT 060204"
    assert insert(" ".join(["ccmt", "060204", "F"])).designation == "CCMT 060204"


@pytest.mark.parametrize(
    ("code", "message"),
    [
        ("CCMT", "no insert designation"),
        ("21.51", "no insert designation"),
        ("", "no insert designation"),
        ("XCMT 060204", "the shape letter 'X' is not known"),
        ("CZMT 060204", "the clearance letter 'Z' is not known"),
        ("CCMT 070204", "the size of a 80 deg rhombic insert '07' is not known. Did you mean"),
        ("CCMT 069904", "the thickness '99' is not known"),
        ("CCMT 0602M0", "M0 in place of the nose radius belongs to round inserts"),
        ("RCMT 060204", "M0 in place of the nose radius belongs to round inserts"),
    ],
)
def test_what_can_not_be_read_is_named(code: str, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        insert(code)
    assert message in str(caught.value)
