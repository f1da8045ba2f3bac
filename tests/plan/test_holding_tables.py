"""Tables [[holding]] as a person writes them: what may grip the bar, keys that are left out, set-ups without work."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.plan.bench import faults
from tests.plan.holdings import ON_A_FACEPLATE, PULLED_INTO_A_CENTRE
from tests.plan.test_centres import BETWEEN, made
from toolpath.errors import CannotMake, HalfsectionError
from toolpath.plan.header import header, how_held

PIN = """\
[bar]
dia = 16
length = 70
[part]
outside = [ { dia = 10, to = 14 }, { dia = 15, to = 30 } ]
inside = [ { hole = 4, deep = 8, from = "back" } ]
[[holding]]
"""


@pytest.mark.parametrize(
    ("hold", "name"),
    [
        ('in = "faceplate"', "faceplate"),
        ('in = "centres"', "dog between centres"),
        ('in = "expanding arbor"', "expanding arbor"),
        ('on = "mandrel M10x1"\nagainst = "shoulder at 9"', "threaded mandrel"),
    ],
)
@pytest.mark.parametrize("before", ["", 'in = "chuck"\n[[holding]]\ngrip = "bar"\n'])
def test_what_holds_made_work_alone_never_grips_the_bar(tmp_path: Path, hold: str, name: str, before: str) -> None:
    """A bar has no flange for clamps, no thread, no centre holes: the program would say that they hold it."""
    with pytest.raises(HalfsectionError) as caught:
        made(tmp_path, PIN + before + hold)
    told = str(caught.value)
    if before and hold.startswith("on"):
        assert "with the other keys is no hold on the part's own thread" in told
    else:
        assert f"holding[{int(bool(before))}]." in told
        assert f"grips the bar, and the {name} holds only what an earlier one has made" in told


def test_a_later_holding_grips_the_part_where_it_does_not_say(tmp_path: Path) -> None:
    """30 mm long, held from 2 to 12 mm behind the front: turned round that is z -28 to -18."""
    done = made(tmp_path, PIN + 'in = "chuck"\n[[holding]]\nin = "soft jaws"\nheld = [2, 12]\n')
    assert faults(done) == []
    gripped = done.setups[1].plan.request.gripped
    assert gripped is not None
    assert (gripped.dia, gripped.far_z, gripped.nose_z) == pytest.approx((10.0, -28.0, -18.0))
    with pytest.raises(HalfsectionError, match=r"holding\[0\]\.held: held is the stretch of the part"):
        made(tmp_path, PIN + 'in = "chuck"\nheld = [2, 12]\n')


@pytest.mark.parametrize("more", ["", '[[holding]]\ngrip = "bar"\nin = "collet"\n'])
def test_a_set_up_that_has_nothing_to_cut(tmp_path: Path, more: str) -> None:
    """The bar as it stands, 16 mm and faced already, no edge broken."""
    bare = "break_edges = 0\n[bar]\ndia = 16\nlength = 60\nface_off = 0\n[part]\noutside = [ { dia = 16, to = 10 } ]\n"
    with pytest.raises(CannotMake, match=r"pin\.toml: .*there is nothing to cut here: .*\[bar\] face_off"):
        made(tmp_path, bare + '[parting]\noff = false\n[[holding]]\nin = "collet"\n' + more)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (
            "turn_to = 31",
            "holding[0].turn_to: turn_to 31 mm is not on the part, which is 30 mm long. It is the distance",
        ),
        ("turn_to = 20", "holding: no holding turns the outside from 20 to 30 mm behind the front face, 10 mm"),
        (
            '[[holding]]\ngrip = "part"\nend = "front"',
            "holding[1]: holding 2 has nothing to do: its front end is faced",
        ),
        (
            'turn_to = 9\n[[holding]]\nin = "chuck"\nend = "front"\nturn_to = 20',
            "holding: no holding turns the outside ",
        ),
    ],
)
def test_stretches_that_can_not_be_are_told_with_file_and_line(tmp_path: Path, change: str, message: str) -> None:
    with pytest.raises(HalfsectionError) as caught:
        made(tmp_path, PIN.replace(', from = "back"', "") + 'in = "chuck"\n' + change)
    head, _, rest = str(caught.value).partition(": ")
    assert rest.startswith(message)
    assert head.rpartition(":")[0].endswith("pin.toml") and head.rpartition(":")[2].isdigit()


def test_zero_is_told_by_the_end_that_is_at_the_tools(tmp_path: Path) -> None:
    """The first holding works from the back end: header, summary and stops must not call that the front face."""
    job = PIN.replace(', from = "back"', "")
    done = made(tmp_path, job + 'in = "chuck"\nend = "back"\n[[holding]]\nin = "soft jaws"\n')
    assert faults(done) == []
    for setup, end in zip(done.setups, ("back", "front"), strict=True):
        plan = setup.plan
        told = (*header(plan.request, plan.work, plan.operations), *how_held(plan.request, plan.work))
        said = " ".join(told)
        assert f"Z0 is the finished {end} face" in said
        assert said.count("Z0 is the finished") == said.count(f"Z0 is the finished {end} face")


COVER = """\
[bar]
dia = 28
length = 80
[part]
outside = [ { dia = 16, to = 30 }, { dia = 26, to = 38 } ]
inside = [ { hole = 6, through = true } ]
[parting]
stub = 2
"""
COVER += ON_A_FACEPLATE
CUP = """\
[bar]
dia = 25
length = 80
[part]
outside = [ { dia = 20, to = 10 }, { dia = 24, to = 22 } ]
inside = [ { dia = 12, to = 12.5, made = "bored" }, { hole = 3, through = true, from = "back" } ]
[parting]
stub = 2
[[holding]]
in = "collet"
turn_to = 6
[[holding]]
in = "expanding arbor"
"""


@pytest.mark.parametrize(
    ("job", "message"),
    [
        # 38 mm of cover, and the point of a drill of 6 is 1.8 mm long: the plate is met before it is out
        (COVER, r"drill 6 mm.* would go to z -40\.\d+ mm, and from -38\.00 on the 160 mm faceplate is in its way\. A "),
        # turned round the bore of 12.5 ends 9.5 mm under the back face, and the arbor stands in all of it
        (CUP, r"drill 3 mm.* would go to z -10\.\d+ mm, and from -9\.50 on the expanding arbor .* is in its way"),
    ],
)
def test_a_drill_that_would_go_on_into_the_hold(tmp_path: Path, job: str, message: str) -> None:
    with pytest.raises(CannotMake, match=message):
        made(tmp_path, job)


def test_a_faceplate_with_a_hole_lets_the_drill_through(tmp_path: Path) -> None:
    assert faults(made(tmp_path, COVER, machine="\nspindle_bore = 20\n")) == []


def test_an_arbor_takes_what_is_turned_up_to_its_clearance(tmp_path: Path) -> None:
    """22 mm and 0.5 to face; the first holding, which turns nothing, still parts the piece off the bar as it stands."""
    cup = CUP.replace(', { hole = 3, through = true, from = "back" }', "")
    assert faults(made(tmp_path, cup)) == []
    with pytest.raises(
        CannotMake, match=r"set-up 2: 22\.50 mm of the work stand out .* takes 24\.50 mm .* turn_to here"
    ):
        made(tmp_path, cup.replace("turn_to = 6", "turn_to = 0"))


PULLED = """\
[bar]
dia = 12
length = 111
[part]
outside = [ { dia = 8, to = 20 }, { dia = 9, to = 52 }, { dia = 10, to = 100 } ]
inside = [ { centre = "A2" } ]
"""
PULLED += PULLED_INTO_A_CENTRE


def test_a_bar_too_short_once_it_is_faced_names_the_length_to_saw(tmp_path: Path) -> None:
    """104.5 mm stand out and 12 are gripped, and 1 mm was faced off in the set-up before."""
    with pytest.raises(HalfsectionError, match=r"110 mm of bar .* take a bar of 117\.5 mm or more"):
        made(tmp_path, PULLED)
    assert faults(made(tmp_path, PULLED.replace("length = 111", "length = 117.5"))) == []


def test_a_dog_that_would_stand_on_a_taper(tmp_path: Path) -> None:
    spindle = BETWEEN.replace("{ dia = 10, to = 30 }", "{ taper_to = 11, from_dia = 8, to = 30 }")
    with pytest.raises(
        CannotMake, match=r"set-up 4: the driving dog takes a cylinder .* at z -120\.00 the work does not"
    ):
        made(tmp_path, spindle)


SCREWED = """\
[bar]
dia = 16
length = 70
[part]
outside = [
  { thread = "M10x1-6g", to = 9, undercut = true, cut_by = "die" },
  { dia = 14, to = 13 },
  { taper_to = 9, to = 22 },
]
[[holding]]
in = "collet"
[[holding]]
against = "shoulder at 9"
on = "mandrel """


@pytest.mark.parametrize("on", ["M10x1.5", "M10x1 LH", "M10 LH"])
def test_a_mandrel_takes_the_thread_of_the_part_and_no_other(tmp_path: Path, on: str) -> None:
    with pytest.raises(CannotMake, match=rf"a mandrel {on} does not take the thread .* held by, M10x1\. Write that"):
        made(tmp_path, f'{SCREWED}{on}"')


@pytest.mark.parametrize("on", ["M10x1", "M10"])
def test_a_mandrel_for_the_thread_of_the_part(tmp_path: Path, on: str) -> None:
    assert faults(made(tmp_path, f'{SCREWED}{on}"')) == []
