"""A cut sample scaled up to the beds: dry matter, carbon and nutrients, with the error that goes with them.

The errors of the sample, the dry matter share and the carbon share or nutrient content are taken as
independent; as everything is a product, their **relative variances add** (JCGM 100:2008, 5.1.6, equation 12;
from memory). The interval of the product is Student's t with the effective degrees of freedom of Welch and
Satterthwaite (JCGM 100:2008, equation G.2b; from memory): only the sample has few of them.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from somsim.estimate import FloatArray, Share, not_negative, positive, share

OUTLIER_RULE = "Grubbs' two-sided test (Grubbs 1969, Technometrics 11:1)"


@dataclass(frozen=True)
class Interval:
    """Two ends, in the unit of what they stand around."""

    low: float
    high: float


@dataclass(frozen=True)
class Quantity:
    """One thing per bed area (kg/m2) and, where the bed area is known, in all (kg).

    `interval` comes from the sample; `published` stands in for it where the sample cannot give one.
    """

    per_area: float
    standard_error: float | None
    interval: Interval | None
    published: Interval | None
    bed_area: float | None

    @property
    def total(self) -> float | None:
        """Mass on all beds (kg), None where the bed area was not given."""
        return None if self.bed_area is None else self.per_area * self.bed_area

    @property
    def total_interval(self) -> Interval | None:
        """The interval in hand, the sample's own or else the published one, for all beds (kg)."""
        ends = self.interval or self.published
        if ends is None or self.bed_area is None:
            return None
        return Interval(ends.low * self.bed_area, ends.high * self.bed_area)


@dataclass(frozen=True)
class SampleEstimate:
    """What a sample says. `variance_shares`: where the doubt in the carbon comes from; empty if unknown."""

    count: int
    sampled_share: float
    fresh: Quantity
    dry: Quantity
    carbon: Quantity
    nutrients: Mapping[str, Quantity]
    samples_to_halve: int | None
    variance_shares: Mapping[str, float]
    outliers: tuple[int, ...]
    notes: tuple[str, ...]


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
    mass, ground = _samples(fresh, area)
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
    mass, ground = _samples(fresh, area)
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
    _level(level)
    if not freedom > 0:
        raise ValueError("an interval needs at least two samples")
    if math.isinf(freedom):
        return error * NormalDist().inv_cdf(0.5 + level / 2)
    from scipy.stats import t

    return error * float(t.ppf(0.5 + level / 2, freedom))


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
    _level(significance)
    array = np.atleast_1d(not_negative("a sample", values))
    spread = float(array.std(ddof=1)) if array.size > 2 else 0.0
    if spread == 0:
        return ()
    from scipy.stats import t

    count = array.size
    point = float(t.ppf(1 - significance / (2 * count), count - 2)) ** 2
    limit = (count - 1) / math.sqrt(count) * math.sqrt(point / (count - 2 + point))
    return tuple(int(at) for at in np.flatnonzero(np.abs(array - array.mean()) / spread > limit))


def estimate_sample(
    fresh: ArrayLike,
    area: ArrayLike,
    *,
    dry_matter: Share,
    carbon: Share,
    level: float,
    nutrients: Mapping[str, Share] | None = None,
    bed_area: float | None = None,
    variation: float | None = None,
) -> SampleEstimate:
    """Scale samples of known area to dry matter, carbon and nutrients on the beds.

    Mean of the samples by area, times dry matter share, times carbon share or nutrient content; relative
    variances add (head of this file). The low end of an interval is never below 0.

    Parameters
    ----------
    fresh : array_like (kg), fresh mass of each sample, shape (samples,)
    area : array_like (m2), ground each was cut from, shape (samples,)
    dry_matter : share of fresh mass
    carbon : share of dry matter
    level : level of the intervals, between 0 and 1
    nutrients : shares of dry matter by name, such as nitrogen, phosphorus, potassium
    bed_area : area of all beds (m2), paths left out
    variation : published half-width as a share of the mean, taken at `level` where the sample gives none

    Returns
    -------
    SampleEstimate

    Raises
    ------
    ValueError
        With no samples, nothing weighed, values out of bounds, or samples larger than the beds.

    Examples
    --------
    >>> found = estimate_sample([1.9, 2.3, 2.6], [0.5] * 3, dry_matter=Share(0.17, 0.01),
    ...                         carbon=Share(0.44, 0.01), level=0.90, bed_area=108)
    >>> round(found.dry.per_area, 3), round(found.carbon.total, 1)
    (0.771, 36.6)
    """
    mass, ground = _samples(fresh, area)
    mean = positive("the mass of all samples together", mass.sum()).item() / float(ground.sum())
    taken = _sampled_share(ground, bed_area)
    known = mass.size > 1 or taken == 1
    error = standard_error(mass, ground, sampled_share=taken) if known else None
    _level(level)
    if variation is not None:
        positive("the published variation", variation)
    measure = _Measure(mean, error, mass.size, level, bed_area, variation)
    for name, part in {"dry matter": dry_matter, "carbon": carbon, **(nutrients or {})}.items():
        positive(f"the share of {name}", share(f"the share of {name}", part.best))
    varies = mass.size > 1 and bool(error)
    told = known or variation is not None
    return SampleEstimate(
        count=mass.size,
        sampled_share=taken,
        fresh=measure.times(),
        dry=measure.times(dry_matter),
        carbon=measure.times(dry_matter, carbon),
        nutrients={name: measure.times(dry_matter, part) for name, part in (nutrients or {}).items()},
        samples_to_halve=samples_to_halve(mass.size, level=level, sampled_share=taken) if varies else None,
        variance_shares=variance_shares(measure.relative_variance, dry_matter, carbon) if told else {},
        outliers=outliers(mass / ground),
        notes=_notes(mass, ground, error, taken, dry_matter, variation),
    )


def variance_shares(sampling: float, dry_matter: Share, carbon: Share) -> dict[str, float]:
    """Which part of the doubt about the carbon comes from the sample, the drying and the carbon share.

    Parameters
    ----------
    sampling : relative variance of the mean of the samples, or of the published variation
    dry_matter, carbon : shares with their standard errors

    Returns
    -------
    dict with sample, dry matter, carbon; they add to 1, or are all 0 where no error is known

    Examples
    --------
    >>> parts = variance_shares(0.01, Share(0.17, 0.034), Share(0.44, 0.0))
    >>> round(parts["dry matter"], 2)
    0.8
    """
    parts = {
        "sample": sampling,
        "dry matter": dry_matter.relative_variance,
        "carbon": carbon.relative_variance,
    }
    whole = sum(parts.values())
    return {name: part / whole if whole else 0.0 for name, part in parts.items()}


@dataclass(frozen=True)
class _Measure:
    """A mean fresh mass per area and its error, ready to be multiplied by shares."""

    mean: float
    error: float | None
    count: int
    level: float
    bed_area: float | None
    variation: float | None

    @property
    def relative_variance(self) -> float:
        if self.error is not None:
            return (self.error / self.mean) ** 2
        # The published figure is a half-width: brought to a standard error by the normal law.
        normal = NormalDist().inv_cdf(0.5 + self.level / 2)
        return ((self.variation or 0.0) / normal) ** 2

    def times(self, *parts: Share) -> Quantity:
        value = self.mean * math.prod(part.best for part in parts)
        relative = self.relative_variance + sum(part.relative_variance for part in parts)
        error = value * math.sqrt(relative)
        if self.error is None:
            ends = self._ends(value, error, math.inf) if self.variation is not None else None
            return Quantity(value, None, None, ends, self.bed_area)
        sampling = self.relative_variance
        # A sample error lost beside the others leaves the normal law, and its square would overflow.
        freedom = (self.count - 1) * (relative / sampling) ** 2 if sampling > 1e-9 * relative else math.inf
        return Quantity(value, error, self._ends(value, error, freedom), None, self.bed_area)

    def _ends(self, value: float, error: float, freedom: float) -> Interval:
        half = half_width(error, freedom=freedom, level=self.level)
        return Interval(max(0.0, value - half), value + half)


def _notes(
    mass: FloatArray,
    ground: FloatArray,
    error: float | None,
    taken: float,
    dry_matter: Share,
    variation: float | None,
) -> tuple[str, ...]:
    notes = []
    if error is None:
        instead = (
            "no published variation was given"
            if variation is None
            else (f"the published variation of +-{variation:.0%} stands instead")
        )
        notes.append(f"One sample cannot say how much the bed varies: {instead}.")
    if taken == 1:
        notes.append("The whole bed was weighed: there is no sampling error.")
    elif error is not None and error < 1e-12 * mass.sum() / ground.sum():
        notes.append("All samples are the same per area, so the interval is too narrow; weigh more finely.")
    if dry_matter.standard_error is None:
        notes.append("One dried subsample: its own error is not known and is counted as none.")
    per_area = mass / ground
    notes += [
        f"Sample {at + 1} ({per_area[at]:.3g} kg/m2) stands out by {OUTLIER_RULE}; it was kept."
        for at in outliers(per_area)
    ]
    return tuple(notes)


def _sampled_share(ground: FloatArray, bed_area: float | None) -> float:
    if bed_area is None:
        return 0.0
    beds = positive("the area of the beds", bed_area).item()
    sampled = float(ground.sum())
    if math.isclose(sampled, beds, rel_tol=1e-12):
        return 1.0
    if sampled > beds:
        raise ValueError(f"the samples cover {sampled:g} m2, more than the {beds:g} m2 of bed")
    return sampled / beds


def _samples(fresh: ArrayLike, area: ArrayLike) -> tuple[FloatArray, FloatArray]:
    mass = np.atleast_1d(not_negative("the mass of a sample", fresh))
    if mass.size == 0:
        raise ValueError("there are 0 samples; at least one is needed")
    ground = np.atleast_1d(positive("the area of a sample", area))
    _same_count(mass, ground, "masses and areas")
    return mass, ground


def _same_count(first: FloatArray, second: FloatArray, names: str) -> None:
    if first.ndim != 1 or first.shape != second.shape:
        raise ValueError(f"{names} go in pairs; there are {first.size} and {second.size}")


def _level(level: float) -> None:
    if not 0 < level < 1:
        raise ValueError(f"a level lies between 0 and 1; {level:g} does not")
