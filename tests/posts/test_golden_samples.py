"""Two samples in the words of every dialect, as texts that were read line by line as the person at the machine.

`screwed-cap` is its first set-up: face, holes by hand, rough, finish, undercut, thread with the point, part off;
`reamed-bush` its first: face, holes by hand, rough, finish, part off. The plans were frozen when the texts were
reviewed: those of g95 with constant surface speed, those of iso6983 at fixed speeds; the other two say the same moves
in their own words.

Reviewed in each: a section restates units, plane, feed mode, tool or offset, spindle and its limit, so that it can be
run alone; the tool goes in along Z first, then X, and out along X first, then Z, by rapids; nothing is left in force
that the next section does not state; M05 comes before every M00 and the text says what hands do; the dwell is in the
control's unit; X is as the control reads it, F as its mode; arcs outside towards the chuck are G03 where they bulge;
every thread pass states its lead and the feed is stated after it; M30 ends it. To write them again after a change
that is meant, run this file.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from posts.dialect import load_dialect
from posts.reader import read
from posts.writer import write
from tests.posts.common import goes_by_one_axis_and_home, moves_of, sections_alone
from toolpath.errors import CannotMake
from toolpath.motion import Program

GOLDEN = Path(__file__).with_name("golden")
SAMPLES = ("screwed-cap", "reamed-bush")
FROZEN = {"g95": "g95", "g99": "g95", "iso6983": "iso6983", "plain94": "iso6983"}
NEVER = [("screwed-cap", "plain94")]  # it has a thread
EACH = pytest.mark.parametrize("sample, name", [(s, n) for s in SAMPLES for n in FROZEN if (s, n) not in NEVER])


def golden(sample: str, name: str) -> Path:
    return GOLDEN / f"{sample}-{name}.nc"


def meant(sample: str, name: str) -> Program:
    """The frozen plan, as that dialect reads X."""
    source = FROZEN[name]
    program = read(golden(sample, source).read_text(encoding="ascii"), load_dialect(source))
    return replace(program, x_diameter=load_dialect(name).fixed_x != "radius")


@EACH
def test_the_whole_text(sample: str, name: str) -> None:
    assert write(meant(sample, name), load_dialect(name)).text == golden(sample, name).read_text(encoding="ascii")


@EACH
def test_it_leads_where_the_plan_does(sample: str, name: str) -> None:
    dialect = load_dialect(name)
    program = read(golden(sample, name).read_text(encoding="ascii"), dialect)
    digit = 10**-dialect.millimetre.position
    places, plan = ([m.end for m in moves_of(p)] for p in (program, meant(sample, name)))
    assert len(places) == len(plan)
    for place, planned in zip(places, plan, strict=True):
        assert place == pytest.approx(planned, abs=digit)


@EACH
def test_no_section_hangs_on_the_one_before(sample: str, name: str) -> None:
    """Each section alone, its tool in the post already, is a program of the same cuts."""
    text, dialect = golden(sample, name).read_text(encoding="ascii"), load_dialect(name)
    for alone, within in sections_alone(text, read(text, dialect), dialect):
        assert alone == within


@EACH
def test_tools_come_along_z_and_leave_along_x(sample: str, name: str) -> None:
    """Between change place and work no rapid moves two axes at once."""
    program = read(golden(sample, name).read_text(encoding="ascii"), load_dialect(name))
    assert goes_by_one_axis_and_home(program)


@pytest.mark.parametrize("sample, name", NEVER)
def test_a_thread_is_refused_where_nothing_follows_the_spindle(sample: str, name: str) -> None:
    with pytest.raises(CannotMake, match="no word for 'thread'"):
        write(meant(sample, name), load_dialect(name))


if __name__ == "__main__":
    for _sample in SAMPLES:
        for _name in FROZEN:
            if (_sample, _name) not in NEVER:
                golden(_sample, _name).write_text(write(meant(_sample, _name), load_dialect(_name)).text, "ascii")
