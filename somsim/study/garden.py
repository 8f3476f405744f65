"""Coming covers in the light of those that were weighed in this garden."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from somsim.draws import quantile
from somsim.draws.distribution import TAIL
from somsim.estimate.garden import Coming, coming_cut
from somsim.plan import parse_plan, write_plan
from somsim.plan.actions import Cover
from somsim.plan.model import Plan
from somsim.plan.occurrences import occurrences
from somsim.record import Facts, Record, as_recorded
from somsim.record.events import CutDone, Event
from somsim.simulate import Trajectory, simulate
from somsim.study.rewriting import worlds
from somsim.timeline.world import Array
from somsim.units import Amount

DRAWS, SEED = 256, 1
LEAST_LOG_SD = 1e-6
LEAST_SHARE = 0.05  # of the middle: a range of mass does not begin at nothing
Key = tuple[str, datetime.date]  # cover, day of the cut


@dataclass(frozen=True)
class Mass:
    """Dry mass of one cut over the draws: its median, kg/m2 of bed, and the spread of its logarithm."""

    middle: float
    log_sd: float


def with_garden(facts: Facts) -> Facts:
    """Facts in which the coming rounds of weighed covers take their mass from this garden and the published together.

    A mass that the plan gives as one number stays: it is taken at its word.
    """
    names = {event.name for event in facts.events if isinstance(event, CutDone) and is_weighed(event)}
    if not names:
        return facts
    cuts = _cuts_of(facts.plan, list(facts.plan.strategies))
    weighed = cuts[facts.followed]
    hoped = _cuts_of(unweighed(facts).plan, [facts.followed])[facts.followed]
    shared = _shared(facts.plan)
    found = {
        name: coming
        for name in sorted(names)
        if (coming := _coming(name, facts, weighed, hoped, shared)) is not None
    }
    change = {
        strategy: tuple(_told(action, found, cuts[strategy], facts) for action in actions)
        for strategy, actions in facts.plan.strategies.items()
    }
    always = tuple(_told(action, found, weighed, facts) for action in facts.plan.always or ()) or None
    update = facts.plan.model_copy(update={"strategies": change, "always": always})
    told = parse_plan(write_plan(update), facts.plan.source.name)
    return replace(facts, plan=told.with_record_until(facts.until))


def is_weighed(event: Event) -> bool:
    """Whether a line tells the mass of a cut."""
    return isinstance(event, CutDone) and (event.sample is not None or event.dry_tops is not None)


def unweighed(facts: Facts) -> Facts:
    """The same facts, had nothing been weighed."""
    bare = tuple(
        event.model_copy(update={"sample": None, "dry_tops": None}) if isinstance(event, CutDone) else event
        for event in facts.record.events
    )
    return as_recorded(facts.intended, Record(facts.record.path, bare, bare), facts.until)


def _shared(plan: Plan) -> float:
    best, _ = worlds(plan, 2, SEED)
    return float(best.figures.unknowns["constants/like_materials_correlation/value"].best)


def _cuts_of(plan: Plan, strategies: Sequence[str]) -> dict[str, dict[Key, Mass]]:
    """The mass of every cut of each strategy, by cover and day."""
    _, many = worlds(plan, DRAWS, SEED)
    return {name: {key: _mass(dry) for key, dry in tops_of(simulate(many, name)).items()} for name in strategies}


def _mass(dry: Array) -> Mass:
    low, middle, high = (float(value) for value in quantile(dry, (0.05, 0.5, 0.95)))
    return Mass(middle, (math.log(high) - math.log(low)) / (2.0 * TAIL) if low > 0.0 else 0.0)


def tops_of(trajectory: Trajectory) -> dict[Key, Array]:
    """Dry tops of each cut by cover and day, its plants together, kg/m2 of bed (draw,)."""
    sums: dict[Key, Array] = {}
    parts: dict[Key, set[str]] = {}
    for load in trajectory.timeline.arrivals.loads:
        key = (load.name, load.date)
        if load.kind == "tops" and load.plant not in parts.setdefault(key, set()):
            parts[key].add(load.plant)
            sums[key] = load.dry + sums[key] if key in sums else load.dry
    return sums


def _coming(
    name: str, facts: Facts, weighed: Mapping[Key, Mass], hoped: Mapping[Key, Mass], shared: float
) -> Coming | None:
    """What the weighed cuts of one cover say, or None where the plan's own mass is certain."""
    keys = [
        (event.name, event.date)
        for event in facts.events
        if isinstance(event, CutDone) and event.name == name and is_weighed(event)
    ]
    both = [(weighed[key], hoped[key]) for key in keys if key in weighed and key in hoped]
    if not both:
        return None
    spread = float(np.mean([mass.log_sd for _, mass in both]))
    if spread < LEAST_LOG_SD:
        return None
    return coming_cut(
        [mass.middle for mass, _ in both],
        [mass.middle for _, mass in both],
        [mass.log_sd for mass, _ in both],
        published_sd=spread,
        shared=shared,
    )


def _told(action: Any, found: Mapping[str, Coming], cuts: Mapping[Key, Mass], facts: Facts) -> Any:
    """A coming cover with its masses typed; whatever else is left as it is."""
    if not isinstance(action, Cover) or action.name not in found or not _is_coming(action, facts):
        return action
    masses = _first_round(action, cuts, facts)
    if masses is None:
        return action
    coming = found[action.name]
    told = [_range(mass.middle * coming.factor, coming.log_sd) for mass in masses]
    parts = tuple(
        cut.model_copy(update={"dry_tops": amount, "sample": None})
        for cut, amount in zip(action.cut, told, strict=True)
    )
    return action.model_copy(update={"cut": parts, "dry_tops": None, "sample": None})


def _is_coming(action: Cover, facts: Facts) -> bool:
    last = action.cut[-1].on
    return last.year is None or last.in_year(last.year) > facts.until


def _first_round(action: Cover, cuts: Mapping[Key, Mass], facts: Facts) -> list[Mass] | None:
    for one in occurrences(action, facts.plan.start, facts.plan.end):
        masses = [cuts.get((action.name, date)) for date in one.dates[1:]]
        if all(mass is not None and mass.log_sd >= LEAST_LOG_SD for mass in masses):
            return [mass for mass in masses if mass is not None]
    return None


def _range(middle: float, log_sd: float) -> Amount:
    """A range of dry mass around a median, as wide as a spread of the logarithm; twelve digits, as a plan holds it."""
    half = min(middle * math.sinh(TAIL * log_sd), middle * (1.0 - LEAST_SHARE))
    low, high = (float(f"{end:.12g}") for end in (middle - half, middle + half))
    return Amount(low, low + (high - low) / 2, high, f"{low:.12g} to {high:.12g} kg/m2")
