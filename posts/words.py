"""Speed, feed and nose as the words of one dialect, with no memory of what was said before."""

from __future__ import annotations

import math

from posts.dialect import Dialect
from posts.numbers import Grid, fixed, plain, sound
from posts.tips import way_of
from toolpath.errors import CannotMake
from toolpath.motion import Compensation, Feed, FeedMode, Spindle

FOOT = 0.3048  # metres


def word_of(dialect: Dialect, meaning: str) -> str:
    """The dialect's word; CannotMake when it has none."""
    found = dialect.words.get(meaning)
    if found is None:
        said = meaning.replace("_", " ")
        raise CannotMake(
            f"the dialect {dialect.name} has no word for {said!r}; if the control has one, give it as {meaning} under "
            "[words] of the dialect's file"
        )
    return found


def speed_words(spindle: Spindle, dialect: Dialect, grid: Grid) -> tuple[str, str]:
    """(cap block or empty, speed words). The cap is rounded down, never up."""
    if not spindle.surface:
        turning = f"S{_above_zero(spindle.rpm, 0, 'a spindle speed')}"
        return "", f"{dialect.words.get('fixed_speed', '')} {turning}".lstrip()
    if sound(spindle.limit_rpm, "a speed limit") < 1.0:
        raise CannotMake("constant surface speed without a speed limit runs away towards the axis; state one")
    rules, cap = dialect.speed, str(math.floor(spindle.limit_rpm))
    surface = spindle.surface / (FOOT if grid.inch else 1.0)
    speed = f"{word_of(dialect, 'surface_speed')} S{_above_zero(surface, grid.numbers.surface, 'a surface speed')}"
    if rules.cap == "word":
        return "", f"{speed} {rules.cap_letter}{cap}"
    if rules.cap == "block":
        return f"{rules.cap_code} S{cap}", speed
    raise CannotMake(
        f"the dialect {dialect.name} can not limit the speed under constant surface speed; say how under "
        "cap of [speed], or use fixed speeds"
    )


def feed_words(feed: Feed, dialect: Dialect, grid: Grid) -> tuple[str, str]:
    """(feed mode, F). CannotMake where the last digit can not carry the feed."""
    per_turn = feed.mode is FeedMode.PER_TURN
    decimals = grid.numbers.per_turn if per_turn else grid.numbers.per_minute
    digits = round(sound(feed.value, "a feed") / grid.unit * 10**decimals)
    if digits <= 0:
        raise CannotMake(f"a feed of {feed.value:g} mm {feed.mode} is less than the control's last digit")
    return word_of(dialect, "per_turn" if per_turn else "per_minute"), f"F{fixed(digits, decimals)}"


def nose_words(meant: Compensation, dialect: Dialect) -> str:
    """What must stand in the control's tool table, in words, with the tip's number where the dialect numbers tips."""
    way = way_of(meant.tip)
    number = f"tip number {dialect.tips[way]}, " if way in dialect.tips else ""
    return f"tool table: nose radius {meant.nose_radius:g} mm, {number}tip towards {way}"


def _above_zero(value: float, decimals: int, what: str) -> str:
    text = plain(sound(value, what), decimals)
    if not float(text) > 0.0:
        raise CannotMake(f"{what} of {value:g} is less than the control's last digit")
    return text
