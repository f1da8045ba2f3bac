"""What holds for every thread: partners fit, limits are in order, a designation reads back as itself."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.errors import BadInput, HalfsectionError
from toolpath.quantity.units import INCH
from toolpath.shop.threads import Thread, limits, read_thread
from toolpath.shop.threads.forms import profile
from toolpath.shop.threads.standards import known_threads
from toolpath.shop.threads.thread import helix_angle

KNOWN = st.sampled_from(known_threads())


@st.composite
def classed(draw: st.DrawFn) -> Thread:
    """A metric or Unified thread of some class, or any other as it comes."""
    name = draw(KNOWN)
    if name.startswith("M"):
        letters = draw(st.sampled_from(["6g", "6h", "6f", "8g", "4h", "5g6g", "6H", "7H", "6G", "5H6H", "6H/6f"]))
        return read_thread(f"{name}-{letters}")
    if " U" in name:
        return read_thread(f"{name}-{draw(st.sampled_from(['1A', '2A', '3A', '1B', '2B', '3B']))}")
    return read_thread(name)


@st.composite
def free(draw: st.DrawFn) -> Thread:
    dia = draw(st.floats(2.0, 60.0).map(lambda x: round(x, 2)))
    pitch = draw(st.floats(0.2, min(6.0, dia / 5.0)).map(lambda x: round(x, 2)))
    angle = draw(st.sampled_from([29, 30, 45, 47.5, 53, 55, 60, 80, 90]))
    return read_thread(f"{dia:g} x {pitch:g} {angle}deg")


@given(st.one_of(classed(), free()))
def test_a_screw_fits_every_hole_of_its_name(thread: Thread) -> None:
    found = limits(thread)
    for side in (found.screw, found.hole):
        if side is None:
            continue
        for part in (side.major, side.pitch, side.minor):
            assert part.least < part.greatest
        assert side.minor.greatest < side.pitch.least
        assert side.pitch.greatest < side.major.least + 1e-9
    if found.screw is not None and found.hole is not None:
        assert found.screw.major.greatest <= found.hole.major.least + 1e-9
        assert found.screw.pitch.greatest <= found.hole.pitch.least + 1e-9
        # A Unified hole's minor diameter is printed to 0.001 in, so half of that is its own.
        rounding = 0.0005 * INCH if thread.form == "unified" else 0.0
        assert found.screw.minor.greatest <= found.hole.minor.least + rounding + 1e-9


@given(st.one_of(classed(), free()))
def test_the_form_is_in_order(thread: Thread) -> None:
    form = profile(thread)
    assert 0 < form.root <= form.minor < form.pitch_dia < thread.diameter <= form.hole_major
    assert form.depth(thread.diameter) > 0
    for size in (form.crest_flat, form.root_flat, form.crest_radius, form.root_radius):
        assert 0 <= size < thread.pitch / 2
    assert 0 < helix_angle(thread.lead, form.pitch_dia) < math.radians(30)


@given(KNOWN, st.booleans())
def test_a_designation_reads_back_as_itself(name: str, left: bool) -> None:
    thread = read_thread(f"{name} LH" if left else name)
    assert thread.left == left
    assert read_thread(thread.in_full) == thread


@given(free())
def test_a_free_thread_reads_back_as_itself(thread: Thread) -> None:
    assert read_thread(thread.designation) == thread


@given(st.floats(0.1, 3.0).map(lambda x: round(x, 3)), st.integers(8, 40))
def test_inches_and_millimetres_are_one_thread(inches: float, tpi: int) -> None:
    if 1 / tpi > inches / 5:
        return
    a = read_thread(f"{inches} in x {tpi} tpi 60deg")
    b = read_thread(f"{inches * INCH:.9g} x {INCH / tpi:.12g} 60deg")
    assert (a.diameter, a.pitch) == (pytest.approx(b.diameter), pytest.approx(b.pitch))


def test_angles_choose_the_form() -> None:
    assert [read_thread(f"12 x 1 {a}deg").form for a in (60, 55, 47.5, 53)] == ["iso", "whitworth", "ba", "free"]
    form = profile(read_thread("12 x 1 90deg"))
    assert (form.pitch_dia, form.minor) == (pytest.approx(12 - 0.375), pytest.approx(12 - 0.625))  # V of P/2


@given(st.text(alphabet='M10x1-69gG/42 BAUNCFSWTr.#"()PLHdeg,\u00d7°', max_size=24))
def test_no_text_ends_in_a_traceback(text: str) -> None:
    try:
        limits(read_thread(text))
    except HalfsectionError as error:
        assert str(error)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "no thread is named"),
        ("M" * 61, "this is too long for a thread"),
        ("hello", "'hello' is no thread that is known. Threads are written M10x1-6g"),
        ("5/16-24 UNG", "Did you mean 5/16-24 UNF?"),
        ("M10x1 UNF", "Did you mean M10x1?"),
        ("12 x 1.25", "Did you mean M12x1.25?"),
        ("12 x 8 60deg", "a pitch of 8 mm can not be cut on 12 mm"),
        ("600 x 8 60deg", "a thread of 600 mm can not be meant"),
        ("12 x 1 170deg", "170 degrees is no angle of a thread"),
        ("0 x 1 60deg", "'0' has to be larger than 0"),
        ("12 x 0 60deg", "'0' has to be larger than 0"),
        ("12 x 0 tpi 60deg", "has no threads to the inch"),
        ("20 x 3 (P2) 60deg", "no whole number of pitches"),
        ("20 x 3 (P0) 60deg", "no whole number of pitches"),
    ],
)
def test_what_is_said_to_a_slip(text: str, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        read_thread(text)
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("M10x1 LH", True),
        ("M10x1-LH", True),
        ("M10x1-6g-LH", True),
        ("M10 left-hand", True),
        ("M10 RH", False),
        ("M10", False),
    ],
)
def test_the_hand(text: str, left: bool) -> None:
    assert read_thread(text).left is left
