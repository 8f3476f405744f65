"""Two drawings for the page of a season, in black and white: the strip of the year, and hours by week."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

from somsim.report.words import short
from somsim.study.season_types import Row, Season

WIDTH, LEFT, LETTER = 720.0, 120.0, 5.0  # of a drawing; where the year begins; of a letter
HIGH, GAP, TOP = 15.0, 13.0, 14.0  # of a bar; below it, for marks; above all, for the months
BARS, FOOT, NARROW = 70.0, 26.0, 470.0  # of the hours: how high, what is below, how wide


@dataclass(frozen=True)
class Box:
    """A bar of the strip, or of a week: where it is, how it is filled, and its label, empty where there is no room."""

    x: float
    y: float
    width: float
    height: float
    fill: str
    label: str


@dataclass(frozen=True)
class Word:
    """A word at a place."""

    x: float
    y: float
    text: str
    anchor: str = "middle"


@dataclass(frozen=True)
class Drawing:
    """A drawing: its size, lines up and down, bars and words, and the same told in words."""

    width: float
    height: float
    lines: tuple[tuple[float, float, float, float], ...]
    boxes: tuple[Box, ...]
    words: tuple[Word, ...]
    told: str


def strip_drawing(season: Season) -> Drawing:
    """What stands on the beds through the year; marks of days below the bars."""
    boxes: list[Box] = []
    words = [Word(_at(season, day) + 2.0, TOP - 4.0, f"{day:%b}", "start") for day in _months(season)]
    y = TOP
    for row in season.strip:
        boxes += _bars(row, season, y)
        words.append(Word(0.0, y + 12.0, _cut(row.ground, LEFT / LETTER), "start"))
        words += _marks(row, season, y + HIGH + 9.5)
        y += HIGH + GAP
    lines = tuple((_at(season, day), TOP - 12.0, _at(season, day), y - 2.0) for day in _months(season))
    return Drawing(WIDTH, y, lines, tuple(boxes), tuple(words), " ".join(_told(season)))


def _at(season: Season, day: datetime.date) -> float:
    """Where a day is, from left to right."""
    days = (season.last - season.first).days + 1
    return LEFT + (WIDTH - LEFT) * (day - season.first).days / days


def _months(season: Season) -> list[datetime.date]:
    """The first day of the year, and of every month in it."""
    found, day = [season.first], season.first
    while day <= season.last:
        day += datetime.timedelta(days=1)
        if day.day == 1 and day <= season.last:
            found.append(day)
    return found


def _bars(row: Row, season: Season, y: float) -> Iterator[Box]:
    for one in row.stretches:
        x, end = _at(season, one.first), _at(season, one.last)
        label = one.what if len(one.what) * LETTER < end - x - 6.0 else _cut(one.what, (end - x - 6.0) / LETTER)
        yield Box(x, y, end - x, HIGH, one.kind, label)


def _cut(text: str, letters: float) -> str:
    """A text that fits; nothing where not even a few letters do.

    >>> _cut("rye and vetch", 6.0), _cut("rye and vetch", 2.0)
    ('rye a…', '')
    """
    room = int(letters)
    if len(text) <= room:
        return text
    return f"{text[: room - 1]}…" if room >= 4 else ""


def _marks(row: Row, season: Season, y: float) -> Iterator[Word]:
    """What is done on which day, from left to right; where days are near each other their words move on."""
    by_day: dict[datetime.date, dict[str, None]] = {}
    for day, kind in sorted(row.marks):
        by_day.setdefault(day, {})[kind] = None
    free = LEFT
    for day, kinds in by_day.items():
        text = f"{', '.join(kinds)} {day.day} {day:%b}"
        wide = len(text) * LETTER
        begin = min(max(_at(season, day) - wide / 2.0, free), WIDTH - wide)
        yield Word(begin, y, text, "start")
        free = begin + wide + LETTER


def _told(season: Season) -> Iterator[str]:
    for row in season.strip:
        stands = [f"{one.what} from {one.first} to {one.last}" for one in row.stretches]
        yield f"{row.ground}: {', '.join(stands) or 'nothing stands'}."


def weeks_drawing(season: Season) -> Drawing | None:
    """Hours by week: a bar each, and a line at the hours there are; None where there is no work."""
    most = max([week.hours.p50 for week in season.weeks] + [week.there or 0.0 for week in season.weeks])
    if most <= 0.0:
        return None
    step = (NARROW - LEFT) / len(season.weeks)
    boxes, lines, words = [], [], []
    for number, week in enumerate(season.weeks):
        x, high = LEFT + number * step, BARS * week.hours.p50 / most
        boxes.append(Box(x + 1.0, TOP + BARS - high, step - 2.0, high, "full" if week.full else "fits", ""))
        if week.there is not None:
            y = TOP + BARS - BARS * week.there / most
            lines.append((x, y, x + step, y))
        if week.full:
            words.append(Word(x + step / 2.0, TOP + BARS - high - 3.0, "!"))
        if number % 5 == 0 and number < len(season.weeks) - 3:
            words.append(Word(x, TOP + BARS + 12.0, f"{week.monday.day} {week.monday:%b}", "start"))
    words.append(Word(0.0, TOP + 8.0, f"most: {short(most)} h a week", "start"))
    if season.plan.hours_available is not None:
        words.append(Word(0.0, TOP + 22.0, "line: hours there are", "start"))
    told = "; ".join(f"{week.monday}: {short(week.hours.p50)} h" for week in season.weeks if week.hours.p50 > 0.0)
    return Drawing(NARROW, TOP + BARS + FOOT - 8.0, tuple(lines), tuple(boxes), tuple(words), told)
