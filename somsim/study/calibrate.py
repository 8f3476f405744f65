"""Soil tests weigh the possible worlds: which of them foretold what the laboratory found?"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from somsim.draws import Draws, mean, quantile
from somsim.draws.draws import FAMILY
from somsim.draws.unknowns import Unknown
from somsim.errors import InputError, Problem
from somsim.estimate.soil_test import effective_size, resampled
from somsim.library import read_library
from somsim.outcomes import carbon
from somsim.plan.model import Plan
from somsim.simulate import Array, simulate
from somsim.study.compare import DEFAULT_DRAWS, DEFAULT_SEED, over_beds
from somsim.study.equivalence import Spread, spread_of
from somsim.study.soil_tests import Expected, expected_tests
from somsim.study.surprise import surprise_together
from somsim.timeline import Figures, Setting, figures, setting

FIRST, MOST = 2048, 32_768  # worlds looked at: doubled until enough of them are believed
ENOUGH = 200.0  # worlds' worth of belief
SCARCE = 50.0  # fewer than this: the range cannot be told
UNLIKELY = 0.01  # a result that so few worlds foretell cannot be squared with the model
TOLD = 0.02  # of a standard normal score's information: less was not learned


@dataclass(frozen=True)
class Seen:
    """One test: what was found, and what was expected before and after, as shares of the dry soil.

    ``surprise`` is the chance, before, of a result at least as far off on either side, errors of test included.
    """

    expected: Expected
    before: Spread
    after: Spread
    surprise: float

    @property
    def squared(self) -> bool:
        """Whether model and test can both be right."""
        return self.surprise >= UNLIKELY


@dataclass(frozen=True)
class Learned:
    """One unknown before and after, in its unit; ``information`` is the divergence of the one from the other (nats)."""

    unknown: Unknown
    before: Spread
    after: Spread
    information: float


@dataclass(frozen=True)
class LevelSeen:
    """Organic matter of a strategy at the horizon, kg/m2 of bed, before and after."""

    strategy: str
    before: Spread
    after: Spread


@dataclass(frozen=True)
class Calibration:
    """What the soil tests of a plan say of its unknowns.

    ``worlds`` were looked at, ``believed`` is what they are worth together; ``uppsala`` the belief in that family of
    long-run rates before and after.  ``together`` is the chance, before, of results that fit together no better than
    those found; of one test its own.  ``given`` are the scores of ``draws`` worlds that stand for what is believed
    now: handed to a comparison, the answer is calibrated.
    """

    plan: Plan
    strategy: str
    draws: int
    seed: int
    worlds: int
    believed: float
    together: float
    seen: tuple[Seen, ...]
    learned: tuple[Learned, ...]
    levels: tuple[LevelSeen, ...]
    uppsala: tuple[float, float]
    given: Mapping[str, Array]

    @property
    def contradict(self) -> bool:
        """Whether tests that could each be right cannot be right together."""
        return self.together < UNLIKELY and all(seen.squared for seen in self.seen)

    @property
    def scarce(self) -> bool:
        """Whether so few worlds are believed that the ranges cannot be told."""
        return self.believed < SCARCE


def calibrate_study(
    plan: Plan,
    strategy: str,
    *,
    draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    most: int = MOST,
    step: Callable[[], None] = lambda: None,
) -> Calibration:
    """Weigh possible worlds by the soil tests of a plan: importance sampling from the ranges of the library.

    Weights are the likelihood of all tests together (Rubin 1988, the sampling/importance resampling algorithm, in
    Bayesian Statistics 3); the number of worlds is doubled until their effective number (Kong et al. 1994) is enough.

    Parameters
    ----------
    plan : Plan, with ``measured``
    strategy : the one that was followed until the tests
    draws : how many equally likely worlds are handed on
    seed : the same seed gives the same worlds
    most : how many worlds are looked at, at most
    step : called after each doubling

    Raises
    ------
    InputError
        when the plan has no soil test, or one that cannot be used.
    """
    if not plan.measured:
        hint = "add measured: to the plan, or somsim record PLAN tested ..."
        raise InputError([Problem("no soil test is given, so there is nothing to calibrate by", hint=hint)])
    known = figures(plan, read_library())
    count = min(max(FIRST, draws), most)
    while True:
        shared = _worlds(known, count, seed)
        expected = expected_tests(shared, strategy, plan.measured)
        weights = _weights(expected)
        step()
        if effective_size(weights) >= ENOUGH or count >= most:
            break
        count = min(2 * count, most)
    return _found(known, shared, strategy, expected, weights, draws)


def _worlds(known: Figures, count: int, seed: int) -> Setting:
    correlation = known.unknowns["constants/like_materials_correlation/value"].best
    return setting(known, Draws(count, seed, known.unknowns, correlation))


def _weights(expected: tuple[Expected, ...]) -> Array:
    """Belief in each world (draw,), adding up to 1."""
    logs = np.sum([one.log_likelihood for one in expected], axis=0)
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum())


def _found(
    known: Figures, shared: Setting, strategy: str, expected: tuple[Expected, ...], weights: Array, draws: int
) -> Calibration:
    asked = sorted(shared.draws.asked)
    levels = tuple(_level(shared, name, weights) for name in known.plan.strategies)
    rows = resampled(weights, draws)
    every = sorted(shared.draws.asked)
    uppsala = 1.0 - shared.isohumic
    seed = shared.draws.seed
    assert seed is not None
    seen = tuple(_seen(one, weights) for one in expected)
    return Calibration(
        known.plan,
        strategy,
        draws,
        seed,
        shared.draws.count,
        effective_size(weights),
        surprise_together(expected, seed) if len(expected) > 1 else seen[0].surprise,
        seen,
        _learned(shared, asked, weights),
        levels,
        (float(uppsala.mean()), float(mean(uppsala, weights))),
        {name: shared.draws.score(name)[rows] for name in _scored(known, every)},
    )


def _scored(known: Figures, asked: list[str]) -> list[str]:
    """The names of the scores behind some unknowns, shared ones and the family included."""
    names = {FAMILY}
    for name in asked:
        unknown = known.unknowns[name]
        names.add(unknown.scored_as or name)
        if unknown.shared is not None:
            names.add(unknown.shared)
    return sorted(names)


def _seen(one: Expected, weights: Array) -> Seen:
    """One test before and after; the surprise from the mixture of normal errors around what each world expected."""
    from scipy.special import ndtr

    off = (one.found - one.expected) / (one.error * one.expected)
    below = float(np.mean(ndtr(off)))
    return Seen(
        one,
        spread_of(float(np.median(one.expected)), one.expected),
        spread_of(float(np.median(one.expected)), one.expected, weights),
        2.0 * min(below, 1.0 - below),
    )


def _level(shared: Setting, name: str, weights: Array) -> LevelSeen:
    ran = simulate(shared, name)
    level = over_beds(carbon.organic_matter(ran), ran)[-1]
    middle = float(np.median(level))
    return LevelSeen(name, spread_of(middle, level), spread_of(middle, level, weights))


def _learned(shared: Setting, asked: list[str], weights: Array) -> tuple[Learned, ...]:
    """What was learned of each unknown, most first: the divergence of a normal score that moved and narrowed.

    Chance alone moves the mean of n believed worlds by 1 / sqrt(n), so that less than that is not told.
    """
    noise = 1.0 / effective_size(weights)
    found = []
    for name in asked:
        unknown = shared.draws.unknowns[name]
        if not unknown.is_range:
            continue
        values = shared.draws.of(name)
        score = shared.draws.joint_score(name)
        middle = float(mean(score, weights))
        spread = max(float(mean(np.square(score - middle), weights)), 1e-9)
        information = 0.5 * (middle**2 + spread - 1.0 - float(np.log(spread)))
        if information > TOLD + 2.0 * noise:
            middle_value = float(quantile(values, 0.5)[0])
            both = (spread_of(middle_value, values), spread_of(middle_value, values, weights))
            found.append(Learned(unknown, *both, information))
    return tuple(sorted(found, key=lambda one: (-one.information, one.unknown.name)))
