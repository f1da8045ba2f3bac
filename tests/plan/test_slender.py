"""A free end that is long for its thickness: told, and refused where no tool could hold it straight."""

from __future__ import annotations

import pytest

from tests.plan.workshop import cuts, made, part, request
from toolpath.errors import CannotMake
from toolpath.plan.plan import plan
from toolpath.plan.slender import NEEDLE, SLENDER, sections, slenderness
from toolpath.shop.materials import material


def test_the_free_end_that_is_longest_for_its_thickness() -> None:
    """6 mm for 30 mm is five times; behind it 20 mm at 50 mm are two and a half."""
    thin = part({"dia": 4, "to": 5}, {"dia": 6, "to": 30}, {"dia": 20, "to": 50})
    assert slenderness(thin.outside) == pytest.approx((30.0, 6.0))


def test_a_thin_end_behind_a_thick_one_hangs_on_nothing() -> None:
    behind = part({"dia": 20, "to": 5}, {"dia": 6, "to": 40}, {"dia": 20, "to": 50})
    assert slenderness(behind.outside) == pytest.approx((50.0, 20.0))


def test_a_slender_end_is_told_and_a_stout_one_is_not() -> None:
    slender = plan(request(part({"dia": 6, "to": 30}, {"dia": 20, "to": 40})))
    assert any("30.0 mm of the free end are no thicker than 6 mm" in c for c in slender.cautions)
    stout = plan(request(part({"dia": 6, "to": 6 * SLENDER - 1.0}, {"dia": 20, "to": 40})))
    assert not any("free end" in c for c in stout.cautions)


def test_a_needle_is_refused_with_its_figures() -> None:
    with pytest.raises(CannotMake, match=r"41\.0 mm of the part's free end are no thicker than 4 mm, 10 times"):
        plan(request(part({"dia": 4, "to": 4 * NEEDLE + 1.0}, {"dia": 20, "to": 50})))


THIN = ({"dia": 6, "to": 30}, {"dia": 20, "to": 40})


def test_sections_end_on_steps_where_one_is_near() -> None:
    even = request(part(*THIN))
    assert sections(even) == (10.0, 20.0, 30.0)
    stepped = request(part({"dia": 5, "to": 12}, {"dia": 6, "to": 30}, {"dia": 20, "to": 40}))
    assert sections(stepped) == (12.0, 20.0, 30.0)
    assert sections(request(part({"dia": 6, "to": 20}, {"dia": 20, "to": 40}))) == ()


@pytest.mark.parametrize(
    ("rows", "dia"),
    [
        (THIN, 25.0),
        (({"dia": 6, "to": 40},), 12.0),
        (({"dia": 5, "to": 12}, {"dia": 6, "to": 30}, {"taper_to": 20, "to": 45}, {"dia": 18, "to": 50}), 25.0),
        (({"dome_to": 4, "length": 2}, {"taper_to": 6, "to": 34}, {"dia": 16, "to": 40}), 20.0),
    ],
)  # fmt: skip
def test_slender_work_is_turned_section_by_section(rows: tuple[dict[str, float], ...], dia: float) -> None:
    """Proven from the text: each section is finished before any cut goes on along the bar, to the chuck."""
    piece = made(request(part(*rows), dia=dia))
    assert piece.stops == [] and piece.proof.gouge_mm < 1e-3
    ends = (*sections(piece.asked), -min(e.b[0] for e in piece.plan.work.rows))
    turned = [op for op in piece.program.operations if op.kind in ("rough", "finish")]
    assert [op.kind for op in turned] == ["rough", "finish"] * (len(turned) // 2) and len(turned) >= 2 * len(ends) - 2
    for k, op in enumerate(turned):
        deepest = -min(s.end[0] for s in cuts(op))
        end = ends[min(k // 2, len(ends) - 1)]
        assert deepest <= end + 0.5 or k >= len(turned) - 2, (op.kind, deepest, end)
        if op.kind == "finish":
            long = [s for s in cuts(op) if abs(s.end[0] - s.start[0]) > 2.0 and abs(s.end[1] - s.start[1]) < 1.0]
            assert long and all(s.end[0] < s.start[0] for s in long)
    assert "section 1 of" in piece.plan.operations[1].because


def test_sections_leave_less_on_than_one_cut_over_all(monkeypatch: pytest.MonkeyPatch) -> None:
    """6 x 40 from 12 mm bar: the same cuts, in one and in sections."""
    asked = request(part({"dia": 6, "to": 40}), dia=12.0)

    def left() -> float:
        return max(op.data.thick.value for op in plan(asked).operations if op.kind == "finish")

    apart = left()
    monkeypatch.setattr("toolpath.plan.plan.sections", lambda _: ())
    at_once = left()
    assert apart < at_once / 5.0


def test_a_finish_pass_too_often_is_done_in_every_section() -> None:
    once, twice = (plan(request(part(*THIN), finish_passes=n)) for n in (1, 2))
    passes = [[op.passes for op in p.operations if op.kind == "finish"] for p in (once, twice)]
    assert passes == [[1, 1, 1, 1], [2, 2, 2, 2]]


def test_what_is_left_thick_is_told_with_what_helps() -> None:
    told = plan(request(part({"dia": 6, "to": 40}), dia=12.0, material=material("nylon"))).cautions
    (caution,) = [c for c in told if c.startswith("A finish cut leaves")]
    assert "nylon (PA 6, PA 66), 6 mm at its thinnest" in caution and "What helps: a centre in its free end" in caution
    stout = plan(request(part({"dia": 18, "to": 30}, {"dia": 20, "to": 40})))
    assert not any("A finish cut leaves" in c for c in stout.cautions)
