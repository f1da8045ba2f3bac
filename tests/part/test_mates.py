"""Whether a screw and its hole close up face to face; lengths worked out by hand beside each row.

A turn to spare and a mouth open over the turns that are not full: common practice; how near a shoulder may come to a
screw without relief, 3 P, is GB/T 3.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.part.rows import part, refusal
from toolpath.part.halfsection import HalfSection
from toolpath.part.mates import Closing, closing

HEAD = "{ dia = 15, to = 25 }"


def screw(words: str, *, to: float = 9.0, thread: str = "M10x1-6g", rest: str = HEAD) -> str:
    return f'{{ thread = "{thread}", to = {to}, {words} }}, {rest}'


def nut(words: str, *, to: float = 12.0) -> str:
    return f'{{ thread = "M10x1-6H", to = {to}, {words} }}'


def joint(half: HalfSection) -> Closing:
    (on,) = half.threads
    found = closing(half, on)
    assert found is not None
    return found


OUT = "{ dia = 24, to = 30 }"
POINT = "cut_by = 'point'"
BLIND = "{ hole = 8.5, deep = 16 }"


def test_a_screw_with_relief_is_as_long_as_its_row_chamfer_and_relief_included() -> None:
    found = joint(part(screw("undercut = true, mate_deep = 11")))
    assert (found.male, found.female, found.bare) == (pytest.approx(9.0), 11.0, 0.0)
    assert found.spare == pytest.approx(2.0)


def test_a_pilot_before_the_thread_is_no_part_of_it() -> None:
    half = part(f"{{ dia = 8, to = 4 }}, {screw('undercut = true, mate_deep = 11', to=14)}")
    assert joint(half).male == pytest.approx(10.0)


def test_an_edge_broken_at_the_end_counts() -> None:
    half = part(screw("undercut = true, no_start = true, mate_deep = 11"), break_edges=0.2)
    assert joint(half).male == pytest.approx(9.0)


def test_the_one_behind_is_measured_from_its_own_shoulder() -> None:
    rows = f'{HEAD}, {{ thread = "M10x1-6g", to = 33, no_start = true, mate_deep = 11, mate_mouth = 3 }}'
    assert joint(part(rows)).male == pytest.approx(8.0)


def test_a_tapped_hole_is_full_as_far_as_its_row_says_and_a_bored_one_two_pitches_less() -> None:
    tapped = joint(part(OUT, inside=f"{nut('mate_long = 9')}, {BLIND}"))
    bored = joint(part(OUT, inside=f"{nut(f'{POINT}, mate_long = 9')}, {BLIND}"))
    assert (tapped.female, bored.female) == (pytest.approx(12.0), pytest.approx(10.0))


def test_a_relief_inside_takes_the_screw_s_end() -> None:
    rows = f"{nut(f'{POINT}, undercut = true, mate_long = 10')}, {BLIND}"
    assert joint(part(OUT, inside=rows)).female == pytest.approx(12.0)


def test_from_the_back_it_is_the_same() -> None:
    row = nut('cut_by = "point", from = "back", mate_long = 9')
    back = part(OUT, inside=f"{row}, {{ hole = 8.5, deep = 16, from = 'back' }}")
    assert joint(back).female == pytest.approx(10.0)
    assert joint(back.turned_round()).female == pytest.approx(10.0)


def test_a_thread_that_runs_through_is_never_too_shallow() -> None:
    for rows in (nut("mate_long = 40", to=30), f"{nut('mate_long = 40')}, {{ hole = 12, through = true }}"):
        assert joint(part(OUT, inside=rows)).female is None
    narrow = f"{nut('mate_long = 9')}, {{ hole = 3, through = true, from = 'back' }}"
    assert joint(part(OUT, inside=narrow)).female == pytest.approx(12.0)


def test_without_a_mate_nothing_is_judged() -> None:
    (on,) = part(screw("undercut = true")).threads
    assert closing(part(screw("undercut = true")), on) is None


def test_without_relief_the_mouth_must_be_open_over_what_is_not_full() -> None:
    """3 P from the last full turn to the shoulder, GB/T 3."""
    found = joint(part(screw("mate_deep = 11, mate_mouth = 3")))
    assert (found.bare, found.mouth) == (pytest.approx(3.0), 3.0)


REFUSED = [
    (screw("undercut = true, mate_deep = 9.5"), "",
     "part.outside[0]: M10x1 is 9 mm long from its shoulder and the mate is full to 9.5 mm: the screw jams at its end "
     "before the faces meet. Let the hole be deeper than the screw is long by a turn at the least, 1 mm"),
    (OUT, f"{nut('mate_long = 11.5')}, {BLIND}",
     "part.inside[0]: the mate is 11.5 mm long from its shoulder and M10x1 is full to 12 mm: the screw jams at its end "
     "before the faces meet. Let the hole be deeper than the screw is long by a turn at the least, 1 mm"),
    (screw("mate_deep = 12"), "",
     "part.outside[0]: the last 3 mm of M10x1 before its shoulder are not full, for it has no relief, and the mate's "
     "mouth is open 0 mm deep: the screw jams there before the faces meet. Write undercut = true, or counterbore the "
     "mate to the thread's diameter and write mate_mouth"),
    (screw("mate_deep = 12", rest="{ dia = 7, to = 20 }"), "",
     "part.outside[0]: a mate that is so deep stops a screw at its shoulder, and this one has none. Let a larger "
     "diameter follow it, or leave mate_deep out"),
    (f"{{ dia = 14, to = 4 }}, {screw('mate_deep = 12', to=14)}", "",
     "part.outside[1]: a mate that is so deep stops a screw at its shoulder, and this one has "
     "one at either end. Let a larger diameter follow it, or leave mate_deep out"),
    (screw("mate_mouth = 1"), "",
     "part.outside[0].mate_mouth: mate_mouth says how deep the mate's mouth is open, and nothing says how deep the "
     "mate is. Write mate_deep, from the mate's face to the end of its full thread"),
]  # fmt: skip


@pytest.mark.parametrize(("outside", "inside", "said"), REFUSED)
def test_what_jams_is_refused_at_its_row_with_the_figures(outside: str, inside: str, said: str) -> None:
    assert refusal(outside, inside=inside) == said


def test_each_has_its_own_words() -> None:
    assert "'mate_long' is not known here" in refusal(screw("mate_long = 9"))
    assert "'mate_deep' is not known here" in refusal(OUT, inside=nut("mate_deep = 9"))


@settings(max_examples=40, deadline=None)
@given(
    long=st.floats(6.0, 20.0),
    deep=st.floats(6.0, 24.0),
    thread=st.sampled_from(["M10x1-6g", "M10-6g", "1/4-28 UNF-2A", "1/4 BSW", "2 BA"]),
)
def test_a_pair_passes_exactly_with_a_turn_to_spare_whichever_of_the_two_is_drawn(
    long: float, deep: float, thread: str
) -> None:
    """The same two lengths are judged from the screw's drawing and from the hole's."""
    rows = screw(f"mate_mouth = 9, mate_deep = {deep}", to=long, thread=thread)
    pitch = part(screw("no_start = true", thread=thread)).threads[0].threaded.thread.pitch
    fits = deep - long >= pitch
    hole = f'{{ thread = "{thread.split("-6g")[0].split("-2A")[0]}", to = {deep}, mate_long = {long} }}'
    drilled = f"{hole}, {{ hole = 3, deep = {deep + 3.0} }}"
    for outside, inside in ((rows, ""), ("{ dia = 24, to = 40 }", drilled)):
        if fits:
            assert joint(part(outside, inside=inside)).spare == pytest.approx(deep - long)
        elif deep - long < pitch - 1e-5:
            assert "jams" in refusal(outside, inside=inside)
