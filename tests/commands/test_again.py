"""`make --again`: the second helping for a tight thread, against the program it follows and the limits of ISO 965-1.

M10x1-6g: pitch diameter 9.212 to 9.324, M10x1-6H: 9.350 to 9.500 (as handbooks print them), so 0.056 and 0.075 mm of
depth are all that the limits are apart.
"""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from msgspec.structs import replace

from posts.reader import read
from tests.commands.conftest import Call
from tests.plan.bench import job_text, machine_text, made, rack_text
from toolpath.commands import again
from toolpath.commands.again import Cut, helped
from toolpath.commands.road import Made, MadeSetup, noses
from toolpath.errors import BadInput, CannotMake, ProofRefused
from toolpath.motion import Cut as Feeding
from toolpath.motion import Rapid, ThreadCut
from toolpath.plan.again import second_helping
from toolpath.plan.operations import Operation
from toolpath.proof.findings import finding

COLLET = {"in": "collet"}
HEAD = {"dia": 15, "to": 25}
SCREW = {"thread": "M10x1-6g", "to": 10, "cut_by": "point", "undercut": True}
NUT = {"thread": "M10x1-6H", "to": 11, "cut_by": "point"}


def screw(*rows: dict[str, Any], **job: Any) -> Made:
    return made(bar={"dia": 16, "length": 70}, outside=[*(rows or (SCREW,)), HEAD], holdings=[COLLET], **job)


def nut() -> Made:
    return made(
        bar={"dia": 25, "length": 80}, outside=[{"dia": 24, "to": 30}], inside=[NUT, {"hole": 8.5, "deep": 14}],
        holdings=[COLLET],
    )  # fmt: skip


def setup(done: Made) -> MadeSetup:
    (one,) = done.setups
    return one


def cuts(done: Made, text: str = "") -> list[ThreadCut]:
    """The passes of the set-up's program, or of the text."""
    one = setup(done)
    program = read(text, done.dialect, noses=noses(done.inputs.tools)) if text else one.read_back
    passes = [s for s in program.steps if isinstance(s, ThreadCut)]
    return [s for s in passes if s.start[1] == s.end[1]]  # but for what leaves on a ramp


@pytest.mark.parametrize(("job", "sign"), [(screw, -1.0), (nut, 1.0)])
def test_the_passes_start_where_the_full_ones_did_at_their_speed_and_so_much_deeper(job: Any, sign: float) -> None:
    before = job()
    after = setup(helped(before, "0.03")).again
    assert after is not None
    first, more = cuts(before), cuts(before, after.text.text)
    last = first[-1]
    assert len(more) == 3  # one that goes deeper and two that clean both flanks
    for one in more:
        assert (one.start[0], one.lead, one.state.spindle) == (last.start[0], last.lead, last.state.spindle)
        assert one.start[1] == pytest.approx(last.start[1] + sign * 0.03, abs=0.00051)


def test_it_has_extra_passes_only() -> None:
    """Nothing is faced, turned or parted: no move at feed but those in step with the spindle."""
    before = screw()
    after = setup(helped(before, "0.03")).again
    assert after is not None
    steps = read(after.text.text, before.dialect, noses=noses(before.inputs.tools)).steps
    assert not [s for s in steps if isinstance(s, Feeding)]
    assert {s.state.operation for s in steps if isinstance(s, ThreadCut | Rapid)} == {"thread"}


@pytest.mark.parametrize(("job", "sign"), [(screw, -2.0), (nut, 2.0)])
def test_the_proof_measures_a_pitch_diameter_twice_as_much_smaller(job: Any, sign: float) -> None:
    before = job()
    after = setup(helped(before, "0.04")).again
    assert after is not None and not after.proof.refused
    (old,), (new,) = setup(before).proof.threads, after.proof.threads
    assert new.pitch_dia_mm - old.pitch_dia_mm == pytest.approx(sign * 0.04, abs=0.002)


def test_a_full_form_insert_takes_its_crest_down_with_it() -> None:
    """Its land cuts the crest, so that goes as much deeper as the root; 9.794 is the least of 6g."""
    rack = re.sub(r"(?m)^flat( *)= 0\.\d+", r"full_form\1= 1", rack_text())
    before = screw({**SCREW, "cut_by": "full form"}, rack=rack)
    after = setup(helped(before, "0.03")).again
    assert after is not None
    (old,), (new,) = setup(before).proof.threads, after.proof.threads
    assert new.crest_mm == pytest.approx(old.crest_mm - 0.03) and 2.0 * new.crest_mm >= 9.794
    assert new.flat_mm == pytest.approx(old.flat_mm, abs=2e-3)


def test_several_starts_each_get_theirs() -> None:
    before = screw({**SCREW, "thread": "M10xPh2P1-6g", "undercut_width": 4})
    after = setup(helped(before, "0.03")).again
    assert after is not None
    more = cuts(before, after.text.text)
    assert {c.start[0] for c in more} == {c.start[0] for c in cuts(before)[-2:]} and len(more) == 6


def test_more_than_the_first_pass_may_take_goes_in_several() -> None:
    """A class 8g leaves 0.09 mm; a light machine takes 0.10 mm at most, so here 0.08 in two of at least a pass."""
    done = screw({**SCREW, "thread": "M10x1-8g"}, machine=machine_text().replace('rigidity = "bench"', ""))
    after = setup(helped(done, "0.085")).again
    assert after is not None
    depths = sorted({c.start[1] for c in cuts(done, after.text.text)})
    assert all(b - a <= 0.15 for a, b in pairwise(depths))


def header(done: Made, depth: str = "0.03") -> str:
    after = setup(helped(done, depth)).again
    assert after is not None
    said = [line.strip("()") for line in after.text.text.splitlines() if line.startswith("(")]
    return " ".join(said)


def test_its_header_says_when_it_is_valid() -> None:
    said = header(screw())
    assert "SECOND HELPING: M10x1 of set-up 1, 0.03 mm of depth more" in said
    assert "Valid only while the part has not left the ER25 collet since set-up 1 cut the thread" in said
    assert "is not parted off, the zero has not been set anew, and the point has not been out or set anew" in said
    for words in ("fall beside the groove", "Digest of the job", "Do not touch the speed or the feed override"):
        assert words in said
    assert "The part drops" not in said and "stub" not in said


def test_one_pulse_a_turn_is_cautioned_in_both_programs() -> None:
    pulse = machine_text().replace('spindle_encoder = "index"', 'spindle_encoder = "pulse"')
    done = screw({**SCREW, "undercut_width": 4}, machine=pulse)
    assert "one pulse a turn" in header(done)
    whole = " ".join(line.strip("()") for line in setup(done).text.text.splitlines())
    assert "This spindle gives one pulse a turn" in whole
    assert any("one pulse a turn" in c for c in setup(done).plan.cautions)
    assert "one pulse" not in header(screw())


@pytest.mark.parametrize(
    ("before", "after", "code"),
    [("Z1.639", "Z1.939", "thread-crest"), ("S600", "S500", "thread-speed"), ("X8.55", "X8.35", "pitch-diameter"),
     ("M03", "M04", "wrong-sense"), ("G33 Z-8.008", "G33 Z-11.5", "thread-contact")],
)  # fmt: skip
def test_what_does_not_fall_in_the_groove_of_the_first_is_refused(before: str, after: str, code: str) -> None:
    """The text is proven together with the one that it follows."""
    done = screw()
    index, cutting = next(
        (k, op.cuts) for k, op in enumerate(setup(done).plan.operations) if isinstance(op, Operation) and op.cuts
    )
    helping = second_helping(setup(done).plan, index, cutting, 0.03)
    said = setup(helped(done, "0.03")).again
    assert said is not None and before in said.text.text
    program = read(said.text.text.replace(before, after), done.dialect, noses=noses(done.inputs.tools))
    proof = again._proven(done, Cut(setup(done), index, cutting), helping, program)
    assert code in {f.code for f in proof.findings} and proof.refused


def test_a_refused_proof_is_told_as_one(monkeypatch: pytest.MonkeyPatch) -> None:
    done = screw()
    bad = replace(setup(done).proof, findings=(finding("thread-crest", "it does not fall together", line=7),))
    monkeypatch.setattr(again, "_proven", lambda *_: bad)
    with pytest.raises(ProofRefused, match=r"refuses trial-1-again\.nc; nothing is written\n  line 7: it does not"):
        helped(done, "0.03")


TWO = [SCREW, HEAD, {"thread": "M8-6g", "to": 34, "cut_by": "die", "no_start": True}]
REFUSED: dict[str, tuple[Any, str, str]] = {
    "more than the limits": (screw, "0.06", "0.06 mm more of depth for M10x1: its pitch diameter may vary by 0.112 mm, "
                             "so that 0.056 mm of depth at the most are a matter of a tight thread"),
    "another name": (screw, "M8=0.03", "--again: no thread 'M8' is cut with a point. There is M10x1 or"),
    "no length": (screw, "deep", "--again: 'deep': there is no size named 'deep'"),
    "no name before its sign": (screw, " =0.03", "--again: no thread stands before the = in ' =0.03'. Write"),
    "nothing": (screw, "0", "--again: '0' has to be larger than 0"),
    "by die": (lambda: screw({**SCREW, "cut_by": "die"}), "0.03", "--again: no thread of this job is cut with a point"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_it_is_refused_with_figures(name: str) -> None:
    job, text, said = REFUSED[name]
    with pytest.raises((BadInput, CannotMake)) as error:
        helped(job(), text)
    assert said in str(error.value)


def test_of_two_threads_one_is_named() -> None:
    rows = [{**SCREW, "thread": "M16x1-6g", "to": 14, "undercut_width": 6}, {"dia": 24, "to": 30}]
    hollow = [NUT, {"hole": 8.5, "deep": 14}]
    done = made(bar={"dia": 25, "length": 80}, outside=rows, inside=hollow, holdings=[COLLET])
    with pytest.raises(BadInput, match=r"2 threads are cut with a point.*M16x1 or part.outside\[0\].*part.inside\[0\]"):
        helped(done, "0.03")
    for name, thread in (("m10 x 1", "M10x1"), ("part.outside[0]", "M16x1")):
        after = setup(helped(done, f"{name} = 0.03")).again
        assert after is not None and after.thread == thread


def test_it_is_written_beside_the_program_and_put_aside_by_the_next_run(tmp_path: Path, call: Call) -> None:
    with TemporaryDirectory() as folder:
        at = Path(folder)
        (at / "machine.toml").write_text(machine_text(), encoding="utf-8")
        (at / "rack.toml").write_text(rack_text(), encoding="utf-8")
        job = job_text(bar={"dia": 16, "length": 70}, outside=[SCREW, HEAD], holdings=[COLLET])
        (at / "cap.toml").write_text(job, encoding="utf-8")
        out = tmp_path / "out"
        said = call("make", str(at / "cap.toml"), "-o", str(out), "--again", "0.03")
        assert said.code == 0, said.err
        told = " ".join(said.out.split())
        assert "cap-1-again.nc takes M10x1 0.03 mm deeper, proven after 1; run it only while" in told
        assert (out / "cap-1-again.nc").read_text(encoding="ascii").startswith("(Trial piece: M10x1 again)")
        alone = call("prove", str(out / "cap-1-again.nc"), "--job", str(at / "cap.toml"))
        assert (
            alone.code == 1 and "this is a second helping" in alone.err and "--again DEPTH writes it anew" in alone.err
        )
        plain = (out / "cap-1.nc").read_bytes()
        assert call("make", str(at / "cap.toml"), "-o", str(out)).code == 0
        assert (out / "cap-1-again.nc.withdrawn").is_file() and not (out / "cap-1-again.nc").exists()
        assert (out / "cap-1.nc").read_bytes() == plain
        assert call("make", str(at / "cap.toml"), "-o", str(out), "--again", "0.03", "--dry").code == 2
