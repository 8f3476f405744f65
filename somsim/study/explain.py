"""A plan as it was understood: what happens when, what it brings, and where every number came from."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from somsim.draws import Unknown, best_values
from somsim.library import read_library
from somsim.plan.model import Plan, shift
from somsim.simulate import Trajectory, simulate
from somsim.study.seasons import season_notes, thin_cuts
from somsim.study.support import support_notes, tunnel_ratio
from somsim.timeline import Figures, figures, setting
from somsim.timeline.arrivals import in_twelve_months
from somsim.timeline.materials import heap, material
from somsim.timeline.world import DAYS_A_YEAR, HEAP, STOCK_OF, Load, World


@dataclass(frozen=True)
class Event:
    """One dated thing on the beds: kg C per m2 of the beds it is on; None where it brings none.

    ``basis`` says how its mass is known, where that is not plain.
    """

    date: datetime.date
    what: str
    where: str
    carbon: float | None
    basis: str = ""


@dataclass(frozen=True)
class Understood:
    """One strategy as understood: its first two years of events, and its climate factor month by month."""

    strategy: str
    events: tuple[Event, ...]
    factor: tuple[float, ...]
    rounds: int


@dataclass(frozen=True)
class HeapMade:
    """A heap of the plan by the best values: kg that go on fresh, C:N and moisture of the mix, and what it makes.

    ``mass`` kg, ``volume`` m3 and C:N are of the finished compost.  None where no figure is published.
    """

    name: str
    fresh: float
    carbon_to_nitrogen: float | None
    moisture: float
    mass: float
    volume: float | None
    finished_carbon_to_nitrogen: float | None


@dataclass(frozen=True)
class Explanation:
    """A whole plan as understood; ``numbers`` are all that it rests on."""

    figures: Figures
    strategies: tuple[Understood, ...]
    numbers: tuple[Unknown, ...]
    notes: tuple[tuple[str, str], ...]
    tunnel_ratio: float | None
    start_carbon: float
    layer_mass: float
    heaps: tuple[HeapMade, ...] = ()

    @property
    def summary(self) -> str:
        """One sentence: the plan holds, and what it is about."""
        plan, count = self.plan, len(self.plan.strategies)
        begin, end = (f"{date:%d %B %Y}".lstrip("0") for date in (plan.start, plan.end))
        return (
            f"{plan.title}: the plan holds. {count} strateg{'ies' if count > 1 else 'y'}, {begin} to {end}, "
            f"{plan.site.beds.bed_area:.3g} m2 of bed."
        )

    @property
    def plan(self) -> Plan:
        """The plan."""
        return self.figures.plan


def explain_plan(plan: Plan) -> Explanation:
    """Work a plan out with the best values and tell how it was understood.

    Raises
    ------
    InputError
        when a figure is missing in plan and library.
    """
    known = figures(plan, read_library())
    draws = best_values(known.unknowns)
    shared = setting(known, draws)
    runs = [simulate(shared, name) for name in plan.strategies]
    start = runs[0].timeline.start
    return Explanation(
        known,
        tuple(_understood(run, plan) for run in runs),
        tuple(known.unknowns[name] for name in sorted(draws.asked)),
        support_notes(known, shared, ()) + thin_cuts(runs, known.unknowns["constants/lowest_useful_cut/value"].best)
        + season_notes(runs, known),
        tunnel_ratio(shared),
        float(start.carbon[0]),
        float(start.mineral[0] + start.carbon[0] * start.factor[0]),
        tuple(_heaps(shared.world)),
    )


def _heaps(world: World) -> Iterator[HeapMade]:
    """Every heap that the plan lists the parts of, as built and as finished."""
    for name, own in world.figures.plan.materials.items():
        if own.heap is None:
            continue
        built, made = heap(world, own.heap), material(world, name, own)
        fresh = built.dry * (1.0 - world.loss("dry_matter_loss")) / made.dry_matter
        ratio = built.carbon_to_nitrogen
        yield HeapMade(
            name,
            float(built.fresh[0]),
            None if ratio is None else float(ratio[0]),
            float(1.0 - built.dry[0] / built.fresh[0]),
            float(fresh[0]),
            None if made.bulk_density is None else float(fresh[0] / made.bulk_density[0]),
            None if made.nitrogen is None else float(made.carbon[0] / made.nitrogen[0]),
        )


def _understood(run: Trajectory, plan: Plan) -> Understood:
    timeline = run.timeline
    soon = shift(plan.start, 24)
    events = [event for event in _events(run) if event.date < soon]
    return Understood(
        timeline.strategy,
        tuple(sorted(events, key=lambda event: (event.date, event.what))),
        _monthly_factor(run),
        len(timeline.happenings),
    )


def _events(run: Trajectory) -> list[Event]:
    timeline = run.timeline
    weighed = _weighed(timeline.arrivals.loads, run)
    found: dict[tuple[datetime.date, str, str, str], float] = {}
    for arrival in timeline.arrivals.arrivals:
        source = arrival.lane.source
        stock = next(words for words, number in STOCK_OF.items() if number == arrival.stock)
        what = f"{source}, {stock}" if arrival.lane.ending != "_roots" else source
        basis = weighed.get((arrival.date, source), "")
        key = (arrival.date, what, timeline.groups[arrival.lane.group].label, basis)
        found[key] = found.get(key, 0.0) + float(arrival.carbon[0])
    for flow in timeline.arrivals.flows:
        years = (flow.last - flow.first).days / DAYS_A_YEAR
        what = f"{flow.lane.source}, little by little until {flow.last}"
        key = (flow.first, what, timeline.groups[flow.lane.group].label, "")
        found[key] = found.get(key, 0.0) + float(flow.rate[0]) * years
    events = [Event(date, what, where, carbon, basis) for (date, what, where, basis), carbon in found.items()]
    gone: dict[tuple[datetime.date, str, str, object], float] = {}
    for load in timeline.arrivals.loads:
        if not load.kept:
            what = f"{load.name}: {load.kind} {load.fate}"
            taken = (load.date, what, weighed.get((load.date, _source(load)), ""), load.happening.where)
            gone[taken] = gone.get(taken, 0.0) + float(load.carbon[0])
    return events + [Event(date, what, "", carbon, basis) for (date, what, basis, _), carbon in gone.items()]


def _source(load: Load) -> str:
    return load.name if load.kind == "material" else f"{load.name}: {load.kind}"


def _weighed(loads: Sequence[Load], run: Trajectory) -> dict[tuple[datetime.date, str], str]:
    """What was cut or made weighs, and how that is known; the plants of a mix together."""
    dry: dict[tuple[datetime.date, str], float] = {}
    basis: dict[tuple[datetime.date, str], dict[str, None]] = {}
    for load in loads:
        if load.basis:
            key = (load.died if load.kept and load.died is not None else load.date, _source(load))
            dry[key] = dry.get(key, 0.0) + 10.0 * float(load.dry[0])
            basis.setdefault(key, {})[f"{load.basis}{_of_heap(load, run)}{_killed(load)}"] = None
    return {key: f"{dry[key]:.2g} t/ha dry, {' and '.join(known)}" for key, known in basis.items()}


def _killed(load: Load) -> str:
    return "" if load.died is None else f", killed by the frost of {load.died}"


def _of_heap(load: Load, run: Trajectory) -> str:
    """Volume of what a heap gives, and the C:N at which that heap was built, where it is known."""
    if getattr(load.happening.action, "heap_share", None) is None:
        return ""
    went_on = in_twelve_months([one for one in run.timeline.arrivals.loads if one.fate == HEAP], load.date)
    nitrogen = [one.nitrogen for one in went_on]
    said = "" if load.volume is None else f": {1000.0 * float(load.volume[0]):.2g} l/m2"
    if not went_on or any(part is None for part in nitrogen):
        return said
    held = sum(float(one.nitrogen[0]) * one.share for one in went_on if one.nitrogen is not None)
    carbon = sum(float(one.carbon[0]) * one.share for one in went_on)
    return f"{said}, built at C:N {carbon / held:.2g}"


def _monthly_factor(run: Trajectory) -> tuple[float, ...]:
    """Climate factor of each month of the year, January first, mean over days and beds."""
    timeline = run.timeline
    share = np.array([group.share for group in timeline.groups])
    values = (timeline.factor[..., 0] * share).sum(axis=1)
    weight, total = np.zeros(12), np.zeros(12)
    for number, begin in enumerate(timeline.dates[:-1]):
        days = (timeline.dates[number + 1] - begin).days
        weight[begin.month - 1] += days
        total[begin.month - 1] += days * values[number]
    return tuple(float(t / w) if w else 0.0 for t, w in zip(total, weight, strict=True))
