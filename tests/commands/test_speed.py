"""`speed`: what it prints of a material, that its figures are those of the formulas, and what it refuses."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.commands.conftest import Call
from toolpath.commands.speed_answer import OPERATIONS, answer, asked
from toolpath.commands.speed_page import page
from toolpath.errors import BadInput, CannotMake
from toolpath.shop.materials import material, names

PART_OFF = """\
tin bronze, diameter 12 mm, HSS
taken          a usual bench lathe: 100 to 2500 rpm, 500 W, chuck 1500 rpm
               (--machine FILE takes yours)
taken          HSS bit, 93 deg, nose 0.4, blade 2 mm wide, 16 mm out; the work
               stands 2 diameters out of the chuck, a hole is 5 deep

             m/min  ft/min     rpm   feed mm       in   depth mm       in
part off      16.5      54     438     0.050   0.0020       2.00    0.079

part off
  surface      16.5 m/min: tin bronze with HSS (Smithy: 30-40), times 0.55 for
               parting
  spindle      438 rpm: 16.5 m/min at diameter 12
  feed         0.050 mm a turn: a blade on a bench machine (War Department lathe
               manual: 0.05)
  depth        2.00 mm: one blade width, 2 mm (common practice)

force          1000 N/mm2 at a 1 mm chip: common practice, between Iscar 700 and
               1780 from memory
"""


def test_one_operation_in_full(call: Call) -> None:
    """30 x 0.55 = 16.5 m/min; 16 500 / (12 pi) = 437.7 rpm, by hand."""
    said = call("speed", "bronze", "--dia", "12", "--tool", "hss", "--operation", "part-off")
    assert (said.code, said.err) == (0, "")
    assert said.out.startswith(PART_OFF)
    assert said.out.endswith("Advice is common practice, no source, but where one is named.\n")


def test_every_operation_of_every_material_fits_the_page() -> None:
    for name in names():
        found = answer(asked(name, None, tool=None, own=None), dia=12.0, operations=OPERATIONS)
        lines = list(page(found))
        assert max(map(len, lines)) <= 80
        for heading in ("edge ", "coolant ", "heat ", "chips ", "spring-back ", "with a die "):
            assert any(line.startswith(heading) for line in lines), (name, heading)
        assert [row["operation"] for row in found["operations"] if "refused" in row] == [], name


def test_several_words_and_a_trade_name(call: Call) -> None:
    assert call("speed", "mild", "steel").out == call("speed", "S275").out
    assert call("speed", "6082", "--dia", "1/2 in").out.startswith("aluminium, wrought, diameter 12.7 mm, carbide")


def test_json_has_the_same_figures(call: Call) -> None:
    """Navy manual: brass is drilled at 61 m/min with HSS; at 10 mm that asks for 1942 rpm, the chuck stands 1500."""
    said = json.loads(call("speed", "brass", "--dia", "10", "--json").out)
    drill = next(row for row in said["operations"] if row["operation"] == "drill")
    assert (said["tool"], drill["tool"]) == ("carbide", "HSS")
    assert drill["wanted"]["m_min"] == 61 and "Navy manual" in drill["wanted"]["because"]
    assert drill["spindle"] == {"rpm": 1500.0, "because": "the chuck stands 1500 rpm"}
    assert drill["surface"]["m_min"] == pytest.approx(math.pi * 10 * 1500 / 1000, abs=0.01)
    assert drill["surface"]["ft_min"] == pytest.approx(drill["surface"]["m_min"] / 0.3048, abs=0.1)
    assert said["figures"]["kc11_n_mm2"] == {"value": 700.0, "source": material("brass").sources["kc11"]}


def test_the_machine_bounds_it(bench: Path, call: Call) -> None:
    said = json.loads(call("speed", "brass", "--dia", "10", "--machine", "machines/bench.toml", "--json").out)
    assert said["machine"] == "Bench lathe, 250 x 500"
    assert said["operations"][0]["spindle"]["because"] == "the chuck stands 2000 rpm"
    assert "--machine" not in said["taken"][0]


def test_own_materials_go_before(tmp_path: Path, call: Call) -> None:
    from tests.shop.test_materials import OWN

    (tmp_path / "own.toml").write_text(OWN, encoding="utf-8")
    said = call("speed", "brass", "--materials", str(tmp_path / "own.toml"))
    assert said.out.startswith("our brass, diameter 20 mm, HSS\n")
    refused = call("speed", "brass", "--materials", str(tmp_path / "own.toml"), "--tool", "carbide")
    assert refused.code == 1
    assert "our brass is not turned with carbide: its table gives no speed for it. Use a tool of HSS" in refused.err


@pytest.mark.parametrize(
    ("words", "code", "message"),
    [
        (("bras",), 1, "'bras' is not among the materials. Did you mean 'brass'?"),
        (("hardwood", "--tool", "carbide"), 1, "hardwood is not turned with carbide: pressed inserts tear the fibres"),
        (("brass", "--tool", "ceramic"), 1, "no speeds are known for tools of 'ceramic'. Known are carbide and HSS"),
        (("brass", "--dia", "0"), 1, "0"),
        (("brass", "--dia", "0.1"), 1, "--dia: a diameter of 0.1 mm is thinner than any drill"),
        (("brass", "--dia", "bread"), 1, "bread"),
        (
            ("silver steel", "--dia", "80", "--tool", "HSS", "--operation", "rough"),
            1,
            "the slowest spindle speed, 100 rpm, gives 25.1",
        ),
        (("brass", "--dia", "40", "--operation", "part off"), 1, "blade 2 mm wide, 16 mm out may go"),
        (("brass", "--dia", "40", "--operation", "drill"), 1, "no jobber drill is 40 mm thick. Up to 20 mm are known"),
        (("brass", "--operation", "drilling"), 2, "there is no operation 'drilling'. Did you mean 'drill'?"),
        (("brass", "--machine", "none.toml"), 1, "none.toml"),
        ((), 2, "Missing argument 'MATERIAL'"),
    ],
)
def test_refused_in_plain_words(words: tuple[str, ...], code: int, message: str, call: Call) -> None:
    said = call("speed", *words)
    assert (said.code, said.out) == (code, "")
    assert message in said.err and "Traceback" not in said.err


def test_magnesium_is_never_fed_fine(call: Call) -> None:
    """T.O. 1-1A-9: sharp tools, no rubbing, no fine feeds, no water, at most 150 to 210 m/min."""
    said = json.loads(call("speed", "AZ31", "--dia", "20", "--json").out)
    for row in said["operations"]:
        assert row["wanted"]["m_min"] <= 210
        if row["feed"]:
            assert row["feed"]["mm"] >= 0.05
    cautions = " ".join(said["cautions"])
    assert cautions.count("FIRE") == 2 and "never water" in cautions and "never water" in said["advice"]["coolant"]


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(names()), st.floats(0.3, 500.0), st.sampled_from(["HSS", "carbide"]))
@example("ptfe", 1.0, "HSS")
@example("titanium", 0.3, "carbide")
def test_any_figure_stays_within_machine_and_arithmetic(name: str, dia: float, tool: str) -> None:
    """Whatever is asked: a refusal in words, or figures that belong together and pass no bound of the machine."""
    try:
        question = asked(name, None, tool=tool, own=None)
    except BadInput as refusal:
        assert tool in material(name).unfit and material(name).unfit["carbide"] in str(refusal)
        return
    for row in answer(question, dia=dia, operations=OPERATIONS)["operations"]:
        if "refused" in row:
            assert row["refused"] and "T1" not in row["refused"]
            continue
        rpm = row["spindle"]["rpm"]
        assert 100.0 <= rpm <= 1500.0
        assert row["surface"]["m_min"] == pytest.approx(math.pi * dia * rpm / 1000.0, rel=1e-3, abs=0.06)
        assert row["surface"]["m_min"] <= 1.51 * row["wanted"]["m_min"]
        for size in (row["feed"], row["depth"]):
            assert size is None or (size["mm"] > 0.0 and size["in"] == pytest.approx(size["mm"] / 25.4, abs=3e-6))
        if row["feed"]:
            assert row["feed"]["mm"] <= 1.0


def test_no_cut_is_deeper_than_the_work() -> None:
    row = answer(asked("brass", None, tool=None, own=None), dia=2.0, operations=("rough",))["operations"][0]
    assert row["depth"] == {"mm": 0.5, "in": 0.019685, "because": "all there is from diameter 2 down to 1"}


def test_a_single_refusal_is_an_error() -> None:
    question = asked("brass", None, tool=None, own=None)
    with pytest.raises(CannotMake, match="may go 15 mm deep"):
        answer(question, dia=60.0, operations=("part off",))
    assert "refused" in answer(question, dia=60.0, operations=OPERATIONS)["operations"][4]
