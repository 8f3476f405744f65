"""The place: climate, shelter, beds, watering and the soil as it stands."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Discriminator, Field, Tag, model_validator

from somsim.plan.fields import (
    Area,
    BedLength,
    CarbonPerArea,
    Count,
    DayOfYear,
    FieldError,
    Latitude,
    LayerDepth,
    Name,
    PathWidth,
    Placed,
    PureNumber,
    Rate,
    Share,
    SoilDensity,
    Uplift,
    Warming,
)
from somsim.units import Amount, UnitError, parse_amount, parse_series

Shelter = Literal["open ground", "unheated tunnel", "heated glasshouse"]
Response = Literal["ipcc 2019", "quadratic", "q10", "lloyd-taylor"]
Tillage = Literal["no-dig", "dug once a year", "tilled repeatedly"]
Method = Literal["carbon", "carbon x 1.724", "loss on ignition", "unknown"]


def _twelve(dimension: str, low: float, high: float, limit: str) -> BeforeValidator:
    def read(value: object) -> tuple[float, ...]:
        if isinstance(value, tuple):
            return value
        if not isinstance(value, str):
            raise FieldError(
                "expected twelve numbers and a unit", '"4.2 4.4 6.4 ... 4.5 deg C", January first'
            )
        try:
            numbers = parse_series(str(value), dimension, 12)
        except UnitError as error:
            raise FieldError(error.message, error.hint) from None
        for number in numbers:
            if not low <= number <= high:
                raise FieldError(f"a month of {number:g} is impossible: {limit}")
        return numbers

    return BeforeValidator(read)


MonthlyTemperature = Annotated[
    tuple[float, ...], _twelve("temperature", -60.0, 60.0, "between -60 and 60 deg C")
]
MonthlyRain = Annotated[tuple[float, ...], _twelve("length", 0.0, 5.0, "between 0 and 5 m a month")]


class MonthsClimate(Placed):
    """Twelve monthly normals, January first."""

    temperature: MonthlyTemperature
    rain: MonthlyRain
    latitude: Latitude


class SeriesClimate(Placed):
    """A CSV file of months: columns year, month, temperature (deg C), rain (mm)."""

    series: Name
    latitude: Latitude


class FactorClimate(Placed):
    """A climate factor for those who know theirs: 1 at the reference climate, the same in all months."""

    factor: PureNumber


def _climate_kind(value: Any) -> str:
    if isinstance(value, str | MonthsClimate | SeriesClimate | FactorClimate):
        return {MonthsClimate: "months", SeriesClimate: "file", FactorClimate: "known"}.get(
            type(value), "row"
        )
    if isinstance(value, dict):
        return "known" if "factor" in value else "file" if "series" in value else "months"
    return "row"


Climate = Annotated[
    Annotated[Name, Tag("row")]
    | Annotated[MonthsClimate, Tag("months")]
    | Annotated[SeriesClimate, Tag("file")]
    | Annotated[FactorClimate, Tag("known")],
    Discriminator(_climate_kind),
]


class Beds(Placed):
    """The beds, alike in size; or one area without beds.

    ``paths`` is the width of the path that belongs to each bed: rules that speak of a hectare count it.
    """

    count: Count | None = None
    length: BedLength | None = None
    width: BedLength | None = None
    paths: PathWidth | None = None
    area: Area | None = None
    names: tuple[Name, ...] | None = None

    @model_validator(mode="after")
    def _one_way_of_saying(self) -> Beds:
        measured = (self.length, self.width)
        if self.area is not None:
            if any(part is not None for part in (*measured, self.paths)):
                raise FieldError("give either the area, or count, length and width of the beds, not both")
        elif any(part is None for part in (self.count, *measured)):
            raise FieldError("beds need count, length and width", "or only an area: beds: {area: 60 m2}")
        for part in (self.length, self.width, self.paths, self.area):
            if part is not None and part.is_range:
                raise FieldError(f'"{part.text}": the beds can be measured, so give one number')
        if self.names is not None:
            if len(self.names) != self.number:
                raise FieldError(f"{len(self.names)} names for {self.number} beds")
            if len(set(self.names)) != len(self.names) or any(name.isdigit() for name in self.names):
                raise FieldError("every bed needs a name of its own that is not a number")
        return self

    @property
    def number(self) -> int:
        """How many beds there are."""
        return self.count or 1

    @property
    def bed_area(self) -> float:
        """m2 of growing bed, all beds together."""
        if self.area is not None:
            return self.area.best
        assert self.length is not None and self.width is not None
        return self.number * self.length.best * self.width.best

    @property
    def ground_area(self) -> float:
        """m2 of ground, the paths between the beds included."""
        if self.area is not None or self.paths is None:
            return self.bed_area
        assert self.length is not None and self.width is not None
        return self.number * self.length.best * (self.width.best + self.paths.best)

    def position(self, word: str) -> int | None:
        """The place of a bed in the row, from 0, by its number or name; None when there is none."""
        if word.isdigit():
            return int(word) - 1 if 1 <= int(word) <= self.number else None
        return self.names.index(word) if self.names and word in self.names else None


class Watering(Placed):
    """The part of the year in which the ground is watered; every year."""

    from_: DayOfYear = Field(alias="from")
    to: DayOfYear

    @model_validator(mode="after")
    def _comes_round(self) -> Watering:
        if self.from_.year is not None or self.to.year is not None:
            raise FieldError(
                "watering comes round every year: leave the year out", "for example from: 1 May, to: 30 Sep"
            )
        return self


def _watering_kind(value: Any) -> str:
    return "no" if isinstance(value, str) else "period"


Irrigation = Annotated[
    Annotated[Literal["none"], Tag("no")] | Annotated[Watering, Tag("period")], Discriminator(_watering_kind)
]


def _default_depth() -> Amount:
    return parse_amount("20 cm", "length")


def _no_stones() -> Amount:
    return parse_amount("0 %", "share")


class Soil(Placed):
    """The layer looked at: how deep, how dense, and what is in it now."""

    bulk_density: SoilDensity
    depth: LayerDepth = _default_depth()
    stones: Share = _no_stones()
    texture: Name | None = None
    clay: Share | None = None
    lime: Share | None = None
    organic_matter: Share | None = None
    carbon: Share | None = None
    carbon_stock: CarbonPerArea | None = None
    residue: CarbonPerArea | None = None
    humus: CarbonPerArea | None = None
    method: Method | None = None
    humus_decay: Rate | None = None

    @model_validator(mode="after")
    def _one_start(self) -> Soil:
        given = [
            name
            for name in ("organic_matter", "carbon", "carbon_stock", "humus")
            if getattr(self, name) is not None
        ]
        ways = "organic_matter, or carbon, or carbon_stock, or residue and humus"
        if len(given) > 1:
            raise FieldError(f"{' and '.join(given)} say the same thing twice", f"give one of: {ways}")
        if not given:
            raise FieldError("what is in the soil now is missing", f"give one of: {ways}")
        if (self.residue is None) != (self.humus is None):
            raise FieldError("residue and humus go together", f"give one of: {ways}")
        if self.organic_matter is not None and self.method is None:
            raise FieldError(
                "method is missing: how did the laboratory measure the organic matter?",
                "carbon x 1.724, loss on ignition, or unknown",
            )
        if self.organic_matter is not None and self.method == "carbon":
            raise FieldError(
                'method "carbon" measures carbon', "give carbon: 1.5 % instead of organic_matter"
            )
        if self.organic_matter is None and self.method not in (None, "carbon"):
            raise FieldError(f'method "{self.method}" goes with organic_matter', f"not with {given[0]}")
        for name in ("organic_matter", "carbon"):
            amount = getattr(self, name)
            if amount is not None and amount.high > (0.9 if name == "organic_matter" else 0.52):
                raise FieldError(f'{name}: "{amount.text}" is more than a peat holds')
        if self.depth.is_range:
            raise FieldError(f'depth: "{self.depth.text}": choose one depth; the layer is yours to define')
        if self.stones.high >= 0.95:
            raise FieldError(f'stones: "{self.stones.text}" leaves no soil')
        if self.texture is not None and self.clay is not None:
            raise FieldError("texture and clay say the same thing twice", "give one of them")
        return self


class Site(Placed):
    """Everything about the place that all strategies share."""

    climate: Climate
    shelter: Shelter
    beds: Beds
    soil: Soil
    irrigation: Irrigation | None = None
    uplift: Uplift | None = None
    warming: Warming | None = None
    response: Response = "ipcc 2019"
    tillage: Tillage | None = None

    @model_validator(mode="after")
    def _hangs_together(self) -> Site:
        if isinstance(self.climate, FactorClimate):
            for name in ("irrigation", "uplift", "warming"):
                if getattr(self, name) is not None:
                    raise FieldError(
                        f"{name} changes the climate factor, but you gave the factor itself",
                        f"leave {name} out, or give a climate by name or months",
                    )
        if self.uplift is not None and self.shelter == "open ground":
            raise FieldError("uplift is how much warmer the soil is under cover; this is open ground")
        return self
