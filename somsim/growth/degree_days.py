"""Warmth gathered by a growing crop, in degree days, from monthly mean temperatures.

Days are ``datetime64[D]`` arrays, so leap years, seasons across New Year and the southern hemisphere need
nothing special: twelve normals are simply laid along whatever dates are asked for.

Between months the temperature runs in straight lines from mid-month to mid-month. The heights at
mid-month are not the monthly means themselves but are solved for, so that the days of each month average
to that month's mean. (Lines through the means themselves cut the peak of summer and fill the trough of
winter.) Day-to-day weather is not added, so months whose mean lies near the base temperature gather a
little less than a daily record would show.
"""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Days = NDArray[np.datetime64]
Date = str | date | np.datetime64

_MONTHS_A_YEAR = 12


def _as_days(days: ArrayLike) -> Days:
    return np.asarray(days, dtype="datetime64[D]")


def _as_day(day: Date) -> Days:
    return np.asarray(day, dtype="datetime64[D]")


def _neighbours(days: Days) -> tuple[NDArray[np.int64], NDArray[np.int64], Floats]:
    """Each day's own month, the nearer month beside it (since January 1970), and the own month's weight."""
    month = days.astype("datetime64[M]")

    def first_day(steps: int) -> Days:
        return (month + np.timedelta64(steps, "M")).astype("datetime64[D]")

    length = (first_day(1) - first_day(0)).astype(np.float64)
    # Noon stands for the day, so that the days of a month average to the line's own mean.
    from_middle = (days - first_day(0)).astype(np.float64) + 0.5 - length / 2
    before = from_middle < 0
    other = np.where(before, first_day(0) - first_day(-1), first_day(2) - first_day(1)).astype(np.float64)
    own_weight = 1.0 - np.abs(from_middle) / ((length + other) / 2)
    own = month.astype(np.int64)
    return own, np.where(before, own - 1, own + 1), own_weight


def _month_heights(
    means: Floats, own: NDArray[np.int64], beside: NDArray[np.int64], weight: Floats
) -> Floats:
    """Heights at mid-month whose interpolated days average to the monthly means (..., months)."""
    count = means.shape[-1]
    mixing = np.zeros((count, count))
    np.add.at(mixing, (own, own), weight)
    np.add.at(mixing, (own, beside), 1.0 - weight)
    mixing /= np.bincount(own, minlength=count)[:, None]
    return np.asarray(np.linalg.solve(mixing, means[..., None])[..., 0], dtype=np.float64)


def daily_from_normals(normals: ArrayLike, days: ArrayLike) -> Floats:
    """Daily mean temperature on given dates from twelve monthly normals, the same every year.

    Straight lines between mid-months whose heights keep every monthly mean (exactly in a year of 365 days).

    Parameters
    ----------
    normals : array_like (deg C), shape (..., 12), January first
    days : array_like of datetime64[D], shape (n,), in any order

    Returns
    -------
    ndarray (deg C), shape (..., n)

    Raises
    ------
    ValueError : if the last axis of normals is not 12 long

    Examples
    --------
    >>> de_bilt = [3.6, 3.9, 6.5, 9.9, 13.4, 16.2, 18.3, 17.9, 14.7, 10.9, 7.0, 4.2]
    >>> july = np.arange("2026-07-01", "2026-08-01", dtype="datetime64[D]")
    >>> round(float(daily_from_normals(de_bilt, july).mean()), 6)
    18.3
    """
    means = np.asarray(normals, dtype=np.float64)
    if means.shape[-1:] != (_MONTHS_A_YEAR,):
        raise ValueError(f"twelve monthly normals are needed, not {means.shape[-1:]}")
    common_year = np.arange("2026-01-01", "2027-01-01", dtype="datetime64[D]")
    own, beside, weight = _neighbours(common_year)
    heights = _month_heights(means, own % _MONTHS_A_YEAR, beside % _MONTHS_A_YEAR, weight)
    own, beside, weight = _neighbours(_as_days(days))
    return np.asarray(
        heights[..., own % _MONTHS_A_YEAR] * weight + heights[..., beside % _MONTHS_A_YEAR] * (1.0 - weight)
    )


def daily_from_series(monthly: ArrayLike, first_month: Date, days: ArrayLike) -> Floats:
    """Daily mean temperature on given dates from a series of monthly means, each year its own.

    As `daily_from_normals`, with real month lengths; before the first and after the last mid-month the
    line runs level.

    Parameters
    ----------
    monthly : array_like (deg C), shape (..., months), one value a calendar month without gaps
    first_month : the first value's month, such as "2012-01"
    days : array_like of datetime64[D], shape (n,), all within the series

    Returns
    -------
    ndarray (deg C), shape (..., n)

    Raises
    ------
    ValueError : if a day lies outside the series

    Examples
    --------
    >>> days = np.arange("2012-02-01", "2012-03-01", dtype="datetime64[D]")  # a leap February
    >>> len(days), round(float(daily_from_series([4.0, 6.0, 9.0], "2012-01", days).mean()), 6)
    (29, 6.0)
    """
    means = np.asarray(monthly, dtype=np.float64)
    last = means.shape[-1] - 1
    months = np.asarray(first_month, dtype="datetime64[M]") + np.arange(last + 2)
    start = int(months[0].astype(np.int64))
    own, beside, weight = _neighbours(_as_days(days))
    if own.size and (own.min() < start or own.max() > start + last):
        raise ValueError(f"days lie outside the temperature series {months[0]} to {months[-2]}")
    every_day = np.arange(months[0], months[-1], dtype="datetime64[D]")
    all_own, all_beside, all_weight = _neighbours(every_day)
    heights = _month_heights(means, all_own - start, np.clip(all_beside - start, 0, last), all_weight)
    next_to = np.clip(beside - start, 0, last)
    return np.asarray(heights[..., own - start] * weight + heights[..., next_to] * (1.0 - weight))


def daily_gain(temperature: ArrayLike, base: ArrayLike) -> Floats:
    """Degree days gathered in each day: what the daily mean stands above the base temperature, never below 0.

    The usual mean-temperature form of growing degree days (McMaster & Wilhelm 1997, Agric. For. Meteorol.
    87:291, method 1; remembered).

    Parameters
    ----------
    temperature : array_like (deg C), daily means
    base : array_like (deg C), the crop's base temperature

    Returns
    -------
    ndarray (K d), the inputs' broadcast shape

    Examples
    --------
    >>> daily_gain([2.0, 4.0, 10.5], 4.0).tolist()
    [0.0, 0.0, 6.5]
    """
    above = np.asarray(temperature, dtype=np.float64) - np.asarray(base, dtype=np.float64)
    return np.asarray(np.maximum(above, 0.0))


def gain_in_light(gain: ArrayLike, day_length: ArrayLike, shortest_day: ArrayLike) -> Floats:
    """The gain of days long enough to grow in; shorter days give none, however mild.

    A rule of thumb among winter growers (common practice, no source); the limit is the caller's.

    Parameters
    ----------
    gain : array_like (K d), shape (..., n)
    day_length : array_like (h), shape (n,)
    shortest_day : array_like (h), the day length under which nothing is gained

    Returns
    -------
    ndarray (K d), the inputs' broadcast shape

    Examples
    --------
    >>> gain_in_light([3.0, 3.0, 3.0], [9.4, 9.5, 9.6], 9.5).tolist()
    [0.0, 3.0, 3.0]
    """
    lit = np.asarray(day_length, dtype=np.float64) >= np.asarray(shortest_day, dtype=np.float64)
    return np.asarray(np.where(lit, np.asarray(gain, dtype=np.float64), 0.0))


def degree_days_since(gain: ArrayLike, days: ArrayLike, sown: Date) -> Floats:
    """Degree days gathered from sowing (or from a cut) to the start of each day.

    Parameters
    ----------
    gain : array_like (K d), shape (..., n), one value a day
    days : array_like of datetime64[D], shape (n,), rising
    sown : the sowing day; its own gain counts from the next day on

    Returns
    -------
    ndarray (K d), shape (..., n): 0 up to and on the sowing day, then never falling

    Raises
    ------
    ValueError : if the first day comes after sowing (part of the sum would be lost) or days do not follow on

    Examples
    --------
    >>> days = np.arange("2026-12-30", "2027-01-03", dtype="datetime64[D]")
    >>> degree_days_since([1.0, 2.0, 3.0, 4.0], days, "2026-12-31").tolist()
    [0.0, 0.0, 2.0, 5.0]
    """
    dates, start = _as_days(days), _as_day(sown)
    if dates.size == 0 or dates[0] > start:
        raise ValueError(f"the days must begin on or before {start}")
    if np.any(np.diff(dates) != np.timedelta64(1, "D")):
        raise ValueError("the days must follow each other without a gap")
    counted = np.where(dates >= start, np.asarray(gain, dtype=np.float64), 0.0)
    gathered = np.cumsum(counted, axis=-1)[..., :-1]
    return np.concatenate([np.zeros_like(counted[..., :1]), gathered], axis=-1)


def degree_days_between(gain: ArrayLike, days: ArrayLike, start: Date, end: Date) -> Floats:
    """Degree days of the days from start up to, not including, end.

    Parameters
    ----------
    gain : array_like (K d), shape (..., n)
    days : array_like of datetime64[D], shape (n,), holding every day from start to the day before end
    start, end : dates

    Returns
    -------
    ndarray (K d), shape (...)

    Raises
    ------
    ValueError : if end comes before start, or a day between them is missing

    Examples
    --------
    >>> days = np.arange("2026-12-30", "2027-01-03", dtype="datetime64[D]")
    >>> float(degree_days_between([1.0, 2.0, 3.0, 4.0], days, "2026-12-31", "2027-01-02"))
    5.0
    """
    dates = _as_days(days)
    first, after = _as_day(start), _as_day(end)
    inside = (dates >= first) & (dates < after)
    if after < first:
        raise ValueError(f"{after} comes before {first}")
    if np.unique(dates[inside]).size != int((after - first).astype(np.int64)):
        raise ValueError(f"the days must hold every day from {first} to {after}")
    return np.asarray(np.where(inside, np.asarray(gain, dtype=np.float64), 0.0).sum(axis=-1))
