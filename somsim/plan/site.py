"""The place: climate, shelter, beds, watering and the soil as it stands."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Discriminator, Field, Tag, model_validator

from somsim.plan.days import Date, DayOfYear
from somsim.plan.fields import (
    BED_ROW,
    Area,
    BedCount,
    BedLength,
    CarbonPerArea,
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
from somsim.plan.frosts import Frost
from somsim.plan.limits import Phosphorus, SoilSalt
from somsim.units import Amount, UnitError, parse_amount, parse_series

Shelter = Literal["open ground", "unheated tunnel", "heated glasshouse"]
Response = Literal["ipcc 2019", "quadratic", "q10", "lloyd-taylor"]
Tillage = Literal["no-dig", "dug once a year", "tilled repeatedly"]
Method = Literal["carbon", "carbon x 1.724", "loss on ignition", "unknown"]


def _twelve(dimension: str, low: float, high: float, limit: str) -> BeforeValidator:
    example = "4.2 4.4 6.4 ... 4.5 deg C" if dimension == "temperature" else "53 41 44 ... 55 mm"

    def read(value: object) -> tuple[float, ...]:
        if isinstance(value, tuple) and len(value) == 12 and all(isinstance(part, float) for part in value):
            numbers = value
        elif isinstance(value, str) and value.strip():
            try:
                numbers = parse_series(str(value), dimension, 12)
            except UnitError as error:
                raise FieldError(error.message, error.hint) from None
        else:
            raise FieldError("twelve numbers and a unit in one line are needed", f"{example}, January first")
        for month, number in enumerate(numbers, start=1):
            if not low <= number <= high:
                raise FieldError(f"month {month} is impossible: {limit}")
        return numbers

    return BeforeValidator(read)


MonthlyTemperature = Annotated[
    tuple[float, ...], _twelve("temperature", -60.0, 60.0, "a month has between -60 and 60 deg C")
]
MonthlyRain = Annotated[
    tuple[float, ...], _twelve("length", 0.0, 5.0, "between 0 and 5 m of rain fall in a month")
]


class MonthsClimate(Placed):
    """Twelve monthly normals, January first."""

    temperature: MonthlyTemperature = Field(description="twelve monthly means and a unit: 4.2 ... 4.5 deg C")
    rain: MonthlyRain = Field(description="twelve monthly sums and a unit: 53 41 ... 55 mm")
    latitude: Latitude = Field(description="how far north or south: 51.8 N")


class SeriesClimate(Placed):
    """A CSV file of months: columns year, month, temperature (deg C), rain (mm)."""

    series: Name = Field(description="the CSV file, as a path from the plan's folder")
    latitude: Latitude = Field(description="how far north or south: 51.8 N")


class FactorClimate(Placed):
    """A climate factor for those who know theirs: 1 at the reference climate, the same in all months."""

    factor: PureNumber = Field(description="how fast things decay here; 1 at the reference climate")


class Weather(Placed):
    """Months as they came, in place of the usual ones: a CSV file with columns as those of a series."""

    file: Name = Field(description="the CSV file, as a path from the plan's folder")
    until: Date | None = Field(None, description="the last day that it is used for; later months stay the usual ones")


def _climate_kind(value: Any) -> str:
    if isinstance(value, FactorClimate) or (isinstance(value, dict) and "factor" in value):
        return "known"
    if isinstance(value, SeriesClimate) or (isinstance(value, dict) and "series" in value):
        return "file"
    return "months" if isinstance(value, dict | MonthsClimate) else "row"


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

    count: BedCount | None = Field(None, description="how many beds there are")
    length: BedLength | None = Field(None, description="length of one bed: 15 m")
    width: BedLength | None = Field(None, description="width of one bed: 1.2 m")
    paths: PathWidth | None = Field(None, description="width of the path that belongs to each bed: 0.4 m")
    area: Area | None = Field(None, description="instead of length and width: the area of all beds, 60 m2")
    names: tuple[Name, ...] | None = Field(None, description="a name for each bed, in a list")

    @model_validator(mode="after")
    def _one_way_of_saying(self) -> Beds:
        for key in ("length", "width", "paths", "area"):
            part = getattr(self, key)
            if part is not None and part.is_range:
                raise FieldError(f'"{part.text}" is a range', "beds can be measured: give one number", key)
            if part is not None and key != "area" and self.area is not None:
                raise FieldError(f"area and {key} both say how large the beds are", "keep one of them", key)
        missing = [key for key in ("count", "length", "width") if getattr(self, key) is None]
        if self.area is None and missing:
            raise FieldError(
                f"how large are the beds? {' and '.join(missing)} missing",
                "beds: {count: 6, length: 15 m, width: 1.2 m}, or only an area: beds: {area: 60 m2}",
            )
        return self

    @model_validator(mode="after")
    def _names(self) -> Beds:
        if self.names is None:
            return self
        if len(self.names) != self.number:
            many = "1 bed" if self.number == 1 else f"{self.number} beds"
            raise FieldError(f"{len(self.names)} names for {many}", "give each bed one name", "names")
        seen: set[str] = set()
        for name in self.names:
            if name in seen:
                raise FieldError(f'two beds are called "{name}"', "give each bed a name of its own", "names")
            if name.isdecimal() or BED_ROW.fullmatch(name):
                raise FieldError(
                    f'"{name}" can\'t be the name of a bed', "beds have their numbers already", "names"
                )
            seen.add(name)
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

    def row(self, word: str) -> range:
        """The places in the row, from 0, of the beds a word means: "3", "1 to 3", or a name.

        Raises
        ------
        KeyError
            with the word, when there is no such bed.
        """
        if self.names and word in self.names:
            place = self.names.index(word)
            return range(place, place + 1)
        match = BED_ROW.fullmatch(word)
        ends = match.groups() if match else (word, word)
        if not all(end.isdecimal() and 1 <= int(end) <= self.number for end in ends):
            raise KeyError(word)
        return range(int(ends[0]) - 1, int(ends[1]))


class Watering(Placed):
    """The part of the year in which the ground is watered; every year."""

    from_: DayOfYear = Field(alias="from", description="the first day of watering: 1 May")
    to: DayOfYear = Field(description="the last day of watering: 30 Sep")

    @model_validator(mode="after")
    def _comes_round(self) -> Watering:
        for key, day in (("from", self.from_), ("to", self.to)):
            if day.year is not None or day.later:
                raise FieldError(
                    f'"{day.text}": watering comes round every year', "leave the year out: 1 May", key
                )
        return self


def _read_irrigation(value: object) -> object:
    if isinstance(value, dict | Watering) or value == "none":
        return value
    raise FieldError(
        "how the ground is watered is not clear",
        "irrigation: none, or irrigation: {from: 1 May, to: 30 Sep}; left out: as usual under the shelter",
    )


def _watering_kind(value: Any) -> str:
    return "no" if isinstance(value, str) else "period"


Irrigation = Annotated[
    Annotated[Literal["none"], Tag("no")] | Annotated[Watering, Tag("period")],
    Discriminator(_watering_kind),
    BeforeValidator(_read_irrigation),
]


def _default_depth() -> Amount:
    return parse_amount("20 cm", "length")


def _no_stones() -> Amount:
    return parse_amount("0 %", "share")


class Soil(Placed):
    """The layer looked at: how deep, how dense, and what is in it now."""

    bulk_density: SoilDensity = Field(description="dry mass of a volume of soil: 1.35 g/cm3")
    depth: LayerDepth = Field(_default_depth(), description="depth of the layer looked at; left out: 20 cm")
    stones: Share = Field(_no_stones(), description="share of stones in its volume; left out: none")
    texture: Name | None = Field(None, description="its texture, such as sandy loam")
    clay: Share | None = Field(None, description="instead of texture: the share of clay")
    lime: Share | None = Field(None, description="the share of lime (calcium carbonate)")
    organic_matter: Share | None = Field(None, description="organic matter by a soil test; needs a method")
    carbon: Share | None = Field(None, description="or: organic carbon by a soil test")
    carbon_stock: CarbonPerArea | None = Field(None, description="or: organic carbon in the layer: 40 t C/ha")
    residue: CarbonPerArea | None = Field(None, description="or: carbon not yet humus; goes with humus")
    humus: CarbonPerArea | None = Field(None, description="or: carbon in humus; goes with residue")
    method: Method | None = Field(
        None, description="how the laboratory found it: carbon x 1.724, loss on ignition, carbon, or unknown"
    )
    humus_decay: Rate | None = Field(
        None, description="decay of humus at the reference climate: 0.006 per year"
    )
    phosphorus: Phosphorus | None = Field(None, description="a soil test: {test: olsen, value: 30 mg/l}")
    salt: SoilSalt | None = Field(None, description='a soil test: {test: "1:2", value: 0.4 dS/m}')

    @model_validator(mode="after")
    def _one_start(self) -> Soil:
        ways = "organic_matter, or carbon, or carbon_stock, or residue and humus"
        given = [name for name in STATED_BY if getattr(self, name) is not None]
        if len(given) > 1:
            raise FieldError(
                f"{' and '.join(given)} say the same thing twice", f"keep one: {ways}", given[-1]
            )
        if (self.residue is None) != (self.humus is None):
            alone = "humus" if self.residue is None else "residue"
            raise FieldError("residue and humus go together", f"or give one of: {ways}", alone)
        if not given:
            raise FieldError("what is in the soil now is missing", f"give one of: {ways}")
        return self

    @model_validator(mode="after")
    def _method(self) -> Soil:
        if self.organic_matter is not None and self.method is None:
            raise FieldError(
                "method is missing: how did the laboratory find the organic matter?",
                "method: carbon x 1.724, or loss on ignition, or unknown",
                "organic_matter",
            )
        if self.organic_matter is not None and self.method == "carbon":
            raise FieldError(
                'method "carbon" tells carbon, not organic matter',
                "write carbon: instead of organic_matter:",
                "method",
            )
        if self.organic_matter is None and self.method not in (None, "carbon"):
            raise FieldError(f'method "{self.method}" goes with organic_matter', "leave it out", "method")
        if self.carbon is None and self.method == "carbon":
            raise FieldError('method "carbon" goes with carbon', "leave it out", "method")
        return self

    @model_validator(mode="after")
    def _possible(self) -> Soil:
        for name, most in (("organic_matter", 0.9), ("carbon", 0.52)):
            amount = getattr(self, name)
            if amount is not None and amount.high > most:
                raise FieldError(
                    f'"{amount.text}" is more than any peat holds', f"at most {100 * most:.0f} %", name
                )
        if self.depth.is_range:
            raise FieldError(
                f'"{self.depth.text}" is a range', "the layer is yours to choose: give one depth", "depth"
            )
        if self.stones.high >= 0.95:
            raise FieldError(f'"{self.stones.text}" of stones leaves no soil', "less than 95 %", "stones")
        if self.texture is not None and self.clay is not None:
            raise FieldError("texture and clay say the same thing twice", "keep one of them", "clay")
        return self


STATED_BY = ("organic_matter", "carbon", "carbon_stock", "humus")


class Site(Placed):
    """Everything about the place that all strategies share."""

    climate: Climate = Field(
        description="a climate of the library, or {temperature, rain, latitude}, {series, latitude}, {factor}"
    )
    shelter: Shelter = Field(description="open ground, unheated tunnel, or heated glasshouse")
    beds: Beds = Field(description="the beds: {count: 6, length: 15 m, width: 1.2 m, paths: 0.4 m}")
    soil: Soil = Field(description="the soil as it is now: bulk_density, and organic_matter or carbon")
    irrigation: Irrigation | None = Field(
        None, description="when it is watered: {from: 1 May, to: 30 Sep}, or none"
    )
    frost: Frost | None = Field(
        None, description="when frost comes to these beds: {first: 15 Oct, hard: 25 Nov}"
    )
    uplift: Uplift | None = Field(None, description="how much warmer the soil is under the shelter: 3 deg C")
    warming: Warming | None = Field(None, description="how fast the climate warms: 0.3 deg C/decade")
    weather: Weather | None = Field(None, description="months as they came: {file: weather.csv}")
    response: Response = Field(
        "ipcc 2019", description="how decay follows warmth: ipcc 2019, quadratic, q10, or lloyd-taylor"
    )
    tillage: Tillage | None = Field(
        None, description="if not counted from the plan: no-dig, dug once a year, or tilled repeatedly"
    )

    near: Literal["well"] | None = Field(None, description="what is near: well, one within 50 m of the beds")

    @model_validator(mode="after")
    def _hangs_together(self) -> Site:
        if isinstance(self.climate, FactorClimate):
            for name in ("irrigation", "uplift", "warming", "weather", "response"):
                if getattr(self, name) != type(self).model_fields[name].default:
                    raise FieldError(
                        f"{name} changes the climate factor, but the factor itself is given",
                        f"leave {name} out, or give a climate by name or by months",
                        name,
                    )
        if self.uplift is not None and self.shelter == "open ground":
            raise FieldError(
                "uplift is how much warmer the soil is under a shelter; this is open ground",
                "leave uplift out, or change the shelter",
                "uplift",
            )
        return self
