"""A cut sample scaled up to the beds: dry matter, carbon and nutrients, with the error that goes with them.

The errors of the sample, the dry matter share and the carbon share or nutrient content are taken as
independent; as everything is a product, their **relative variances add** (JCGM 100:2008, 5.1.6, equation 12;
from memory). The interval of the product is Student's t with the effective degrees of freedom of Welch and
Satterthwaite (JCGM 100:2008, equation G.2b; from memory): only the sample has few of them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist

from numpy.typing import ArrayLike

from somsim.estimate import FloatArray, Share, positive, share
from somsim.estimate.sampling import (
    check_level,
    half_width,
    mean_per_area,
    outliers,
    paired_samples,
    samples_to_halve,
    share_from_drying,
    standard_error,
)

__all__ = [
    "OUTLIER_RULE",
    "Interval",
    "Quantity",
    "SampleEstimate",
    "estimate_sample",
    "half_width",
    "mean_per_area",
    "outliers",
    "samples_to_halve",
    "share_from_drying",
    "standard_error",
    "variance_shares",
]

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
    mass, ground = paired_samples(fresh, area)
    mean = positive("the mass of all samples together", mass.sum()).item() / float(ground.sum())
    taken = _sampled_share(ground, bed_area)
    known = mass.size > 1 or taken == 1
    error = standard_error(mass, ground, sampled_share=taken) if known else None
    check_level(level)
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
