"""What a strict reader must refuse, each with the line and the column of the word at fault.

From NISTIR 6556 and the error list of its interpreter; rules from the public turning additions and our own for safety
are marked. Lines count from 1; the preamble takes five, so a fragment begins on line 6.
"""

from __future__ import annotations

import re

import pytest

from posts.reader import read
from tests.posts.common import G95, read_blocks
from toolpath.errors import BadInput

AT = "G00 X30 Z0"

# (blocks, line, column, words of the message)
NIST = {
    "unknown G": (["G77"], 6, 1, "G77 is no word"),
    "unknown G with a tenth": (["G1.5 X1"], 6, 1, "G1.5 is no word"),
    "G out of range": (["G100"], 6, 1, "G100 is no word"),
    "negative G": (["G-1 X1"], 6, 1, "G-1 is no word"),
    "unknown M": (["M77"], 6, 1, "M77 is no word"),
    "M out of range": (["M100"], 6, 1, "M100 is no word"),
    "M with a fraction": (["M3.5"], 6, 1, "M3.5 is no word"),
    "two motions": (["G00 G01 X1"], 6, 5, "exclude each other (motion)"),
    "the same motion twice": (["G01 G1 X1"], 6, 5, "exclude each other (motion)"),
    "two units": (["G20 G21"], 6, 5, "exclude each other (units)"),
    "two feed modes": (["G94 G95 F1"], 6, 5, "exclude each other (feed mode)"),
    "two spindle words": (["M03 M05"], 6, 5, "exclude each other (spindle)"),
    "mist and off": (["M07 M09"], 6, 5, "exclude each other (mist)"),
    "stop and end": (["M00 M30"], 6, 5, "exclude each other (stop)"),
    "repeated letter": (["G00 X1 Z2 X3"], 6, 11, "X stands twice"),
    "five M words": (["M03 M08 M06 M00 M07 T1"], 6, 17, "more than four M words"),
    "axis words after G80": ([AT, "G80", "X40"], 8, 1, "no motion is in force"),
    "axis words with no motion yet": (["X40"], 6, 1, "no motion is in force"),
    "rapid without axis words": (["G00"], 6, 1, "G00 has no X and no Z"),
    "line without axis words": ([AT, "G01 F0.1"], 7, 1, "G01 has no X and no Z"),
    "arc without axis words": ([AT, "G02 I1 K0"], 7, 1, "G02 has no X and no Z"),
    "Y axis": (["G00 X1 Y1"], 6, 8, "a lathe program has no Y"),
    "J in an arc of the turning plane": ([AT, "G02 X40 Z-5 J5 K0"], 7, 13, "J is the arc centre along Y"),
    "R mixed with I and K": ([AT, "G02 X40 Z-5 R5 I5"], 7, 16, "R and I or K"),
    "neither R nor I nor K": ([AT, "G02 X40 Z-5"], 7, 1, "neither I or K nor R"),
    "R too small": ([AT, "G02 X40 Z-5 R3.5"], 7, 13, "R is too small"),
    "R of nothing": ([AT, "G02 X40 Z-5 R0"], 7, 13, "R is too small"),
    "R with end at start": ([AT, "G02 X30 Z0 R5"], 7, 12, "ends where it starts"),
    "radii that differ": ([AT, "G03 X40 Z-5 I0 K-5.0025"], 7, 13, "radius is 5.0025 mm at its start and 5.0000"),
    "centre at the start": ([AT, "G03 X40 Z-5 I0 K0"], 7, 13, "no radius"),
    "I without an arc": ([AT, "G01 X40 I3"], 7, 9, "nothing in the block uses I3"),
    "K without an arc": (["K3"], 6, 1, "nothing in the block uses K3"),
    "R without an arc": ([AT, "G01 X40 R3"], 7, 9, "nothing in the block uses R3"),
    "P without a dwell": (["P1"], 6, 1, "nothing in the block uses P1"),
    "H without an offset": (["H1"], 6, 1, "nothing in the block uses H1"),
    "D without surface speed": (["G97 S500 D2500"], 6, 10, "nothing in the block uses D2500"),
    "Q": (["Q1"], 6, 1, "begins with Q"),
    "L": (["G00 X1 L2"], 6, 8, "begins with L"),
    "nested comment": (["(a (b) c)"], 6, 4, "a comment opens inside a comment"),
    "unclosed comment": (["G00 X1 (abc"], 6, 8, "the comment is not closed"),
    "comment closed but not opened": (["G00 X1 abc)"], 6, 8, "the letter A has no number"),
    "bracket alone": (["G00 X1)"], 6, 7, "')' closes no comment"),
    "letter without number": (["G00 X Z1"], 6, 5, "the letter X has no number"),
    "comment between letter and number": (["G00 X(abc)1"], 6, 5, "the letter X has no number"),
    "number without letter": (["G00 X1 (a) 5"], 6, 12, "begins no word"),
    "two points": (["G00 X1..2"], 6, 5, "X1..2 has no sound number"),
    "two signs": (["G00 X--2"], 6, 5, "X--2 has no sound number"),
    "sign inside": (["G00 X1-2"], 6, 5, "X1-2 has no sound number"),
    "point alone": (["G00 X."], 6, 5, "X. has no sound number"),
    "exponent": (["G00 X1E2"], 6, 7, "begins with E"),
    "block number of six digits": (["N000009 G00 X1"], 6, 1, "N000009 is no block number"),
    "block number with a point": (["N1.5 G00 X1"], 6, 1, "N1.5 is no block number"),
    "negative block number": (["N-1 G00 X1"], 6, 1, "N-1 is no block number"),
    "block number behind": (["G00 N1 X1"], 6, 5, "N comes first"),
    "two block numbers": (["N1 N2 G00 X1"], 6, 4, "N comes first"),
    "slash inside": (["G00 /X1"], 6, 5, "'/' stands inside"),
    "parameter": (["G00 X#1"], 6, 5, "the letter X has no number"),
    "parameter setting": (["#1=2"], 6, 1, "parameters are not read"),
    "expression": (["G00 X[1+1]"], 6, 5, "the letter X has no number"),
    "feed missing": ([AT, "G94", "G01 X40"], 8, 1, "no feed is in force"),
    "feed of nothing": ([AT, "G01 X40 F0"], 7, 1, "no feed is in force"),
    "feed negative": ([AT, "G01 X40 F-1"], 7, 9, "F-1 is negative"),
    "speed negative": (["S-1"], 6, 1, "S-1 is negative"),
    "dwell negative": (["G04 P-1"], 6, 5, "P-1 is negative"),
    "dwell without a time": (["G04"], 6, 1, "the dwell has no P"),
    "tool negative": (["T-1"], 6, 1, "T-1 must be a whole number"),
    "tool beyond the table": (["T100"], 6, 1, "T100 must be a whole number from 0 to 99"),
    "tool with a fraction": (["T1.5"], 6, 1, "T1.5 must be a whole number"),
    "offset with a fraction": (["G43 H1.5"], 6, 5, "H1.5 must be a whole number"),
    "offset negative": (["G43 H-1"], 6, 5, "H-1 must be a whole number"),
}
# Known words of the language that a turning program here does not use, refused with the reason.
KNOWN = {
    "contour cycle": ([AT, "G71"], 7, 1, "G71 is no word"),
    "compensation left": ([AT, "G41 G01 X20"], 7, 1, "needs the tool table"),
    "compensation right": ([AT, "G42 G01 X20"], 7, 1, "needs the tool table"),
    "an arc in the plane of X and Y": ([AT, "G17", "G02 X40 Z-5 R5"], 8, 1, "before the plane of Z and X"),
    "plane of Y and Z": (["G19"], 6, 1, "plane of Z and X"),
    "machine coordinates": (["G53 G00 X0"], 6, 1, "machine coordinates"),
    "home": (["G28 X0"], 6, 1, "only the machine knows"),
    "preset": (["G92 X0"], 6, 1, "shifts the zero"),
    "inverse time": (["G93"], 6, 1, "feed as time"),
    "rounded corners": (["G64"], 6, 1, "rounds corners"),
    "absolute centres": (["G90.1"], 6, 1, "increments from the start"),
    "return level or feed mode": (["G99"], 6, 1, "cycle's return level"),
}
# From the public turning additions to the language, and our own rules for safety.
TURNING = {
    "surface speed without S": (["G96 D2500"], 6, 1, "G96 has no S"),
    "rpm without S": (["G97"], 6, 1, "G97 has no S"),
    "cap of nothing": (["G96 S90 D0"], 6, 9, "D0 is no speed limit"),
    "cut at surface speed, spindle still": (
        [AT, "G96 S90 D2500 M05", "G94 F100", "G01 X10"],
        9,
        1,
        "the spindle stands still",
    ),
    "cut per turn, spindle still": ([AT, "M05", "G01 X10"], 8, 1, "the spindle stands still"),
    "new feed after a change of mode": ([AT, "G94", "G01 X10"], 8, 1, "no feed is in force"),
    "tool without its offset": (["T2 M06", "M03", AT, "G01 X10"], 9, 1, "offset is not called"),
    "place not stated after a tool call": ([AT, "T2 M06", "G43", "M03", "G01 X10"], 10, 1, "X and Z is not stated"),
    "one axis not stated": (["G00 X30", "G01 X10"], 7, 1, "Z is not stated"),
    "increment from nowhere": (["G91 G00 X10"], 6, 9, "where X starts is not stated"),
    "U": (["G00 U1"], 6, 5, "U is an increment on some"),
    "W": (["G00 W1"], 6, 5, "W is an increment on some"),
    "program number": (["O1234"], 6, 1, "program numbers"),
    "axis words beside a dwell": ([AT, "G04 P1 X2"], 7, 8, "axis words stand beside a dwell"),
    "beyond every lathe": (["G00 X10000"], 6, 5, "beyond 9999"),
    "increments that lead beyond": (["G00 X9000 Z0", "G91 X1500"], 7, 5, "beyond 9999"),
    "number past all sense": (["F9999999999"], 6, 1, "too large"),
    "semicolon": (["G00 X1 ; comment"], 6, 8, "';' is no comment here"),
    "percent inside": (["G00 X1 %"], 6, 8, "'%' stands inside"),
    "percent too late": (["%"], 6, 1, "'%' stands where no program begins"),
    "offset called without a tool": (["T0 M06", "G43"], 7, 1, "no tool and no number"),
}


@pytest.mark.parametrize("blocks, line, column, words", [*NIST.values(), *KNOWN.values(), *TURNING.values()])
def test_the_fault_is_named_with_its_place(blocks: list[str], line: int, column: int, words: str) -> None:
    with pytest.raises(BadInput, match=re.escape(words)) as caught:
        read_blocks(*blocks)
    assert caught.value.line == line
    assert str(caught.value).startswith(f"line {line}, column {column}: ")


# Whole texts: (text, line, words)
WHOLE = {
    "no text": ("", 1, "the program has no end"),
    "no end": ("G21\nG00\n", 2, "has no X and no Z"),
    "no M30": ("G21\n", 2, "the program has no end"),
    "a percent but no M30": ("%\nG21\n%\n", 3, "where no program begins or ends"),
    "percent not closed": ("%\nM30\n", 3, "none ends it"),
    "third percent": ("%\nM30\n%\n%\n", 4, "where no program begins or ends"),
    "percent after text": ("G21\n%\nM30\n%", 2, "where no program begins or ends"),
    "block after the end": ("M30\nG00 X1\n", 2, "text stands after the end"),
    "comment after the end": ("M02\n(bye)\n", 2, "text stands after the end"),
    "line of 257": ("G21 " + " " * 253 + "\nM30\n", 1, "257 characters"),
    "comment of 257": ("(" + "x" * 255 + ")\nM30\n", 1, "257 characters"),
    "not ASCII": ("(\u00d8 16)\nM30\n", 1, r"'\xd8' is not plain text"),
    "control character": ("G21\x00\nM30\n", 1, r"'\x00' is not plain text"),
    "lone carriage return": ("G21\rM30\n", 1, r"'\r' is not plain text"),
    "units not stated": ("G18 G90 G7\nG00 X1\n", 2, "before inch or millimetre is stated"),
    "diameter or radius not stated": ("G21 G18 G90\nG00 X1\n", 2, "a diameter or a radius"),
    "absolute or incremental not stated": ("G21 G18 G7\nG00 Z1\n", 2, "before absolute or incremental"),
    "plane not stated": ("G21 G90 G7 G94\nG00 X1 Z1 F100\nG02 X2 Z0 R5\n", 3, "before the plane"),
    "feed mode not stated": ("G21 G90 G7 F100\n", 1, "before feed per turn or per minute"),
    "unit of a feed not stated": ("G95 F1\n", 1, "before inch or millimetre"),
    "unit of a feed only beside it": ("G21 G95 F1\n", 1, "before inch or millimetre"),
    "spindle mode not stated": ("S800 M03\n", 1, "before surface speed or fixed speed"),
    "unit of a surface speed not stated": ("G96 S90 D2500 M03\n", 1, "before inch or millimetre"),
    "spindle on without a speed": ("M03\n", 1, "no speed is stated"),
    "tool change without a tool": ("M06\n", 1, "before any T"),
}


@pytest.mark.parametrize("text, line, words", WHOLE.values(), ids=WHOLE)
def test_texts_that_are_no_program(text: str, line: int, words: str) -> None:
    with pytest.raises(BadInput, match=re.escape(words)) as caught:
        read(text, G95)
    assert caught.value.line == line


def test_the_message_carries_file_line_and_column() -> None:
    with pytest.raises(BadInput) as caught:
        read("G21\nG00 X1..5\nM30\n", G95, file="bob-1.nc")
    assert str(caught.value) == "bob-1.nc:2: column 5: X1..5 has no sound number. One sign, digits, one point: X-12.5"
