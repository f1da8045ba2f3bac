"""A centre hole as a row: its seat, its pilot, alone at its end.

Mouths of ISO 6411 centre holes (a published page of SN EN ISO 6411): 2.12 for a pilot of 1, 3.35 for 1.6, 4.25 for 2,
5.3 for 2.5, 6.7 for 3.15, 8.5 for 4, 13.2 for 6.3, 21.2 for 10 mm. The seat is 60 degrees (ISO 866, DIN 333).
"""

from __future__ import annotations

import math

import pytest

from toolpath.errors import BadInput
from toolpath.part.halfsection import HalfSection, build
from toolpath.part.words import inside_rows, outside_rows

PUBLISHED = [
    ("A1", 1.0, 2.12),
    ("A1.6", 1.6, 3.35),
    ("A2", 2.0, 4.25),
    ("A2.5", 2.5, 5.3),
    ("A3.15", 3.15, 6.7),
    ("A4", 4.0, 8.5),
    ("A6.3", 6.3, 13.2),
    ("A10", 10.0, 21.2),
]


def part(*rows: dict[str, object]) -> HalfSection:
    outside = outside_rows({"outside": [{"dia": 30, "to": 80}]}, unit="mm", names={})
    return build(outside, inside=inside_rows({"inside": list(rows)}, unit="mm", names={}), break_edges=0.2)


@pytest.mark.parametrize(("size", "pilot", "mouth"), PUBLISHED)
def test_the_seat_opens_to_the_published_mouth(size: str, pilot: float, mouth: float) -> None:
    made = part({"centre": size})
    seat, behind, floor = made.inside
    assert 2.0 * seat.a[1] == pytest.approx(mouth) and 2.0 * seat.b[1] == pytest.approx(pilot)
    assert math.atan((seat.a[1] - seat.b[1]) / (seat.a[0] - seat.b[0])) == pytest.approx(math.radians(30.0))
    assert behind.a[1] == behind.b[1] and floor.b[1] == 0.0
    assert {s.made for s in made.inside_surfaces} == {"centred"}
    assert made.outside[0].a == pytest.approx((0.0, mouth / 2.0))  # its edge is not broken: the centre bears on it


def test_one_in_each_end_and_its_volume() -> None:
    """A2, by hand: a frustum 2.125 to 1 over 1.9486, a pilot to 2.5 with its point of 0.6009, twice."""
    made = part({"centre": "A2"}, {"centre": "A2", "from": "back"})
    seat = 1.125 / math.tan(math.radians(30.0))
    point = 1.0 / math.tan(math.radians(59.0))
    frustum = math.pi * seat / 3.0 * (2.125**2 + 2.125 + 1.0)
    hole = frustum + math.pi * (2.5 - point) + math.pi * point / 3.0
    whole = part()
    assert whole.volume() - made.volume() == pytest.approx(2.0 * hole, rel=1e-9)
    assert min(e.bounds()[0] for e in made.inside_back) == pytest.approx(-80.0)


def test_a_mouth_of_its_own() -> None:
    assert part({"centre": "A2", "mouth": 3.0}).inside[0].a[1] == 1.5
    assert part({"centre": "#2", "mouth": 4.0}).inside[0].a[1] == 2.0


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        ([{"centre": "A22"}], "part.inside[0].centre: there is no centre drill 'A22'"),
        ([{"centre": 2}], "part.inside[0].centre: 2 is no centre drill"),
        ([{"centre": "A2", "mouth": 6}], "part.inside[0].mouth: a A2 makes no seat of 6 mm. Between 2 and 5 mm"),
        ([{"centre": "#2"}], "how far the seat of a #2 is to open is not known. Write mouth"),
        ([{"centre": "B2"}], "how far the guard of a B2 opens is not known. Take type A"),
        ([{"centre": "A2"}, {"hole": 3, "deep": 9}], "part.inside[0]: a centre hole is alone at its end"),
        ([{"centre": "A2"}, {"centre": "A2"}], "a centre hole is alone at its end"),
        ([{"centre": "A2", "deep": 3}], "'deep' does not belong beside 'centre'"),
    ],
)
def test_refused(rows: list[dict[str, object]], message: str) -> None:
    with pytest.raises(BadInput) as caught:
        part(*rows)
    assert message in str(caught.value)


def test_rows_after_it_keep_their_numbers() -> None:
    made = part({"centre": "A2"}, {"hole": 6, "deep": 12, "from": "back"})
    assert {s.place("part") for s in made.inside_back_surfaces if s.row is not None} == {"part.inside[1]"}
    assert {s.place("part") for s in made.inside_surfaces} == {"part.inside[0]"}
