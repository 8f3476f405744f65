"""Where a practice leads if it goes on, and how long what was gained lasts when it stops."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from somsim.draws import chance, quantile
from somsim.plan.model import Plan
from somsim.plan.site import SeriesClimate
from somsim.study.equivalence import Spread, spread_of
from somsim.study.inverse import Layer
from somsim.timeline import Setting

Array = NDArray[np.float64]
LOOKED_AHEAD = 100  # years
SHOWN = (10, 30, 100)
STEP = 24  # years: a whole number of leap-year rounds, and of rounds every 2, 3, 4, 6, 8 or 12 years
STILL = 0.005  # of the level, in 24 years: where leap days may hide which way it still moves
ENOUGH = 0.9  # of the worlds in which it must be told when half of the way is gone


@dataclass(frozen=True)
class Level:
    """The level after some years: percent, kg/m2, and the median kg/m2 of each family."""

    years: int
    percent: Spread
    mass: Spread
    by_family: dict[str, float]


@dataclass(frozen=True)
class Steady:
    """The level (kg/m2) that a practice would come to at last, and the years in which half of the way is gone."""

    mass: Spread
    half_way: Spread
    by_family: dict[str, float]
    half_way_by_family: dict[str, float]


@dataclass(frozen=True)
class Drift:
    """Where today's practice leads; ``steady`` None where nothing comes to rest, or it cannot be told."""

    levels: tuple[Level, ...]
    steady: Steady | None


@dataclass(frozen=True)
class Stop:
    """Years after a stop until half of what was gained is gone, and until the soil is back at its first level.

    Times beyond ``longest`` count as ``longest``.  ``half`` None where nothing was gained, ``back`` None where the
    level was not above the first when it stopped.
    """

    half: Spread | None
    back: Spread | None
    longest: int


def families(values: Array, shared: Setting, told: NDArray[np.bool_] | None = None) -> dict[str, float]:
    """Median over the draws of each family of retention that occurs; of those ``told`` (draw,) where given."""
    here = np.ones(len(values), dtype=bool) if told is None else told
    weights, found = shared.draws.weights, {}
    for name, inside in (("uppsala", here & ~shared.isohumic), ("isohumic", here & shared.isohumic)):
        believed = None if weights is None else weights[inside]
        if inside.any() and (believed is None or believed.sum() > 0.0):
            found[name] = float(quantile(values[inside], 0.5, believed)[0])
    return found


def drift(plan: Plan, best: Layer, drawn: Layer, shared: Setting) -> Drift:
    """Levels after 10, 30 and 100 years of a practice, and the steady state where there is one."""
    weights = shared.draws.weights
    levels = tuple(
        Level(
            year,
            spread_of(best.percent[year, 0], drawn.percent[year], weights),
            spread_of(best.mass[year, 0], drawn.mass[year], weights),
            families(drawn.mass[year], shared),
        )
        for year in SHOWN
    )
    return Drift(levels, _steady(plan, best, drawn, shared))


def _steady(plan: Plan, best: Layer, drawn: Layer, shared: Setting) -> Steady | None:
    climate = plan.site.climate
    warming = getattr(plan.site, "warming", None) or getattr(climate, "warming", None)
    if isinstance(climate, SeriesClimate) or (warming is not None and warming.best != 0.0):
        return None
    if any(STEP % (one.every or 1) for name in plan.strategies for one in plan.actions(name)):
        return None
    likely, many = come_to_rest(best), come_to_rest(drawn)
    weights, told = shared.draws.weights, np.isfinite(many[1])
    known = np.isfinite([*likely[0], *likely[1], *many[0]]).all()
    if not known or chance(told, weights) < ENOUGH:
        return None
    return Steady(
        spread_of(likely[0][0], many[0], weights),
        spread_of(likely[1][0], many[1][told], None if weights is None else weights[told]),
        families(many[0], shared),
        families(many[1], shared, told),
    )


def come_to_rest(layer: Layer) -> tuple[Array, Array]:
    """The level (draw,) at last, kg/m2 of bed, and the years to half-way there.

    After half a century only humus still moves, by one exponential on each group of beds; three levels at equal steps
    tell where it ends (Aitken's process, exact for one exponential).  Where the steps do not shrink both are NaN, or
    where they are next to nothing the years alone.
    """
    first, middle, last = (layer.organic[LOOKED_AHEAD - back * STEP] for back in (2, 1, 0))
    before, after = middle - first, last - middle
    still = np.abs(after) < STILL * np.abs(last)
    ratio = np.divide(after, before, out=np.full_like(after, np.nan), where=np.abs(before) > 0.0)
    ratio = np.where((ratio > 0.0) & (ratio < 1.0), ratio, np.nan)
    end = last + after * ratio / (1.0 - ratio)
    end = np.where(still & np.isnan(end), last, end)
    half = STEP * np.log(2.0) / -np.log(ratio)
    level = (end * layer.share).sum(axis=0)
    return np.asarray(level), np.asarray((half * layer.share).sum(axis=0))


def stop(without: list[Array], gained: list[Array], year: int, weights: Array | None) -> Stop:
    """How long what was gained by a year lasts when it is spread no more.

    Parameters
    ----------
    without, gained : for the best values and the draws: kg/m2 of bed (year, draw) with none of it, and what it adds
    year : the year in which it stops
    weights : (draw,) or None
    """
    half, back = [], []
    for level, extra in zip(without, gained, strict=True):
        half.append(years_until(extra[year:], 0.5 * extra[year]))
        back.append(years_until((level + extra)[year:], level[0]))
    gains = gained[1][year] > 0.0
    above = (without[1] + gained[1])[year] > without[1][0] * (1.0 + 1e-9)
    return Stop(
        _among(half, gains, weights),
        _among(back, above, weights),
        LOOKED_AHEAD,
    )


def _among(years: list[Array], counted: NDArray[np.bool_], weights: Array | None) -> Spread | None:
    """Years over the draws that are counted; None where they are less than half of all."""
    if chance(counted, weights) < 0.5:
        return None
    return spread_of(years[0][0], years[1][counted], None if weights is None else weights[counted])


def years_until(levels: Array, limit: Array) -> Array:
    """Years (draw,) until a falling level (year, draw) is down at a limit, straight lines between; 100 if later.

    >>> years_until(np.array([[4.0], [2.0], [1.0]]), np.array([1.5])).tolist()
    [1.5]
    """
    under = levels <= limit
    found = np.full(levels.shape[1], float(LOOKED_AHEAD))
    for draw in np.flatnonzero(under.any(axis=0)):
        at = int(np.argmax(under[:, draw]))
        if at == 0:
            found[draw] = 0.0
            continue
        above, below = levels[at - 1, draw], levels[at, draw]
        found[draw] = at - 1 + (above - limit[draw]) / (above - below)
    return found
