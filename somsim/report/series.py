"""Figures of a study along the years, means over the beds: what charts and tables are made from."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from somsim.draws import quantile

if TYPE_CHECKING:
    import xarray

    from somsim.study.compare import Study

Array = NDArray[np.float64]
SHARES = (0.1, 0.5, 0.9)
DAYS_A_YEAR = 365.25


def over_beds(values: xarray.DataArray) -> xarray.DataArray:
    """Mean over the groups of beds, weighted by their share of the bed area; ``group`` goes away."""
    return (values * values["bed_share"]).sum("group")


def drawn(study: Study, variable: str) -> Array:
    """An outcome in every possible world, mean over the beds: (strategy, [source,] time, draw)."""
    values = over_beds(study.drawn[variable])
    return np.asarray(values.transpose(..., "time", "draw").values)


def spread(study: Study, variable: str) -> Array:
    """P10, P50 and P90 of an outcome, mean over the beds: (3, strategy, [source,] time)."""
    return quantile(drawn(study, variable), SHARES, study.weights)


def years(study: Study) -> list[float]:
    """Years since the start at which the draws are recorded; whole ones where the date is the start's."""
    times = study.drawn["time"].values.astype("datetime64[D]")
    start = times[0].item()
    made = []
    for time in times:
        day = time.item()
        whole = (day.month, day.day) == (start.month, start.day)
        made.append(float(day.year - start.year) if whole else (day - start).days / DAYS_A_YEAR)
    return made


def span_text(years: float) -> str:
    """A length of time in words.

    >>> span_text(12.0), span_text(1.0), span_text(0.5), span_text(2.5)
    ('12 years', '1 year', '6 months', '2.5 years')
    """
    months = round(years * 12.0)
    if months % 12 == 0:
        return f"{months // 12} year{'' if months == 12 else 's'}"
    if months < 24:
        return f"{months} month{'' if months == 1 else 's'}"
    return f"{months / 12.0:.3g} years"


def chosen(levels: Array, most: int) -> list[int]:
    """Which strategies to name where there are too many: the highest and the lowest levels, in the plan's order.

    >>> chosen(np.array([1.0, 5.0, 2.0, 4.0, 3.0]), 4)
    [0, 1, 2, 3]
    """
    order = sorted(range(len(levels)), key=lambda number: -levels[number])
    if len(order) <= most:
        return sorted(order)
    return sorted(order[: most - most // 2] + order[len(order) - most // 2 :])
