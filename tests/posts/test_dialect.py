"""A dialect is a file: another control is another file, and a mistake in one is told with its place."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from posts.dialect import built_in, load_dialect
from posts.meanings import GROUPS
from posts.reader import read
from posts.writer import write
from tests.posts.common import moves_of
from toolpath.errors import BadInput, CannotMake
from toolpath.motion import ArcCut, Program, SpindleChange, ToolCall

SOURCE = (Path(__file__).parents[2] / "posts" / "g95.toml").read_text(encoding="utf-8")


def variant(tmp_path: Path, *changes: tuple[str, str]) -> str:
    """The path of a dialect like g95 with these texts exchanged."""
    text = SOURCE
    for old, new in changes:
        assert re.search(old, text), old
        text = re.sub(old, lambda _, new=new: new, text)
    path = tmp_path / "other.toml"
    path.write_text(text, encoding="utf-8")
    return str(path)


def program() -> Program:
    """Tool 1 at surface speed: a line, an arc, and coolant."""
    text = """G18 G21 G90 G7
T1 M06
G43 H5
G96 S90 D2500 M03
M08
G95 F0.1
G00 X30 Z0
G03 X40 Z-5 I0 K-5
G04 P1.5
M05
M09
M30"""
    return read(text, load_dialect("g95"))


def test_the_dialects_that_come_with_the_program() -> None:
    assert "g95" in built_in()
    for name in built_in():
        dialect = load_dialect(name)
        assert dialect.name == name
        assert set(dialect.words) <= set(GROUPS)
        assert dialect.lines.width <= 70  # small serial controls; see the reference in the file


def test_every_meaning_has_a_word_in_g95() -> None:
    assert set(GROUPS) - set(load_dialect("g95").words) == {
        "speed_cap",
        "home",
        "thread_cycle",
        "roughing",
        "finishing",
    }


def test_turret_tools_and_a_cap_of_its_own(tmp_path: Path) -> None:
    """T0105 calls station 1 with offset 5 by itself, and `G50 S2500` caps the speed before G96."""
    dialect = load_dialect(
        variant(
            tmp_path,
            (r"call +=.*", 'call = ["T{tool:02}{offset:02}"]'),
            (r"again +=.*", 'again = ["T{tool:02}{offset:02}"]'),
            (r"offset_digits = 0", "offset_digits = 2"),
            (r'cap        = "word"', 'cap = "block"'),
            (r'cap_code   = ""', 'cap_code = "G50"'),
        )
    )
    lines = write(program(), dialect).text.splitlines()
    assert "T0105" in lines and "M06" not in " ".join(lines)
    assert lines.index("G50 S2500") + 1 == lines.index("G96 S90 M03")
    again = read("\n".join(lines), dialect)
    call, change = (next(s for s in again.steps if isinstance(s, kind)) for kind in (ToolCall, SpindleChange))
    assert (call.state.tool, call.state.offset) == (1, 5)
    assert change.state.spindle is not None and change.state.spindle.limit_rpm == 2500.0
    with pytest.raises(BadInput, match="a block of its own"):
        read("G21\nG50 S2500 G96\nM30", dialect)


def test_a_control_that_mirrors_arcs(tmp_path: Path) -> None:
    dialect = load_dialect(variant(tmp_path, ("mirrored = false", "mirrored = true")))
    text = write(program(), dialect).text
    assert "G02 X40.0 Z-5.0 I0.0 K-5.0" in text
    (arc,) = (m for m in moves_of(read(text, dialect)) if isinstance(m, ArcCut))
    assert arc.ccw and arc.centre == pytest.approx((-5.0, 15.0))


def test_a_control_without_words_for_x(tmp_path: Path) -> None:
    """X is a diameter, whatever: no word switches it."""
    path = variant(tmp_path, ("diameter +=.*", ""), ("radius  +=.*", ""), ("\nname ", '\nfixed_x = "diameter"\nname '))
    dialect = load_dialect(path)
    text = write(program(), dialect).text
    assert "G18 G21 G90 G40\n" in text
    assert moves_of(read(text, dialect))[-1].end == (-5.0, 20.0)
    from msgspec.structs import replace

    with pytest.raises(CannotMake, match="reads X as a diameter only"):
        write(replace(program(), x_diameter=False), dialect)


def test_dwell_in_whole_milliseconds(tmp_path: Path) -> None:
    dialect = load_dialect(
        variant(tmp_path, (r"per_unit = 1\.0", "per_unit = 0.001"), ("decimals = 2", "decimals = 0"))
    )
    text = write(program(), dialect).text
    assert "G04 P1500\n" in text
    assert [s.seconds for s in read(text, dialect).steps if hasattr(s, "seconds")] == [1.5]


def test_other_words_for_the_same_things(tmp_path: Path) -> None:
    """Units as G70/G71, feed modes as G98/G99: the features that differ most."""
    changes = [
        ('"G20"', '"G70"'),
        ('"G21"', '"G71"'),
        ('"G94"', '"G98"'),
        ('"G95"', '"G99"'),
        (r'"G98"   = .*', ""),
        (r'"G99"   = .*', ""),
    ]
    dialect = load_dialect(variant(tmp_path, *changes))
    text = write(program(), dialect).text
    assert "G18 G71 G90 G7 G40\nG99 F0.1\n" in text
    assert moves_of(read(text, dialect))[-1].end == (-5.0, 20.0)


def test_a_control_without_surface_speed(tmp_path: Path) -> None:
    dialect = load_dialect(variant(tmp_path, (r"surface_speed +=.*", "")))
    with pytest.raises(CannotMake, match="has no word for 'surface speed'"):
        write(program(), dialect)


def test_semicolon_comments_where_the_control_has_them(tmp_path: Path) -> None:
    dialect = load_dialect(variant(tmp_path, (r'comments  = "\(\)"', 'comments = "() ;"')))
    assert read("(Knob)\n; brass\nM30 ; done", dialect).header == ("brass",)


def test_a_name_that_is_none() -> None:
    with pytest.raises(BadInput, match=r"there is no dialect 'g9x5'. Did you mean 'g95'\?"):
        load_dialect("g9x5")
    with pytest.raises(BadInput, match="there is no such file"):
        load_dialect("nowhere/at/all.toml")


@pytest.mark.parametrize(
    "change, words",
    [
        ((r"rapid  .*", 'rapyd = "G00"'), r"words.rapyd: 'rapyd' is nothing a program can say. Did you mean 'rapid'?"),
        ((r"rapid  .*", ""), "words: the word for 'rapid' is missing"),
        ((r'"G00"', '"G0x"'), "words.rapid: 'G0x' is no code"),
        ((r'"G00"', '"G01"'), "words.line: G01 is given twice, here and in words.rapid"),
        ((r'"G53"  ', '"G54"  '), "G54 is given twice, here and in words.first_zero"),
        ((r'cap_letter = "D"', 'cap_letter = "X"'), "speed.cap_letter: 'X' can not carry the speed cap"),
        ((r'cap        = "word"', 'cap = "block"'), "speed.cap_code: '' is no code"),
        ((r'"G43 H\{offset\}"\]   #', '"G43 H{ofset}"] #'), "tool.again: 'G43 H{ofset}' can not be filled in"),
        ((r"diameter +=.*", ""), "X is neither fixed nor switched"),
        ((r"width     = 70", "width = 7"), "lines.width"),
        ((r"mirrored = false", 'mirrored = "no"'), "arcs.mirrored"),
        ((r"mirrored = false", "mirored = false"), "mirrored"),
        ((r"arc_counter .*", ""), "arcs.form: arcs are written, but the words for them are missing"),
        ((r"fixed_speed .*", ""), "words.surface_speed: constant surface speed could not be ended"),
        ((r"\nper_turn +=\s.G95.*", ""), "words.surface_speed: feed per minute does not go with a speed that changes"),
        (
            (r"needs_offset  = true", 'offsets = "none"'),
            "tool.offsets: offsets live in a table only where a word calls",
        ),
        (
            (r"mirrored = false", 'mirrored = false\n[axes]\nincrements = "read"'),
            "axes.increments: U and W are increments",
        ),
        ((r"offset_digits = 0", 'offset_letter = "D"'), "tool.offset_letter: D would be the offset and the speed cap"),
        ((r"longest   = 256", "longest   = 65"), "lines.width: a line would be written that is not read"),
        ((r"longest   = 256", 'forbidden = "X"'), "lines.forbidden: no program can do without 'X'"),
        ((r"mirrored = false", "chord = 0.01"), "arcs.chord"),
        ((r"write     = \[\]", 'write = ["bore"]'), "cycles.write"),
        ((r"write     = \[\]", 'write = ["thread pass"]'), "cycles.write: there is no word to write 'thread pass' by"),
        ((r"write     = \[\]", 'write = ["rough"]'), "leave 'rough' out"),
        ((r"plane_xy .*", ""), "cycles.pecking: G83 drills along Z in the plane of X and Y only"),
        ((r"threading        =.*", 'roughing = "G76"'), "words: a contour that is roughed could not be finished"),
    ],
)
def test_mistakes_in_a_dialect_are_told_with_their_place(tmp_path: Path, change: tuple[str, str], words: str) -> None:
    with pytest.raises(BadInput, match=re.escape(words)) as caught:
        load_dialect(variant(tmp_path, change))
    assert "other.toml" in str(caught.value)


def test_a_contour_is_written_only_where_blocks_have_numbers(tmp_path: Path) -> None:
    source = (Path(__file__).parents[2] / "posts" / "g99.toml").read_text(encoding="utf-8")
    path = tmp_path / "mine.toml"
    path.write_text(source.replace("write     = []", 'write = ["rough"]').replace('"sections"', '"none"'), "utf-8")
    with pytest.raises(BadInput, match=r'named by its block numbers.*numbered = "sections"'):
        load_dialect(str(path))


def test_posts_alone_pull_in_no_planner_and_no_heavy_library() -> None:
    code = (
        "import sys, posts.reader, posts.writer, posts.dialect; posts.dialect.load_dialect('g95');"
        "heavy = ('toolpath', 'numpy', 'shapely', 'ezdxf', 'click');"
        "print(*sorted(m for m in sys.modules if m.split('.')[0] in heavy))"
    )
    root = Path(__file__).parents[2]
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root).stdout
    rooms = {".".join(name.split(".")[:2]) for name in out.split()} - {"toolpath"}
    allowed = {"toolpath.motion", "toolpath.quantity", "toolpath.geometry", "toolpath.errors", "toolpath.reading"}
    assert rooms <= allowed
