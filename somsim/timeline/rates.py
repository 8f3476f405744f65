"""Rates of decay of every lane in every span: each distinct set of rates once."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from somsim.climate.factor import humus_rate_single_pool
from somsim.timeline.weather import Ground, MonthKey, Weather
from somsim.timeline.world import DAYS_A_YEAR, Lane, World

Array = NDArray[np.float64]
Date = datetime.date
FAMILIES = ("uppsala", "isohumic")


@dataclass(frozen=True)
class SpanKey:
    """What the rates of a span depend on: its length, its month and the state of each group's ground."""

    days: int
    month: MonthKey
    ground: tuple[Ground, ...]


@dataclass(frozen=True)
class Rates:
    """Rates 1/yr as `decay.Problem` wants them, and the climate factor they were made with (span, group, draw)."""

    pattern: NDArray[np.int64]
    years: Array
    surface: Array
    residue: Array
    humus: Array
    humified: Array
    factor: Array


def span_keys(days: list[Date], ground: list[list[Ground]], weather: Weather) -> list[SpanKey]:
    """The key of each span; ``ground`` is by group, then by span."""
    return [
        SpanKey((days[i + 1] - days[i]).days, weather.key(days[i]), tuple(states[i] for states in ground))
        for i in range(len(days) - 1)
    ]


def rates(
    world: World, weather: Weather, keys: list[SpanKey], lanes: tuple[Lane, ...], isohumic: NDArray[np.bool_]
) -> Rates:
    """Rates of all lanes in all spans.

    Residue: own rate x climate factor x tillage; on the surface x the surface factor instead of tillage; humus:
    family uppsala, own rate x climate factor; family isohumic, the single rate of the site, spread over the months
    as the climate factor is.
    """
    distinct = {key: number for number, key in enumerate(dict.fromkeys(keys))}
    pattern = np.array([distinct[key] for key in keys])
    groups = len(keys[0].ground)
    factor = np.stack([_factors(weather, key, world.draws.count) for key in distinct])
    days = np.array([key.days for key in keys], dtype=float)
    decay = np.stack([_decay(world, lane) for lane in lanes])
    group_of = np.array([lane.group for lane in lanes])
    tillage = np.stack([np.stack([world.constant(state.tillage) for state in key.ground]) for key in distinct])
    surface = np.stack(
        [
            np.stack([world.constant("sheet_factor" if s.sheet else "surface_factor") for s in key.ground])
            for key in distinct
        ]
    )
    weight = _whole_years(keys, pattern)
    humus = np.stack(
        [
            _humus_rate(world, weather, list(distinct), weight, factor[:, group], group, isohumic)
            for group in range(groups)
        ],
        axis=1,
    )
    return Rates(
        pattern,
        days / DAYS_A_YEAR,
        decay * (factor * surface)[:, group_of],
        decay * (factor * tillage)[:, group_of],
        np.ascontiguousarray(humus[:, group_of]),
        np.stack([_humified(world, lane, isohumic) for lane in lanes]),
        factor[pattern],
    )


def _factors(weather: Weather, key: SpanKey, draws: int) -> Array:
    return np.stack([np.broadcast_to(weather.factor(key.month, state), (draws,)) for state in key.ground])


def lane_decay(world: World, lane: Lane, quantity: str) -> str | None:
    """The address of a decay number of a lane."""
    if lane.table == "residues":
        return world.figures.residue(lane.thing, quantity)
    return world.figures.decay(lane.table, lane.thing, quantity, lane.ending)


def _decay(world: World, lane: Lane) -> Array:
    address = lane_decay(world, lane, "decay")
    assert address is not None, lane
    return world.draws.of(address)


def _humified(world: World, lane: Lane, isohumic: NDArray[np.bool_]) -> Array:
    """Humification per draw: the coefficient of the family the draw lives in; one typed in the plan in both."""
    address = lane_decay(world, lane, "humified")
    other = lane_decay(world, lane, "humified_isohumic")
    assert address is not None, lane
    own = world.draws.of(address)
    if other is None or other == address or not isohumic.any():
        return own
    return np.where(isohumic, world.draws.of(other), own)


def _whole_years(keys: list[SpanKey], pattern: NDArray[np.int64]) -> Array:
    """Share of each distinct set of rates (pattern, 1) in the whole years of a run: a part of a year is no mean."""
    days = np.array([key.days for key in keys], dtype=float)
    until = np.cumsum(days)
    years = int((until[-1] + 1.0) // DAYS_A_YEAR)
    counted = until <= years * DAYS_A_YEAR + 1.0 if years else np.ones(len(keys), dtype=bool)
    weight = np.bincount(pattern[counted], weights=days[counted], minlength=int(pattern.max()) + 1)
    return np.asarray((weight / weight.sum())[:, np.newaxis])


def _humus_rate(
    world: World,
    weather: Weather,
    keys: list[SpanKey],
    weight: Array,
    factor: Array,
    group: int,
    isohumic: NDArray[np.bool_],
) -> Array:
    """1/yr (pattern, draw) for one group."""
    typed = world.figures.of_plan(world.figures.plan.site.soil, "humus_decay")
    own: Array = world.draws.of(typed or "constants/humus_rate/value") * factor
    if typed is not None or not isohumic.any():
        return own
    mean = np.sum(weight * factor, axis=0)
    single = _single_rate(world, weather, keys, weight, group)
    spread = np.divide(factor, mean, out=np.ones_like(factor), where=mean > 0.0)
    return np.where(isohumic, single * spread, own)


def _single_rate(world: World, weather: Weather, keys: list[SpanKey], weight: Array, group: int) -> Array:
    """The isohumic family's one rate of the site (draw,), from its mean temperature, clay and lime.

    The textbook rate where temperature or clay is not known.
    """
    figures, soil = world.figures, world.figures.plan.site.soil
    clay = figures.of_plan(soil, "clay")
    if clay is None and soil.texture is not None:
        entry = figures.library.find("soils", soil.texture)
        assert entry is not None
        clay = f"soils/{entry.id}/clay"
    if weather.known_factor is not None or clay is None:
        return world.constant("humus_rate_textbook")
    warm = np.stack([weather.soil_temperature(key.month, key.ground[group].covered) for key in keys])
    lime = world.maybe(figures.of_plan(soil, "lime"))
    grams = 0.0 if lime is None else 1000.0 * lime
    return humus_rate_single_pool(
        np.sum(weight * warm, axis=0),
        1000.0 * world.draws.of(clay),
        grams,
        floor_temperature=float(world.constant("humus_rate_lowest_temperature")[0]),
    )
