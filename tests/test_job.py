"""The job file as a person writes it: what it means, what is taken for granted, and what is refused in which words."""

from __future__ import annotations

from pathlib import Path

import pytest

from toolpath.errors import BadInput
from toolpath.job import DEFAULTS, Bar, Expected, Holding, Job, Parting, read_job

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
    job = read(tmp_path, FULL)
    assert (job.title, job.unit, job.material, job.stem) == ("Plumb-bob cap", "mm", "brass", "cap")
    assert job.machine == tmp_path / "machines/bench.toml"
    assert job.tools == tmp_path / "racks/drawer.toml"
    assert job.materials == tmp_path / "materials/own.toml"
    assert job.bar == Bar(dia=15.875, length=60.0, face_off=0.5)
    assert job.break_edges == pytest.approx(0.3, abs=1e-15)
    assert job.outside == ({"chamfer": 1.0}, {"dia": "14 -0.02/-0.05", "to": 13})
    assert job.holding == Holding("collet", 29.0)
    assert job.finish_um == 3.2
    assert job.parting == Parting(off=True, stub=0.0)
    assert job.expected == Expected(2000.5, 0.5)
    assert job.defaults == ()


def test_the_least_job_and_the_defaults_it_took(tmp_path: Path) -> None:
    job = read(tmp_path, LEAST)
    assert job.bar == Bar(dia=16.0, length=60.0, face_off=1.0)
    assert job.break_edges == 0.2
    assert job.holding == Holding("chuck", None)
    assert job.parting == Parting(off=True, stub=1.0)
    assert (job.finish_um, job.expected, job.materials) == (None, None, None)
    assert {(d.key, d.value) for d in job.defaults} == {
        ("units", "mm"),
        ("break_edges", "0.2 mm"),
        ("bar.face_off", "1 mm"),
        ("holding.grip", "bar"),
        ("holding.in", "chuck"),
        ("holding.stick_out", "as needed"),
        ("finish.height_um", "as it comes"),
        ("parting.off", "true"),
        ("parting.stub", "1 mm"),
    }


def test_every_default_has_its_reason_and_can_be_used(tmp_path: Path) -> None:
    assert all(len(default.why.split()) >= 5 for default in DEFAULTS.values())
    job = read(tmp_path, LEAST + "[expect]\nvolume_mm3 = 2261.9\n")
    assert {d.key for d in job.defaults} == set(DEFAULTS)
    assert job.expected == Expected(2261.9, pytest.approx(0.22619, rel=1e-12))


def test_defaults_do_not_change_with_the_unit_of_bare_numbers(tmp_path: Path) -> None:
    inches = LEAST.replace('material = "brass"', 'material = "brass"\nunits = "in"').replace("16", "0.625")
    job = read(tmp_path, inches.replace("60", "2.5"))
    assert job.bar == Bar(dia=15.875, length=63.5, face_off=1.0)
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
        "9: part.outside: the part has no rows. "
        "Write at least one, from the front end towards the chuck: { dia = 12, to = 20 }",
    ),
    "bar of no size": (
        bad(LEAST, "dia = 16", "dia = 0"),
        "6: bar.dia: 0 is not a length that can be. Give more than zero",
    ),
    "negative length": (
        bad(LEAST, "length = 60", 'length = "-2 in"'),
        "7: bar.length: '-2 in' (-50.8 mm) is not a length that can be. Give more than zero",
    ),
    "negative face": (
        bad(FULL, "face_off = 0.5", "face_off = -0.5"),
        "12: bar.face_off: -0.5 is not a length that can be. Give zero or more",
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
        "6: bar.dia: this number has no end (inf, or too many digits before the point). Give a plain finite number",
    ),
    "negative edges": (
        bad(FULL, 'break_edges = "wall/4"', "break_edges = -1"),
        "7: break_edges: -1 is not a length that can be. Give zero or more",
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
        FULL + "[[holding]]\non = 'mandrel M10x1'\n",
        "41: holding[1]: the part would be held 2 times; only one holding, by the bar, is made yet. "
        "Leave the second [[holding]] out",
    ),
    "inside": (
        bad(FULL, "[part]", "[part]\ninside = [{ hole = 2 }]"),
        "19: part.inside: holes and bores are not made yet. Leave `inside` out",
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


@pytest.mark.parametrize("key", ["title", "machine", "tools", "material", "[bar]", "[part]"])
def test_what_has_no_default_must_be_there(tmp_path: Path, key: str) -> None:
    head, _, rest = LEAST.partition(key)
    tail = rest.partition("[")[2] if key.startswith("[") else rest.partition("\n")[2]
    text = head + ("[" + tail if key.startswith("[") and tail else "" if key.startswith("[") else tail)
    with pytest.raises(BadInput) as caught:
        read(tmp_path, text)
    assert f"'{key.strip('[]')}' is missing" in str(caught.value)


def test_a_job_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as caught:
        read_job(tmp_path / "none.toml")
    assert str(caught.value).startswith(f"{tmp_path / 'none.toml'}: there is no such file")
