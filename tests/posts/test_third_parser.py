"""A second independent parser, a general grammar of the language, reads our text to the same end points.

tree-sitter-gcode 0.1.1 with tree-sitter (test dependencies only): it knows letters, numbers, comments and block
numbers, no meanings; so the places are followed here in the plainest way, modal motion and axis words, in mm and on
radius. It takes no bare `%` and no program number, which are left out. Where it finds a fault in a line so must our
reader.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
import tree_sitter_gcode
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tree_sitter import Language, Node, Parser

from posts.dialect import Dialect, built_in, load_dialect
from posts.reader import read
from posts.writer import write
from tests.posts.common import G95, MODES, TURNING, moves_of
from tests.posts.strategies import programs
from toolpath.errors import BadInput
from toolpath.motion import Program

PARSER = Parser(Language(tree_sitter_gcode.language()))
GOLDEN = sorted(Path(__file__).with_name("golden").glob("*.nc"))
MOTIONS = {"G00", "G01", "G02", "G03", "G32", "G33"}


def lines_of(text: str) -> Iterator[list[str]]:
    """The words of every line as the grammar sees them, block numbers and comments left out."""
    kept = [line for line in text.splitlines() if line != "%" and not line.startswith("O0")]
    tree = PARSER.parse(("\n".join(kept) + "\n").encode("ascii"))
    assert not tree.root_node.has_error, text
    for node in tree.root_node.children:
        if node.type == "line":
            yield [_text(word) for word in node.children if word.type == "word"]


def _text(node: Node) -> str:
    assert node.text is not None
    return node.text.decode("ascii").replace(" ", "")


def ends_of(text: str, program: Program) -> list[tuple[float, float]]:
    """(z, x) in mm, x a radius, of every block that moves; axes not named yet stand where our reader has them."""
    unit, across = (25.4 if program.inch else 1.0), (2.0 if program.x_diameter else 1.0)
    at = {"Z": moves_of(program)[0].end[0], "X": moves_of(program)[0].end[1]}
    motion, out = "", []
    for words in lines_of(text):
        motion = next((w for w in words if w in MOTIONS), motion)
        axes = {w[0]: float(w[1:]) for w in words if w[0] in "XZ"}
        if not axes or "G04" in words:
            continue
        assert motion
        for letter, value in axes.items():
            at[letter] = value * unit / (across if letter == "X" else 1.0)
        out.append((at["Z"], at["X"]))
    return out


def same_ends(text: str, dialect: Dialect) -> None:
    program = read(text, dialect)
    theirs, ours = ends_of(text, program), [m.end for m in moves_of(program)]
    assert len(theirs) == len(ours)
    for a, b in zip(theirs[1:], ours[1:], strict=True):  # the first names one axis alone
        assert a == pytest.approx(b)


@pytest.mark.parametrize("path", GOLDEN, ids=lambda p: p.stem)
def test_the_golden_texts_lead_to_the_same_places(path: Path) -> None:
    name = next((n for n in built_in() if path.stem.endswith(f"-{n}")), "g95")
    same_ends(path.read_text(encoding="ascii"), load_dialect(name))


@pytest.mark.parametrize("name", built_in())
@given(data=st.data())
@settings(
    max_examples=10, suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture], deadline=None
)
def test_random_programs_lead_to_the_same_places(name: str, data: st.DataObject) -> None:
    dialect = load_dialect(name)
    same_ends(write(data.draw(programs(dialect)), dialect).text, dialect)


@pytest.mark.parametrize("block", ["G00 X", "G00 X1 (open", "G00 X1..2", "G00 ?", "X1 G"])
def test_both_find_the_fault(block: str) -> None:
    assert PARSER.parse(block.encode("ascii")).root_node.has_error
    with pytest.raises(BadInput):
        read("\n".join([MODES, TURNING, block, "M30"]), G95)
