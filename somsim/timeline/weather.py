"""How fast things decay in each month here, against the reference climate: per draw, per state of the ground."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from somsim.climate.evaporation import thornthwaite, yearly_heat_index
from somsim.climate.factor import month_products, ratio_products
from somsim.climate.temperature import RESPONSES
from somsim.climate.water import supply_ratio
from somsim.draws import Draws
from somsim.plan.model import shift
from somsim.plan.series import MonthlySeries, read_months, read_series
from somsim.plan.site import FactorClimate, MonthsClimate, SeriesClimate
from somsim.timeline.figures import Figures

Array = NDArray[np.float64]
MonthKey = tuple[int, int]  # (row of the weather table, month from 0)


@dataclass(frozen=True)
class Ground:
    """The state of the ground of one group of beds during a span."""

    planted: bool
    watered: bool
    covered: bool
    sheet: bool
    tillage: str


@dataclass(frozen=True)
class Weather:
    """Outside weather (row, month, draw) and what it is turned into.

    One row when every year is alike, else one for each calendar year from ``first_year`` on.
    """

    first_year: int
    temperature: Array
    rain: Array
    demand: Array
    reference: Array
    uplift: Array
    supply: Array
    bare: Array
    spread: Array
    response: str
    known_factor: Array | None
    _made: dict[tuple[MonthKey, bool, bool, bool], Array] = field(default_factory=dict, repr=False)

    def key(self, date: datetime.date) -> MonthKey:
        """Which month of the table a date falls in; a series that is too short begins again."""
        rows = self.temperature.shape[0]
        return ((date.year - self.first_year) % rows if rows > 1 else 0), date.month - 1

    def soil_temperature(self, key: MonthKey, covered: bool) -> Array:
        """deg C (draw,) of the soil in a month."""
        air: Array = self.temperature[key]
        return air + self.uplift if covered else air

    def factor(self, key: MonthKey, ground: Ground) -> Array:
        """Climate factor (draw,) of a month: 1 at the reference climate, tillage apart."""
        if self.known_factor is not None:
            return self.known_factor
        state = (key, ground.planted, ground.watered, ground.covered)
        if state not in self._made:
            self._made[state] = self._factor(key, ground)
        return self._made[state]

    def _factor(self, key: MonthKey, ground: Ground) -> Array:
        demand = self.demand[key]
        rain = np.zeros_like(demand) if ground.covered else self.rain[key]
        ratio = supply_ratio(rain, demand)
        if ground.watered:
            ratio = np.maximum(ratio, self.supply)
        warm = self.soil_temperature(key, ground.covered)
        product = ratio_products(warm, ratio, response=RESPONSES[self.response])
        bare = 1.0 if ground.planted else self.bare
        made: Array = product / self.reference * self.spread * bare
        return made


def weather(figures: Figures, draws: Draws, end: datetime.date) -> Weather:
    """The weather of a plan until ``end``, for every draw.

    Raises
    ------
    InputError
        when a file of months cannot be read.
    """
    site = figures.plan.site
    constant = {
        name: draws.of(f"constants/{name}/value")
        for name in ("watered_share", "bare_factor", "temperature_form_error", "moisture_error")
    }
    if isinstance(site.climate, FactorClimate):
        nothing = np.zeros((1, 12, 1))
        factor = draws.of("plan/site/climate/factor")
        ones = np.ones(1)
        return Weather(1, nothing, nothing, nothing, ones, ones, ones, ones, ones, site.response, factor)
    first, temperature, rain, latitude = _outside(figures, draws)
    temperature, rain, first = _warmed(figures, draws, temperature, rain, first, end)
    mean_year = temperature.mean(axis=0)
    temperature, rain, first = _as_it_came(figures, temperature, rain, first, end)
    index = yearly_heat_index(np.moveaxis(mean_year, 0, -1))
    demand = np.moveaxis(
        thornthwaite(
            np.moveaxis(temperature, 1, -1),
            latitude,
            heat_index=np.broadcast_to(index, temperature[:, 0].shape),
        ),
        -1,
        1,
    )
    return Weather(
        first,
        temperature,
        rain,
        demand,
        _reference(figures, site.response),
        _uplift(figures, draws),
        constant["watered_share"],
        constant["bare_factor"],
        constant["temperature_form_error"] * constant["moisture_error"],
        site.response,
        None,
    )


def series_of(figures: Figures, climate: SeriesClimate) -> MonthlySeries:
    """The months in a file, whose path is read from the plan's own folder."""
    return read_series(Path(figures.plan.place.file).parent / climate.series)


def _outside(figures: Figures, draws: Draws) -> tuple[int, Array, Array, float]:
    climate = figures.plan.site.climate
    if isinstance(climate, SeriesClimate):
        series = series_of(figures, climate)
        temperature = np.array(series.temperature)[..., np.newaxis]
        rain = np.array(series.rain)[..., np.newaxis]
        return series.first_year, temperature, rain, climate.latitude.best
    if isinstance(climate, MonthsClimate):
        temperature = np.array(climate.temperature)[np.newaxis, :, np.newaxis]
        rain = 1000.0 * np.array(climate.rain)[np.newaxis, :, np.newaxis]
        return 1, temperature, rain, climate.latitude.best
    entry = figures.library.find("climates", str(climate))
    assert entry is not None
    warm = np.array(entry.month_values("temperature").values)[np.newaxis, :, np.newaxis]
    wet = 1000.0 * np.array(entry.month_values("rain").values)[np.newaxis, :, np.newaxis]
    temperature = warm + draws.of(f"climates/{entry.id}/temperature")
    rain = np.maximum(wet + 1000.0 * draws.of(f"climates/{entry.id}/rain"), 0.0)
    return 1, temperature, rain, entry.value("latitude").best


def _warmed(
    figures: Figures, draws: Draws, temperature: Array, rain: Array, first: int, end: datetime.date
) -> tuple[Array, Array, int]:
    """Add the warming, counted from the start of the plan; each calendar year then has a row of its own."""
    plan = figures.plan
    if plan.site.warming is None:
        return temperature, rain, first
    years = np.arange(plan.start.year, end.year + 1)
    rows = (years - first) % temperature.shape[0]
    begin = plan.start.year + (plan.start.timetuple().tm_yday - 1) / 365.25
    since = years[:, np.newaxis] + (np.arange(12) + 0.5) / 12.0 - begin
    warmer = draws.of("plan/site/warming") * np.maximum(since, 0.0)[..., np.newaxis]
    return temperature[rows] + warmer, rain[rows], int(years[0])


def _as_it_came(
    figures: Figures, temperature: Array, rain: Array, first: int, end: datetime.date
) -> tuple[Array, Array, int]:
    """Put in the months that were measured; each calendar year of the plan then has a row of its own."""
    plan = figures.plan
    if plan.site.weather is None:
        return temperature, rain, first
    came = plan.site.weather
    months = read_months(Path(plan.place.file).parent / came.file)
    years = np.arange(plan.start.year, end.year + 1)
    rows = (years - first) % temperature.shape[0]
    warm, wet = temperature[rows], rain[rows]
    for (year, month), (degrees, millimetres) in months.items():
        last = shift(datetime.date(year, month, 1), 1) - datetime.timedelta(days=1)
        if years[0] <= year <= years[-1] and (came.until is None or last <= came.until):
            warm[year - years[0], month - 1] = degrees
            wet[year - years[0], month - 1] = millimetres
    return warm, wet, int(years[0])


def _reference(figures: Figures, response: str) -> Array:
    """Mean product of a year at the climate where the rates were fitted, by the same forms."""
    entry = figures.library.find("climates", "reference")
    assert entry is not None
    warm = np.array(entry.month_values("temperature").values)
    wet = 1000.0 * np.array(entry.month_values("rain").values)
    demand = thornthwaite(warm, entry.value("latitude").best)
    return np.asarray(month_products(warm, wet, demand, response=RESPONSES[response]).mean())


def _uplift(figures: Figures, draws: Draws) -> Array:
    site = figures.plan.site
    if site.shelter == "open ground":
        return np.zeros(draws.count)
    typed = figures.of_plan(site, "uplift")
    shelter = {"unheated tunnel": "tunnel_uplift", "heated glasshouse": "glasshouse_uplift"}[site.shelter]
    return draws.of(typed or f"constants/{shelter}/value")


def latitude_of(figures: Figures) -> float | None:
    """Degrees of latitude of a plan's place, south negative; None where only a climate factor is known."""
    climate = figures.plan.site.climate
    if isinstance(climate, FactorClimate):
        return None
    if isinstance(climate, MonthsClimate | SeriesClimate):
        return climate.latitude.best
    entry = figures.library.find("climates", str(climate))
    return entry.value("latitude").best if entry is not None else None


def normals_of(figures: Figures) -> Array:
    """Mean temperature of the twelve months outdoors, deg C, January first; of a series its mean year.

    Raises
    ------
    ValueError
        where only a climate factor is known.
    """
    climate = figures.plan.site.climate
    if isinstance(climate, MonthsClimate):
        return np.array(climate.temperature)
    if isinstance(climate, SeriesClimate):
        return np.asarray(np.array(series_of(figures, climate).temperature).mean(axis=0))
    entry = figures.library.find("climates", str(climate)) if isinstance(climate, str) else None
    if entry is None:
        raise ValueError("a climate factor tells nothing about temperature")
    return np.array(entry.month_values("temperature").values)
