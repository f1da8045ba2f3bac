"""Collets and chucks: outlines behind the nose face, bars they take, how much they must grip."""

from __future__ import annotations

import pytest

from toolpath.errors import BadInput
from toolpath.geometry.elements import Chain, signed_area
from toolpath.shop.holding import chuck, collet, refuse_no_grip, refuse_too_long


def extent(chains: tuple[Chain, ...]) -> tuple[float, float, float, float]:
    boxes = [e.bounds() for c in chains for e in c]
    return (min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes))


def test_the_smallest_collet_that_takes_the_bar() -> None:
    assert [collet(d, nose_z=0.0).name for d in (6, 12, 16, 20, 25)] == [
        "ER16 collet",
        "ER20 collet",
        "ER25 collet",
        "ER32 collet",
        "ER40 collet",
    ]
    assert collet(6, nose_z=0.0, size="ER32").name == "ER32 collet"


@pytest.mark.parametrize("hold", [collet(16, nose_z=-44.0), chuck(16, nose_z=-44.0), chuck(50, nose_z=-44.0, body=125)])
def test_outlines_stand_behind_the_nose_and_outside_the_bar(hold) -> None:  # type: ignore[no-untyped-def]
    bar = 25.0 if "125" in hold.name else 8.0
    z0, x0, z1, x1 = extent(hold.outlines)
    assert (z1, x0) == (-44.0, bar)
    assert z0 < -60.0 and x1 > bar + 5.0
    assert all(signed_area(c) > 0.0 for c in hold.outlines)


def test_jaws_stand_before_the_chuck_body() -> None:
    """100 mm chuck: the front step of the jaws is low, their rest and the body reach the outside."""
    front, rest, body = chuck(20, nose_z=0.0).outlines
    assert extent((front,)) == (-10.0, 10.0, 0.0, 21.0)
    assert extent((rest,)) == (-30.0, 10.0, -10.0, 50.0)
    assert extent((body,))[2:] == (-30.0, 50.0)


@pytest.mark.parametrize(("body", "widest"), [(80, 55), (100, 70), (125, 90), (160, 120)])
def test_the_widest_bar_keeps_the_jaws_within_the_body(body: float, widest: float) -> None:
    """Jaws must not stand out past the chuck's body (Optimum lathe manuals), so the table ends before they would."""
    front, rest, _ = chuck(widest, nose_z=0.0, body=body).outlines
    assert extent((front,))[1] == widest / 2
    assert extent((front,))[3] < extent((rest,))[3] == body / 2
    with pytest.raises(BadInput, match="holds bars of"):
        chuck(widest + 0.1, nose_z=0.0, body=body)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: collet(27, nose_z=0), "no collet for a bar of 27 mm: the largest takes 3 to 26 mm. Use the chuck"),
        (lambda: collet(25, nose_z=0, size="ER32"), "ER32 collets take 2 to 20 mm"),
        (lambda: collet(25, nose_z=0, size="ER23"), "'ER23' is no collet size. Did you mean"),
        (lambda: chuck(75, nose_z=0), "a 100 mm chuck holds bars of 2 to 70 mm, not of 75 mm"),
        (lambda: chuck(20, nose_z=0, body=400), "a chuck of 400 mm is not known"),
    ],
)
def test_bars_that_do_not_go_in(make, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(BadInput) as caught:
        make()
    assert message in str(caught.value)


def test_grip_length() -> None:
    hold = chuck(25, nose_z=-60)
    assert hold.least_grip == 25.0
    assert collet(5, nose_z=-10).least_grip == 8.0
    refuse_too_long(25, length=90, stick_out=65, hold=hold)
    with pytest.raises(BadInput, match="80 mm of bar sticking out 65 mm leaves 15 mm to hold"):
        refuse_too_long(25, length=80, stick_out=65, hold=hold)


def test_a_collet_runs_truer_than_a_chuck() -> None:
    assert collet(10, nose_z=0).run_out < chuck(10, nose_z=0).run_out
    assert any("key" in c for c in chuck(10, nose_z=0).cautions)


@pytest.mark.parametrize(("bore", "crushed"), [(0.0, False), (10.0, False), (12.8, False), (12.9, True), (15.0, True)])
def test_jaws_on_a_thin_tube_want_a_plug(bore: float, crushed: bool) -> None:
    """A wall of less than a tenth of the diameter, 1.6 mm on a tube of 16 (common practice, no source)."""
    told = [c for c in chuck(16.0, nose_z=0.0, bore=bore).cautions if "plug" in c]
    assert len(told) == crushed
    assert all(f"its wall is {(16.0 - bore) / 2.0:g} mm, less than 1.6 mm" in c for c in told)


@pytest.mark.parametrize(("dia", "length", "held"), [(4.0, 8.0, True), (4.0, 7.9, False), (20.0, 19.0, False)])
def test_a_cylinder_too_short_to_be_held(dia: float, length: float, held: bool) -> None:
    if held:
        refuse_no_grip(dia, length)
        return
    with pytest.raises(BadInput, match=f"of {dia:g} mm, is {length:g} mm long. To be held it needs at least"):
        refuse_no_grip(dia, length)
