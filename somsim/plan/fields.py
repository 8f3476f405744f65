"""The kinds of value a plan is written in: amounts with a unit, how often, names, beds.

Each is read from the text as typed, so that a message can quote it, and each says what it would accept.
"""

from __future__ import annotations

import re
from collections.abc import Callable
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
SHOWN = 60  # characters of a typed word that a message repeats
LONGEST_NAME = 200  # characters
MOST_BEDS = 10_000
MOST_YEARS = 300


class Placed(BaseModel):
    """A part of a plan that knows where in the file it was written."""

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True)
    _place: Place = PrivateAttr(default=NOWHERE)
    _places: dict[str, Place] = PrivateAttr(default_factory=dict)

    @property
    def place(self) -> Place:
        """Where this part was written; line 0 when it was not read from a file."""
        return self._place

    def place_of(self, key: str) -> Place:
        """Where the value of a key was written; the place of the whole part when that is not known."""
        return self._places.get(key, self._place)

    def __eq__(self, other: object) -> bool:
        """Whether two parts say the same, wherever they were written."""
        return type(self) is type(other) and self.__dict__ == getattr(other, "__dict__", None)

    @model_validator(mode="wrap")
    @classmethod
    def _keep_place(cls, data: Any, handler: ModelWrapValidatorHandler[Any]) -> Any:
        made = handler(data)
        place = getattr(data, "place", None)
        if isinstance(data, dict) and isinstance(place, Place):
            made._place = place
            made._places = {key: item.place for key, item in data.items() if hasattr(item, "place")}
        return made


class FieldError(ValueError):
    """A value that cannot be read: what is wrong, what would do, and the key it stands at."""

    def __init__(self, message: str, hint: str | None = None, key: str | None = None) -> None:
        """Keep the parts apart; without a key the mistake stands where the value or the part begins."""
        super().__init__(message)
        self.hint = hint
        self.key = key


def quoted(text: object) -> str:
    """A typed word between quotes, short enough to stand in a message.

    >>> quoted("leaf  mould")
    '"leaf mould"'
    """
    words = " ".join(str(text).split())
    return f'"{words}"' if len(words) <= SHOWN else f'"{words[:SHOWN]}..."'


def _amount(dimension: str, lowest: float, highest: float, limit: str) -> BeforeValidator:
    def read(value: object) -> Amount:
        text = value.text if isinstance(value, Amount) else value
        if not isinstance(text, str):
            raise FieldError("an amount with its unit is needed here", "for example " + EXAMPLES[dimension])
        if not text.strip():
            raise FieldError("nothing is written after this key", "for example " + EXAMPLES[dimension])
        amount = read_amount(str(text), dimension)
        if isinstance(value, Amount) and amount != value:
            raise FieldError(f"{quoted(text)} is not what the numbers of this Amount say")
        if amount.low < lowest:
            raise FieldError(f"{quoted(text)} is too little: {limit}")
        if amount.high > highest:
            raise FieldError(f"{quoted(text)} is too much: {limit}")
        return amount

    return BeforeValidator(read)


_BARE = re.compile(r"[0-9.\s]+(?:to[0-9.\s]+)?")


def read_amount(text: str, dimension: str) -> Amount:
    """Read an amount as `parse_amount` does; a ratio has no unit, so its numbers may stand alone.

    Raises
    ------
    FieldError
        when the text is no such amount.

    >>> read_amount("0.3 to 0.5", "ratio").best
    0.4
    """
    try:
        if dimension == "ratio" and _BARE.fullmatch(text):
            plain = parse_amount(f"{text} ratio", dimension)
            return Amount(plain.low, plain.best, plain.high, text)
        return parse_amount(text, dimension)
    except UnitError as error:
        raise FieldError(error.message, error.hint) from None


EXAMPLES = {
    "length": "15 mm",
    "area": "60 m2",
    "volume": "2 m3",
    "mass": "300 kg",
    "density": "1.35 g/cm3",
    "mass_per_area": "4 t/ha",
    "volume_per_area": "12 l/m2",
    "carbon_per_area": "40 t C/ha",
    "carbon_rate": "2.85 t C/ha/yr",
    "share": "17 %",
    "temperature": "12 deg C",
    "temperature_difference": "3 deg C",
    "duration": "12 years",
    "rate": "0.8 per year",
    "warming": "0.3 deg C/decade",
    "ratio": "0.4",
    "latitude": "51.8 N",
}

Depth = Annotated[Amount, _amount("length", 0.0, 0.5, "a layer spread on beds is between 0 and 50 cm")]
LayerDepth = Annotated[Amount, _amount("length", 0.02, 1.5, "a soil layer is between 2 cm and 1.5 m")]
BedLength = Annotated[Amount, _amount("length", 0.01, 1e5, "a bed measures between 1 cm and 100 km")]
PathWidth = Annotated[Amount, _amount("length", 0.0, 1e3, "a path is between 0 and 1 km wide")]
Area = Annotated[Amount, _amount("area", 1e-4, 1e10, "an area is between 1 cm2 and 1,000,000 ha")]
Volume = Annotated[Amount, _amount("volume", 0.0, 1e8, "a volume is between 0 and 100 million m3")]
Mass = Annotated[Amount, _amount("mass", 0.0, 1e12, "a mass is between 0 and 1,000 million t")]
Density = Annotated[
    Amount, _amount("density", 20.0, 2600.0, "loose straw weighs over 20 kg/m3, solid rock 2600 kg/m3")
]
SoilDensity = Annotated[Amount, _amount("density", 100.0, 2200.0, "a soil weighs between 0.1 and 2.2 g/cm3")]
MassPerArea = Annotated[
    Amount, _amount("mass_per_area", 0.0, 600.0, "at most 600 kg/m2, a layer of some 1 m")
]
DryMass = Annotated[Amount, _amount("mass_per_area", 0.0, 20.0, "no crop leaves over 20 kg/m2 (200 t/ha)")]
PressedVolume = Annotated[Amount, _amount("volume_per_area", 0.0, 1.0, "at most 1 m3 on each m2")]
CarbonPerArea = Annotated[Amount, _amount("carbon_per_area", 0.0, 200.0, "between 0 and 2,000 t C/ha")]
CarbonRate = Annotated[Amount, _amount("carbon_rate", 0.0, 20.0, "between 0 and 200 t C/ha/yr")]
Share = Annotated[Amount, _amount("share", 0.0, 1.0, "a share is between 0 and 100 %")]
Ratio = Annotated[Amount, _amount("ratio", 0.0, 20.0, "between 0 and 20")]
Rate = Annotated[Amount, _amount("rate", 0.0, 100.0, "between 0 and 100 per year")]
NutrientShare = Annotated[Amount, _amount("share", 0.0, 0.2, "no such material holds over 20 % of it")]
Humified = Annotated[Amount, _amount("share", 0.0, 0.95, "at most 95 % of a residue can become humus")]
Uplift = Annotated[Amount, _amount("temperature_difference", -10.0, 25.0, "between -10 and 25 deg C")]
Warming = Annotated[Amount, _amount("warming", -0.2, 0.2, "between -2 and 2 deg C a decade")]
Latitude = Annotated[Amount, _amount("latitude", -90.0, 90.0, "between 90 S and 90 N")]
PureNumber = Annotated[Amount, _amount("ratio", 0.0, 10.0, "between 0 and 10")]

_length_of_time = _amount(
    "duration", 1.0 / 12.0, MOST_YEARS, f"a plan looks 1 month to {MOST_YEARS} years ahead"
)


def _read_horizon(value: object) -> Amount:
    if isinstance(value, str) and re.match(r"\s*\d{4}-\d", value):
        raise FieldError("the horizon is a length of time from the start on, not a date", "e.g. 12 years")
    read: Callable[[object], Amount] = _length_of_time.func  # type: ignore[assignment]  # takes one value
    amount = read(value)
    if amount.is_range:
        raise FieldError(f"{quoted(amount.text)} is a range; give one length of time", "e.g. 12 years")
    months = 12.0 * amount.best
    if abs(months - round(months)) > 1e-6:
        raise FieldError(
            f"{quoted(amount.text)} is no whole number of months", f"e.g. {round(months)} months"
        )
    return amount


def _read_every(value: object) -> int:
    match = re.fullmatch(r"([0-9]{1,3}) years", str(value).strip())
    count = 1 if str(value).strip() == "year" else int(match[1]) if match else value
    if isinstance(count, int) and not isinstance(count, bool) and 1 <= count <= 100:
        return count
    raise FieldError(f"{quoted(value)} is not how often", "every: year, or every: 2 years (up to 100)")


def _count(most: int, limit: str) -> BeforeValidator:
    def read(value: object) -> int:
        text = str(value).strip()
        count = int(text) if re.fullmatch(r"[0-9]{1,6}", text) else value
        if isinstance(count, int) and not isinstance(count, bool) and 1 <= count <= most:
            return count
        raise FieldError(f"{quoted(value)} is not {limit}", f"a whole number from 1 to {most:,}")

    return BeforeValidator(read)


BED_ROW = re.compile(r"([0-9]{1,6}) to ([0-9]{1,6})")


def _read_bed_list(value: object) -> tuple[str, ...]:
    items = [value] if isinstance(value, str) else value
    if not isinstance(items, list | tuple) or not items:
        raise FieldError("beds are told by number or name", "for example beds: 1 to 3, or beds: [2, 5]")
    words = tuple(read_name(item) for item in items)
    for word in words:
        match = BED_ROW.fullmatch(word)
        if match and int(match[1]) > int(match[2]):
            raise FieldError(f"{quoted(word)} runs backwards", f"{int(match[2])} to {int(match[1])}")
    return words


def read_name(value: object) -> str:
    """Read a name: some words, without spaces at its ends or signs that can't be seen.

    Raises
    ------
    FieldError
        when it is no name.
    """
    if not isinstance(value, str):
        raise FieldError("a name is needed here", "one or more words")
    text = value.strip()
    if not text:
        raise FieldError("nothing is written after this key", "a name is needed here")
    if len(text) > LONGEST_NAME:
        raise FieldError(f"a name of {len(text):,} characters is too long", f"at most {LONGEST_NAME}")
    if not text.isprintable():
        raise FieldError("a name with a line break or a sign that can't be seen", "write it on one line")
    return str(text)


def _read_heading(value: object) -> str:
    name = read_name(value)
    if name != value:
        raise FieldError(f"the name {quoted(value)} has spaces at its ends", "take them out")
    return name


Horizon = Annotated[Amount, BeforeValidator(_read_horizon)]
Every = Annotated[int, BeforeValidator(_read_every)]
BedCount = Annotated[int, _count(MOST_BEDS, "a number of beds")]
PlanYear = Annotated[int, _count(MOST_YEARS, "a year of the plan")]
BedList = Annotated[tuple[str, ...], BeforeValidator(_read_bed_list)]
Name = Annotated[str, BeforeValidator(read_name)]
Heading = Annotated[str, BeforeValidator(_read_heading)]
Fate = Literal["left on surface", "dug in", "carted off", "to the heap"]
CropFate = Literal["left on surface", "dug in", "carted off", "to the heap"]
SpreadFate = Literal["left on surface", "dug in"]
