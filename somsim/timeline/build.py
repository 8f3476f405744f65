"""From a strategy of a plan to what the decay model works out: spans, lanes, additions, flows."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from somsim.decay import Addition, Inflow, Problem, Stocks, Transfer
from somsim.draws import Draws
from somsim.errors import InputError
from somsim.plan.mistakes import at
from somsim.plan.model import shift
from somsim.timeline.arrivals import arrivals
from somsim.timeline.figures import Figures
from somsim.timeline.ground import Group, Happening, digs, edges, grounds, groups, happenings
from somsim.timeline.rates import Rates, rates, span_keys
from somsim.timeline.start import SoilStart, soil_start
from somsim.timeline.weather import Ground, Weather, weather
from somsim.timeline.world import START, Arrivals, Lane, World

Array = NDArray[np.float64]
Date = datetime.date
Record = Literal["years", "months"]
Solve = Callable[[Problem], Stocks]


@dataclass(frozen=True)
class Timeline:
    """One strategy made ready: dates, lanes and the problem to solve, per draw.

    ``dates`` are the boundaries of the spans; ``times`` those at which stocks are recorded.  ``mineral`` is the
    mineral mass of the layer at those times, kg/m2 (time, group, draw).  ``ground`` is by group, then span.
    """

    strategy: str
    groups: tuple[Group, ...]
    dates: tuple[Date, ...]
    times: tuple[Date, ...]
    lanes: tuple[Lane, ...]
    problem: Problem
    start: SoilStart
    mineral: Array
    happenings: tuple[Happening, ...]
    arrivals: Arrivals
    ground: tuple[tuple[Ground, ...], ...]
    factor: Array
    isohumic: NDArray[np.bool_]


@dataclass(frozen=True)
class Setting:
    """What all strategies of a plan share in one set of draws."""

    figures: Figures
    draws: Draws
    weather: Weather
    groups: tuple[Group, ...]
    isohumic: NDArray[np.bool_]

    @property
    def world(self) -> World:
        """The figures and the draws of them."""
        return World(self.figures, self.draws)


def setting(figures: Figures, draws: Draws, end: Date | None = None) -> Setting:
    """Prepare the weather, the groups of beds and the family of each draw."""
    until = end or figures.plan.end
    weight = figures.unknowns["constants/isohumic_weight/value"].best
    return Setting(figures, draws, weather(figures, draws, until), groups(figures.plan), draws.isohumic(weight))


def timeline(
    shared: Setting,
    strategy: str,
    *,
    solve: Solve,
    record: Record = "years",
    end: Date | None = None,
) -> Timeline:
    """Make one strategy of a plan ready.

    Parameters
    ----------
    shared : Setting
    strategy : str, a name of the plan
    solve : how a problem is solved; recent practice (``before``) is run with it to find the starting residue
    record : which boundaries are recorded: anniversaries of the start, or also every first of a month
    end : date, later than the plan's own end where actions are to go on

    Raises
    ------
    InputError
        when a number is missing in plan and library, or recent practice holds more residue than the soil.
    """
    plan = shared.figures.plan
    stop = end or plan.end
    made = assemble(shared, plan.actions(strategy), plan.start, stop, record)
    start = soil_start(shared.world)
    lanes, first = _start_lanes(shared, start, solve)
    return _finish(shared, strategy, made, start, lanes, first)


@dataclass(frozen=True)
class Parts:
    """A strategy on its way to a problem: boundaries, what happens, the state of the ground, what arrives."""

    days: list[Date]
    record: list[int]
    happening: tuple[Happening, ...]
    ground: list[list[Ground]]
    arrivals: Arrivals
    begin: Date


def assemble(
    shared: Setting,
    actions: tuple[object, ...],
    start: Date,
    end: Date,
    record: Record,
    extra: set[Date] | None = None,
) -> Parts:
    """Lay the actions out in time; ``extra`` are dates that must be boundaries too."""
    plan = shared.figures.plan
    happening = happenings(plan, actions, start, end)
    years = [shift(start, 12 * year) for year in range(1, end.year - start.year + 2)]
    marks = [start, *(day for day in years if day < end), end]
    here = tuple(tuple(number for number, group in enumerate(shared.groups) if one.on(group)) for one in happening)
    brought = arrivals(shared.world, happening, here)
    days = edges(plan, happening, start, end, {*marks, *(extra or ()), *brought.days})
    if record == "months":
        marks = sorted({*marks, *(day for day in days if day.day == 1)})
    return Parts(
        days,
        [days.index(day) for day in marks],
        happening,
        [grounds(plan, happening, group, days, start) for group in shared.groups],
        brought,
        start,
    )


def lanes_of(made: Arrivals) -> tuple[Lane, ...]:
    """Every lane that something arrives in, once, in order."""
    found = [*(item.lane for item in made.arrivals), *(item.lane for item in made.flows)]
    return tuple(dict.fromkeys(found))


def _finish(
    shared: Setting,
    strategy: str,
    parts: Parts,
    start: SoilStart,
    start_lanes: tuple[Lane, ...],
    first: Array,
) -> Timeline:
    lanes = (*start_lanes, *lanes_of(parts.arrivals))
    problem, made = problem_of(shared, parts, lanes, first)
    return Timeline(
        strategy,
        shared.groups,
        tuple(parts.days),
        tuple(parts.days[i] for i in parts.record),
        lanes,
        problem,
        start,
        _mineral(shared, parts, start),
        parts.happening,
        parts.arrivals,
        tuple(tuple(states) for states in parts.ground),
        made.factor,
        shared.isohumic,
    )


def problem_of(shared: Setting, parts: Parts, lanes: tuple[Lane, ...], first: Array) -> tuple[Problem, Rates]:
    """The problem to solve, and the rates it was made with; ``first`` are the starting stocks of the first lanes."""
    days = parts.days
    span_of = {day: number for number, day in enumerate(days)}
    number_of = {lane: number for number, lane in enumerate(lanes)}
    keys = span_keys(days, parts.ground, shared.weather)
    made = rates(shared.world, shared.weather, keys, lanes, shared.isohumic)
    start = np.zeros((3, len(lanes), shared.draws.count))
    start[:, : first.shape[1]] = first
    additions = tuple(
        Addition(span_of[item.date], number_of[item.lane], item.stock, item.carbon)
        for item in parts.arrivals.arrivals
        if days[0] <= item.date <= days[-1]
    )
    inflow = tuple(
        Inflow(span_of[begin], span_of[stop], number_of[item.lane], item.rate)
        for item in parts.arrivals.flows
        if (begin := max(item.first, days[0])) < (stop := min(item.last, days[-1]))
    )
    problem = Problem(
        years=made.years,
        pattern=made.pattern,
        surface_rate=made.surface,
        residue_rate=made.residue,
        humus_rate=made.humus,
        humified=made.humified,
        inflow=inflow,
        start=start,
        additions=additions,
        transfers=_transfers(shared, parts, lanes, span_of),
        record=np.array(parts.record),
    )
    return problem, made


def _transfers(
    shared: Setting, parts: Parts, lanes: tuple[Lane, ...], span_of: dict[Date, int]
) -> tuple[Transfer, ...]:
    """Every digging takes what lies on the surface of its groups into the layer."""
    found: dict[tuple[int, int], Transfer] = {}
    for one in parts.happening:
        date = one.occurrence.last
        if not digs(one) or not parts.days[0] <= date <= parts.days[-1]:
            continue
        for number, group in enumerate(shared.groups):
            if one.on(group):
                dug = np.array([i for i, lane in enumerate(lanes) if lane.group == number], dtype=np.int64)
                found[span_of[date], number] = Transfer(span_of[date], dug)
    return tuple(found.values())


def _mineral(shared: Setting, parts: Parts, start: SoilStart) -> Array:
    """kg/m2 (time, group, draw): what the soil began with and the ash of everything spread since."""
    mineral = np.tile(start.mineral, (len(parts.record), len(shared.groups), 1))
    times = [parts.days[i] for i in parts.record]
    for load in parts.arrivals.loads:
        if load.ash is None:
            continue
        for number, group in enumerate(shared.groups):
            if load.happening.on(group):
                later = [time > load.date for time in times]
                mineral[later, number] += load.ash
    return mineral


def _start_lanes(shared: Setting, start: SoilStart, solve: Solve) -> tuple[tuple[Lane, ...], Array]:
    """Lanes of what the soil starts with, and their stocks (3, lane, draw)."""
    numbers = range(len(shared.groups))
    own = tuple(Lane(START, "residues", "straw", "", number) for number in numbers)
    plan = shared.figures.plan
    if plan.before is None:
        first = np.zeros((3, len(own), shared.draws.count))
        first[1], first[2] = start.residue, start.carbon - start.residue
        return own, first
    before, stocks = _periodic(shared, solve)
    named = tuple(replace(lane, source=START) for lane in before)
    lanes, first = (*own, *named), np.zeros((3, len(own) + len(named), shared.draws.count))
    first[:2, len(own) :] = stocks
    for number in numbers:
        mine = [len(own) + place for place, lane in enumerate(before) if lane.group == number]
        in_layer = np.sum(first[1, mine], axis=0)
        if np.median(in_layer - start.carbon) > 0.0:
            message = "this practice leaves more residue in the soil than the soil holds in all"
            hint = "check the amounts, or the soil test"
            raise InputError([at(plan.before[0].place, message, plan.source, hint)])
        # A draw of a poor soil and a slow residue may still pass the stock: year 0 reads as typed all the same.
        room = np.divide(start.carbon, in_layer, out=np.ones_like(in_layer), where=in_layer > 0.0)
        first[1, mine] *= np.minimum(room, 1.0)
        first[2, number] = np.maximum(start.carbon - in_layer, 0.0)
    return lanes, first


def _periodic(shared: Setting, solve: Solve) -> tuple[tuple[Lane, ...], Array]:
    """Residue (2, lane, draw), surface and layer, that a year of recent practice brings back to itself.

    The year is affine in its starting residue, so three runs of one year give it exactly: from nothing, and what
    is left of 1 kg on the surface and of 1 kg in the layer.
    """
    plan = shared.figures.plan
    end = shift(plan.start, 12)
    parts = assemble(shared, plan.before or (), plan.start, end, "years")
    lanes = lanes_of(parts.arrivals)
    empty = np.zeros((3, len(lanes), shared.draws.count))
    if not lanes:
        return lanes, empty[:2]
    problem, _ = problem_of(shared, parts, lanes, empty)
    problem = replace(problem, record=np.array([len(problem.years)]))
    from_nothing = _last(solve(problem))
    quiet = replace(problem, additions=(), inflow=())
    unit = np.zeros_like(empty)
    unit[0] = 1.0
    of_surface = _last(solve(replace(quiet, start=unit)))
    of_layer = _last(solve(replace(quiet, start=np.roll(unit, 1, axis=0))))
    if plan.before and np.any(np.maximum(of_surface[0], of_layer[1]) >= 1.0):
        message = "nothing decays here, so what was done before never came to rest"
        hint = "check the climate and the rates of decay, or leave before out"
        raise InputError([at(plan.before[0].place, message, plan.source, hint)])
    surface = from_nothing[0] / (1.0 - of_surface[0])
    layer = (from_nothing[1] + of_surface[1] * surface) / (1.0 - of_layer[1])
    return lanes, np.stack([surface, layer])


def _last(stocks: Stocks) -> Array:
    return np.stack([stocks.surface[-1], stocks.residue[-1]])
