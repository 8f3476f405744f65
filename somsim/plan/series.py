"""Weather month by month from a CSV file named in a plan."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from pathlib import Path

from somsim.errors import InputError, Place, Problem, nearest

COLUMNS = {"year": "year", "month": "month", "temperature_deg_C": "temperature", "rain_mm": "rain"}
LARGEST = 5_000_000  # bytes: some four hundred years of daily rows, far more than months need


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
    name = str(path)
    try:
        if path.is_dir():
            raise InputError([Problem(f"{name} is a folder, not a CSV file")])
        if path.stat().st_size > LARGEST:
            raise InputError([Problem(f"{name} is larger than 5 MB: twelve rows a year are enough")])
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise InputError(
            [Problem(f"no file {name}", hint="the path is read from the plan's own folder")]
        ) from None
    except (OSError, UnicodeDecodeError) as error:
        raise InputError([Problem(f"{name} cannot be read: {error}")]) from None
    return _series(name, text.splitlines())


def _series(name: str, lines: list[str]) -> MonthlySeries:
    rows = csv.DictReader(lines)
    header = rows.fieldnames or []
    problems = [
        Problem(
            f'no column "{column}"',
            Place(name, 1, 1),
            lines[0] if lines else "",
            _columns_hint(column, header),
        )
        for column in COLUMNS
        if column not in header
    ]
    problems += [
        Problem(
            f'no column "{column}" is known', Place(name, 1, 1), lines[0], "columns: " + ", ".join(COLUMNS)
        )
        for column in header
        if column not in COLUMNS
    ]
    if problems:
        raise InputError(problems)
    months: dict[tuple[int, int], tuple[float, float]] = {}
    for number, row in enumerate(rows, start=2):
        try:
            when, weather = _month(row)
            if when in months:
                raise ValueError(f"month {when[1]} of {when[0]} stands here a second time")
            months[when] = weather
        except ValueError as error:
            problems.append(Problem(str(error), Place(name, number, 1), lines[number - 1]))
    if problems:
        raise InputError(problems)
    return _whole_years(name, months)


def _columns_hint(column: str, header: object) -> str:
    near = nearest(column, [str(word) for word in header]) if isinstance(header, list) else []
    return (f"is it the one called {near[0]}? " if near else "") + "columns: " + ", ".join(COLUMNS)


def _month(row: dict[str, str]) -> tuple[tuple[int, int], tuple[float, float]]:
    numbers: dict[str, float] = {}
    for column, word in COLUMNS.items():
        text = (row.get(column) or "").strip()
        try:
            numbers[word] = float(text)
        except ValueError:
            raise ValueError(f'{column}: "{text}" is not a number') from None
        if not math.isfinite(numbers[word]):
            raise ValueError(f'{column}: "{text}" is not a number')
    if numbers["month"] not in range(1, 13) or numbers["year"] != int(numbers["year"]):
        raise ValueError(f"there is no month {numbers['month']:g} of {numbers['year']:g}")
    if not -60.0 <= numbers["temperature"] <= 60.0 or not 0.0 <= numbers["rain"] <= 5000.0:
        raise ValueError("impossible weather: -60 to 60 deg C and 0 to 5000 mm a month are accepted")
    return (int(numbers["year"]), int(numbers["month"])), (numbers["temperature"], numbers["rain"])


def _whole_years(name: str, months: dict[tuple[int, int], tuple[float, float]]) -> MonthlySeries:
    years = sorted({year for year, _ in months})
    if not years:
        raise InputError([Problem(f"{name} holds no months")])
    missing = [
        f"{year}-{month:02d}"
        for year in range(years[0], years[-1] + 1)
        for month in range(1, 13)
        if (year, month) not in months
    ]
    if missing:
        shown = ", ".join(missing[:6]) + (f" and {len(missing) - 6} more" if len(missing) > 6 else "")
        raise InputError(
            [Problem(f"{name}: months are missing: {shown}", hint="give whole years without a gap")]
        )
    table = [[months[year, month] for month in range(1, 13)] for year in range(years[0], years[-1] + 1)]
    return MonthlySeries(
        years[0],
        tuple(tuple(month[0] for month in year) for year in table),
        tuple(tuple(month[1] for month in year) for year in table),
    )
