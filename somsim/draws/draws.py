"""Draws: many possible worlds, the same for every strategy, so that a comparison is a paired one."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from somsim.draws.distribution import value_at
from somsim.draws.unknowns import LIBRARY_DIMENSIONS, Unknown, registry

Array = NDArray[np.float64]
FAMILY = "family"  # the score that decides which family of long-run retention a draw lives in


@lru_cache(maxsize=2)
def _scores(count: int, seed: int) -> Array:
    """Standard normal scores (draw, dimension) of the library, from a scrambled Sobol' sequence of fixed width."""
    from scipy.special import ndtri
    from scipy.stats import qmc

    exponent = max(int(count - 1).bit_length(), 0)
    sequence = qmc.Sobol(d=LIBRARY_DIMENSIONS, scramble=True, rng=seed)
    points = sequence.random_base2(exponent)[:count]
    inside = np.clip(points, 1e-12, 1.0 - 1e-12)
    scores: Array = ndtri(inside)
    scores.flags.writeable = False
    return scores


def _own_scores(name: str, count: int, seed: int) -> Array:
    """Standard normal scores (draw,) of a value that only this plan has: evenly spread, shuffled by its own name.

    One value in each of ``count`` equal parts of the range (McKay, Beckman & Conover 1979, Technometrics 21:239),
    so that it is as even as a column of the library's sequence and no other name has a say in it.
    """
    from scipy.special import ndtri

    digest = hashlib.sha256(f"{seed}/{name}".encode()).digest()
    random = np.random.Generator(np.random.PCG64(int.from_bytes(digest[:16], "big")))
    inside = (random.permutation(count) + random.random(count)) / count
    return np.asarray(ndtri(np.clip(inside, 1e-12, 1.0 - 1e-12)))


@dataclass(frozen=True)
class Draws:
    """Values for every unknown.  ``count`` 1 without a seed: the best values alone.

    ``correlation`` is the correlation between unknowns that share a score (errors of like materials).
    ``unknowns`` are all that may be asked for; each has its numbers by its name alone, so that leaving one out or
    adding one changes no other.  ``weights`` (draw,), where given, say how far each world is to be believed: every
    summary takes them; None means all alike.  ``given`` are scores (draw,) to be taken in place of the sequence's, by
    name: a design of one's own.  ``asked`` fills with the names that a result rests on.
    """

    count: int
    seed: int | None
    unknowns: Mapping[str, Unknown]
    correlation: float = 0.5
    weights: Array | None = field(default=None, repr=False, compare=False)
    given: Mapping[str, Array] = field(default_factory=dict, repr=False, compare=False)
    asked: set[str] = field(default_factory=set, repr=False, compare=False)

    def score(self, name: str) -> Array:
        """Standard normal scores (draw,) of one name; zeros for the best values alone."""
        if self.seed is None:
            return np.zeros(self.count)
        if name in self.given:
            return self.given[name]
        place = registry().get(name)
        if place is None:
            return _own_scores(name, self.count, self.seed)
        return np.ascontiguousarray(_scores(self.count, self.seed)[:, place])

    def score_of(self, name: str) -> Array:
        """Standard normal scores (draw,) behind an unknown; zeros where there is nothing to draw."""
        unknown = self.unknowns[name]
        return self.score(unknown.scored_as or name) if unknown.is_range else np.zeros(self.count)

    def joint_score(self, name: str) -> Array:
        """Standard normal scores (draw,) that an unknown's values stand at: its own with the part that it shares."""
        unknown = self.unknowns[name]
        score = self.score_of(name)
        if unknown.shared is None or not unknown.is_range:
            return score
        common = self.score(unknown.shared) * (-1.0 if unknown.against else 1.0)
        joint: Array = np.sqrt(self.correlation) * common + np.sqrt(1.0 - self.correlation) * score
        return joint

    def of(self, name: str) -> Array:
        """Values (draw,) of one unknown, in its unit.

        Raises
        ------
        KeyError
            when nothing of that name is among the unknowns.
        """
        unknown = self.unknowns[name]
        self.asked.add(name)
        if self.seed is None or not unknown.is_range:
            return np.full(self.count, unknown.best)
        return value_at(
            self.joint_score(name),
            unknown.low,
            unknown.best,
            unknown.high,
            lowest=unknown.lowest,
            highest=unknown.highest,
        )

    def isohumic(self, weight: float) -> NDArray[np.bool_]:
        """Which draws (draw,) live in the isohumic family; ``weight`` is its share.  Best values: none."""
        if self.seed is None:
            return np.zeros(self.count, dtype=bool)
        from scipy.special import ndtr

        chosen: NDArray[np.bool_] = ndtr(self.score(FAMILY)) < weight
        return chosen

    def scores(self) -> tuple[str, ...]:
        """Names of the independent scores behind all that was asked for so far, the family first; sorted."""
        found = {score for name in self.asked for score in self.unknowns[name].scores}
        return (FAMILY, *sorted(found))


def best_values(unknowns: Mapping[str, Unknown], correlation: float = 0.5) -> Draws:
    """The single world in which every unknown has its best value, in the family ``uppsala``."""
    return Draws(1, None, unknowns, correlation)
