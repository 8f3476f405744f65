"""Could a soil test see it? How large a difference is, year by year, beside the smallest that tests can find."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from somsim.draws import chance
from somsim.errors import InputError, Problem
from somsim.estimate.soil_test import result_error, smallest_difference
from somsim.outcomes import carbon
from somsim.plan.model import Plan, shift
from somsim.simulate import Array, simulate
from somsim.study.compare import DEFAULT_DRAWS, DEFAULT_SEED, over_beds
from somsim.study.equivalence import Spread, spread_of
from somsim.study.rewriting import worlds

YEARS = (1, 3, 5, 10, 20)
CORES = (5, 10, 15, 25, 50, 100)
POOLED = 5  # cores to a sample where several samples are sent in
MOST_YEARS = 50
PATIENCE = 20  # years within which somebody wants to see it
IGNITION = ("loss on ignition", "unknown")
SURE = 0.8  # of the worlds in which tests of that size would see the difference


@dataclass(frozen=True)
class Visible:
    """One pair of strategies after some years: percentage points of organic matter.

    ``difference`` first less second; ``smallest`` what the tests can find; ``chance`` of worlds in which the difference
    is at least that large.
    """

    years: int
    difference: Spread
    smallest: Spread
    chance: float


@dataclass(frozen=True)
class Need:
    """The fewest years after which so many cores, in so many samples, see the difference; None where they never do."""

    cores: int
    tests: int
    years: int | None


@dataclass(frozen=True)
class PairSeen:
    """A pair of strategies: how visible their difference becomes, and what it takes to see it."""

    first: str
    second: str
    visible: tuple[Visible, ...]
    needs: tuple[Need, ...]

    @property
    def soonest(self) -> Need | None:
        """The need with the fewest years, of those the one with the fewest cores."""
        able = [need for need in self.needs if need.years is not None]
        return min(able, key=lambda need: (need.years or 0, need.tests, need.cores), default=None)

    def least_within(self, years: int) -> Need | None:
        """The fewest samples, of those the fewest cores, that show the difference within some years."""
        able = [need for need in self.needs if need.years is not None and need.years <= years]
        return min(able, key=lambda need: (need.tests, need.cores), default=None)


@dataclass(frozen=True)
class Detection:
    """All pairs of a plan, tested with ``cores`` cores in ``tests`` samples a strategy by ``method``.

    ``error`` is the standard deviation of one result as a share of it, best value.
    """

    plan: Plan
    draws: int
    seed: int
    cores: int
    tests: int
    method: str
    error: float
    pairs: tuple[PairSeen, ...]
    patience: int = PATIENCE


def detect_study(
    plan: Plan,
    *,
    cores: int = 15,
    tests: int = 1,
    draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
) -> Detection:
    """Hold each difference between strategies against what tests can see.

    Each strategy is thought of as worked on beds of its own beside the other, and tested on the same day.

    Raises
    ------
    InputError
        when there is nothing to compare.
    ValueError
        for fewer than one core or test, or more tests than cores.
    """
    if not 1 <= tests <= cores:
        raise ValueError(f"tests: from 1 to the number of cores, {cores}")
    if len(plan.strategies) < 2:
        raise InputError([Problem("there is one strategy, and a difference needs two", hint="add another strategy")])
    method = plan.site.soil.method or "carbon"
    _, many = worlds(plan, draws, seed)
    end = shift(plan.start, 12 * MOST_YEARS)
    percent = {}
    for name in plan.strategies:
        ran = simulate(many, name, end=end)
        percent[name] = over_beds(carbon.organic_matter_percent(ran), ran)
    constant = many.world.constant
    laboratory = constant("ignition_variation" if method in IGNITION else "combustion_variation")
    between = constant("core_carbon_variation")

    def error_of(number: int, samples: int) -> Array:
        return result_error(number, between_cores=between, laboratory=laboratory, tests=samples)

    pairs = tuple(
        PairSeen(
            first,
            second,
            tuple(_visible(percent[first], percent[second], error_of(cores, tests))),
            tuple(_needs(percent[first], percent[second], error_of, sorted({*CORES, cores}), tests)),
        )
        for first, second in itertools.combinations(plan.strategies, 2)
    )
    best = float(np.median(error_of(cores, tests)))
    return Detection(plan, draws, seed, cores, tests, method, best, pairs)


def _apart(first: Array, second: Array, year: int) -> Array:
    return np.asarray(first[year] - second[year])


def _least(first: Array, second: Array, year: int, error: Array) -> Array:
    return smallest_difference(0.5 * (first[year] + second[year]), error)


def _visible(first: Array, second: Array, error: Array) -> Iterator[Visible]:
    for year in YEARS:
        if year < first.shape[0]:
            apart, least = _apart(first, second, year), _least(first, second, year, error)
            seen = chance(np.abs(apart) >= least)
            middle = (float(np.median(apart)), float(np.median(least)))
            yield Visible(year, spread_of(middle[0], apart), spread_of(middle[1], least), seen)


def _needs(
    first: Array, second: Array, error_of: Callable[[int, int], Array], cores: Sequence[int], tests: int
) -> Iterator[Need]:
    """For each number of cores, the first year from which the difference is seen in most worlds ever after.

    The cores go to the laboratory in as many samples as asked for, and also in one sample of five cores each.
    """
    years = range(1, first.shape[0])
    for number, samples in sorted({(n, m) for n in cores for m in (min(tests, n), -(-n // POOLED))}):
        error = error_of(number, samples)
        seen = [
            chance(np.abs(_apart(first, second, year)) >= _least(first, second, year, error)) >= SURE for year in years
        ]
        lasting = len(seen)
        while lasting > 0 and seen[lasting - 1]:
            lasting -= 1
        yield Need(number, samples, lasting + 1 if lasting < len(seen) else None)
