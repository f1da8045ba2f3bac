"""A size that is cut to fit: longer by its spare, until `--set` says what the trial assembly came to."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.pins import pin
from toolpath.errors import BadInput
from toolpath.job.job import Job
from toolpath.job.read import half_section, read_job
from toolpath.job.tables import TrimTable
from toolpath.job.trims import Trim, trims_of, with_spare
from toolpath.quantity import evaluate_sizes

PIN = pin(60) + "[expect]\nvolume_mm3 = 1533.097\n"


def read(folder: Path, text: str = PIN, **sizes: str) -> Job:
    path = folder / "pin.toml"
    path.write_text(text, encoding="utf-8")
    return read_job(path, overrides=sizes)


def lengths(job: Job) -> list[float]:
    """Where the cylinders end, from the front face."""
    part = half_section(job)
    return [-e.b[0] for e, s in zip(part.outside, part.surfaces, strict=True) if s.name.startswith("dia")]


def test_it_is_cut_longer_by_the_spare_and_so_is_what_is_made_of_it(tmp_path: Path) -> None:
    job = read(tmp_path)
    assert job.trims == (Trim("shoulder", 12.5, 0.5),)
    assert lengths(job) == pytest.approx([13.0, 21.0])
    assert job.expected is None  # which speaks of the part as drawn


def test_what_was_found_comes_off_with_set(tmp_path: Path) -> None:
    """0.18 too long at the trial of the part as drawn: 12.32, and no spare any more."""
    job = read(tmp_path, shoulder="12.5 - 0.18")
    assert job.trims[0].spare == 0.0 and job.trims[0].cut == pytest.approx(12.32)
    assert lengths(job) == pytest.approx([12.32, 20.32])


def test_another_size_set_leaves_the_spare_on(tmp_path: Path) -> None:
    assert lengths(read(tmp_path, whole="30")) == pytest.approx([13.0, 30.0])


def test_a_job_without_a_trim_is_what_it_was(tmp_path: Path) -> None:
    """8 mm over 12.5 and 12 mm over 8: 200 pi + 288 pi = 1533.097 mm³."""
    plain = PIN.replace('[[trim]]\nsize = "shoulder"\nspare = 0.5\n', "")
    job = read(tmp_path, plain)
    assert job.trims == () and lengths(job) == [12.5, 20.5] and job.expected is not None


def test_in_an_inch_job_the_spare_is_inches(tmp_path: Path) -> None:
    text = PIN.replace('title = "Pin"', 'title = "Pin"\nunits = "inch"').replace("spare = 0.5", "spare = 0.02")
    text = text.replace("12.5", "0.5").replace("shoulder + 8", "shoulder + 0.25").replace("dia = 12,", "dia = 0.4,")
    job = read(tmp_path, text.replace("dia = 16", "dia = 0.6").replace("dia = 8,", "dia = 0.3,"))
    assert lengths(job) == pytest.approx([0.52 * 25.4, 0.77 * 25.4])


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('size = "shoulder"', 'size = "sholder"', "no size named 'sholder'. Did you mean 'shoulder'"),
        ("spare = 0.5", "spare = -0.5", "trim[0].spare: '-0.5' has to be larger than 0"),
        ("spare = 0.5", "spare = 0.5\nlength = 3", "trim[0].length"),
        ("spare = 0.5", 'spare = 0.5\n[[trim]]\nsize = "shoulder"\nspare = 1', "trim[1].size: 'shoulder' is trimmed"),
        ('whole = "shoulder + 8"', 'whole = "shoulder + 8"\nlean = "5 deg"', ""),
    ],
)  # fmt: skip
def test_what_is_refused(tmp_path: Path, old: str, new: str, told: str) -> None:
    assert old in PIN
    text = PIN.replace(old, new)
    if not told:
        text, told = text.replace('size = "shoulder"', 'size = "lean"'), "'lean' is no length: nothing comes off it"
    with pytest.raises(BadInput) as e:
        read(tmp_path, text)
    assert told in str(e.value)


@given(drawn=st.floats(0.1, 300.0), spare=st.floats(0.01, 5.0))
def test_the_spare_is_added_once_whatever_the_size(drawn: float, spare: float) -> None:
    sizes = evaluate_sizes({"a": drawn, "b": "a + 1"})
    found = trims_of([TrimTable(size="a", spare=spare)], sizes, {}, unit="mm")
    cut = evaluate_sizes({"a": drawn, "b": "a + 1"}, with_spare(found, {}))
    assert cut["a"].value == pytest.approx(drawn + spare, abs=1e-8)
    assert cut["b"].value == pytest.approx(drawn + spare + 1.0, abs=1e-8)
