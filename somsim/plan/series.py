"""Weather month by month from a CSV file named in a plan."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path

from somsim.errors import InputError, Place, Problem, nearest

COLUMNS = {"year": "year", "month": "month", "temperature_deg_C": "temperature", "rain_mm": "rain"}
LARGEST = 5_000_000  # bytes: some four hundred years of daily rows, far more than months need
NUMBER = r"[+-]?[0-9]{1,6}(\.[0-9]+)?"
YEARS = (1500, 2500)
UNQUOTED_COMMA = "a decimal comma? write 4.2, not 4,2"
TOLD = 20  # bad rows told; the others are likely bad for the same reason


@dataclass(frozen=True)
class MonthlySeries:
    """Whole years of months: temperature in deg C and rain in mm, (year, month)."""

    first_year: int
    temperature: tuple[tuple[float, ...], ...]
    rain: tuple[tuple[float, ...], ...]


def read_series(path: Path) -> MonthlySeries:
    """Read a CSV file with columns year, month, temperature_deg_C, rain_mm; whole years without a gap.

    Raises
    ------
    InputError
        with every bad row by its line.
    """
    return _whole_years(str(path), read_months(path))


Months = dict[tuple[int, int], tuple[float, float]]


def read_months(path: Path) -> Months:
    """Read a CSV file with columns year, month, temperature_deg_C, rain_mm; any months, by (year, month).

    Raises
    ------
    InputError
        with every bad row by its line.
    """
    name = str(path)
    try:
        if path.is_dir():
            raise InputError([Problem(f"{name} is a folder, not a CSV file")])
        if not path.is_file():
            where = "the path is read from the plan's own folder"
            raise InputError([Problem(f"there is no file {name}", hint=where)])
        if path.stat().st_size > LARGEST:
            raise InputError([Problem(f"{name} is larger than 5 MB", hint="twelve rows a year are enough")])
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise InputError([Problem(f"{name} is not UTF-8 text", hint="save it as CSV, UTF-8")]) from None
    except (OSError, ValueError) as error:  # ValueError: a name that no file can have
        reason = getattr(error, "strerror", None) or "no file can have this name"
        raise InputError([Problem(f"{name} can't be read: {reason}")]) from None
    return _months(name, text)


def _months(name: str, text: str) -> Months:
    lines = text.splitlines()
    try:
        rows = list(csv.reader(lines))
    except csv.Error as error:
        raise InputError([Problem(f"{name} can't be read as CSV: {error}")]) from None
    header = [word.strip() for word in rows[0]] if rows else []
    _check_header(name, header, lines)
    problems: list[Problem] = []
    months: Months = {}
    for number, cells in enumerate(rows[1:], start=2):
        if not any(cell.strip() for cell in cells):
            continue
        try:
            when, weather = _month(header, cells)
            if when in months:
                raise ValueError(f"{when[0]}-{when[1]:02d} stands here a second time")
            months[when] = weather
        except ValueError as error:
            said, *hints = error.args
            problems.append(Problem(said, Place(name, number, 1), lines[number - 1], *hints))
    if problems:
        left = len(problems) - TOLD
        more = (
            [Problem(f"{name}: {left} more rows can't be used", Place(name, len(lines), 1))]
            if left > 0
            else []
        )
        raise InputError([*problems[:TOLD], *more])
    return months


def _check_header(name: str, header: list[str], lines: list[str]) -> None:
    place, line, needed = Place(name, 1, 1), lines[0] if lines else "", "columns: " + ", ".join(COLUMNS)
    problems = []
    for column in COLUMNS:
        if header.count(column) != 1:
            near = nearest(column, [word for word in header if word not in COLUMNS])
            said = f'the column "{column}" stands twice' if column in header else f'no column "{column}"'
            problems.append(Problem(said, place, line, (f"is it {near[0]}? " if near else "") + needed))
    if not problems:
        problems = [
            Problem(f'the column "{word[:60]}" is not used here', place, line, "take it out; " + needed)
            for word in header
            if word not in COLUMNS
        ]
    if problems:
        raise InputError(problems)


def _month(header: list[str], cells: list[str]) -> tuple[tuple[int, int], tuple[float, float]]:
    if len(cells) != len(header):
        said = f"{len(cells)} cells, but there are {len(header)} columns"
        raise ValueError(said, *([UNQUOTED_COMMA] if len(cells) > len(header) else []))
    numbers: dict[str, float] = {}
    for column, cell in zip(header, cells, strict=True):
        text = cell.strip()
        if re.fullmatch(NUMBER, text) is None:
            raise ValueError(f"{column}: {_no_number(text)}")
        numbers[COLUMNS[column]] = float(text)
    year, month = numbers["year"], numbers["month"]
    if month not in range(1, 13) or not YEARS[0] <= year <= YEARS[1] or year != int(year):
        raise ValueError(f"there is no month {month:g} of the year {year:g}")
    if not -60.0 <= numbers["temperature"] <= 60.0:
        raise ValueError("impossible: a month has between -60 and 60 deg C")
    if not 0.0 <= numbers["rain"] <= 5000.0:
        raise ValueError("impossible: between 0 and 5000 mm of rain fall in a month")
    return (int(year), int(month)), (numbers["temperature"], numbers["rain"])


def _no_number(text: str) -> str:
    """Why a cell is no number.

    >>> _no_number(""), _no_number("warm"), _no_number("-4,2")
    ('is empty', '"warm" is not a number', 'a decimal comma: write -4.2')
    """
    if not text:
        return "is empty"
    if re.fullmatch(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}", text):
        return f"the comma in {text} has two meanings: write {text.replace(',', '')} or {text.replace(',', '.')}"
    if re.fullmatch(NUMBER, text.replace(",", ".", 1)):
        return f"a decimal comma: write {text.replace(',', '.')}"
    return f'"{text[:60]}" is not a number'


def _whole_years(name: str, months: Months) -> MonthlySeries:
    years = sorted({year for year, _ in months})
    if not years:
        raise InputError([Problem(f"{name} holds no months", hint="twelve rows a year below the header")])
    every = range(years[0], years[-1] + 1)
    missing = [f"{y}-{m:02d}" for y in every for m in range(1, 13) if (y, m) not in months]
    if missing:
        shown = ", ".join(missing[:6]) + (f" and {len(missing) - 6} more" if len(missing) > 6 else "")
        said = f"{name}: {shown} {'is' if len(missing) == 1 else 'are'} missing"
        raise InputError([Problem(said, hint="whole years without a gap are needed")])
    table = [[months[year, month] for month in range(1, 13)] for year in every]
    return MonthlySeries(
        years[0],
        tuple(tuple(month[0] for month in year) for year in table),
        tuple(tuple(month[1] for month in year) for year in table),
    )
