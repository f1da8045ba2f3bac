"""The job file as a person writes it: what it means, what is taken for granted, and what is refused in which words."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from toolpath.errors import BadInput
from toolpath.job.defaults import DEFAULTS
from toolpath.job.job import Bar, Expected, Job, Parting
from toolpath.job.read import half_section, read_job
from toolpath.part.stock import bar
from toolpath.shop.holding import Holding

LEAST = """\
title = "Bush"
machine = "machines/bench.toml"
tools = "racks/drawer.toml"
material = "brass"
[bar]
dia = 16
length = 60
[part]
outside = [{ dia = 12, to = 20 }]
"""

FULL = """\
title    = "  Plumb-bob   cap "
units    = "mm"
machine  = "machines/bench.toml"
tools    = "racks/drawer.toml"
materials = "materials/own.toml"
material = "brass"
break_edges = "wall/4"

[bar]
dia      = "5/8 in"
length   = "wall * 50"
face_off = 0.5

[sizes]
wall = 1.2
twice = "2*wall"

[part]
outside = [
  { chamfer = 1.0 },
  { dia = "14 -0.02/-0.05", to = 13 },
]

[[holding]]
grip = "bar"
in = "collet"
stick_out = 29

[finish]
height_um = 3.2

[parting]
off = true
stub = 0

[expect]
volume_mm3 = 2000.5
within_mm3 = 0.5
"""


def written(folder: Path, text: str) -> Path:
    path = folder / "cap.toml"
    path.write_text(text, encoding="utf-8")
    return path


def read(folder: Path, text: str, **overrides: str) -> Job:
    return read_job(written(folder, text), overrides=overrides)


def test_everything_that_a_job_may_say(tmp_path: Path) -> None:
    job = read(tmp_path, FULL + '[roughing]\npattern = "along x"\n')
    assert (job.title, job.unit, job.material, job.stem) == ("Plumb-bob cap", "mm", "brass", "cap")
    assert job.machine == tmp_path / "machines/bench.toml"
    assert job.tools == tmp_path / "racks/drawer.toml"
    assert job.materials == tmp_path / "materials/own.toml"
    assert job.bar == Bar(bar(15.875, length=60.0, front=0.5))
    assert (job.bar.dia, job.bar.length, job.bar.face_off) == (15.875, 60.0, 0.5)
    assert job.break_edges == pytest.approx(0.3, abs=1e-15)
    assert [type(row).__name__ for row in job.rows] == ["Chamfer", "Cylinder"]
    assert job.holding == Holding("collet", "front", 29.0)
    assert (job.pattern, job.finish_um, job.finish_passes) == ("along x", 3.2, 1)
    assert job.parting == Parting(off=True, stub=0.0)
    assert job.expected == Expected(2000.5, 0.5)
    assert [d.key for d in job.defaults] == [
        "least_wall",
        "thin",
        "finish.polished_um",
        "finish.compensation",
        "finish.passes",
        "finish.one_way",
        "finish.measure",
    ]
    assert (job.least_wall, job.thin) == (None, "refuse")


def test_the_control_may_compensate_for_the_nose(tmp_path: Path) -> None:
    twice = read(tmp_path, FULL.replace("height_um = 3.2", "height_um = 3.2\npasses = 2"))
    assert twice.finish_passes == 2
    with pytest.raises(BadInput, match=r"finish\.passes"):
        read(tmp_path, FULL.replace("height_um = 3.2", "height_um = 3.2\npasses = 3"))
    finish = 'height_um = 3.2\ncompensation = "{}"'
    job = read(tmp_path, FULL.replace("height_um = 3.2", finish.format("control")))
    assert (job.compensation, "finish.compensation" in [d.key for d in job.defaults]) == ("control", False)
    with pytest.raises(BadInput, match=r"finish\.compensation") as caught:
        read(tmp_path, FULL.replace("height_um = 3.2", finish.format("machine")))
    assert caught.value.line == 31


def test_how_thin_a_wall_may_be(tmp_path: Path) -> None:
    job = read(tmp_path, 'least_wall = "1/32 in"\nthin = "warn"\n' + FULL)
    assert (job.least_wall, job.thin) == (pytest.approx(25.4 / 32.0), "warn")


def test_the_least_job_and_the_defaults_it_took(tmp_path: Path) -> None:
    job = read(tmp_path, LEAST)
    assert job.bar == Bar(bar(16.0, length=60.0, front=1.0))
    assert job.break_edges == 0.2
    assert job.holding == Holding("chuck", "front")
    assert job.parting == Parting(off=True, stub=1.0)
    assert (job.pattern, job.finish_um, job.compensation, job.finish_passes) == (None, None, "program", 1)
    assert (job.expected, job.materials) == (None, None)
    assert {(d.key, d.value) for d in job.defaults} == {
        ("units", "mm"),
        ("break_edges", "0.2 mm"),
        ("least_wall", "as the material"),
        ("thin", "refuse"),
        ("bar.face_off", "1 mm"),
        ("holding.grip", "bar"),
        ("holding.in", "chuck"),
        ("holding.stick_out", "as needed"),
        ("roughing.pattern", "quickest"),
        ("finish.height_um", "as it comes"),
        ("finish.polished_um", "not polished"),
        ("finish.compensation", "program"),
        ("finish.passes", "1"),
        ("finish.one_way", "false"),
        ("finish.measure", "false"),
        ("parting.off", "true"),
        ("parting.stub", "1 mm"),
    }


@pytest.mark.parametrize(
    ("rest", "words"),
    [
        ("infeed = 'sideways'", "threading.infeed"),
        ("springs = 40", "40 passes at full depth are no number of passes. Write 0 to 9"),
    ],
)
def test_how_a_thread_is_cut(tmp_path: Path, rest: str, words: str) -> None:
    threaded = LEAST.replace("{ dia = 12", '{ thread = "M12", cut_by = "point"')
    good = read(tmp_path, threaded + "[threading]\ninfeed = 'alternating'\nsprings = 0\n")
    assert (good.infeed, good.springs) == ("alternating", 0)
    with pytest.raises(BadInput, match=words):
        read(tmp_path, threaded + f"[threading]\n{rest}\n")
    with pytest.raises(BadInput, match="no thread of the part is cut with a point"):
        read(tmp_path, LEAST + "[threading]\nsprings = 1\n")


def test_every_default_has_its_reason_and_can_be_used(tmp_path: Path) -> None:
    assert all(len(default.why.split()) >= 4 for default in DEFAULTS.values())
    job = read(tmp_path, 'together = ["outside[0]"]\n' + LEAST + "[expect]\nvolume_mm3 = 2261.9\n")
    blank = read(tmp_path, LEAST.replace("dia = 16\nlength = 60", "outside = [{ dia = 16, to = 60 }]"))
    round_ = read(tmp_path, LEAST + "[[holding]]\n[[holding]]\n")
    threaded = read(tmp_path, LEAST.replace("{ dia = 12", '{ thread = "M12", cut_by = "point"'))
    holds = read(
        tmp_path, LEAST + '[[component]]\nname = "p"\nsteps = [{ dia = 3, length = 5 }]\nfit = "free"\nseat = 4\n'
    )
    jobs = (job, blank, round_, threaded, holds)
    assert {d.key for one in jobs for d in one.defaults} == set(DEFAULTS)
    assert job.expected == Expected(2261.9, pytest.approx(0.22619, rel=1e-12))


def test_defaults_do_not_change_with_the_unit_of_bare_numbers(tmp_path: Path) -> None:
    inches = LEAST.replace('material = "brass"', 'material = "brass"\nunits = "inch"').replace("16", "0.625")
    job = read(tmp_path, inches.replace("60", "2.5"))
    assert job.bar == Bar(bar(15.875, length=63.5, front=1.0))
    assert (job.break_edges, job.parting.stub) == (0.2, 1.0)


def test_sizes_can_be_overridden(tmp_path: Path) -> None:
    job = read(tmp_path, FULL, wall="1/8 in")
    assert job.bar.length == pytest.approx(158.75, abs=1e-12)
    assert job.break_edges == pytest.approx(0.79375, abs=1e-12)


def test_a_size_that_the_job_does_not_have_can_not_be_overridden(tmp_path: Path) -> None:
    with pytest.raises(BadInput, match="wal"):
        read(tmp_path, FULL, wal="2")


def test_the_digest_tells_jobs_and_overrides_apart_and_nothing_else(tmp_path: Path) -> None:
    one = read(tmp_path, FULL)
    assert len(one.digest) == 64
    (tmp_path / "moved").mkdir()
    assert read(tmp_path / "moved", FULL).digest == one.digest
    others = [read(tmp_path, FULL, wall="2"), read(tmp_path, FULL, wall="1.2"), read(tmp_path, FULL + "# a note\n")]
    assert len({one.digest, *(job.digest for job in others)}) == 4


def bad(text: str, old: str, new: str) -> str:
    assert old in text
    return text.replace(old, new, 1)


REFUSED = {
    "no rows": (
        bad(LEAST, "outside = [{ dia = 12, to = 20 }]", "outside = []"),
        "9: part.outside: the part has no rows. Write at least one, as { dia = 12, to = 20 }",
    ),
    "bar of no size": (
        bad(LEAST, "dia = 16", "dia = 0"),
        "6: bar.dia: '0' has to be larger than 0",
    ),
    "negative length": (
        bad(LEAST, "length = 60", 'length = "-2 in"'),
        "7: bar.length: '-2 in' has to be larger than 0",
    ),
    "negative face": (
        bad(FULL, "face_off = 0.5", "face_off = -0.5"),
        "12: bar.face_off: '-0.5' is less than 0. 0 means none",
    ),
    "all faced off": (
        bad(FULL, "face_off = 0.5", "face_off = 60"),
        "12: bar.face_off: facing 60 mm off leaves nothing of a bar 60 mm long",
    ),
    "bar is nan": (
        bad(LEAST, "dia = 16", "dia = nan"),
        "6: bar.dia: 'nan' is not a number. Give a plain finite number",
    ),
    "bar is endless": (
        bad(LEAST, "dia = 16", "dia = inf"),
        "6: bar.dia: this number has no end ('inf', or too large to hold). Give a plain finite number",
    ),
    "negative edges": (
        bad(FULL, 'break_edges = "wall/4"', "break_edges = -1"),
        "7: break_edges: '-1' is less than 0. 0 means none",
    ),
    "empty title": (
        bad(LEAST, '"Bush"', '"  "'),
        "1: title: the title is empty. Name the part in a few words",
    ),
    "no machine named": (
        bad(LEAST, '"machines/bench.toml"', '""'),
        "2: machine: no file is named here. Give a path relative to the job",
    ),
    "second holding": (
        FULL + "[[holding]]\ngrip = 'part'\n[[holding]]\ngrip = 'bar'\nend = 'front'\n",
        "42: holding[2].grip: holding 3 grips the bar, and the one before it what was cut from that. "
        "Holdings that grip the bar come first",
    ),
    "inside": (
        bad(FULL, "[part]", "[part]\ninside = [{ hole = 2 }]"),
        "19: part.inside[0]: nothing says how deep the hole is. Write deep (to where the full diameter ends) or "
        "through = true",
    ),
    "sticks out too far": (
        bad(FULL, "stick_out = 29", "stick_out = 60"),
        "27: holding[0].stick_out: 60 mm stick out of the collet, and the bar is 60 mm long: nothing is left to grip",
    ),
    "no height": (
        bad(FULL, "height_um = 3.2", "height_um = 0"),
        "30: finish.height_um: 0 µm is no height of a surface",
    ),
    "stub as thick as the bar": (
        bad(FULL, "stub = 0", "stub = 16"),
        "34: parting.stub: a stub of 16 mm is the whole bar of 15.875 mm",
    ),
    "stub without parting": (
        bad(FULL, "off = true", "off = false"),
        "34: parting.stub: a stub is given, but nothing is parted off. Leave it out",
    ),
    "no volume": (
        bad(FULL, "2000.5", "-2000.5"),
        "37: expect.volume_mm3: -2000.5 mm³ is no volume of a part",
    ),
    "no room for rounding": (
        bad(FULL, "within_mm3 = 0.5", "within_mm3 = 0"),
        "38: expect.within_mm3: 0 mm³ leaves no room for rounding",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused_with_file_line_key_and_reason(tmp_path: Path, name: str) -> None:
    text, message = REFUSED[name]
    with pytest.raises(BadInput) as caught:
        read(tmp_path, text)
    assert str(caught.value) == f"{tmp_path / 'cap.toml'}:{message}"


@pytest.mark.parametrize(
    ("old", "new", "key", "line"),
    [
        ("[bar]", "[baar]", "baar", 5),
        ("length = 60", "lenght = 60", "bar.lenght", 7),
        ("dia = 16", "dia = [16]", "bar.dia", 6),
        ("dia = 16", "dia = true", "bar.dia", 6),
        ("dia = 16", 'dia = "sixteen"', "bar.dia", 6),
        ("dia = 16", 'dia = "90 m/min"', "bar.dia", 6),
        ('title = "Bush"', "title = 7", "title", 1),
        ('material = "brass"', 'material = "brass"\nunits = "cubits"', "units", 5),
        ("outside = [{ dia = 12, to = 20 }]", "outside = [7]", "part.outside[0]", 9),
        ("[part]", "[[holding]]\ngrip = 'teeth'\n[part]", "holding[0].grip", 9),
        ("[part]", "[[holding]]\nstickout = 30\n[part]", "holding[0].stickout", 9),
    ],
)
def test_wrong_words_and_kinds_name_their_place(tmp_path: Path, old: str, new: str, key: str, line: int) -> None:
    with pytest.raises(BadInput) as caught:
        read(tmp_path, bad(LEAST, old, new))
    error = caught.value
    assert (error.file, error.where, error.line) == (str(tmp_path / "cap.toml"), key, line)


LEAST_BY_KEY = {
    "title": 'title = "Bush"',
    "machine": 'machine = "machines/bench.toml"',
    "tools": 'tools = "racks/drawer.toml"',
    "material": 'material = "brass"',
    "bar": "bar = { dia = 16, length = 60 }",
    "part": "part = { outside = [{ dia = 12, to = 20 }] }",
}


@pytest.mark.parametrize("key", LEAST_BY_KEY)
def test_what_has_no_default_must_be_there(tmp_path: Path, key: str) -> None:
    assert read(tmp_path, "\n".join(LEAST_BY_KEY.values())).title == "Bush"
    with pytest.raises(BadInput) as caught:
        read(tmp_path, "\n".join(line for name, line in LEAST_BY_KEY.items() if name != key))
    assert str(caught.value) == f"{tmp_path / 'cap.toml'}: '{key}' is missing, and it has no default"


def test_the_part_is_built_and_its_volume_known(tmp_path: Path) -> None:
    """A plain disc with sharp edges: pi r² l."""
    part = half_section(read(tmp_path, "break_edges = 0\n" + LEAST))
    assert part.volume() == pytest.approx(math.pi * 6**2 * 20, rel=1e-12)
    assert part.length == 20.0


@pytest.mark.parametrize(("stated", "holds"), [(2261.9, True), (2262.1, True), (2262.3, False), (2261.6, False)])
def test_the_expected_volume_is_held_to_its_tolerance(tmp_path: Path, stated: float, holds: bool) -> None:
    """pi 6² 20 = 2261.947, and 0.01 % of it is 0.226."""
    job = read(tmp_path, "break_edges = 0\n" + LEAST + f"[expect]\nvolume_mm3 = {stated}\n")
    if holds:
        assert half_section(job).length == 20.0
        return
    with pytest.raises(BadInput) as caught:
        half_section(job)
    assert str(caught.value) == (
        f"{tmp_path / 'cap.toml'}:12: expect.volume_mm3: the part comes to 2261.947 mm³; expected are {stated:.3f}, "
        "within 0.23. A row is not what was meant, or the figure is that of another part"
    )


def test_the_expected_volume_is_that_of_the_sizes_as_written(tmp_path: Path) -> None:
    text = LEAST.replace("dia = 12", 'dia = "d"') + "[sizes]\nd = 12\n[expect]\nvolume_mm3 = 2260.4555\n"
    assert half_section(read(tmp_path, text)).largest_dia == 12.0
    assert half_section(read(tmp_path, text, d="10")).largest_dia == 10.0


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("{ dome_to = 17, length = 8 }", "part.outside[0]: dome radius 8.5156 comes to dia 17, and the bar is dia 16"),
        ("{ dia = 12, to = 60 }", "part.outside[0]: dia 12 ends 60 mm from the front face, and the bar has 59 mm"),
    ],
)
def test_a_part_larger_than_the_bar_names_its_row(tmp_path: Path, row: str, said: str) -> None:
    with pytest.raises(BadInput) as caught:
        half_section(read(tmp_path, "break_edges = 0\n" + LEAST.replace("{ dia = 12, to = 20 }", row)))
    assert str(caught.value) == f"{tmp_path / 'cap.toml'}:10: {said}"


def test_a_job_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as caught:
        read_job(tmp_path / "none.toml")
    assert str(caught.value).startswith(f"{tmp_path / 'none.toml'}: there is no such file")


BLANK = "outside = [{ dia = 24, to = 10 }, { dia = 16, to = 60 }]"


def blank(folder: Path, bar: str, part: str = "{ dia = 12, to = 20 }", rest: str = "") -> Job:
    text = LEAST.replace("dia = 16\nlength = 60", bar).replace("{ dia = 12, to = 20 }", part)
    return read(folder, text + rest)


def test_a_tube(tmp_path: Path) -> None:
    job = blank(tmp_path, 'dia = 16\nlength = 60\nbore = "1/4 in"')
    assert (job.bar.dia, job.bar.length, job.bar.face_off) == (16.0, 60.0, 1.0)
    assert (job.bar.stock.bore, job.bar.drawn) == (pytest.approx(6.35), False)


def test_a_drawn_blank_is_not_faced_unless_the_job_says_so(tmp_path: Path) -> None:
    job = blank(tmp_path, BLANK)
    assert (job.bar.dia, job.bar.length, job.bar.face_off, job.bar.drawn) == (24.0, 60.0, 0.0, True)
    assert ("drawn bar.face_off", "0 mm") in {(d.key, d.value) for d in job.defaults}
    faced = blank(tmp_path, BLANK + "\nface_off = 2")
    assert (faced.bar.face_off, faced.bar.stock.back) == (2.0, -58.0)
    assert not any("bar." in d.key for d in faced.defaults)


def test_sizes_and_units_hold_in_the_rows_of_a_blank(tmp_path: Path) -> None:
    sizes = "[sizes]\nrim = 24\n"
    job = blank(tmp_path, BLANK.replace("dia = 24", 'dia = "rim"').replace("to = 60", 'to = "2.5 in"'), rest=sizes)
    assert (job.bar.dia, job.bar.length) == (24.0, 63.5)


def test_a_blank_with_a_hollow(tmp_path: Path) -> None:
    job = blank(tmp_path, BLANK + "\ninside = [{ dia = 8, to = 60 }]")
    assert (job.bar.stock.bore, job.bar.stock.dia) == (8.0, 24.0)


BAD_BARS = {
    "a bore as wide as the bar": (
        "dia = 16\nlength = 60\nbore = 16",
        "8: bar.bore: a bore of 16 mm leaves nothing of a bar of 16 mm",
    ),
    "no bore": ("dia = 16\nlength = 60\nbore = 0", "8: bar.bore: '0' has to be larger than 0"),
    "no length": (
        "dia = 16",
        "5: bar: 'length' is missing, and it has no default. "
        "A bar has dia and length, a blank of another shape outside = [rows]",
    ),
    "both dia and outline": (
        "dia = 24\n" + BLANK,
        "6: bar.dia: dia is given, but the outline is drawn. Write one of them",
    ),
    "both length and outline": (
        BLANK + "\nlength = 60",
        "7: bar.length: length is given, but the outline is drawn. Write one of them",
    ),
    "rows inside a plain bar": (
        "dia = 16\nlength = 60\ninside = [{ dia = 8, to = 60 }]",
        "8: bar.inside: only a drawn outline has rows inside. A tube's hole is its bore",
    ),
    "no rows": (
        "outside = []",
        "6: bar.outside: the list of rows is empty. Write at least one, as { dia = 12, to = 20 }",
    ),
    "an unknown word": (
        "outside = [{ diam = 24, to = 60 }]",
        "6: bar.outside[0].diam: 'diam' is not known here. Did you mean 'dia'?",
    ),
    "a row that can not be": (
        "outside = [{ dia = 24, to = 60 }, { dia = 20, to = 50 }]",
        "6: bar.outside[1]: to = 50 mm does not go beyond the surface before it, which ends 60 mm from the front face",
    ),
    "a cone to grip": (
        "outside = [{ dia = 24, to = 10 }, { taper_to = 16, to = 60 }]",
        "6: bar.outside: the stock does not end in a cylinder that a hold could grip. End the rows with a dia",
    ),
    "a stub of a cylinder to grip": (
        "outside = [{ dia = 24, to = 50 }, { dia = 16, to = 60 }]",
        "6: bar.outside: the cylinder at the back end, of 16 mm, is 10 mm long. "
        "To be held it needs at least 16 mm (common practice)",
    ),
    "all faced off": (
        BLANK + "\nface_off = 60",
        "7: bar.face_off: facing 60 mm off leaves nothing of a bar 60 mm long",
    ),
}


@pytest.mark.parametrize("name", BAD_BARS)
def test_bars_that_can_not_be(tmp_path: Path, name: str) -> None:
    bar, message = BAD_BARS[name]
    with pytest.raises(BadInput) as caught:
        blank(tmp_path, bar)
    assert str(caught.value) == f"{tmp_path / 'cap.toml'}:{message}"


def test_the_hold_reaches_no_farther_than_the_cylinder(tmp_path: Path) -> None:
    """60 mm, of which 50 are the cylinder behind the head: 9 mm sticking out would put the head into the jaws."""
    assert blank(tmp_path, BLANK, rest="[[holding]]\nstick_out = 10\n").holding.stick_out == 10.0
    with pytest.raises(BadInput) as caught:
        blank(tmp_path, BLANK, rest="[[holding]]\nstick_out = 9\n")
    assert str(caught.value) == (
        f"{tmp_path / 'cap.toml'}:10: holding[0].stick_out: 51 mm of the stock are in the chuck, and the cylinder at "
        "its back end, of 16 mm, is 50 mm long. Let it stick out at least 10 mm"
    )


def test_a_part_that_stands_out_of_its_blank_names_row_and_place(tmp_path: Path) -> None:
    """Smaller than the blank's largest diameter everywhere, yet larger than the blank is 10 mm from its front."""
    assert half_section(blank(tmp_path, BLANK, "{ dia = 18, to = 10 }")).length == 10.0
    with pytest.raises(BadInput) as caught:
        half_section(blank(tmp_path, BLANK, "{ dia = 18, to = 12 }"))
    assert caught.value.where == "part.outside[0]"
    assert "comes to dia 18 1" in str(caught.value) and "and the bar is dia 16 there" in str(caught.value)
