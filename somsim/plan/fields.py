"""The kinds of value a plan is written in: amounts with a unit, days of the year, how often, names.

Each is read from the text as typed, so that a message can quote it, and each says what it would accept.
"""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    ModelWrapValidatorHandler,
    PrivateAttr,
    model_validator,
)

from somsim.errors import Place
from somsim.units import Amount, UnitError, parse_amount

NOWHERE = Place("", 0, 0)


class Placed(BaseModel):
    """A part of a plan that knows where in the file it was written."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)
    _place: Place = PrivateAttr(default=NOWHERE)

    @property
    def place(self) -> Place:
        """Where this part was written; line 0 when it was not read from a file."""
        return self._place

    @model_validator(mode="wrap")
    @classmethod
    def _keep_place(cls, data: Any, handler: ModelWrapValidatorHandler[Any]) -> Any:
        made = handler(data)
        place = getattr(data, "place", None)
        if isinstance(place, Place):
            object.__setattr__(made, "_place", place)
        return made


class FieldError(ValueError):
    """A value that cannot be read, with a hint of what would do."""

    def __init__(self, message: str, hint: str | None = None) -> None:
        super().__init__(message)
        self.hint = hint


def _amount(dimension: str, lowest: float | None, highest: float | None, limit: str) -> BeforeValidator:
    def read(value: object) -> Amount:
        if isinstance(value, Amount):
            return value
        if not isinstance(value, str):
            raise FieldError("expected an amount with its unit", "for example " + EXAMPLES[dimension])
        try:
            amount = parse_amount(str(value), dimension)
        except UnitError as error:
            raise FieldError(error.message, error.hint) from None
        if lowest is not None and amount.low < lowest:
            raise FieldError(f'"{value}" is too small: {limit}')
        if highest is not None and amount.high > highest:
            raise FieldError(f'"{value}" is too much: {limit}')
        return amount

    return BeforeValidator(read)


EXAMPLES = {
    "length": "15 mm",
    "area": "60 m2",
    "volume": "2 m3",
    "mass": "300 kg",
    "density": "1.35 g/cm3",
    "mass_per_area": "4 t/ha",
    "carbon_per_area": "40 t C/ha",
    "carbon_rate": "2.85 t C/ha/yr",
    "share": "17 %",
    "temperature": "12 deg C",
    "temperature_difference": "3 deg C",
    "duration": "12 years",
    "rate": "0.8 per year",
    "warming": "0.3 deg C/decade",
    "ratio": "0.4 ratio",
    "latitude": "51.8 N",
}

Depth = Annotated[Amount, _amount("length", 0.0, 1.0, "a layer spread on beds is between 0 and 1 m")]
LayerDepth = Annotated[Amount, _amount("length", 0.02, 1.5, "a soil layer is between 2 cm and 1.5 m")]
BedLength = Annotated[Amount, _amount("length", 0.01, 1e5, "a bed measures between 1 cm and 100 km")]
PathWidth = Annotated[Amount, _amount("length", 0.0, 1e3, "a path is between 0 and 1 km wide")]
Area = Annotated[Amount, _amount("area", 1e-4, 1e10, "an area is over 1 cm2 and under 1,000,000 ha")]
Volume = Annotated[Amount, _amount("volume", 0.0, 1e8, "a volume is not negative")]
Mass = Annotated[Amount, _amount("mass", 0.0, 1e12, "a mass is not negative")]
Density = Annotated[Amount, _amount("density", 20.0, 2600.0, "between 20 kg/m3 and solid rock, 2600 kg/m3")]
SoilDensity = Annotated[Amount, _amount("density", 100.0, 2200.0, "a soil has between 0.1 and 2.2 g/cm3")]
MassPerArea = Annotated[
    Amount, _amount("mass_per_area", 0.0, 600.0, "between 0 and 600 kg/m2, a layer of some 1 m")
]
DryMass = Annotated[Amount, _amount("mass_per_area", 0.0, 20.0, "no crop leaves over 20 kg/m2 (200 t/ha)")]
PressedVolume = Annotated[Amount, _amount("volume_per_area", 0.0, 1.0, "between 0 and 1 m3 on each m2")]
CarbonPerArea = Annotated[Amount, _amount("carbon_per_area", 0.0, 200.0, "between 0 and 2,000 t C/ha")]
CarbonRate = Annotated[Amount, _amount("carbon_rate", 0.0, 20.0, "between 0 and 200 t C/ha/yr")]
Share = Annotated[Amount, _amount("share", 0.0, 1.0, "a share is between 0 and 100 %")]
Ratio = Annotated[Amount, _amount("ratio", 0.0, 20.0, "between 0 and 20")]
Rate = Annotated[Amount, _amount("rate", 0.0, 100.0, "between 0 and 100 per year")]
Humified = Annotated[Amount, _amount("share", 0.0, 0.95, "at most 95 % of a residue can become humus")]
Horizon = Annotated[Amount, _amount("duration", 1.0 / 12.0, 300.0, "between 1 month and 300 years")]
Uplift = Annotated[Amount, _amount("temperature_difference", -10.0, 25.0, "between -10 and 25 deg C")]
Warming = Annotated[Amount, _amount("warming", -0.2, 0.2, "between -2 and 2 deg C a decade")]
Latitude = Annotated[Amount, _amount("latitude", -90.0, 90.0, "between 90 S and 90 N")]
PureNumber = Annotated[Amount, _amount("ratio", 0.0, 10.0, "between 0 and 10")]

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_FULL_MONTHS = ["january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"]
_DAY_MONTH = re.compile(r"^(\d{1,2})\.?\s+([A-Za-z]{3,9})\.?(?:\s+year\s+(\d{1,2}))?$")
_DAY_MONTH_YEAR = re.compile(r"^(\d{1,2})\.?\s+([A-Za-z]{3,9})\.?\s+(\d{4})$")
_ISO = re.compile(r"^(\d{4})-(\d{2})-(\d{2})$")
_MONTH_FIRST = re.compile(r"^([A-Za-z]{3,9})\.?\s+(\d{1,2})$")


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
    for number, (short, full) in enumerate(zip(MONTHS, _FULL_MONTHS, strict=True), start=1):
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
        return value
    text = str(value).strip() if isinstance(value, str) else ""
    hint = "a day such as 20 Apr, or a date in full such as 2027-04-20"
    if match := _ISO.match(text):
        year, month, day = (int(part) for part in match.groups())
        return _real_day(text, day, month, year, 0)
    if match := _DAY_MONTH_YEAR.match(text):
        return _named_day(text, int(match[1]), match[2], int(match[3]), 0)
    if match := _DAY_MONTH.match(text):
        return _named_day(text, int(match[1]), match[2], None, int(match[3] or 1) - 1)
    if match := _MONTH_FIRST.match(text):
        raise FieldError(f'"{text}" has the month first', f"write {match[2]} {match[1]}")
    if re.match(r"^\d{1,4}[/.]\d{1,2}([/.]\d{2,4})?$", text):
        raise FieldError(f'"{text}" can be read two ways', hint)
    raise FieldError(f'"{text}" is not a day', hint)


def _named_day(text: str, day: int, word: str, year: int | None, later: int) -> Day:
    month = _month_number(word)
    if month is None:
        raise FieldError(f'"{text}": there is no month "{word}"', "Jan, Feb, Mar ... Dec")
    return _real_day(text, day, month, year, later)


def _real_day(text: str, day: int, month: int, year: int | None, later: int) -> Day:
    if not 1 <= month <= 12:
        raise FieldError(f'"{text}": there is no month {month}')
    longest = _days_in(month, year if year is not None else 2024)
    if not 1 <= day <= longest:
        name = _FULL_MONTHS[month - 1].capitalize() + (f" {year}" if year is not None else "")
        raise FieldError(f'"{text}" does not exist: {name} has {longest} days')
    if later < 0:
        raise FieldError(f'"{text}": years are counted from 1')
    if year is not None and not 1900 <= year <= 2300:
        raise FieldError(f'"{text}": the year is outside 1900 to 2300')
    return Day(day, month, year, later)


def _read_date(value: object) -> datetime.date:
    if isinstance(value, datetime.date):
        return value
    day = read_day(value)
    if day.year is None:
        raise FieldError(f'"{value}" has no year', "a date in full, such as 2026-10-01")
    return day.in_year(day.year)


def _read_every(value: object) -> int:
    if isinstance(value, int):
        return value
    text = str(value).strip()
    if text == "year":
        return 1
    if (match := re.match(r"^(\d{1,3}) years$", text)) and 1 <= int(match[1]) <= 100:
        return int(match[1])
    raise FieldError(f'"{text}" is not how often', "every: year, or every: 2 years")


def _read_count(value: object) -> int:
    if isinstance(value, int):
        return value
    text = str(value).strip()
    if re.match(r"^\d{1,6}$", text) and int(text) >= 1:
        return int(text)
    raise FieldError(f'"{text}" is not a whole number of 1 or more')


def _read_bed_list(value: object) -> tuple[str, ...]:
    if isinstance(value, str):
        value = [value]
    if not isinstance(value, list | tuple) or not value:
        raise FieldError("expected beds by number or name", "for example beds: 1 to 3, or beds: [2, 5]")
    words: list[str] = []
    for item in value:
        text = str(item).strip()
        if match := re.match(r"^(\d{1,6}) to (\d{1,6})$", text):
            first, last = int(match[1]), int(match[2])
            if first > last or last - first > 100_000:
                raise FieldError(f'"{text}" is not a row of beds', "for example 1 to 3")
            words.extend(str(number) for number in range(first, last + 1))
        elif text:
            words.append(text)
        else:
            raise FieldError("a bed without a name")
    return tuple(words)


def _read_name(value: object) -> str:
    text = str(value).strip() if isinstance(value, str) else ""
    if not text:
        raise FieldError("a name is missing here")
    if len(text) > 200:
        raise FieldError(f"a name of {len(text):,} characters is too long", "at most 200")
    return text


DayOfYear = Annotated[Day, BeforeValidator(read_day)]
Date = Annotated[datetime.date, BeforeValidator(_read_date)]
Every = Annotated[int, BeforeValidator(_read_every)]
Count = Annotated[int, BeforeValidator(_read_count)]
BedList = Annotated[tuple[str, ...], BeforeValidator(_read_bed_list)]
Name = Annotated[str, BeforeValidator(_read_name)]
Fate = Literal["left on surface", "dug in", "carted off"]
CropFate = Literal["left on surface", "dug in", "carted off", "to the heap"]
SpreadFate = Literal["left on surface", "dug in"]
