"""Comments come out as plain ASCII, in short lines, and can never be taken for a heading or a nested comment."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from posts.comments import ascii_of, comment_lines
from posts.dialect import Lines
from posts.headings import kind_of, start_of
from posts.lexer import tokens_of
from tests.posts.common import G95


@pytest.mark.parametrize(
    "text, plain",
    [
        ("\u00d816 \u00b10.05 (brass)", "dia 16 +-0.05 [brass]"),
        ("5\u00b0 \u00d7 2 \u2013 3\u00b5m", "5 deg x 2 - 3um"),
        ("K\u00f6rner f\u00fcr Ma\u00df", "Korner fur Mass"),
        ("\u2264 3 \u2265 2 \u201cmm\u201d", '<= 3 >= 2 "mm"'),
        ("\u4e2d tab\tline\nend", "? tab line end"),
    ],
)
def test_plain_forms(text: str, plain: str) -> None:
    assert ascii_of(text) == plain


def test_long_text_is_wrapped() -> None:
    lines = comment_lines("take the part out and turn it round " * 4, G95.lines)
    assert len(lines) == 3 and all(len(line) <= 70 for line in lines)
    assert " ".join(line[1:-1] for line in lines) == ("take the part out and turn it round " * 4).strip()


def test_nothing_says_nothing() -> None:
    assert comment_lines("", G95.lines) == comment_lines("  \n", G95.lines) == []


def test_text_can_not_pose_as_a_heading() -> None:
    (line,) = comment_lines("--- 3 finish T2", G95.lines)
    assert line == "(3 finish T2)" and kind_of(line[1:-1]) is None


@given(text=st.text(max_size=200))
@settings(max_examples=200)
def test_any_text_is_read_as_a_comment_of_that_line_alone(text: str) -> None:
    for line in comment_lines(text, G95.lines):
        tokens = tokens_of(line, Lines(longest=70, comments="() ;"))
        assert tokens.comment == line[1:-1] and not tokens.words
        assert kind_of(tokens.comment) is None


@pytest.mark.parametrize(
    "comment, kind",
    [
        ("--- 3 finish T2", "finish"),
        ("--- 12 part off", "part off"),
        (" ---  1  rough  T10 ", "rough"),
        ("--- rough T1", None),
        ("-- 1 rough", None),
        ("--- 1 ", None),
    ],
)
def test_headings(comment: str, kind: str | None) -> None:
    assert kind_of(comment) == kind


def test_places() -> None:
    assert start_of("starts at X60.0 Z40.0 mm, X a diameter") == (40.0, 30.0)
    assert start_of("starts at X60.0 Z40.0 mm, X a radius") == (40.0, 60.0)
    assert start_of("starts at X Z40.0 mm, X a radius") is None
    assert start_of("starts at the bench") is None
