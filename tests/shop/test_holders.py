"""Holder designations, and holders that keep behind the edges they carry."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from toolpath.errors import BadInput
from toolpath.geometry.elements import points_of, signed_area
from toolpath.shop import holders, outlines
from toolpath.shop.inserts import insert

RAD = math.radians

# Angle behind the nose of insert and holder style, deg. Source: Tootool technical information (in-copy angles).
BEHIND = [
    ("CCMT 060204", "SCLCR 1010 E06", 5),
    ("DCMT 070204", "SDJCR 1010 E07", 32),
    ("VCMT 110304", "SVJCR 1212 F11", 52),
]


@pytest.mark.parametrize(("code", "holder", "behind"), BEHIND)
def test_trailing_angle_of_common_holders(code: str, holder: str, behind: float) -> None:
    hold, ins = holders.holder(holder), insert(code)
    hold.seat.refuse_unfit(ins)
    assert math.degrees(hold.seat.edges_with(ins.corners[0])[1]) == pytest.approx(behind)


# Sources: Sumitomo General Catalogue 2019-20; H and P Kyocera Turning Technical Information 2016.
@pytest.mark.parametrize(
    ("style", "angle"),
    [("A", 90), ("B", 75), ("D", 45), ("E", 60), ("G", 90), ("J", 93), ("L", 95), ("S", 45), ("T", 60), ("Y", 85),
     ("H", 107.5), ("P", 117.5)],
)  # fmt: skip
def test_style_letters(style: str, angle: float) -> None:
    seat = holders.holder(f"SV{style}CR 1212 F11").seat
    assert not seat.faces
    entering, trailing = seat.edges_with(RAD(35))
    assert math.degrees(entering) == pytest.approx(angle)
    assert math.degrees(trailing) == pytest.approx(180 - angle - 35)


def test_facing_styles_measure_from_the_cross_feed() -> None:
    """The cutting edge angle lies between the edge and the feed (ISO 3002-1, from memory), so a facing holder is a
    turning holder of the same angle with z and x exchanged: leading edge for trailing edge."""
    for facing, turning, code in (
        ("SSKCR 1212 F09", "SSBCR 1212 F09", "SCMT 09T304"),
        ("STFCR 1212 F11", "STGCR 1212 F11", "TCMT 110204"),
        ("SDUCR 1212 F11", "SDJCR 1212 F11", "DCMT 11T304"),
    ):
        included = insert(code).corners[0]
        face, turn = (holders.holder(h).seat for h in (facing, turning))
        assert face.faces and not turn.faces and face.entering == turn.entering
        entering, trailing = face.edges_with(included)
        assert entering - math.pi / 2.0 == pytest.approx(turn.edges_with(included)[1])
        assert trailing == pytest.approx(turn.edges_with(included)[0] - math.pi / 2.0)
        assert entering + trailing + included == pytest.approx(math.pi)
    with pytest.raises(BadInput, match=r"90 deg entering at 93 deg has -3 deg behind its nose"):
        holders.holder("SSUCR 1212 F09").seat.edges_with(RAD(90))


def test_hand_and_shank() -> None:
    hold = holders.holder("sdjcl 1212f07")
    assert (hold.seat.designation, hold.seat.hand, hold.width) == ("SDJCL 1212 F07", "left", 12.0)
    assert holders.holder("SDNCN 1010 E07").seat.hand == "neutral"
    assert holders.holder("SDNCN 1010 E07").far_side == 5.0


@pytest.mark.parametrize(
    ("code", "holder", "message"),
    [
        ("CCMT 060204", "SDJCR 1010 E07", "its shape is C, the holder's D"),
        ("DNMG 150408", "SDJCR 1010 E15", "its clearance letter is N, the holder's C"),
        ("DCMT 11T304", "SDJCR 1010 E07", "its size is 11, the holder's 07"),
    ],
)
def test_inserts_that_do_not_sit(code: str, holder: str, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        holders.holder(holder).seat.refuse_unfit(insert(code))
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("S10K SCLCR06", "no designation of a turning holder"),
        ("SDXCR 1010 E07", "style letter 'X'"),
        ("", "no designation"),
    ],
)
def test_holders_that_are_not_known(text: str, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        holders.holder(text)
    assert message in str(caught.value)


@settings(max_examples=150, deadline=None)
@given(
    entering=st.floats(45.0, 107.0),
    included=st.floats(35.0, 90.0),
    nose=st.floats(0.0, 1.2),
    edge=st.floats(5.0, 12.0),
    width=st.floats(8.0, 16.0),
)
def test_head_stays_behind_both_edges(entering: float, included: float, nose: float, edge: float, width: float) -> None:
    """Every corner of the head lies at least the set-back behind the lines of both edges, and behind the nose."""
    assume(180.0 - entering - included > 0.5)
    kr, e = RAD(entering), RAD(included)
    far = holders.far_side(width)
    shank = holders.Shank(left=far - width, right=far, set_back=0.3, reach=60.0)
    head, body = holders.edged_holder(kr, e, shank, nose=nose, edge=edge)
    corner = outlines.sharp_corner(kr, e, nose)
    for chain in (head, body):
        assert signed_area(chain) > 0.0
    for z, x in points_of(head, 1e-3):
        dz, dx = z - corner[0], x - corner[1]
        behind_leading = dz * math.sin(kr) + dx * math.cos(kr)  # distance to the right of the leading edge's line
        behind_trailing = dx * math.cos(kr + e) * -1.0 - dz * math.sin(kr + e)
        assert behind_leading >= 0.3 - 1e-9
        assert behind_trailing >= 0.3 - 1e-9
        assert x >= 0.3 - 1e-9
    assert max(x for _, x in points_of(body, 1e-3)) == pytest.approx(60.0)


def test_too_short_an_overhang_is_refused() -> None:
    shank = holders.Shank(left=2.0, right=12.0, set_back=0.3, reach=9.0)
    with pytest.raises(BadInput, match="stands out 9 mm, its head alone takes"):
        holders.edged_holder(RAD(93), RAD(55), shank, nose=0.4, edge=7.75)
    with pytest.raises(BadInput, match="stands out 9 mm"):
        holders.round_holder(4.0, shank)


def test_set_back_follows_the_clearance_under_the_insert() -> None:
    assert holders.set_back(insert("VCMT 160404")) == pytest.approx(4.76 * math.tan(RAD(7)))
    assert holders.set_back(insert("CNMG 120404")) == holders.LEAST_SET_BACK
