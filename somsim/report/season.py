"""A season on a screen: the strip of the year, what to order, what to do, hours, costs, cautions."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from rich.console import Console

from somsim.report.season_amounts import ground_size, ranged
from somsim.report.season_lines import (
    HOURS,
    OrderLines,
    TaskLines,
    barrow_note,
    cost_lines,
    dates_note,
    full_words,
    letters,
    opening,
    order_lines,
    task_lines,
    week_words,
)
from somsim.report.terminal import heading, say
from somsim.report.words import System
from somsim.study.season_types import Row, Season

SIGNS = "ABCEFGHIJKLMNPQRTUVWYZ"  # for what stands; s, x, d and o are marks of days
MARKS = {"spread": "s", "cut": "x", "dig": "d", "sheet": "o"}
MARK_WORDS = {"s": "spread", "x": "cut", "d": "dig", "o": "lay the sheet"}
WEEKS = 52  # columns of the strip, at most
EMPTY = "."


def show_season(season: Season, console: Console, system: System = "metric") -> None:
    """Print a season."""
    say(console, f"{season.plan.title}: {season.strategy}", style="bold")
    say(console, f"{opening(season)} {ground_size(season, system)}.")
    say(console, dates_note(season))
    note = barrow_note(season, system)
    if note:
        say(console, note)
    heading(console, "The year, bed by bed")
    *rows, key = strip_lines(season)
    for line in rows:
        console.print(line, soft_wrap=True)
    say(console, key)
    heading(console, "To have at hand")
    if not season.orders:
        say(console, "Nothing has to be bought.")
    for order in season.orders:
        _show_order(order_lines(order, season, system), console)
    heading(console, "What to do")
    if not season.tasks:
        say(console, "Nothing has to be done.")
    for task in season.tasks:
        if task.kind != "grow":
            _show_task(task_lines(task, season, system), console)
    _show_growing(season, console, system)
    _show_hours(season, console)
    _show_costs(season, console)
    _show_cautions(season, console)


def _show_order(one: OrderLines, console: Console) -> None:
    mind = f" [{one.mind}]" if one.mind else ""
    say(console, f"{one.title}: {one.much}{mind}")
    say(console, f"order by {one.by}; wanted on {one.wanted}", indent=4)
    for more in (one.packs, one.rests_on):
        if more:
            say(console, more, indent=4)


def _show_task(one: TaskLines, console: Console) -> None:
    mind = f" [{one.mind}]" if one.mind else ""
    hours = f"; {one.hours}" if one.hours else ""
    say(console, f"{one.day}: {one.title}. {one.ground[0].upper()}{one.ground[1:]}{hours}{mind}")
    for label, more in (("", one.much), ("when ", one.when), ("then ", one.after)):
        if more:
            say(console, f"{label}{more}", indent=4)


def _show_growing(season: Season, console: Console, system: System) -> None:
    growing = [task_lines(task, season, system) for task in season.tasks if task.kind == "grow"]
    if growing:
        say(console, "All along, the hours spread evenly:")
    for one in growing:
        say(console, f"{one.title}, {one.ground}: {one.hours}", indent=4)


def _show_hours(season: Season, console: Console) -> None:
    heading(console, "Hours by week, own work")
    words = [f"{monday} {hours}{'!' if full else ''}" for monday, hours, full in week_words(season)]
    say(console, "; ".join(words) if words else "none")
    for line in full_words(season):
        say(console, line)
    total = f"In all {ranged(season.hours, HOURS)} of your own"
    hired = f", and {ranged(season.hired, HOURS)} hired" if season.hired.p90 > 0.0 else ""
    say(console, f"{total}{hired}, in this year of the plan; weeks are whole ones and may reach beyond it.")
    if season.no_hours:
        say(console, f"No published figure for the hours of: {'; '.join(season.no_hours)}.")


def _show_costs(season: Season, console: Console) -> None:
    lines = list(cost_lines(season))
    if not lines:
        return
    heading(console, "What it costs this year")
    for name, much in lines:
        say(console, f"{name}: {much}")
    for words, names in (("No price, so not counted", season.unpriced), ("The library's old guess", season.guessed)):
        if names:
            say(console, f"{words}: {', '.join(names)}.")


def _show_cautions(season: Season, console: Console) -> None:
    heading(console, "What to mind")
    for sign, line in caution_lines(season):
        say(console, f"{sign} {line}")


def caution_lines(season: Season) -> Iterator[tuple[str, str]]:
    """Each caution with its letter, "-" where it belongs to no task; those of tasks first."""
    signs = letters(season)
    ordered = sorted(season.cautions, key=lambda one: one.id not in signs)
    for one in ordered:
        decides = "" if one.who_decides in ("", "you") else f" Decides: {one.who_decides.rstrip('.')}."
        yield (
            f"[{signs[one.id]}]" if one.id in signs else "-",
            f"{one.name[0].upper()}{one.name[1:]}: {one.text}{decides}",
        )


def strip_lines(season: Season) -> list[str]:
    """The strip in letters: a column a week, a row for beds that are treated alike, and what the letters mean."""
    things = list(dict.fromkeys(one.what for row in season.strip for one in row.stretches))
    signs = {what: SIGNS[number % len(SIGNS)] for number, what in enumerate(things)}
    weeks = _weeks(season)
    lines = [_months(weeks)]
    used: dict[str, None] = {}
    for row in season.strip:
        ground, marks = _row(row, weeks, signs)
        lines += [ground, *([marks] if marks.strip() else []), row.ground]
        used.update(dict.fromkeys(marks.replace(" ", "")))
    key = [f"{sign} {what}" for what, sign in signs.items()] + [f"{EMPTY} nothing stands"]
    key += [f"{sign} {MARK_WORDS[sign]}" for sign in used]
    return [*lines, "; ".join(key)]


def _weeks(season: Season) -> list[datetime.date]:
    """First days of the columns, a week each from the first day of the year on."""
    days = (season.last - season.first).days + 1
    return [season.first + datetime.timedelta(days=7 * number) for number in range(min(-(-days // 7), WEEKS))]


def _months(weeks: list[datetime.date]) -> str:
    """Names of months above the weeks in which they begin."""
    line = [" "] * (len(weeks) + 3)
    month = None
    for number, day in enumerate(weeks):
        if day.month != month and line[number - 1 if number else 0] == " ":
            line[number : number + 3] = f"{day:%b}"
        month = day.month
    return "".join(line).rstrip()


def _row(row: Row, weeks: list[datetime.date], signs: dict[str, str]) -> tuple[str, str]:
    """What stands in the middle of each week, and what is done in it."""
    middle = datetime.timedelta(days=3)
    ground = ""
    for day in weeks:
        here = [one for one in row.stretches if one.first <= day + middle < one.last]
        ground += signs[here[-1].what] if here else EMPTY
    marks = [" "] * len(weeks)
    for day, kind in row.marks:
        number = min((day - weeks[0]).days // 7, len(weeks) - 1)
        while marks[number] not in (" ", MARKS[kind]) and number < len(weeks) - 1:
            number += 1
        marks[number] = MARKS[kind]
    return ground, "".join(marks).rstrip()
