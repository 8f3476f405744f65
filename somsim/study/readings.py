"""What a grower could read of a plan's unknowns: one thing to measure, on one plant or material, with its error."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from somsim.draws import Draws
from somsim.study.doubts import Measurement, doubt_of, measurements, subject_of
from somsim.timeline import Figures
from somsim.timeline.world import Load

Array = NDArray[np.float64]
WEIGHED = "weighed_cut"  # reads the dry mass of a cut itself, however it is known


@dataclass(frozen=True)
class Reading:
    """One thing to measure on one subject, and what would be read in each world (reading, draw), errors included.

    ``subject`` is the plant or material, empty where there is only one place.  ``tells_of`` are the figures it reads,
    by address; of a cut that is weighed, its mass.
    """

    measurement: Measurement
    subject: str
    tells_of: tuple[str, ...]
    values: Array


def cut_masses(figures: Figures, loads: tuple[Load, ...]) -> dict[str, Array]:
    """Dry mass of the first cut of each cover (draw,), kg/m2, by the name that people see."""
    found: dict[str, Array] = {}
    first: dict[str, object] = {}
    for load in loads:
        if load.kind != "tops":
            continue
        name = subject_of(figures, "covers", load.name)
        if first.setdefault(name, load.date) == load.date:
            found[name] = found.get(name, 0.0) + load.dry
    return found


def readings(figures: Figures, draws: Draws, cuts: Mapping[str, Array]) -> tuple[Reading, ...]:
    """Everything that could be read of what was asked of the draws so far.

    Parameters
    ----------
    figures : Figures
    draws : Draws, after the plan was worked out with them
    cuts : dry mass of the cut of each cover (draw,), from `cut_masses`
    """
    known = measurements(figures)
    addresses: dict[tuple[str, str], list[str]] = {}
    for name in sorted(draws.asked):
        unknown = figures.unknowns[name]
        if not unknown.is_range:
            continue
        doubt = doubt_of(figures, unknown.scores[0])
        for measured in doubt.measured_by:
            subject = "" if known[measured].once else doubt.subject
            addresses.setdefault((measured, subject), []).append(name)
    found = []
    for (measured, subject), names in addresses.items():
        here = measured == WEIGHED and subject in cuts
        parts = [cuts[subject]] if here else [draws.of(name) for name in names]
        values = np.stack([_read(draws, part, known[measured], subject, place) for place, part in enumerate(parts)])
        found.append(Reading(known[measured], subject, tuple(names), values))
    return tuple(found)


def _read(draws: Draws, values: Array, measurement: Measurement, subject: str, place: int) -> Array:
    """What would be read: the value, off by the error of the measurement; its own error in each world."""
    if measurement.error == 0.0:
        return values
    off = draws.score(f"reading/{measurement.id}/{subject}/{place}")
    return np.asarray(values * np.exp(measurement.error * off))
