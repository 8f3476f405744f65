"""Food for soil life: carbon decomposed, by year and by month."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from somsim.simulate import Array, Trajectory

DAYS_A_YEAR = 365.25


def soil_life_food(trajectory: Trajectory) -> Array:
    """kg C/m2/yr decomposed between the record before and this one (time, group, draw); 0 at the start.

    Everything that passes through soil life: residue that decomposes, and humus that is used up.
    """
    stocks = trajectory.stocks
    eaten = trajectory.by_group(stocks.decomposed + stocks.humus_respired)
    times = trajectory.timeline.times
    years = np.array([(b - a).days / DAYS_A_YEAR for a, b in pairwise(times)])
    food = np.zeros_like(eaten)
    food[1:] = np.diff(eaten, axis=0) / years[:, np.newaxis, np.newaxis]
    return food


def food_by_month(trajectory: Trajectory) -> Array:
    """kg C/m2 decomposed in each month of the year, January first, mean of the years (month, source).

    For a trajectory recorded by months with a single draw; groups are weighted by their share of the beds.
    """
    stocks = trajectory.stocks
    eaten = trajectory.by_source(stocks.decomposed + stocks.humus_respired)[..., 0]
    share = np.array([group.share for group in trajectory.timeline.groups])
    steps = np.diff((eaten * share).sum(axis=-1), axis=1)
    times = trajectory.timeline.times
    food = np.zeros((12, len(trajectory.sources)))
    for step, begin in enumerate(times[:-1]):
        food[begin.month - 1] += steps[:, step]
    years = (times[-1] - times[0]).days / DAYS_A_YEAR
    return food / max(years, 1.0)
