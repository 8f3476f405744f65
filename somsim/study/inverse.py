"""From a level of organic matter back to the amount that reaches it: the model is linear in what is added.

Two runs, one without and one with a unit of it, tell organic and mineral mass for every amount.  The percentage is
not linear, because the ash of what is spread counts: it is found by Brent's method (Brent 1973, Algorithms for
minimization without derivatives, chapter 4; scipy.optimize.brentq).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from somsim.outcomes import carbon
from somsim.simulate import Trajectory
from somsim.study.compare import shares

Array = NDArray[np.float64]
CLOSE = 1e-13  # relative, of an amount found


@dataclass(frozen=True)
class Layer:
    """Organic and mineral mass of the layer, kg/m2 (time, group, draw); ``share`` of the bed area (group, 1)."""

    organic: Array
    mineral: Array
    share: Array

    @property
    def mass(self) -> Array:
        """Organic matter, kg/m2 of bed (time, draw)."""
        return np.asarray((self.organic * self.share).sum(axis=-2))

    @property
    def percent(self) -> Array:
        """Organic matter as a percentage of organic and mineral mass, mean over the beds (time, draw)."""
        return np.asarray((100.0 * self.organic / (self.organic + self.mineral) * self.share).sum(axis=-2))

    def level(self, percent: bool) -> Array:
        """The percentage, or the mass."""
        return self.percent if percent else self.mass

    def at(self, first: int, last: int) -> Layer:
        """The records from one to another, the last not included."""
        return Layer(self.organic[first:last], self.mineral[first:last], self.share)

    def less(self, other: Layer) -> Layer:
        """What this has more than another."""
        return Layer(self.organic - other.organic, self.mineral - other.mineral, self.share)

    def plus(self, amount: Array, unit: Layer) -> Layer:
        """This and an amount (draw,) of what a unit adds."""
        return Layer(self.organic + amount * unit.organic, self.mineral + amount * unit.mineral, self.share)


def layer_of(trajectory: Trajectory) -> Layer:
    """The layer as a run found it, at every recorded time."""
    return Layer(carbon.organic_matter(trajectory), trajectory.timeline.mineral, shares(trajectory))


def amount_for(target: Array, without: Layer, unit: Layer, *, percent: bool, most: float) -> Array:
    """The amount (draw,) with which the layer is at a level; 0 where it is there without, inf where ``most`` fails.

    Parameters
    ----------
    target : ndarray (draw,), percent or kg/m2
    without : Layer at one time, with nothing added
    unit : Layer, what one unit adds by then
    percent : whether the target is a percentage
    most : the largest amount that can be meant

    Returns
    -------
    ndarray (draw,)

    Examples
    --------
    >>> one = np.ones((1, 1, 1))
    >>> bare, unit = Layer(5 * one, 195 * one, one[0]), Layer(one, one, one[0])
    >>> round(float(amount_for(np.array([4.0]), bare, unit, percent=True, most=100.0)[0]), 9)
    3.260869565
    """
    from scipy.optimize import brentq

    found = np.empty(len(target))
    for draw in range(len(target)):
        one, more = (
            Layer(whole.organic[:, :, [draw]], whole.mineral[:, :, [draw]], whole.share) for whole in (without, unit)
        )

        def missing(amount: float, one: Layer = one, more: Layer = more, aim: float = float(target[draw])) -> float:
            return float(one.plus(np.array([amount]), more).level(percent)[0, 0]) - aim

        if missing(0.0) >= 0.0:
            found[draw] = 0.0
        elif missing(most) < 0.0:
            found[draw] = np.inf
        else:
            found[draw] = brentq(missing, 0.0, most, xtol=1e-14 * most, rtol=CLOSE)
    return found


def highest_percent(without: Layer, unit: Layer) -> Array:
    """The percentage (draw,) that no amount passes: that of what lasts of the material itself, ash counted."""
    whole = unit.organic + unit.mineral
    own = without.organic / (without.organic + without.mineral)
    share = np.divide(unit.organic, whole, out=own, where=whole > 0.0)
    return np.asarray((100.0 * share * without.share).sum(axis=-2)[0])
