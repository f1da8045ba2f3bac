"""Threads made down the whole road, from the job's text to the proof of the program, and what is refused on it.

Limits of pitch diameters: ISO 965-1 and ASME B1.1 as handbooks print them. Which way a tool must run for which hand
follows from the drill: M03 is the way a right-hand drill cuts.
"""

from __future__ import annotations

import json
import re
from functools import cache
from typing import Any

import pytest
import shapely
from shapely.affinity import translate

from posts.reader import read
from tests.plan.bench import area, faults, kinds, machine_text, made, rack_text, rack_without
from toolpath.commands.report import setup as entry
from toolpath.commands.road import Made, MadeSetup, setting
from toolpath.errors import BadInput, CannotMake
from toolpath.motion import ThreadCut
from toolpath.plan.operations import ByHand, Operation
from toolpath.proof.prove import prove

COLLET = {"in": "collet"}
HEAD = {"dia": 15, "to": 25}
POINT = {"thread": "M10x1-6g", "to": 10, "cut_by": "point", "undercut": True}
NUT = {"thread": "M10x1-6H", "to": 11, "cut_by": "point"}
WIDE = {"bar": {"dia": 20, "length": 80}, "holdings": [COLLET]}
HOLE = {"hole": 8.5, "deep": 14}


def row(base: dict[str, Any], **changes: Any) -> dict[str, Any]:
    """The row with these words changed; None takes one out."""
    return {k: v for k, v in {**base, **changes}.items() if v is not None}


def outside(*rows: dict[str, Any], **job: Any) -> dict[str, Any]:
    head = {**HEAD, "to": max(r["to"] for r in rows) + 12, **({"dia": 19} if "bar" in job else {})}
    return {"bar": {"dia": 16, "length": 70}, "outside": [*rows, head], "holdings": [COLLET], **job}


def inside(*rows: dict[str, Any], **job: Any) -> dict[str, Any]:
    whole = {"bar": {"dia": 25, "length": 80}, "outside": [{"dia": 24, "to": 30}], "holdings": [COLLET]}
    return {**whole, "inside": list(rows), **job}


FULL = re.sub(r"(?m)^flat( *)= 0\.\d+", r"full_form\1= 1", rack_text())
BLUNT_30 = re.sub(r"(?m)^flat( *)= 0\.\d+", r"flat\1= 0.9", rack_text()).replace("= 60\ndepth", "= 30\ndepth")
SHARP = re.sub(r"(?m)^flat( *)= 0\.\d+", r"flat\1= 0.03", rack_text())
SHARP_55 = re.sub(r"(?m)^angle( *)= 60", r"angle\1= 55", SHARP)

JOBS: dict[str, dict[str, Any]] = {
    "full form": outside(row(POINT, cut_by="full form"), rack=FULL),
    "full form in a short relief": outside(
        row(POINT, thread="M12x1.5-6g", cut_by="full form", to=12),
        rack=re.sub(r"(?m)^flat( *)= 0\.12", r"full_form\1= 1.5", rack_text()).replace("depth  = 4", "depth  = 1.2"),
    ),  # the block stops the point where its crest edge still stands over the thread
    "full form on a ramp": outside(row(POINT, cut_by="full form", undercut=None, to=14), rack=FULL),
    "full form, two starts": outside(row(POINT, thread="M10xPh2P1-6g", cut_by="full form", undercut_width=4),
                                     rack=FULL),
    "full form in a nut": inside(row(NUT, thread="M12x1-6H", cut_by="full form", to=14), {"hole": 9, "deep": 18},
                                 rack=FULL, break_edges=0),
    "trapezoidal": outside({"thread": "Tr 14x3", "to": 24, "cut_by": "point", "undercut_width": 9, "undercut_dia": 10},
                           rack=BLUNT_30, **WIDE),
    "taper pipe": outside({"thread": "R 1/4", "to": 14, "cut_by": "point"}, rack=SHARP_55, **WIDE),
    "taper pipe of 60 degrees": outside({"thread": "1/4 NPT", "to": 18, "cut_by": "point", "undercut_width": 6,
                                         "undercut_dia": 10.5}, rack=SHARP, **WIDE),
    "taper pipe, left hand": outside({"thread": "1/4 NPT LH", "to": 24, "cut_by": "point", "undercut_width": 10,
                                      "undercut_dia": 10.5}, rack=SHARP, **WIDE),
    "taper nut": inside({"thread": "Rc 1/4", "to": 14, "cut_by": "point"}, {"hole": 9, "deep": 18}, rack=SHARP_55,
                        break_edges=0),
    "any taper": outside({"thread": "12 x 1.25 60deg taper 1:16", "to": 14, "cut_by": "point"}, **WIDE),
    "taper by die": outside({"thread": "1/4 NPT", "to": 16, "cut_by": "die"}, **WIDE),
    "screw": outside(row(POINT)),
    "unified": outside(row(POINT, thread="5/16-24 UNF-2A", undercut_width=6, to=14)),
    "left hand": outside(row(POINT, thread="M10x1-6g LH", undercut_width=6, to=16, undercut_dia=8)),
    "two starts": outside(row(POINT, thread="M10xPh2P1-6g", undercut_width=4)),
    "ramp before a shoulder": outside(row(POINT, undercut=None)),
    "ramp at the end": {"bar": {"dia": 16, "length": 70}, "outside": [row(POINT, undercut=None)], "holdings": [COLLET]},
    "ramp into an open mouth": outside(row(POINT, undercut=None, mate_deep=14, mate_mouth=3.2)),
    "behind a smaller one": outside({"dia": 8, "to": 4}, row(POINT, to=14)),
    "nut": inside(NUT, HOLE),
    "nut behind a counterbore": inside({"dia": 14, "to": 4}, row(NUT, to=14), {"hole": 8.5, "deep": 18}),
    "nut with relief": inside(row(NUT, thread="M16x1.5-6H", to=15, undercut=True), {"hole": 13, "through": True}),
    "nut with relief, blind": inside(row(NUT, thread="M16x1.5-6H", to=13, undercut=True), {"hole": 13, "deep": 22}),
    "die": outside(row(POINT, thread="1/4 BSW", cut_by="die")),
    "die at a shoulder": outside(row(POINT, cut_by="die", undercut=None)),
    "on a running centre": {**outside(row(POINT, to=14, undercut_width=6)), "inside": [{"centre": "A2"}],
                            "holdings": [{"in": "chuck", "centre": "running"}], "parting": {"off": False}},
    "thin over its hole": outside(row(POINT), inside=[{"hole": 7, "deep": 14}]),
    "thin over its hole, by die": outside(row(POINT, cut_by="die"), inside=[{"hole": 7, "deep": 14}]),
    "tap": inside({"thread": "M6-6H", "to": 11}, {"hole": 5, "deep": 14, "made": "drilled"}),
    "tap from the back": {
        "bar": {"dia": 16, "length": 70},
        "outside": [{"dia": 12, "to": 10}, HEAD],
        "inside": [
            {"thread": "M6-6H", "to": 11, "from": "back"},
            {"hole": 5, "deep": 14, "made": "drilled", "from": "back"},
        ],
        "holdings": [COLLET, COLLET],
    },
    "both ends": {
        "bar": {"dia": 16, "length": 70},
        "outside": [row(POINT), HEAD, {"thread": "M10x1-6g", "to": 35, "cut_by": "die", "no_start": True}],
        "holdings": [COLLET, COLLET],
    },
}  # fmt: skip
BY_POINT = {
    # name: (hand, starts, lead, least and greatest pitch diameter of the published tables)
    "screw": ("right", 1, 1.0, 9.212, 9.324),
    "unified": ("right", 1, 25.4 / 24.0, 0.2806 * 25.4, 0.2843 * 25.4),
    "left hand": ("left", 1, 1.0, 9.212, 9.324),
    "two starts": ("right", 2, 2.0, 9.212, 9.324),
    "ramp before a shoulder": ("right", 1, 1.0, 9.212, 9.324),
    "ramp at the end": ("right", 1, 1.0, 9.212, 9.324),
    "behind a smaller one": ("right", 1, 1.0, 9.212, 9.324),
    "full form": ("right", 1, 1.0, 9.212, 9.324),
    "full form in a short relief": ("right", 1, 1.5, 10.854, 10.994),
    "full form on a ramp": ("right", 1, 1.0, 9.212, 9.324),
    "full form, two starts": ("right", 2, 2.0, 9.212, 9.324),
    "full form in a nut": ("right", 1, 1.0, 11.350, 11.510),  # D2 = D - 0.6495 P, TD2 0.160 (ISO 965-1)
    "trapezoidal": ("right", 1, 3.0, 12.191, 12.415),  # d2 12.5 less e 0.085, 0.224 wide: ISO 2903 from memory
    # At the front, a chamfer behind the small end or the mouth: ISO 228-1 less 6/16 mm, and a sixteenth of the chamfer.
    "taper pipe": ("right", 1, 25.4 / 19.0, 12.301 - 0.375 + (0.963 - 1.3) / 16.0, 12.301 - 0.375 + 2.263 / 16.0),
    "taper pipe of 60 degrees": ("right", 1, 25.4 / 18.0, 0.47739 * 25.4 - 0.01, 0.47739 * 25.4 + 0.17),
    "taper pipe, left hand": ("left", 1, 25.4 / 18.0, 0.47739 * 25.4 - 0.01, 0.47739 * 25.4 + 0.17),
    "taper nut": ("right", 1, 25.4 / 19.0, 12.301 - (1.184 + 1.7) / 16.0, 12.301 + (1.7 - 1.184) / 16.0),
    "any taper": ("right", 1, 1.25, 11.028 + 0.866 / 16.0, 11.160 + 0.866 / 16.0),
    "nut": ("right", 1, 1.0, 9.350, 9.500),
    "nut with relief": ("right", 1, 1.5, 15.026, 15.216),
    "nut with relief, blind": ("right", 1, 1.5, 15.026, 15.216),
    "nut behind a counterbore": ("right", 1, 1.0, 9.350, 9.500),
}


@cache
def job(name: str) -> Made:
    return made(**JOBS[name])


def only(name: str) -> MadeSetup:
    (setup,) = job(name).setups
    return setup


def operation(setup: MadeSetup) -> Operation:
    (found,) = [op for op in setup.plan.operations if isinstance(op, Operation) and op.kind == "thread"]
    return found


def by_hand(setup: MadeSetup) -> ByHand:
    (found,) = [op for op in setup.plan.operations if isinstance(op, ByHand) and op.kind == "thread"]
    return found


@pytest.mark.parametrize("name", JOBS)
def test_every_thread_is_proven_on_the_whole_road(name: str) -> None:
    assert faults(job(name)) == []


@pytest.mark.parametrize("name", BY_POINT)
def test_the_proof_measures_the_pitch_diameter_within_the_published_limits(name: str) -> None:
    hand, starts, lead, least, greatest = BY_POINT[name]
    setup = only(name)
    (cut,) = setup.proof.threads
    assert (cut.hand, cut.starts, cut.inside) == (hand, starts, "nut" in name)
    assert cut.lead_mm == pytest.approx(lead, abs=1e-4)
    assert least <= cut.pitch_dia_mm <= greatest
    (on,) = setup.plan.request.part.threads
    assert on.back - 1e-3 <= cut.z[0] and cut.z[1] <= on.front + 1e-3
    if on.relief is not None:  # full to the relief, else short of it by the ramp
        assert cut.z[0] == pytest.approx(on.back, abs=1e-3)


@pytest.mark.parametrize("name", BY_POINT)
def test_a_right_hand_thread_runs_to_the_chuck_and_a_left_hand_one_away_from_it(name: str) -> None:
    way = {"right": -1.0, "left": 1.0}[BY_POINT[name][0]]
    cuts = [s for s in only(name).read_back.steps if isinstance(s, ThreadCut)]
    assert cuts and all((s.end[0] - s.start[0]) * way > 0.0 for s in cuts)


def test_each_start_begins_a_pitch_before_the_other_and_as_deep() -> None:
    cuts = [s for s in only("two starts").read_back.steps if isinstance(s, ThreadCut)]
    assert len(cuts) % 2 == 0
    for one, other in zip(cuts[::2], cuts[1::2], strict=True):
        assert other.start[0] - one.start[0] == pytest.approx(1.0, abs=0.0011)
        assert other.start[1] == one.start[1]


def test_a_left_hand_thread_comes_up_to_speed_inside_its_relief() -> None:
    setup = only("left hand")
    (on,) = setup.plan.request.part.threads
    assert on.relief is not None
    begins = {s.start[0] for s in setup.read_back.steps if isinstance(s, ThreadCut)}
    assert all(on.relief[1] < z < on.back for z in begins)
    assert on.back - max(begins) >= operation(setup).data.run_in.value - 0.7 * operation(setup).depth  # type: ignore[union-attr]


def test_without_relief_the_point_leaves_on_a_ramp_and_stays_off_the_shoulder() -> None:
    """Two pitches of ramp; T9 reaches 1.8 mm towards a shoulder that stands higher than it travels back."""
    for name, ends in (("ramp at the end", -8.0), ("nut", -9.0)):
        (cut,) = only(name).proof.threads
        assert ends <= cut.z[0] <= ends + 0.4  # but for what keeps it off a step
    (cut,) = only("ramp before a shoulder").proof.threads
    assert -7.5 < cut.z[0] < -6.0


@pytest.mark.parametrize("name", [n for n in JOBS if n != "tap from the back"])
def test_relief_and_chamfer_stand_before_the_thread_is_cut(name: str) -> None:
    """Both are part of the finished outline, so all turning and boring of the side comes first; parting comes last."""
    order = kinds(job(name).setups[0])
    at = order.index("thread")
    later = () if "thin" in name else ("drill", "countersink")
    assert all(k not in order[at:] for k in ("rough", "finish", "groove", *later))
    assert order.index("finish") < at < (order.index("part off") if "part off" in order else len(order))
    chamfered = [s.name for s in job(name).inputs.part.surfaces + job(name).inputs.part.inside_surfaces]
    assert any(n.startswith("chamfer") for n in chamfered)


def test_a_control_that_waits_for_the_mark_cuts_into_a_relief() -> None:
    assert not faults(made(**outside(POINT, machine=WAITING)))


def test_a_piece_that_is_parted_into_its_hole_drops_and_leaves_no_stub() -> None:
    told = " ".join(only("nut with relief").plan.cautions)
    assert "drops when it is parted" in told and "stub" not in told
    assert "stub of 1 mm" in " ".join(only("nut").plan.cautions)


def test_the_stop_for_a_die_tells_the_hand_all_it_needs() -> None:
    told = by_hand(only("die")).does
    for words in ("isolate the drives", "chuck key out", "die 1/4-20 BSW", "tapered side first", "5.2 mm long",
                  "back after every half turn", "try the mate"):  # fmt: skip
        assert words in told
    assert "reverse the die" not in told
    assert "reverse the die for the last turns before the shoulder" in by_hand(only("die at a shoulder")).does


def test_the_stop_for_a_tap_speaks_of_taps_alone() -> None:
    for setup in (only("tap"), job("tap from the back").setups[1]):
        told = by_hand(setup).does
        assert "taper tap first" in told and "bottoming tap" in told and "die" not in told.split()
        assert "isolate the drives" in told


def test_a_stop_by_hand_stands_in_the_text_with_the_spindle_off_before() -> None:
    """Retreat, M05, M00 as blocks of their own."""
    lines = [line.split("(")[0].split() for line in only("die").text.text.splitlines()]
    words = [w for line in lines for w in line if w in ("M05", "M00", "M5", "M0", "M03", "M3")]
    k = words.index("M00") if "M00" in words else words.index("M0")
    assert words[k - 1] in ("M05", "M5")
    assert all(len([w for w in line if w in ("M00", "M05", "M0", "M5")]) <= 1 for line in lines)


def test_the_lead_is_written_with_the_digits_it_needs_over_the_length() -> None:
    """24 to the inch is 1.058333: over 8 mm a rounding of half the last printed digit adds up to less than 5 µm."""
    cuts = [s for s in only("unified").read_back.steps if isinstance(s, ThreadCut)]
    length = max(abs(s.end[0] - s.start[0]) for s in cuts)
    assert all(abs(s.lead - 25.4 / 24.0) * length / s.lead < 0.005 for s in cuts)


def test_the_report_tells_of_every_thread_and_of_none_made_by_hand() -> None:
    done = job("screw")
    whole = json.loads(json.dumps(entry(done, done.setups[0], program="x.nc")))
    (told,) = whole["threads"]
    assert told["inside"] is False and told["hand"] == "right" and told["starts"] == 1 and told["lead_mm"] == 1.0
    assert told["z"] == [-7.0, -0.694] and told["crest_mm"] == pytest.approx(4.942)
    assert only("die").proof.threads == ()


def refused(**job: Any) -> str:
    with pytest.raises((BadInput, CannotMake)) as error:
        made(**job)
    return str(error.value)


def machine(word: str, other: str) -> str:
    text = machine_text()
    assert word in text
    return text.replace(word, other)


WAITING = machine('dialect  = "g95"', 'dialect = "iso6983"\nunits_by_g70_g71 = true')

REFUSED = {
    "on a ramp, by a control that waits for the mark": (outside(row(POINT, undercut=None), machine=WAITING),
                                                        ["M10x1 has no relief", "in the metal", "undercut = true"]),
    "no encoder": (outside(row(POINT), machine=machine('spindle_encoder = "index"', 'spindle_encoder = "none"')),
                   ['spindle_encoder = "none"', "a die or a tap"]),
    "wrong angle": (outside(row(POINT, thread="1/4 BSW")), ["ground to 60 degrees, the thread has 55"]),
    "left hand in a narrow relief": (outside(row(POINT, thread="M10x1-6g LH")),
                                     ["cut away from the chuck", "2.33 mm behind it, where 1.01 mm are free"]),
    "left hand without relief": (outside(row(POINT, thread="M10x1-6g LH", undercut=None)),
                                 ["where 0.00 mm are free", "or use a die"]),
    "lead over the feed": (outside(row(POINT, thread="M10x1.5-6g", undercut_width=5, to=12),
                                   machine=machine("max_feed = 600", "max_feed = 120")),
                           ["the slowest spindle speed, 100 rpm", "a lead of 1.5 mm at the greatest feed, 120 mm/min"]),
    "relief too narrow for the point": (outside(row(POINT, thread="5/16-24 UNF")),
                                        ["5/16-24 UNF", "relief is 3.17 mm wide", "undercut_width = 5.6"]),
    "shorter than its ramp": (outside(row(POINT, undercut=None, to=2.5)),
                              ["M10x1 is 1.81 mm long", "the point needs 3.13 mm of it"]),
    "full too far from its shoulder for its mate": (outside(row(POINT, undercut=None, mate_deep=14, mate_mouth=3)),
                                                    ["M10x1 is full to 3.13 mm before its shoulder",
                                                     "mate's mouth is open 3.00 mm deep", "mate_mouth = 3.2"]),
    "a full form of another pitch": (outside(row(POINT, thread="M10-6g", cut_by="full form", undercut=None, to=14),
                                             rack=FULL), ["has the full form of a pitch of 1 mm, the thread has 1.5"]),
    "a full form of another angle": (outside(row(POINT, thread="1/4 BSW", cut_by="full form", undercut=None, to=14),
                                             rack=FULL), ["ground to 60 degrees, the thread has 55"]),
    "a full form on a crest as turned": (outside(row(POINT), rack=FULL),
                                         ["cuts crests too and wants stock left on", 'cut_by = "full form"']),
    "a point on stock for an insert": (outside(row(POINT, cut_by="full form")),
                                       ["leaves crests as they are turned, and a full-form insert is asked for"]),
    "no point in the rack": (inside(NUT, HOLE, rack=rack_without(10)),
                             ["M10x1 can not be cut with a point: the rack has no point for it"]),
    "relief too near the end of the hole": (inside(row(NUT, thread="M12x1.5-6H", to=15, undercut=True),
                                                   {"hole": 10, "deep": 18}),
                                            ["T11", "would meet the end of the hole when it cuts at z -13.30"]),
    "die behind a flange": (outside({"dia": 14, "to": 4}, row(POINT, to=14, cut_by="die")),
                            ["begins at z -4.00 mm behind a diameter of 14.00", "no die gets there"]),
    "point behind a flange": (outside({"dia": 14, "to": 4}, row(POINT, to=14)),
                              ["behind a diameter of 14.00 mm", "come up to speed in 2.33 mm"]),
    "turned in two set-ups": ({"bar": {"dia": 16, "length": 70}, "outside": [row(POINT), HEAD],
                               "holdings": [{**COLLET, "turn_to": 5}, COLLET]},
                              ["M10x1 lies from z -0.69 to -10.00 mm, and this set-up turns to 5.00 mm"]),
    "bar with a hole as large": ({"bar": {"dia": 25, "length": 80, "bore": 10.5}, "outside": [{"dia": 24, "to": 30}],
                                  "inside": [row(NUT, to=30)], "holdings": [COLLET]},
                                 ["part.inside[0]", "dia 9.035", "the bar there has one of dia 10.5"]),
    "hole too small for the threading bar": (
        inside(NUT, HOLE, rack=re.sub(r"(?m)^flat     = 0.06\nbar      = 6", "flat = 0.06\nbar = 9.5", rack_text())),
        ["M10x1 can not be cut with a point: T10", "a bar of 9.5 mm can not enter a 9.035 mm hole"]),
    "threading bar too short": (
        inside(NUT, HOLE, rack=re.sub(r"(?m)^(flat     = 0.06\nbar      = 6\noverhang =) 20", r"\1 9", rack_text())),
        ["a bar that stands out 9 mm can not go 11 mm deep"]),
    "hole too small for the bar": (inside(row(NUT, thread="M6-6H"), {"hole": 4.5, "deep": 14}),
                                   ["no boring bar", "hole of 4.50 mm"]),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_can_not_be_cut_is_refused_with_figures(name: str) -> None:
    asked, words = REFUSED[name]
    told = refused(**asked)
    assert all(w in told for w in words), told


def test_nothing_is_gained_by_a_lead_that_the_feed_can_follow_only_just() -> None:
    """At 1.5 mm a turn and 240 mm/min no more than 160 rpm are left, and the thread is still cut."""
    done = made(**outside(row(POINT, thread="M10x1.5-6g", undercut_width=5, to=12),
                          machine=machine("max_feed = 600", "max_feed = 240")))  # fmt: skip
    assert faults(done) == []
    rpm = {s.state.spindle.rpm for s in done.setups[0].read_back.steps if isinstance(s, ThreadCut) and s.state.spindle}
    assert len(rpm) == 1 and max(r for r in rpm if r) * 1.5 <= 240.0


@pytest.mark.parametrize(("name", "least", "greatest", "flat"), [
    ("full form", 9.794, 9.974, 1.0 / 8.0), ("full form, two starts", 9.794, 9.974, 1.0 / 8.0),
    ("full form in a nut", 10.917, 11.153, 1.0 / 4.0),
])  # fmt: skip
def test_a_full_form_insert_cuts_the_crest_to_its_published_limits(
    name: str, least: float, greatest: float, flat: float
) -> None:
    """Limits of ISO 965-1; crests are P/8 wide on a screw and P/4 in a hole (ISO 68-1), so narrower by no more than the
    pitch line is off."""
    setup = only(name)
    (cut,), (on,) = setup.proof.threads, setup.plan.request.part.threads
    assert least <= 2.0 * cut.crest_mm <= greatest
    assert cut.flat_mm == pytest.approx(flat, abs=0.004)
    stood = 2.0 * on.crest  # stock of 0.05 mm on the radius beyond the limits
    assert stood == pytest.approx(least - 0.1 if cut.inside else greatest + 0.1, abs=2e-3)


def test_without_its_last_pass_the_stock_is_seen_to_stay() -> None:
    done, setup = job("full form"), only("full form")
    deepest = min(s.start[1] for s in setup.read_back.steps if isinstance(s, ThreadCut))
    word = f"X{2.0 * deepest:.3f}".rstrip("0") + "\nG33"
    assert word in setup.text.text
    program = read(setup.text.text.replace(word, f"X{2.0 * deepest + 0.2:.3f}\nG33"), done.dialect)
    proof = prove(program, setting(done.inputs, setup.plan, setup.stock))
    told = [f.text for f in proof.findings if f.code == "thread-crest"]
    assert any("were left on for the insert" in t for t in told)


def test_over_a_thin_wall_the_thread_is_cut_before_the_hole() -> None:
    """Least root 8.596 (ISO 965-1): over 7 mm the wall is 0.798 mm, over 4 mm 2.298; the thread is 0.644 deep, and
    under two depths a wall is thin (common practice, no source)."""
    for name in ("thin over its hole", "thin over its hole, by die"):
        order = kinds(only(name))
        assert order.index("finish") < order.index("thread") < order.index("drill") < order.index("part off")
    thick = kinds(made(**outside(row(POINT), inside=[{"hole": 4, "deep": 14}])).setups[0])
    assert thick.index("drill") < thick.index("thread")


def test_the_run_in_of_a_thread_clears_a_running_centre() -> None:
    """It starts over the centre's cone: point and holder stand clear of all that holds the work."""
    setup = only("on a running centre")
    centre = setup.plan.work.centre
    assert centre is not None
    hold = shapely.union_all([area(o) for o in (*setup.plan.work.hold.outlines, *centre.outlines)])
    tool = operation(setup).tool
    body = shapely.union_all([area(c) for c in (tool.outline, *tool.holder)])
    starts = [s.start for s in setup.read_back.steps if isinstance(s, ThreadCut)]
    assert min(z for z, _ in starts) > 0.0
    assert hold.bounds[2] > max(z for z, _ in starts)  # the centre stands there
    assert min(shapely.distance(hold, translate(body, z, x)) for z, x in starts) > 0.2


def test_a_hand_measures_before_it_takes_die_or_tap() -> None:
    """BSW 1/4: 0.2500 at the most; M6-6H: 4.917 to 5.153 (ISO 965-1)."""
    assert "measure first, rod" in by_hand(only("die")).does and "to 6.350 mm; die" in by_hand(only("die")).does
    assert "measure first, hole 4.917 to 5.153 mm; tap" in by_hand(only("tap")).does
    assert "mm at its small end; die" in by_hand(only("taper by die")).does


def test_the_report_states_run_in_and_stopping_with_their_formula() -> None:
    done = job("screw")
    whole: Any = entry(done, done.setups[0], program="x.nc")
    (figures,) = [op["figures"] for op in whole["operations"] if op["kind"] == "thread"]
    assert "v^2/(2a)" in figures["run_in"] and "settle with an index mark" in figures["run_in"]
    assert figures["stopping"].startswith("v^2/(2a) at ") and "mm/s2" in figures["stopping"]
