"""Where a result leaves the ground the model stands on, and which of its numbers are only remembered or judged."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np

from somsim.plan.actions import Idle
from somsim.plan.site import FactorClimate, SeriesClimate
from somsim.study.equivalence import Spread
from somsim.timeline import Figures, Setting
from somsim.timeline.weather import Ground, series_of

LONGEST_TRIAL = 42.0  # years, 1956 to 1998: the frame trial at Uppsala, the longest that the rates are checked against
RICH = 12.0  # percent organic matter: beyond, a layer of fixed mass is no longer a fair picture (judged)
USUAL_RATIO = (1.2, 1.8)  # decay under a tunnel over open ground, `constants/tunnel_decay_ratio`


class HasPercent(Protocol):
    """An answer with a name and its organic matter in percent."""

    @property
    def name(self) -> str:
        """The strategy."""
        ...

    @property
    def percent(self) -> Spread:
        """Organic matter at the horizon, percent."""
        ...


def support_notes(known: Figures, best: Setting, answers: Sequence[HasPercent]) -> tuple[tuple[str, str], ...]:
    """Sentences, each with a short name, on what a result does not cover."""
    found: list[tuple[str, str]] = []
    plan = known.plan
    if isinstance(plan.site.climate, str):
        found.append(
            (
                "climate row",
                f"The climate row {plan.site.climate} is from memory: "
                "replace it by the twelve months of your own station.",
            )
        )
    if isinstance(plan.site.climate, SeriesClimate) and not _covers_horizon(known, plan.site.climate):
        found.append(("climate series", "Years beyond the end of your weather file repeat it from its start."))
    if plan.horizon.best > LONGEST_TRIAL:
        found.append(
            ("horizon", f"The trial behind the rates was checked for {LONGEST_TRIAL:.0f} years; beyond, it is a guess.")
        )
    rich = [answer.name for answer in answers if answer.percent.p50 > RICH]
    if rich:
        found.append(
            (
                "rich soil",
                f"{' and '.join(rich)}: over {RICH:.0f} % organic matter the layer grows thicker; "
                "the percentage is then only a rough guide.",
            )
        )
    ratio = tunnel_ratio(best)
    if ratio is not None:
        low, high = USUAL_RATIO
        outside = "" if low <= ratio <= high else f", outside the usual {low} to {high}"
        found.append(
            (
                "tunnel",
                f"A watered bed under cover decays {ratio:.2f} times as fast as open ground here{outside}; "
                "no field measurement of this is published.",
            )
        )
    if _weeds_without_mass(known):
        found.append(
            ("weeds", "No figure is published for what weeds leave: they count as nothing unless you give dry_tops.")
        )
    return tuple(found)


def tunnel_ratio(best: Setting) -> float | None:
    """Decay of a planted, watered bed under cover over planted open ground, mean of the year; None in open ground."""
    plan = best.figures.plan
    if plan.site.shelter == "open ground" or isinstance(plan.site.climate, FactorClimate):
        return None
    covered = Ground(True, True, True, False, "dug_once_factor")
    outside = Ground(True, False, False, False, "dug_once_factor")
    inside, open_ground = (
        np.mean([best.weather.factor((0, month), ground)[0] for month in range(12)]) for ground in (covered, outside)
    )
    return float(inside / open_ground)


def _covers_horizon(known: Figures, climate: SeriesClimate) -> bool:
    """Whether a weather file holds every year that is looked at."""
    series = series_of(known, climate)
    last = series.first_year + len(series.temperature) - 1
    return series.first_year <= known.plan.start.year and known.plan.end.year <= last


def _weeds_without_mass(known: Figures) -> bool:
    plan = known.plan
    return any(
        isinstance(action, Idle) and action.as_ == "weeds" and action.dry_tops is None
        for name in plan.strategies
        for action in plan.actions(name)
    )
