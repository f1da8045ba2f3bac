"""Text on the page: its width never thought too small, broken where it may be, never able to become markup."""

from __future__ import annotations

import sys
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from toolpath.drawing.lettering import width, wrapped
from toolpath.drawing.markup import number, safe, tag, text

# Widths in thousandths of the letters' size of the commonest sans-serif face, as in its public metrics file (Adobe
# font metrics of the core fonts; from memory).
METRICS = {
    "a": 556, "b": 556, "c": 500, "d": 556, "e": 556, "f": 278, "g": 556, "h": 556, "i": 222, "j": 222, "k": 500,
    "l": 222, "m": 833, "n": 556, "o": 556, "p": 556, "q": 556, "r": 333, "s": 500, "t": 278, "u": 556, "v": 500,
    "w": 722, "x": 500, "y": 500, "z": 500, "A": 667, "B": 667, "C": 722, "D": 722, "E": 667, "F": 611, "G": 778,
    "H": 722, "I": 278, "J": 500, "K": 667, "L": 556, "M": 833, "N": 722, "O": 778, "P": 667, "Q": 778, "R": 722,
    "S": 667, "T": 611, "U": 722, "V": 667, "W": 944, "X": 667, "Y": 667, "Z": 611, **dict.fromkeys("0123456789", 556),
    " ": 278, ".": 278, ",": 278, "-": 333, ":": 278,
}  # fmt: skip


@pytest.mark.parametrize("letter", sorted(METRICS))
def test_no_letter_is_thought_much_narrower_than_it_is(letter):
    assert width(letter, 1000.0) >= 0.92 * METRICS[letter]


@pytest.mark.parametrize(
    "words",
    [
        "Plumb-bob body, set-up 1 of 2",
        "Left standing: tool 2 does not reach behind the shoulder",
        "STEPPED ARBOR 25 MM",
    ],
)
def test_estimate_is_generous_and_not_wild(words):
    true = sum(METRICS[c] for c in words) / 1000.0 * 3.0
    assert true <= width(words, 3.0) <= 1.35 * true


def test_east_asian_letters_are_square_and_accents_take_no_room():
    assert width("下げ", 3.0) == pytest.approx(6.0)
    assert width("e\u0301", 3.0) == width("e", 3.0)


@settings(deadline=None)
@given(st.text(max_size=300), st.floats(5.0, 200.0), st.integers(1, 5))
def test_lines_fit_and_say_what_was_said(words, most, lines):
    out = wrapped(words, 3.0, most, lines=lines)
    assert len(out) <= lines
    assert all(width(line, 3.0) <= most or len(line.rstrip("…")) <= 1 for line in out)
    said, whole = "".join(out).replace(" ", ""), "".join(words.split())
    assert said == whole or (said.endswith("…") and whole.startswith(said[:-1]))


def test_breaks_at_blanks():
    assert wrapped("dome of the bob, then the long taper", 3.0, 40.0, lines=4) == [
        "dome of the bob, then the",
        "long taper",
    ]


@settings(deadline=None)
@given(st.text(max_size=60))
def test_any_text_stays_text(words):
    root = ElementTree.fromstring(tag("g", text(words, 1.0, 2.0, fill=words)))
    assert len(root) == 1 and len(root[0]) == 0
    shown = [c for c in root[0].text or "" if c not in " \N{REPLACEMENT CHARACTER}"]  # what may stand in for others
    assert shown == [c for c in words if (c.isprintable() or c == "\u200d") and c not in " \N{REPLACEMENT CHARACTER}"]
    assert root[0].get("fill") == (root[0].text or "")


@pytest.mark.parametrize("code", [0x00, 0x08, 0x0B, 0x1F, 0x7F, 0x9F, 0xD800, 0xDFFF, 0xFFFE, 0xFFFF, 0x10FFFF])
def test_what_xml_forbids_is_replaced(code):
    """XML 1.0 (Fifth Edition), 2.2, production 2: these are no characters, or discouraged ones."""
    root = ElementTree.fromstring(tag("text", safe(f"a{chr(code)}b")))
    assert root.text == ("a b" if chr(code).isspace() else "a\N{REPLACEMENT CHARACTER}b")


def test_marks_of_writing_direction_are_dropped():
    assert safe("a\u202eb") == "ab"  # right-to-left override would turn the rest of the line round


@pytest.mark.parametrize(
    ("value", "written"),
    [(0.0, "0"), (-0.0, "0"), (-0.00001, "0"), (12.5, "12.5"), (3.0, "3"), (100.0, "100"), (-1.23456, "-1.2346")],
)
def test_numbers_carry_no_needless_digit(value, written):
    assert number(value) == written


@settings(deadline=None)
@given(st.floats(-1e6, 1e6))
def test_numbers_read_back(value):
    assert abs(float(number(value)) - value) <= 5.1e-5
    assert "e" not in number(value) and number(value) != "-0"


def test_names_of_attributes_and_their_figures():
    assert tag("path", d="M0 0", stroke_width=0.25) == '<path d="M0 0" stroke-width="0.25"/>'
    assert sys.intern(tag("g", "<a/>", "<b/>")) == "<g><a/><b/></g>"
