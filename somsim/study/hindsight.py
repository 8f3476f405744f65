"""What was foretold, and what the soil tests said when the day came: an honest score of past projections."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from somsim.draws import Draws
from somsim.library import read_library
from somsim.plan.measured import Measured
from somsim.record import Facts, as_recorded
from somsim.record.events import SoilTested
from somsim.study.compare import DEFAULT_SEED
from somsim.study.equivalence import Spread, spread_of
from somsim.study.garden import with_garden
from somsim.study.soil_tests import Expected, expected_tests
from somsim.timeline import figures, setting

DRAWS = 512
A_YEAR = datetime.timedelta(days=365)
DAY = datetime.timedelta(days=1)


@dataclass(frozen=True)
class Foretold:
    """One recorded soil test and what was foretold for it from the record of a year before, shares of the dry soil.

    ``foretold`` is the range of the result, its own error included; ``rank`` the share of foretold results below what
    was found, 0 to 1; ``score`` the continuous ranked probability score, in the unit of the result: how far off the
    forecast was, its width counted too (Gneiting & Raftery 2007, JASA 102:359).
    """

    test: Measured
    line: int
    as_of: datetime.date
    found: float
    foretold: Spread
    rank: float
    score: float

    @property
    def inside(self) -> bool:
        """Whether it fell where 8 of 10 were foretold."""
        return 0.1 <= self.rank <= 0.9


def hindsight(facts: Facts) -> tuple[Foretold, ...]:
    """Foretell each recorded test as it would have been foretold a year before it, and hold the result against it."""
    return tuple(_foretold(facts))


def _foretold(facts: Facts) -> Iterator[Foretold]:
    for event in facts.events:
        if not isinstance(event, SoilTested):
            continue
        as_of = max(event.date - A_YEAR, facts.intended.start - DAY)
        known = with_garden(as_recorded(facts.intended, facts.record, as_of))
        one = _expected(known, event.measured)
        results = _results(one)
        yield Foretold(
            event.measured,
            event.line,
            as_of,
            one.found,
            spread_of(float(np.median(results)), results),
            float(np.mean(results < one.found)),
            crps(results, one.found),
        )


def _expected(known: Facts, test: Measured) -> Expected:
    numbers = figures(known.plan, read_library())
    correlation = numbers.unknowns["constants/like_materials_correlation/value"].best
    shared = setting(numbers, Draws(DRAWS, DEFAULT_SEED, numbers.unknowns, correlation))
    return expected_tests(shared, known.followed, (test,))[0]


def _results(one: Expected) -> np.ndarray:
    """Results that the laboratory might give: what each world foretells, with the test's own error, evenly spread."""
    from scipy.special import ndtri

    count = one.expected.size
    order = np.random.default_rng(DEFAULT_SEED).permutation(count)
    score = ndtri((order + 0.5) / count)
    return np.asarray(one.expected * (1.0 + one.error * score))


def crps(foretold: np.ndarray, found: float) -> float:
    """The continuous ranked probability score of a sample of forecasts: mean distance to what was found, less half the
    mean distance between two forecasts (Gneiting & Raftery 2007, eq. 21).

    >>> crps(np.array([1.0, 3.0]), 2.0)
    0.5
    """
    sample = np.sort(np.asarray(foretold, dtype=float))
    count = sample.size
    between = 2.0 * np.sum(sample * (2.0 * np.arange(1, count + 1) - count - 1.0)) / count**2
    return float(np.mean(np.abs(sample - found)) - 0.5 * between)
