"""Days of the year as a grower writes them: "20 Apr", "20 May year 2", or one date in full."""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import BeforeValidator

from somsim.plan.fields import FieldError, quoted

FULL_MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_DAY_MONTH = re.compile(r"([0-9]{1,2})\.?\s+([A-Za-z]{3,9})\.?(?:\s+year\s+([0-9]{1,2}))?")
_DAY_MONTH_YEAR = re.compile(r"([0-9]{1,2})\.?\s+([A-Za-z]{3,9})\.?\s+([0-9]{4})")
_ISO = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_MONTH_FIRST = re.compile(r"([A-Za-z]{3,9})\.?\s+([0-9]{1,2})")
FIRST_YEAR, LAST_YEAR = 1900, 2300


@dataclass(frozen=True)
class Day:
    """A day of the year (``year`` None: comes round every year) or one date in full.

    ``later`` counts further years: "20 May year 2" after a sowing is the second 20 May.
    """

    day: int
    month: int
    year: int | None = None
    later: int = 0

    @property
    def text(self) -> str:
        """The day as a grower writes it."""
        words = f"{self.day} {MONTHS[self.month - 1].capitalize()}"
        if self.year is not None:
            return f"{self.year:04d}-{self.month:02d}-{self.day:02d}"
        return words + (f" year {self.later + 1}" if self.later else "")

    def in_year(self, year: int) -> datetime.date:
        """This day in a calendar year; 29 February falls on the 28th where there is none."""
        day = min(self.day, _days_in(self.month, year))
        return datetime.date(year, self.month, day)

    def on_or_after(self, date: datetime.date) -> datetime.date:
        """The first such day on or after a date (the date itself in full dates)."""
        if self.year is not None:
            return self.in_year(self.year)
        first = self.in_year(date.year)
        if first < date:
            first = self.in_year(date.year + 1)
        return self.in_year(first.year + self.later) if self.later else first


def _days_in(month: int, year: int) -> int:
    if month == 2:
        return 29 if year % 4 == 0 and (year % 100 != 0 or year % 400 == 0) else 28
    return 30 if month in (4, 6, 9, 11) else 31


def _month_number(word: str) -> int | None:
    key = word.lower()
    for number, (short, full) in enumerate(zip(MONTHS, FULL_MONTHS, strict=True), start=1):
        if key in (short, full) or (key == "sept" and short == "sep"):
            return number
    return None


def read_day(value: object) -> Day:
    """Read "20 Apr", "20 April 2027", "20 May year 2" or "2027-04-20".

    Raises
    ------
    FieldError
        when the text is no day, or a day that does not exist.
    """
    if isinstance(value, Day):
        return _real_day(f"{value.day}.{value.month}.", value.day, value.month, value.year, value.later)
    if isinstance(value, datetime.date):
        value = value.isoformat()[:10]
    text = " ".join(value.split()) if isinstance(value, str) else ""
    hint = "a day such as 20 Apr, or a date in full such as 2027-04-20"
    if not text:
        raise FieldError("a day is needed here", hint)
    if match := _ISO.fullmatch(text):
        year, month, day = (int(part) for part in match.groups())
        return _real_day(text, day, month, year, 0)
    if match := _DAY_MONTH_YEAR.fullmatch(text):
        return _named_day(text, int(match[1]), match[2], int(match[3]), 0)
    if match := _DAY_MONTH.fullmatch(text):
        return _named_day(text, int(match[1]), match[2], None, int(match[3] or 1) - 1)
    if match := _MONTH_FIRST.fullmatch(text):
        raise FieldError(f"{quoted(text)} has the month first", f"write {match[2]} {match[1]}")
    if re.fullmatch(r"[0-9]{1,4}[-/.][0-9]{1,2}([-/.]([0-9]{2,4})?)?", text):
        raise FieldError(f"{quoted(text)} can be read in two ways", hint)
    raise FieldError(f"{quoted(text)} is not a day", hint)


def _named_day(text: str, day: int, word: str, year: int | None, later: int) -> Day:
    month = _month_number(word)
    if month is None:
        raise FieldError(f"there is no month {quoted(word)}", "Jan, Feb, Mar ... Dec")
    return _real_day(text, day, month, year, later)


def _real_day(text: str, day: int, month: int, year: int | None, later: int) -> Day:
    if not 1 <= month <= 12:
        raise FieldError(f"{quoted(text)}: there is no month {month}", "year, month, day: 2027-04-20")
    longest = _days_in(month, year if year is not None else 2024)
    if not 1 <= day <= longest:
        name = FULL_MONTHS[month - 1].capitalize() + (f" {year}" if year is not None else "")
        raise FieldError(f"{quoted(text)} does not exist: {name} has {longest} days")
    if later < 0:
        raise FieldError(f"{quoted(text)}: years are counted from 1", "the first is the one of sowing")
    if year is not None and not FIRST_YEAR <= year <= LAST_YEAR:
        raise FieldError(f"{quoted(text)}: a year between {FIRST_YEAR} and {LAST_YEAR} is needed")
    return Day(day, month, year, later)


def read_date(value: object) -> datetime.date:
    """Read a date in full: "2026-10-01", or "1 October 2026".

    Raises
    ------
    FieldError
        when the text is no date, or has no year.

    >>> read_date("1 Oct 2026")
    datetime.date(2026, 10, 1)
    """
    day = read_day(value)
    if day.year is None:
        raise FieldError(f"{quoted(day.text)} has no year", "a date in full, such as 2026-10-01")
    return day.in_year(day.year)


DayOfYear = Annotated[Day, BeforeValidator(read_day)]
Date = Annotated[datetime.date, BeforeValidator(read_date)]
