"""The statistics of a few samples of known area: mean, standard error, interval, outliers."""

from __future__ import annotations

import math
from bisect import bisect_left
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from somsim.estimate import FloatArray, Share, not_negative, positive, share


def share_from_drying(wet: ArrayLike, dry: ArrayLike) -> Share:
    """Dry matter share from the wet and dry mass of one or several subsamples.

    Sum of dry over sum of wet, a ratio estimate; its error as in `standard_error`. One subsample says nothing
    of its own error.

    Parameters
    ----------
    wet, dry : array_like (any one mass unit), shape (subsamples,)

    Returns
    -------
    Share, the standard error None for one subsample

    Raises
    ------
    ValueError
        If a mass is not above 0, or the dry mass is more than the wet mass.

    Examples
    --------
    >>> share_from_drying(200, 34).best
    0.17
    """
    wet_mass = np.atleast_1d(positive("wet mass", wet))
    dry_mass = np.atleast_1d(positive("dry mass", dry))
    _same_count(wet_mass, dry_mass, "wet and dry masses")
    heavier = np.flatnonzero(dry_mass > wet_mass)
    if heavier.size:
        at = heavier[0]
        raise ValueError(f"dry cannot outweigh wet: {dry_mass[at]:g} dry, {wet_mass[at]:g} wet")
    best = float(dry_mass.sum() / wet_mass.sum())
    error = standard_error(dry_mass, wet_mass) if wet_mass.size > 1 else None
    return Share(best, error)


def mean_per_area(fresh: ArrayLike, area: ArrayLike) -> float:
    """Mean mass per area, each sample weighing as much as its area.

    Parameters
    ----------
    fresh : array_like (kg), shape (samples,)
    area : array_like (m2), shape (samples,)

    Returns
    -------
    float (kg/m2)

    Raises
    ------
    ValueError
        If there is no sample, a mass is negative, an area is not above 0, or their counts differ.

    Examples
    --------
    >>> round(mean_per_area([1.9, 2.3, 2.6], [0.5, 0.5, 0.5]), 4)
    4.5333
    """
    mass, ground = paired_samples(fresh, area)
    return float(mass.sum() / ground.sum())


def standard_error(fresh: ArrayLike, area: ArrayLike, *, sampled_share: float = 0.0) -> float:
    """Standard error of the mean per area, with the correction for a finite bed.

    Ratio estimate: Cochran (1977), Sampling Techniques, 3rd ed., section 6.4, and the correction 1 - f of
    section 2.6 (both from memory). With equal areas it is the ordinary s / sqrt(n) times sqrt(1 - f).

    Parameters
    ----------
    fresh : array_like (kg), shape (samples,)
    area : array_like (m2), shape (samples,)
    sampled_share : sampled area over bed area, 0-1

    Returns
    -------
    float (kg/m2)

    Raises
    ------
    ValueError
        With fewer than two samples (unless the whole bed was taken), or `sampled_share` outside 0-1.

    Examples
    --------
    >>> round(standard_error([1.9, 2.3, 2.6], [0.5, 0.5, 0.5]), 4)
    0.4055
    """
    mass, ground = paired_samples(fresh, area)
    share("the sampled share of the bed", sampled_share)
    if sampled_share == 1:
        return 0.0
    if mass.size < 2:
        raise ValueError("one sample has no standard error; take at least two")
    away = mass - ground * (mass.sum() / ground.sum())
    count = mass.size
    variance = (1 - sampled_share) * count / (count - 1) * float((away**2).sum()) / float(ground.sum()) ** 2
    return math.sqrt(variance)


def half_width(error: float, *, freedom: float, level: float) -> float:
    """Half of a two-sided Student t interval: Student (1908), Biometrika 6:1.

    Parameters
    ----------
    error : standard error (any unit), 0 or more
    freedom : degrees of freedom, above 0; infinite gives the normal law
    level : share of such intervals that hold the true mean, between 0 and 1

    Returns
    -------
    float, the unit of `error`

    Raises
    ------
    ValueError
        If the level is not between 0 and 1, or there are no degrees of freedom.

    Examples
    --------
    >>> round(half_width(0.4055, freedom=2, level=0.90), 3)
    1.184
    """
    check_level(level)
    if not freedom > 0:
        raise ValueError("an interval needs at least two samples")
    if math.isinf(freedom):
        return error * NormalDist().inv_cdf(0.5 + level / 2)
    from scipy.special import stdtrit  # the same quantile as scipy.stats.t, without loading all of scipy.stats

    return error * float(stdtrit(freedom, 0.5 + level / 2))


def samples_to_halve(count: int, *, level: float, sampled_share: float = 0.0) -> int:
    """How many samples in all would halve the interval, if they vary as these do.

    The smallest n with t(n - 1) sqrt((1 - f n / count) / n) at most half of what it is now; a count of four
    times is always enough, and a few samples need less because t falls too.

    Parameters
    ----------
    count : samples taken, 2 or more
    level : level of the interval, between 0 and 1
    sampled_share : sampled area over bed area, 0-1, with these `count` samples

    Returns
    -------
    int, samples of the same size in all

    Raises
    ------
    ValueError
        With fewer than two samples, or a level or share out of bounds.

    Examples
    --------
    >>> samples_to_halve(3, level=0.90)
    6
    """
    if count < 2:
        raise ValueError("one sample has no interval to halve; take at least two")
    share("the sampled share of the bed", sampled_share)

    def width(samples: int) -> float:
        left = max(0.0, 1 - sampled_share * samples / count)
        return half_width(math.sqrt(left / samples), freedom=samples - 1, level=level)

    wanted = width(count) / 2
    choices = range(count, 4 * count + 1)
    return choices[bisect_left(choices, True, key=lambda samples: width(samples) <= wanted)]


def outliers(values: ArrayLike, *, significance: float = 0.05) -> tuple[int, ...]:
    """Which samples lie further out than chance allows; they are shown, never dropped.

    Two-sided test of Grubbs (1969), Technometrics 11:1: |x - mean| / s above
    (n - 1) / sqrt(n) sqrt(t^2 / (n - 2 + t^2)), t at significance / 2n with n - 2 degrees of freedom (from
    memory). Two outliers on one side can hide each other.

    Parameters
    ----------
    values : array_like (kg/m2), shape (samples,)
    significance : chance of a false alarm, between 0 and 1

    Returns
    -------
    tuple of int, positions from 0; empty with fewer than three samples

    Raises
    ------
    ValueError
        If a value is negative, or the significance is not between 0 and 1.

    Examples
    --------
    >>> outliers([4.1, 4.4, 3.9, 4.2, 9.8])
    (4,)
    """
    check_level(significance)
    array = np.atleast_1d(not_negative("a sample", values))
    spread = float(array.std(ddof=1)) if array.size > 2 else 0.0
    if spread == 0:
        return ()
    from scipy.stats import t

    count = array.size
    point = float(t.ppf(1 - significance / (2 * count), count - 2)) ** 2
    limit = (count - 1) / math.sqrt(count) * math.sqrt(point / (count - 2 + point))
    return tuple(int(at) for at in np.flatnonzero(np.abs(array - array.mean()) / spread > limit))


def paired_samples(fresh: ArrayLike, area: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Masses (kg) and areas (m2) of samples as arrays of one length, or ValueError where they cannot be."""
    mass = np.atleast_1d(not_negative("the mass of a sample", fresh))
    if mass.size == 0:
        raise ValueError("there are 0 samples; at least one is needed")
    ground = np.atleast_1d(positive("the area of a sample", area))
    _same_count(mass, ground, "masses and areas")
    return mass, ground


def _same_count(first: FloatArray, second: FloatArray, names: str) -> None:
    if first.ndim != 1 or first.shape != second.shape:
        raise ValueError(f"{names} go in pairs; there are {first.size} and {second.size}")


def check_level(level: float) -> None:
    """Refuse (ValueError) a level that does not lie between 0 and 1."""
    if not 0 < level < 1:
        raise ValueError(f"a level lies between 0 and 1; {level:g} does not")
