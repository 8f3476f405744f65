"""What stands in the beds when: each strategy's year as a strip, and in words."""

from __future__ import annotations

import datetime

from somsim.plan.model import shift
from somsim.report.page.section import Block, Heading, Manner, Part, Section, Strip, Words, called, told
from somsim.study.calendar import Calendar, Round, calendars
from somsim.study.compare import Study

MOST_ROUNDS = 6  # kinds of year shown of one strategy
SHORT_GAP = 15  # days: bare ground for less is not worth a line
DAY, WITHIN_A_YEAR = "%d %b", 366


def seasons(study: Study, manner: Manner) -> Section:
    """The year of each strategy; years that are alike are shown once."""
    numbers = told(study)
    found = calendars(study.plan, [study.answers[number].name for number in numbers])
    parts = [Heading(called(study, n), _parts(one)) for n, one in zip(numbers, found, strict=True)]
    said = "Each strip is a year of the plan. Triangles mark days on which something is done; the list has them all."
    return Section("seasons", "What stands in the beds when", (Words((said,)), *parts))


def _parts(one: Calendar) -> tuple[Part, ...]:
    many = len({each.beds for each in one.rounds}) > 1
    made: list[Part] = [_strip(each, many) for each in one.rounds[:MOST_ROUNDS]]
    if len(one.rounds) > MOST_ROUNDS:
        made.append(Words((f"{MOST_ROUNDS} of {len(one.rounds)} kinds of year and beds are shown.",)))
    return tuple(made)


def _strip(one: Round, many: bool) -> Strip:
    return Strip(
        f"{one.beds}, {_years(one.years)}" if many else _years(one.years),
        _months(one.begin),
        tuple(Block(each.begin, each.end, each.kind.replace(" ", "-"), each.what) for each in one.standing),
        tuple((deed.place, deed.what) for deed in one.deeds),
        tuple(_lines(one)),
    )


def _years(numbers: tuple[int, ...]) -> str:
    """Years in words, neighbours joined.

    >>> _years((1,)), _years((1, 2, 3, 7)), _years((2, 4))
    ('year 1', 'years 1 to 3, 7', 'years 2, 4')
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    told_runs = [f"{run[0]} to {run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs]
    return f"year{'s' if len(numbers) > 1 else ''} {', '.join(told_runs)}"


def _months(begin: datetime.date) -> tuple[tuple[float, str], ...]:
    """Where each month begins along the strip, and its first letters."""
    end = shift(begin, 12)
    days, found = (end - begin).days, []
    day = begin if begin.day == 1 else shift(begin.replace(day=1), 1)
    while day < end:
        found.append(((day - begin).days / days, f"{day:%b}"))
        day = shift(day, 1)
    return tuple(found)


def _lines(one: Round) -> list[str]:
    """Everything of the strip in words, in order of date."""
    found: list[tuple[datetime.date, str]] = []
    for each in one.standing:
        if each.kind == "bare" and (each.last - each.first).days < SHORT_GAP:
            continue
        found.append((max(each.first, one.begin), f"{_span(each.first, each.last)}: {each.what}"))
    found += [(deed.date, f"{_day(deed.date)}: {deed.what}") for deed in one.deeds]
    return [line for _, line in sorted(found, key=lambda pair: pair[0])]


def _span(first: datetime.date, last: datetime.date) -> str:
    years = (last - first).days > WITHIN_A_YEAR
    return f"{_day(first, years)} to {_day(last, years)}"


def _day(date: datetime.date, year: bool = False) -> str:
    return f"{date:{DAY}}".lstrip("0") + (f" {date.year}" if year else "")
