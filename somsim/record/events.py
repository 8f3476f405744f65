"""The kinds of event that a record can hold; each field is a column of the file."""

from __future__ import annotations

import re
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from somsim.plan.days import Date
from somsim.plan.fields import (
    BedList,
    CropFate,
    Depth,
    DryMass,
    Fate,
    FieldError,
    Mass,
    MassPerArea,
    Name,
    Placed,
    Share,
    SpreadFate,
    Volume,
    quoted,
    read_amount,
)
from somsim.plan.measured import Measured
from somsim.plan.samples import Sample
from somsim.units import Amount

MOST_LINES = 1_000_000
_MONEY = re.compile(r"[0-9]{1,9}(\.[0-9]+)?")


def _line_number(value: object) -> int:
    text = str(value).strip()
    if text.isdecimal() and 1 <= int(text[:9]) <= MOST_LINES and len(text) <= 9:
        return int(text)
    raise FieldError(f"{quoted(value)} is not the number of a line", "a whole number, as in the column line")


def _hours(value: object) -> Amount:
    text = value.text if isinstance(value, Amount) else str(value)
    amount = read_amount(text, "time")
    if amount.is_range or not 0.0 <= amount.best <= 100_000.0:
        raise FieldError(f"{quoted(text)} is not one number of hours", "for example 3.5 h")
    return amount


def _money(value: object) -> float:
    if isinstance(value, float | int) and not isinstance(value, bool):
        return float(value)
    text = str(value).strip()
    if _MONEY.fullmatch(text):
        return float(text)
    hint = "a number in the plan's currency, such as 35.50"
    raise FieldError(f"{quoted(text)} is not one sum of money", hint)


LineNumber = Annotated[int, BeforeValidator(_line_number)]
Hours = Annotated[Amount, BeforeValidator(_hours)]
Money = Annotated[float, BeforeValidator(_money)]


class Event(Placed):
    """What every line has: its number, the day, the beds (all when left out), and what it took."""

    line: LineNumber = Field(description="the number of the line, given by somsim; corrections point at it")
    date: Date = Field(description="the day it was done: 2027-04-20")
    what: str = Field(description="what was done or measured")
    beds: BedList | None = Field(None, description="the beds, by number or name: 1 to 3; left out: all")
    hours: Hours | None = Field(None, description="the hours it took: 3.5 h")
    cost: Money | None = Field(None, description="money paid for it, in the plan's currency: 35.50")
    remark: Name | None = Field(None, description="anything worth remembering")
    corrects: LineNumber | None = Field(None, description="the number of the line that this one stands for instead")


class Sown(Event):
    """A cover was sown."""

    what: Literal["sown"]
    name: Name = Field(description="the cover, as the plan or the library calls it")


class CutDone(Event):
    """A cover was cut, perhaps weighed; it ends with it unless it grows on."""

    what: Literal["cut"]
    name: Name = Field(description="the cover, as in the line in which it was sown")
    then: Fate = Field(description="what became of it: left on surface, dug in, carted off, or to the heap")
    grows_on: Literal["yes", "no"] = Field("no", description="yes if it stands on and is cut again")
    dry_tops: DryMass | None = Field(None, description="dry mass of what was cut: 3 t/ha")
    sample: Sample | None = Field(None, description="what was weighed: columns fresh, area, dry_matter, wet, dry")


class SpreadDone(Event):
    """A material was spread."""

    what: Literal["spread"]
    name: Name = Field(description="the material, as the plan or the library calls it")
    then: SpreadFate = Field(description="what became of it: left on surface, or dug in")
    depth: Depth | None = Field(None, description="how much, as the depth of the layer: 5 mm")
    volume: Volume | None = Field(None, description="how much, as a volume for all the beds of the line: 2 m3")
    mass: Mass | None = Field(None, description="how much, as spread, for all the beds of the line: 900 kg")
    mass_per_area: MassPerArea | None = Field(None, description="how much, as spread: 30 t/ha")
    dry_mass: MassPerArea | None = Field(None, description="how much, as dry matter: 10 t/ha")
    heap_share: Share | None = Field(None, description="how much, as a share of the compost of the beds' own heap")

    @model_validator(mode="after")
    def _one_amount(self) -> SpreadDone:
        given = [key for key in SPREAD_AMOUNTS if getattr(self, key) is not None]
        if len(given) != 1:
            said = "how much is missing" if not given else f"{' and '.join(given)} each say how much"
            raise FieldError(said, "one of: " + ", ".join(SPREAD_AMOUNTS), given[-1] if given else None)
        return self


SPREAD_AMOUNTS = ("depth", "volume", "mass", "mass_per_area", "dry_mass", "heap_share")


class Planted(Event):
    """A crop was planted or sown."""

    what: Literal["planted"]
    name: Name = Field(description="the crop, as the plan or the library calls it")


class Cleared(Event):
    """A crop was cleared."""

    what: Literal["cleared"]
    name: Name = Field(description="the crop, as in the line in which it was planted")
    then: CropFate = Field(description="what became of leaves and stems: left on surface, dug in, carted off, ...")
    residue: DryMass | None = Field(None, description="dry mass of leaves and stems left over: 0.2 kg/m2")


class Harvested(Event):
    """Something was harvested, perhaps sold."""

    what: Literal["harvested"]
    name: Name = Field(description="the crop")
    mass: Mass = Field(description="how much, fresh: 45 kg")
    income: Money | None = Field(None, description="what it was sold for, in the plan's currency: 120")


class Dug(Event):
    """The beds were dug or tilled: what lay on the surface is in the soil."""

    what: Literal["dug"]


class Film(Event):
    """The film came off the tunnel, or was put on again."""

    what: Literal["film off", "film on"]


class Sheet(Event):
    """An opaque sheet was laid on the beds, or taken off."""

    what: Literal["sheet laid", "sheet lifted"]


class SoilTested(Event):
    """The soil was tested."""

    what: Literal["tested"]
    measured: Measured = Field(description="what the laboratory found")


class Worked(Event):
    """Hours or money for something else than what is recorded by itself."""

    what: Literal["worked"]
    name: Name | None = Field(None, description="what was done: weeding")

    @model_validator(mode="after")
    def _something(self) -> Worked:
        if self.hours is None and self.cost is None:
            raise FieldError("neither hours nor cost is given", "hours: 3 h, or cost: 20")
        return self


class Followed(Event):
    """From this day on the beds are worked by a strategy of the plan."""

    what: Literal["followed"]
    name: Name = Field(description="the strategy of the plan")


class Withdrawn(Event):
    """A line that should not have been written is taken back."""

    what: Literal["withdrawn"]
    corrects: LineNumber = Field(description="the number of the line that is taken back")


KINDS: dict[str, type[Event]] = {
    "sown": Sown,
    "cut": CutDone,
    "spread": SpreadDone,
    "planted": Planted,
    "cleared": Cleared,
    "harvested": Harvested,
    "dug": Dug,
    "film off": Film,
    "film on": Film,
    "sheet laid": Sheet,
    "sheet lifted": Sheet,
    "tested": SoilTested,
    "worked": Worked,
    "followed": Followed,
    "withdrawn": Withdrawn,
}
