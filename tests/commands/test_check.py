"""`check`: what it prints of a sound job, that it writes nothing, and what it says of every job that can not be."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.commands.conftest import BUSH, Call, everything

SOUND = """\
Bush
  free-cutting brass, bar 16 mm x 60 mm
  100 mm three-jaw chuck, Bench lathe, 250 x 500

Stations from the front face, mm
     from        to       dia    to dia  surface
    0.000     0.000     0.000     7.582  front face
    0.000     0.200     7.582     7.982  broken edge 0.2
    0.200     6.000     7.982     7.982  dia 7.982 (8 h9), 7.964 to 8.000
    6.000     6.000     7.982    11.600  shoulder dia 7.982 to 12
    6.000     6.200    11.600    12.000  broken edge 0.2
    6.200     9.800    12.000    12.000  dia 12
    9.800    10.000    12.000    11.600  broken edge 0.2
   10.000    10.000    11.600     0.000  back face

Length 10 mm, largest diameter 12 mm
Volume 750.6 mm³, 6.4 g

Tools
"""

DEFAULTS = """\
Defaults used, not said in bush.toml
  units = mm: bare numbers are millimetres
  least_wall = as the material: the table of materials says how thin a wall of
      each stands the tool
  thin = refuse: a thin wall gives way to the tool: too thick where it is cut,
      or broken through
  bar.face_off = 1 mm: cleans a sawn end that is out of square; common practice,
      no source
  holding.grip = bar: the part is cut from the bar and parted off
  holding.in = chuck: a three-jaw chuck is wider than a collet: what clears it
      clears both
  holding.stick_out = as needed: part, faced end, parting cut and the clearance
      of the machine file
  roughing.pattern = quickest: along z or along x, whichever takes less time and
      gets everywhere
  finish.height_um = as it comes: the finishing feed of the material table
      decides the finish
  finish.polished_um = not polished: asked for, free diameters are left larger,
      papers listed
  finish.compensation = program: the program moves the tip itself: right on
      every control
  finish.passes = 1: a second, light pass over the same path takes what the
      first was pushed away from
  finish.one_way = false: one pass along the contour; split, the lost motion of
      X leaves no step
  finish.measure = false: the part is measured when it is done; else a stop that
      block skip leaves out
  parting.off = true: the piece is cut from the bar
  parting.stub = 1 mm: broken off by hand, so that the piece is not flung;
      common practice, no source

"""


def test_a_sound_job_is_told_and_nothing_written(bench: Path, call: Call) -> None:
    """8 h9 is 0/-36 µm (ISO 286-2). Volume: pi (3.991² 6 + 6² 4) less three broken edges of 0.02 mm² by Pappus."""
    before = everything(bench)
    code, out, err = call("check", "bush.toml")
    assert (code, err) == (0, "")
    assert out.startswith(SOUND)
    assert DEFAULTS in out
    assert "Defaults used, not said in bench.toml\n  drive = variable:" in out
    assert out.endswith("  Take the chuck key out before the spindle starts.\n")
    assert everything(bench) == before


def test_every_line_fits_a_terminal(bench: Path, call: Call) -> None:
    assert max(map(len, call("check", "bush.toml").out.splitlines())) <= 80


def test_what_the_rack_takes_for_granted_is_told_tool_by_tool(bench: Path, call: Call) -> None:
    out = call("check", "bush.toml").out
    assert "Defaults used, not said in drawer.toml\n  tool 1: " in out
    assert out.count("\n  1  ") == 1


def test_the_drawer_is_told_with_what_has_no_number(bench: Path, call: Call) -> None:
    with (bench / "racks" / "drawer.toml").open("a", encoding="utf-8") as file:
        file.write('\n[[tool]]\nnumber = 12\nkind = "drill holder"\nlargest = 10\n')
    out = call("check", "bush.toml").out
    assert (
        " 12  drill holder 12, drills up to 10 mm\n"
        "     centre drill A2, 2 mm pilot, in the tailstock\n"
        "     centre drill A3.15, 3.15 mm pilot, in the tailstock\n"
    ) in out
    assert (
        "     drills: metric 0.5, 1 to 13; number 1 to 60; letter A to R; fractional 1/16\n       to 1/2; 5.8, 7.8\n"
    ) in out
    assert "\n  reamer 6 H7: lead 0.6 mm, flute 26 mm, " in out


def test_sizes_and_material_for_one_run(bench: Path, call: Call) -> None:
    code, out, _ = call("check", "bush.toml", "--set", "flange = 1/2 in", "--material", "acetal")
    assert code == 0
    assert "    6.200     9.800    12.700    12.700  dia 12.7\n" in out
    assert out.splitlines()[1].startswith("  acetal")


def test_an_inch_job_is_told_in_inches(bench: Path, call: Call) -> None:
    text = BUSH.replace('title = "Bush"', 'title = "Bush"\nunits = "inch"').replace("dia = 16", 'dia = "5/8"')
    text = text.replace("length = 60", "length = 2.5").replace("flange = 12", "flange = 0.5").replace("0.2", "0.01", 1)
    text = text.replace('"8 h9", to = 6', '"0.3125", to = 0.25').replace("to = 10", "to = 0.4")
    (bench / "bush.toml").write_text(text, encoding="utf-8")
    code, out, err = call("check", "bush.toml")
    assert (code, err) == (0, "")
    assert "bar 0.625 in x 2.5 in" in out
    assert "   0.2600    0.3900    0.5000    0.5000  " in out
    assert "Length 0.4 in, largest diameter 0.5 in" in out


def change(bench: Path, old: str, new: str, file: str = "bush.toml") -> None:
    text = (bench / file).read_text(encoding="utf-8")
    assert old in text
    (bench / file).write_text(text.replace(old, new, 1), encoding="utf-8")


BAD = [
    # broken TOML
    ("dia = 16", "dia = ", "bush.toml:7: not sound TOML: this value can not be read; text stands in quotes, "
     "a number has a point and no unit (1.5): dia ="),
    ("[bar]", "[bar", "bush.toml:6: not sound TOML: "),
    # wrong kinds and unknown words
    ('title = "Bush"', "title = 5", "bush.toml:1: title: "),
    ("dia = 16", "dia = [16]", "bush.toml:7: bar.dia: "),
    ("length = 60", "lengt = 60", "bush.toml:8: bar.lengt: unknown key 'lengt'. Did you mean 'length'?"),
    ("[part]", "[parts]", "bush.toml:11: parts: unknown key 'parts'. Did you mean 'part'?"),
    ("to = 10", "too = 10", "bush.toml:14: part.outside[1].too: 'too' is not known here. Did you mean 'to'?"),
    ("flange = 12", 'flange = "12 deg"', "bush.toml:14: part.outside[1].dia: 'flange' is an angle; a length was "
     "wanted"),
    # not a number, endless, negative, nothing
    ("dia = 16", "dia = nan", "bush.toml:7: bar.dia: 'nan' is not a number. Give a plain finite number"),
    ("to = 10", "to = inf", "bush.toml:14: part.outside[1].to: this number has no end"),
    ("dia = 16", "dia = -16", "bush.toml:7: bar.dia: '-16' has to be larger than 0"),
    ("length = 60", "length = 0", "bush.toml:8: bar.length: '0' has to be larger than 0"),
    ("flange = 12", "flange = 0", "bush.toml:14: part.outside[1].dia: 'flange' has to be larger than 0"),
    ("flange = 12", "flange = -3", "bush.toml:14: part.outside[1].dia: 'flange' has to be larger than 0"),
    ("to = 10", "to = -10", "bush.toml:14: part.outside[1].to: '-10' has to be larger than 0"),
    ("break_edges = 0.2", "break_edges = -0.2", "bush.toml:5: break_edges: '-0.2' is less than 0. 0 means none"),
    # rows that can not exist
    ("to = 10", "to = 5", "bush.toml:14: part.outside[1]"),
    ('  { dia = "8 h9", to = 6 },\n  { dia = "flange", to = 10 },\n', "", "bush.toml:12: part.outside: the part has no "
     "rows. Write at least one, as { dia = 12, to = 20 }"),
    # stock smaller than the part
    ("dia = 16", "dia = 10", "bush.toml:14: part.outside[1]: dia 12 comes to dia 12, and the bar is dia 10"),
    ("length = 60", "length = 9", "bush.toml:14: part.outside[1]: dia 12 ends 9.8 mm from the front face, and the bar "
     "has 8 mm"),
    # behind the jaws, or with nothing to part
    ("[part]", "[[holding]]\nstick_out = 9\n[part]", "bush.toml:16: part.outside[1]: dia 12 ends 9.8 mm from the front "
     "face, and the chuck begins 8 mm behind it. The bar sticks out 9 mm: let it stick out farther"),
    ('{ dia = "flange", to = 10 }', "{ ball = 12, down_to = 0 }", "bush.toml: part.outside[1]: ball dia 12 comes down "
     "to the axis at the back end, "),
    # what the job names
    ('"brass"', '"bras"', "bush.toml:4: material: 'bras' is not among the materials. Did you mean 'brass'?"),
    ("machines/bench", "machines/bensh", "machines/bensh.toml: there is no such file. Did you mean 'bench.toml'?"),
    ("racks/drawer", "racks/draw", "racks/draw.toml: there is no such file. Did you mean 'drawer.toml'?"),
    ("machines/bench.toml", "machines", "machines: this is a folder; a file is needed"),
    ("machines/bench.toml", "nowhere/bench.toml", "nowhere/bench.toml: there is no such file. There is no folder "
     "nowhere"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "message"), BAD, ids=[f"{new[:24]!r}" for _, new, _ in BAD])
def test_a_bad_job_is_one_message(bench: Path, call: Call, old: str, new: str, message: str) -> None:
    change(bench, old, new)
    before = everything(bench)
    code, out, err = call("check", "bush.toml")
    assert (code, out) == (1, "")
    assert err.startswith(f"halfsection: {message}"), err
    assert err.count("\n") == 1 and "Traceback" not in err
    assert everything(bench) == before


@pytest.mark.parametrize(
    ("file", "old", "new", "message"),
    [
        ("machines/bench.toml", "power_w", "powr_w", "machines/bench.toml: the machine file does not say `power_w`"),
        ("machines/bench.toml", "max_rpm  = 2500", "max_rpm  = -2500", "machines/bench.toml:8: max_rpm: "),
        ("racks/drawer.toml", "number   = 2", "number   = 1", "racks/drawer.toml:"),
        (
            "racks/drawer.toml",
            "DCGT 070202",
            "DCGT 07020",
            "racks/drawer.toml:16: tool[1].insert: 'DCGT 07020' is no insert designation.",
        ),
    ],
)
def test_a_bad_machine_or_rack_names_its_own_file(
    bench: Path, call: Call, file: str, old: str, new: str, message: str
) -> None:
    change(bench, old, new, file)
    code, out, err = call("check", "bush.toml")
    assert (code, out) == (1, "")
    assert err.startswith(f"halfsection: {message}"), err
    assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("words", "code", "message"),
    [
        (["none.toml"], 1, "halfsection: none.toml: there is no such file. Did you mean 'bush.toml'?"),
        (["machines"], 1, "halfsection: machines: this is a folder; a file is needed"),
        (["bush.toml", "--set", "flang=3"], 1, "halfsection: bush.toml: --set flang: there is no size named 'flang'"),
        (["bush.toml", "--set", "flange=wide"], 1, "halfsection: bush.toml: --set flange: "),
        (["bush.toml", "--material", "bras"], 1, "halfsection: bush.toml: --material: 'bras' is not among"),
        (["bush.toml", "--set", "flange"], 2, "Invalid value for '--set': 'flange' is not NAME=VALUE"),
        (["bush.toml", "--set", "flange=1", "--set", "flange=2"], 2, "'--set': 'flange' is set twice."),
        (["bush.toml", "other.toml"], 2, "Got unexpected extra argument (other.toml)"),
    ],
)
def test_a_bad_call(bench: Path, call: Call, words: list[str], code: int, message: str) -> None:
    said = call("check", *words)
    assert (said.code, said.out) == (code, "")
    assert message in said.err


def test_a_file_that_is_not_text(bench: Path, call: Call) -> None:
    (bench / "bush.toml").write_bytes(b'title = "\xff\xfe"')
    assert call("check", "bush.toml").err == (
        "halfsection: bush.toml:1: the file is not UTF-8 text. Save it as UTF-8\n"
    )


def test_a_bar_that_no_collet_takes(bench: Path, call: Call) -> None:
    change(bench, "dia = 16", "dia = 60")
    change(bench, "[part]", "[[holding]]\nin = 'collet'\n[part]")
    said = call("check", "bush.toml")
    assert said.code == 1
    assert said.err.startswith("halfsection: bush.toml:11: holding[0]: no collet for a bar of 60 mm")


def test_too_little_left_to_grip(bench: Path, call: Call) -> None:
    change(bench, "[part]", "[[holding]]\nstick_out = 50\n[part]")
    said = call("check", "bush.toml")
    assert said.code == 1
    assert said.err.startswith(
        "halfsection: bush.toml:11: holding[0]: 60 mm of bar sticking out 50 mm leaves 10 mm to hold"
    )
