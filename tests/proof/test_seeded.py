"""A few seeded faults in the suite; `count_faults.py` beside it seeds thousands. The oracle itself is held here too.

What a fault does is judged by brute force (`tests.oracles.replay`), whether it is found by `prove`.
"""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely

from tests.oracles import replay
from tests.oracles.listing import listing
from tests.proof import seeded
from toolpath.motion import ArcCut, Cut, Rapid, ThreadCut

AGREES = 0.003
"""mm between the brute force's surface, in chords of 1 µm, and the proof's."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return seeded.shelf(tmp_path_factory.mktemp("shelf"))


@pytest.mark.parametrize("dialect", seeded.DIALECTS)
@pytest.mark.parametrize("job", ["plumb-bob-cap", "try-plug"])
def test_brute_force_and_proof_leave_the_same_metal(job: str, dialect: str, folder: Path) -> None:
    for case in seeded.cases(folder, [job], (dialect,)):
        ran, proof = replay.replay(case.text, seeded.bench_of(case)), case.setup.proof
        assert not ran.touched
        ours = shapely.union_all([shapely.Polygon(o) for o in (*proof.result, *(p.outline for p in proof.parted))])
        assert shapely.hausdorff_distance(ours, shapely.union_all([ran.held, *ran.fallen])) < AGREES


@pytest.mark.parametrize("dialect", ["g95", "g99", "iso6983"])
def test_the_plain_interpreter_reads_the_moves_of_the_reader(dialect: str, folder: Path) -> None:
    kinds = {Rapid: "rapid", Cut: "feed", ArcCut: "arc", ThreadCut: "thread"}
    for case in seeded.cases(folder, ["screwed-cap"], (dialect,)):
        theirs = [a for a in listing(case.text, dialect) if a.kind not in ("stop", "end")]
        ours = [s for s in case.setup.read_back.steps if isinstance(s, Rapid | Cut | ArcCut | ThreadCut)]
        for a, s in zip(theirs, ours, strict=True):
            assert (a.kind, a.line, a.tool) == (kinds[type(s)], s.line, s.state.tool)
            assert (*a.start, *a.end) == pytest.approx((*s.start, *s.end), abs=1e-9)
            if isinstance(s, ThreadCut):
                assert a.lead == pytest.approx(s.lead, abs=1e-6)
            if isinstance(s, ArcCut):
                assert a.centre == pytest.approx(s.centre, abs=1e-9) and a.ccw == s.ccw


def test_the_oracle_tells_harm_from_what_does_none(folder: Path) -> None:
    """Each of these is plain to see at the lathe; none asks the proof."""
    case = next(iter(seeded.cases(folder, ["plumb-bob-cap"], ("g95",))))
    on = seeded.bench_of(case)
    good = replay.replay(case.text, on)

    def harm(old: str, new: str) -> str:
        assert old in case.text
        return "; ".join(replay.harms(good, replay.replay(case.text.replace(old, new, 1), on), on))

    assert not harm("G04 P3.0", "G04 P9.0")
    assert "another by more than" in harm("X13.965 Z-9.6", "X13.935 Z-9.6")
    assert not harm("X13.965 Z-9.6", "X13.964 Z-9.6")
    assert "stands still or turns away" in harm("M03", "M04")
    assert "through the stock" in harm("G00 Z1.0\n", "G00 Z-3.0\n")


@pytest.mark.parametrize(("job", "number", "dialect"), [("plumb-bob-cap", 2, "g99"), ("reamed-bush", 2, "g95")])
def test_every_harmful_fault_is_found(job: str, number: int, dialect: str, folder: Path) -> None:
    count = seeded.Count()
    (case,) = (c for c in seeded.cases(folder, [job], (dialect,)) if c.number == number)
    seeded.run(case, count, folder, each=1, seed=1, shop=False)
    assert sum(count.seeded.values()) >= 15 and sum(count.harmful.values()) >= 8
    assert not count.missed


def test_a_miss_is_told(folder: Path) -> None:
    """What the proof does not find and the oracle holds to be harmful is listed by case, kind, line and words."""
    count = seeded.Count()
    count.add("cap-1 g95: a sign, line 7: 'X1.0' -> 'X-1.0'", "a sign", harm=["the piece is another"], why="")
    count.add("cap-1 g95: a sign, line 8", "a sign", harm=["the piece is another"], why="gouge")
    count.add("cap-1 g95: a sign, line 9", "a sign", harm=[], why="gouge")
    assert count.missed == ["cap-1 g95: a sign, line 7: 'X1.0' -> 'X-1.0': the piece is another"]
    assert (count.seeded, count.harmful, count.caught, count.refused) == tuple({"a sign": n} for n in (3, 2, 1, 1))
