"""TOML files read strictly: every mistake is told with its file, its line and its key path, in plain words."""

from __future__ import annotations

import errno
from pathlib import Path
from typing import Annotated, Literal

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from toolpath.errors import BadInput
from toolpath.reading import decode, line_of, load, placed
from toolpath.toml_lines import key_lines

BOB = '''# A plumb-bob, turned from brass.
title = "Plumb-bob"
units = "mm"

[bar]
dia = 25
length = 80.5

[sizes]
cord = 2.0
"wall thickness" = 1.2
point.angle = "30 deg"

[part]
outside = [
  { dome = 4 },   # the point, { not a row }
  { via = ["cord + 2*wall",
    3], to = 40 },
  { dia = 22, to = [
    52] }, { radius = 0.8 },
  [1, [2,
   3]],
]
note = """
[holding]
dia = 7
"""
path = 'c:\\bobs'

[[holding]]
grip = "bar"
jaws.soft = true

[[holding]]
on = { kind = "mandrel", fit = { sizes = [
  10], class = "h6" } }

[holding.stop]
at = 9

[[holding.face]]
depth = 0.5
[[holding.face]]
depth = 0.2

[tool.'first one']
nose = 0.4
'''


@pytest.mark.parametrize(
    ("where", "text"),
    [
        ("title", 'title = "Plumb-bob"'),
        ("bar", "[bar]"),
        ("bar.dia", "dia = 25"),
        ("bar.length", "length = 80.5"),
        ("sizes.cord", "cord = 2.0"),
        ("sizes.wall thickness", '"wall thickness" = 1.2'),
        ("sizes.point", 'point.angle = "30 deg"'),
        ("sizes.point.angle", 'point.angle = "30 deg"'),
        ("part.outside", "outside = ["),
        ("part.outside[0]", "{ dome = 4 },   # the point, { not a row }"),
        ("part.outside[0].dome", "{ dome = 4 },   # the point, { not a row }"),
        ("part.outside[1]", '{ via = ["cord + 2*wall",'),
        ("part.outside[1].via", '{ via = ["cord + 2*wall",'),
        ("part.outside[1].via[1]", "3], to = 40 },"),
        ("part.outside[1].to", "3], to = 40 },"),
        ("part.outside[2].dia", "{ dia = 22, to = ["),
        ("part.outside[2].to", "{ dia = 22, to = ["),
        ("part.outside[2].to[0]", "52] }, { radius = 0.8 },"),
        ("part.outside[3]", "52] }, { radius = 0.8 },"),
        ("part.outside[3].radius", "52] }, { radius = 0.8 },"),
        ("part.outside[4]", "[1, [2,"),
        ("part.outside[4][1]", "[1, [2,"),
        ("part.outside[4][1][0]", "[1, [2,"),
        ("part.outside[4][1][1]", "3]],"),
        ("part.note", 'note = """'),
        ("part.path", "path = 'c:\\bobs'"),
        ("holding", "[[holding]]"),
        ("holding[0]", "[[holding]]"),
        ("holding[0].grip", 'grip = "bar"'),
        ("holding[0].jaws.soft", "jaws.soft = true"),
        ("holding[1].on.kind", 'on = { kind = "mandrel", fit = { sizes = ['),
        ("holding[1].on.fit.sizes", 'on = { kind = "mandrel", fit = { sizes = ['),
        ("holding[1].on.fit.sizes[0]", '10], class = "h6" } }'),
        ("holding[1].on.fit.class", '10], class = "h6" } }'),
        ("holding[1].stop", "[holding.stop]"),
        ("holding[1].stop.at", "at = 9"),
        ("holding[1].face[0].depth", "depth = 0.5"),
        ("holding[1].face[1].depth", "depth = 0.2"),
        ("tool.first one.nose", "nose = 0.4"),
    ],
)
def test_the_line_of_every_way_to_write_a_key(tmp_path: Path, where: str, text: str) -> None:
    path = tmp_path / "bob.toml"
    path.write_text(BOB, encoding="utf-8")
    line = line_of(path, where)
    assert BOB.splitlines()[line - 1].strip() == text


def test_two_like_headers_have_their_own_lines(tmp_path: Path) -> None:
    path = tmp_path / "bob.toml"
    path.write_text(BOB, encoding="utf-8")
    headers = [n for n, text in enumerate(BOB.splitlines(), 1) if text == "[[holding]]"]
    assert [line_of(path, f"holding[{n}]") for n in (0, 1)] == headers


def test_a_key_that_is_not_written_lies_where_its_table_begins(tmp_path: Path) -> None:
    path = tmp_path / "bob.toml"
    path.write_text(BOB, encoding="utf-8")
    assert line_of(path, "bar.face_off") == line_of(path, "bar") == 5
    assert line_of(path, "part.outside[3].to") == line_of(path, "part.outside[3]")
    assert line_of(path, "part.outside[99].to") == line_of(path, "part.outside")
    assert line_of(path, "machine") == 0
    assert line_of(path, "") == 0
    assert line_of(tmp_path / "missing.toml", "bar") == 0


def test_the_scan_agrees_with_the_parser_on_what_there_is() -> None:
    import tomllib

    written = set(paths_of(tomllib.loads(BOB)))
    assert written - set(key_lines(BOB)) == set()


def paths_of(data: object, where: str = "") -> list[str]:
    """Every key path of plain tables and lists."""
    if isinstance(data, dict):
        inner = [(f"{where}.{key}" if where else key, value) for key, value in data.items()]
    elif isinstance(data, list):
        inner = [(f"{where}[{place}]", value) for place, value in enumerate(data)]
    else:
        return []
    return [path for path, value in inner for path in (path, *paths_of(value, path))]


keys = st.text(alphabet="abcxyz_", min_size=1, max_size=4)
leaves = st.one_of(st.integers(0, 99), st.booleans(), st.text(alphabet="ab #[]{}=,.'", max_size=6))
values = st.recursive(
    leaves, lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(keys, inner, max_size=3)), max_leaves=8
)


def as_toml(value: object) -> str:
    """A value written in one or several lines; lists break after every member."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {as_toml(one)}" for key, one in value.items()) + " }"
    if isinstance(value, list):
        return "[\n" + "".join(f"{as_toml(one)}, # ] }}\n" for one in value) + "]"
    return f'"{value}"' if isinstance(value, str) else str(value)


@given(st.dictionaries(keys, values, max_size=4))
def test_any_job_has_a_line_for_every_key(job: dict[str, object]) -> None:
    import tomllib

    text = "".join(f"{key} = {as_toml(value)}\n" for key, value in job.items())
    assert tomllib.loads(text) == job
    found = key_lines(text)
    for path in paths_of(job):
        key = path.split(".")[-1].split("[")[0]
        assert key in text.splitlines()[found[path] - 1] or path.endswith("]")


@given(st.text(alphabet="ab=[]{},.'\"#\\ \n", max_size=60))
def test_the_scan_ends_on_any_text(text: str) -> None:
    for line in key_lines(text).values():
        assert 1 <= line <= text.count("\n") + 1


class TestFiles:
    """What can be wrong before a single value is looked at."""

    def bad(self, path: Path) -> BadInput:
        with pytest.raises(BadInput) as caught:
            load(path)
        assert caught.value.file == str(path)
        return caught.value

    def test_a_sound_file(self, tmp_path: Path) -> None:
        path = tmp_path / "bob.toml"
        path.write_text(BOB, encoding="utf-8")
        data = load(path)
        assert data["title"] == "Plumb-bob"
        assert data["bar"] == {"dia": 25, "length": 80.5}

    @pytest.mark.parametrize("raw", [b"\xef\xbb\xbftitle = 'Bob'\n", b"title = 'Bob'\r\nunits = 'mm'\r\n"])
    def test_files_of_other_systems(self, tmp_path: Path, raw: bytes) -> None:
        path = tmp_path / "bob.toml"
        path.write_bytes(raw)
        assert load(path)["title"] == "Bob"

    def test_a_missing_file_names_its_neighbour(self, tmp_path: Path) -> None:
        (tmp_path / "plumb-bob.toml").write_text("")
        (tmp_path / "plumb-bob.txt").write_text("")
        error = self.bad(tmp_path / "plum-bob.toml")
        assert error.what == "there is no such file"
        assert error.right == "Did you mean 'plumb-bob.toml'?"

    def test_a_name_without_its_ending(self, tmp_path: Path) -> None:
        for name in ("bob.toml", "body.toml", "bo.toml"):
            (tmp_path / name).write_text("")
        assert self.bad(tmp_path / "body").right == "Did you mean 'body.toml'?"

    def test_a_missing_folder(self, tmp_path: Path) -> None:
        assert "no folder" in self.bad(tmp_path / "samples" / "bob.toml").right

    def test_a_folder(self, tmp_path: Path) -> None:
        assert "this is a folder" in self.bad(tmp_path).what

    def test_a_file_below_a_file(self, tmp_path: Path) -> None:
        (tmp_path / "bob.toml").write_text("")
        assert "can not be read" in self.bad(tmp_path / "bob.toml" / "knob.toml").what

    def test_a_name_that_no_file_can_have(self, tmp_path: Path) -> None:
        assert "can not be read" in self.bad(tmp_path / "bob\0.toml").what
        assert "can not be read" in self.bad(tmp_path / ("b" * 300)).what

    def test_a_locked_file(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        def refuse(*_: object, **__: object) -> None:
            raise PermissionError(errno.EACCES, "Permission denied")

        monkeypatch.setattr(Path, "open", refuse)
        assert self.bad(tmp_path / "bob.toml").what == "the file can not be read (Permission denied)"

    def test_another_encoding_names_the_line(self, tmp_path: Path) -> None:
        path = tmp_path / "bob.toml"
        path.write_bytes("title = 'Bob'\nangle = '30°'\n".encode("latin-1"))
        error = self.bad(path)
        assert (error.line, error.right) == (2, "Save it as UTF-8")

    def test_a_huge_file_is_not_read_to_its_end(self, tmp_path: Path) -> None:
        path = tmp_path / "bob.toml"
        with path.open("wb") as file:
            file.truncate(25_000_000)
        assert "20 MB" in self.bad(path).what

    @pytest.mark.parametrize(
        ("text", "line", "says"),
        [
            ("title = 'Bob'\ndia = 1,5\n", 2, "something stands after the value"),
            ("title = 'Bob'\ndia = 12 mm\nto = 3\n", 2, "dia = 12 mm"),
            ("dia = mm\n", 1, "text stands in quotes"),
            ("dia = \n", 1, "this value can not be read"),
            ("dia = 3\nto = 4\ndia = 5\n", 3, "set a second time"),
            ("[bar]\na = 1\n\n[bar]\nb = 1\n", 4, "begun a second time"),
            ("dia 3\n", 1, "needs '='"),
            ("outside = [\n { dia = 3 }\n { dia = 4 }\n]\n", 3, "is not closed by ']' (or a ','"),
            ("bar = { dia = 3 length = 4 }\n", 1, "is not closed by '}' (or a ','"),
            ("units = 'mm'\ntitle = 'Bob\ndia = 3\n", 2, "a text in quotes is not closed: title = 'Bob"),
            ('title = "Bob\ndia = 3\n', 1, "a text in quotes does not end on its line"),
            ('title = """Bob\ndia = 3\n', 1, "is not closed"),
            ("[bar\ndia = 3\n", 1, "[bar"),
            ('title = "a\\q"\n', 1, "not sound TOML"),
            ("= 3\n", 1, "not sound TOML"),
            ("title = 'Bob'\n\x01\n", 2, "not sound TOML"),
            ("outside = [\n 1\n", 2, "is not closed"),
            ("bar = { dia = 3 }\nbar.length = 3\n", 2, "nothing can be added"),
            ("dia = " + "[" * 5000, 0, "too deep"),
            ("a = 1" + "0" * 5000, 0, "can not be read"),
        ],
    )
    def test_broken_toml(self, tmp_path: Path, text: str, line: int, says: str) -> None:
        path = tmp_path / "bob.toml"
        path.write_text(text, encoding="utf-8")
        error = self.bad(path)
        assert says in error.what
        assert error.line == line

    @pytest.mark.parametrize(
        ("text", "line", "where", "says"),
        [
            ("[bar]\ndia = nan\n", 2, "bar.dia", "'nan' is not a number"),
            ("rows = [\n 1.0,\n -inf,\n]\n", 3, "rows[1]", "no end"),
            ("a = 1\nb = 1e999\n", 2, "b", "no end"),
            ("a = 1\n\n[[bar]]\ndia = 10000000000000000\n", 4, "bar[0].dia", "too large"),
        ],
    )
    def test_numbers_without_end(self, tmp_path: Path, text: str, line: int, where: str, says: str) -> None:
        path = tmp_path / "bob.toml"
        path.write_text(text, encoding="utf-8")
        error = self.bad(path)
        assert (error.line, error.where) == (line, where)
        assert says in error.what


class Bar(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """A bar, as a job file has it."""

    dia: float
    length: float = 40.0
    face_off: Annotated[float, msgspec.Meta(ge=0)] = 1.0


class Row(msgspec.Struct, forbid_unknown_fields=True, kw_only=True, rename={"start": "from"}):
    """A row of the outside."""

    radius: float | None = None
    dia: float | str | None = None
    made: Literal["turned", "bored", "drilled"] = "turned"
    start: str = "front"

    def __post_init__(self) -> None:
        if isinstance(self.dia, float) and self.dia < 0:
            raise BadInput("a diameter is larger than 0", where="dia", right="Write 12")


class Collet(msgspec.Struct, tag="collet", tag_field="in", forbid_unknown_fields=True, kw_only=True):
    """Held in a collet."""

    stick_out: float


class Jaws(msgspec.Struct, tag="jaws", tag_field="in", forbid_unknown_fields=True, kw_only=True):
    """Held in a chuck."""

    stick_out: float
    soft: bool = False


class Job(msgspec.Struct, forbid_unknown_fields=True, kw_only=True):
    """A small job file."""

    bar: Bar
    outside: list[Row] = []
    sizes: dict[str, float] = {}
    racks: dict[str, Bar] = {}
    holding: list[Collet | Jaws] = []
    turns: int = 1
    axes: tuple[int, int] = (-1, -1)
    dry: bool = False


JOB = """[bar]
dia = 16
"""


def job_of(tmp_path: Path, text: str) -> Job:
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    return decode(load(path), Job, file=str(path))


def test_a_job_as_it_should_be(tmp_path: Path) -> None:
    text = JOB + "[[outside]]\nfrom = 'back'\ndia = '14 h7'\n[[holding]]\nin = 'jaws'\nstick_out = 29\n"
    job = job_of(tmp_path, text)
    assert job.bar == Bar(dia=16.0)
    assert job.outside == [Row(start="back", dia="14 h7")]
    assert job.holding == [Jaws(stick_out=29.0)]


@pytest.mark.parametrize(
    ("text", "line", "where", "says"),
    [
        (JOB + "lenght = 3\n", 3, "bar.lenght", "'lenght'. Did you mean 'length'? Known here: dia, length, face_off"),
        (JOB + "[bars]\n", 3, "bars", "unknown key 'bars'. Did you mean 'bar'?"),
        (JOB + "[[outside]]\n[[outside]]\nradus = 1\n", 5, "outside[1].radus", "Did you mean 'radius'?"),
        (JOB + "[[outside]]\nfrm = 'back'\n", 4, "outside[0].frm", "Did you mean 'from'?"),
        ("outside = [\n  { dia = 3 },\n  { start = 'back' },\n]\n" + JOB, 3, "outside[1].start", "unknown key 'start'"),
        ("[bar]\nlength = 3\n", 1, "bar", "'dia' is missing, and it has no default"),
        ("title = 3\n", 1, "title", "unknown key 'title'"),
        ("", 0, "", "'bar' is missing"),
        ("[bar]\ndia = '16 mm'\n", 2, "bar.dia", "has to be a number, not text in quotes ('16 mm')"),
        ("[bar]\ndia = true\n", 2, "bar.dia", "has to be a number, not true or false (true)"),
        ("[bar]\ndia = [16]\n", 2, "bar.dia", "has to be a number, not a list in [ ] ([16])"),
        ("[bar]\ndia = 2020-01-01\n", 2, "bar.dia", "has to be a number, not a date (2020-01-01)"),
        ("[bar]\ndia = { a = 3 }\n", 2, "bar.dia", "has to be a number, not a table of words and values"),
        (JOB + "face_off = -1\n", 3, "bar.face_off", "has to be a number >= 0"),
        ("bar = 16\n", 1, "bar", "has to be a table of words and values, not a whole number (16)"),
        ("turns = 1.5\n" + JOB, 1, "turns", "has to be a whole number, not a number with a point (1.5)"),
        ("dry = 1\n" + JOB, 1, "dry", "has to be true or false, not a whole number (1)"),
        ("axes = [1]\n" + JOB, 1, "axes", "has to be a list in [ ] with 2 members, not 1"),
        ("axes = [1,\n 'a']\n" + JOB, 2, "axes[1]", "has to be a whole number, not text"),
        (JOB + "[outside]\ndia = 3\n", 3, "outside", "has to be a list in [ ], not a table of words and values"),
        (JOB + "[[outside]]\ndia = false\n", 4, "outside[0].dia", "be a number or text in quotes, not true or false"),
        (JOB + "[[outside]]\nmade = 'bord'\n", 4, "outside[0].made", "'bord' is not known here. Did you mean 'bored'?"),
        (JOB + "[sizes]\ncord = 2\nwall = '3'\n", 5, "sizes.wall", "has to be a number, not text in quotes ('3')"),
        (JOB + "[racks.a]\ndia = 1\n[racks.b]\nlength = 1\n", 5, "racks.b", "'dia' is missing"),
        (JOB + "[racks.a]\ndia = 1\n[racks.b]\ndai = 1\n", 6, "racks.b.dai", "Did you mean 'dia'?"),
        (JOB + "[[holding]]\nin = 'jaws'\nstick_out = 1\nsof = true\n", 6, "holding[0].sof", "Did you mean 'soft'?"),
        (JOB + "[[holding]]\nin = 'colet'\nstick_out = 1\n", 4, "holding[0].in", "'collet'? Known here: collet, jaws"),
        (JOB + "[[outside]]\ndia = -3.0\n", 4, "outside[0].dia", "a diameter is larger than 0. Write 12"),
    ],
)
def test_mistakes_are_told_with_line_and_key(tmp_path: Path, text: str, line: int, where: str, says: str) -> None:
    with pytest.raises(BadInput) as caught:
        job_of(tmp_path, text)
    error = caught.value
    assert says in str(error)
    assert (error.where, error.line) == (where, line)
    assert error.file == str(tmp_path / "job.toml")


def test_only_keys_of_the_kind_at_hand_are_offered(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as caught:
        job_of(tmp_path, JOB + "[[holding]]\nin = 'collet'\nstick_out = 1\nsof = true\n")
    assert caught.value.where == "holding[0].sof"
    assert caught.value.right == "Known here: stick_out"


def test_long_values_are_cut_in_a_message(tmp_path: Path) -> None:
    with pytest.raises(BadInput) as caught:
        job_of(tmp_path, f"[bar]\ndia = '{'x' * 500}'\n")
    assert len(caught.value.what) < 150


def test_part_of_a_file_keeps_its_place(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(JOB + "[[outside]]\nradius = 1\n[[outside]]\nradius = 'r'\n")
    rows = load(path)["outside"]
    assert isinstance(rows, list)
    with pytest.raises(BadInput) as caught:
        decode(rows[1], Row, file=str(path), where="outside[1]")
    assert (caught.value.where, caught.value.line) == ("outside[1].radius", 6)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 10**400])
def test_endless_numbers_do_not_pass_decoding_either(value: float) -> None:
    with pytest.raises(BadInput) as caught:
        decode({"dia": value}, Bar, file="job.toml", where="bar")
    assert caught.value.where == "bar.dia"
    assert caught.value.file == "job.toml"


def test_a_place_is_filled_in_once(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(JOB)
    with pytest.raises(BadInput) as caught, placed(path):
        raise BadInput("larger than the stock", where="bar.dia")
    assert str(caught.value) == f"{path}:2: bar.dia: larger than the stock"
    with pytest.raises(BadInput) as caught, placed(path), placed("rack.toml"):
        raise BadInput("no such tool", where="bar.dia")
    assert (caught.value.file, caught.value.line) == ("rack.toml", 0)
    with placed(path):
        pass
