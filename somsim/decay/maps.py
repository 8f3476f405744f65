"""The map of each kind of round in a block of draws: all steps of all kinds are taken together, then put in a row."""

from dataclasses import dataclass

import numpy as np

from somsim.decay.fates import (
    Onward,
    Step,
    at_the_end,
    before,
    carried,
    dug_in,
    fate_of_humus,
    fate_of_inflow,
    fate_of_stock,
    of_lanes,
)
from somsim.decay.problem import Array, Problem, part_of
from somsim.decay.rounds import Kind, Proportions, Window

Patterns = tuple[int, ...]


@dataclass(frozen=True)
class Stretch:
    """Spans first to last of a round, the steps they are taken in, and the windows that are open all along."""

    first: int
    steps: tuple[Patterns, ...]
    patterns: Patterns
    open: tuple[Window, ...]


@dataclass(frozen=True)
class Layout:
    """Which steps and flows the kinds of a problem need: the same in every block."""

    kinds: tuple[Kind, ...]
    stretches: tuple[tuple[Stretch, ...], ...]
    """By kind."""
    steps: tuple[Patterns, ...]
    """All that are needed, each once."""
    flows: tuple[tuple[int, int], ...]
    """(pattern, lane) of all spans with an inflow, each once."""
    surface: slice | None
    years: Array
    """(pattern,) length in years."""


@dataclass(frozen=True)
class Map:
    """What a kind of round does, in some draws."""

    start: Onward
    """What becomes of a kg C that is there at the start."""
    entries: dict[int, Onward]
    """What becomes of a kg C that is added at a boundary."""
    windows: dict[Window, Array]
    """The fate (4, draw) of a flow of 1 kg C/m2/yr."""
    years: dict[Window, float]
    """How long each is open."""


def layout(problem: Problem, kinds: tuple[Kind, ...], surface: slice | None) -> Layout:
    """Find out what has to be computed."""
    ratios = Proportions(problem, surface)
    stretches = tuple(_stretches(kind, ratios) for kind in kinds)
    every = [stretch for ours in stretches for stretch in ours]
    steps = tuple(dict.fromkeys(step for stretch in every for step in stretch.steps))
    flows = tuple(
        dict.fromkeys(
            (pattern, window.lane) for stretch in every for window in stretch.open for pattern in stretch.patterns
        )
    )
    years = np.zeros(int(problem.pattern.max()) + 1)
    years[problem.pattern] = problem.years
    return Layout(kinds, stretches, steps, flows, surface, years)


def _stretches(kind: Kind, ratios: Proportions) -> tuple[Stretch, ...]:
    made = []
    for first, last in kind.stretches():
        patterns = kind.patterns[first:last]
        steps = (patterns,) if ratios.kept(patterns) else tuple((pattern,) for pattern in patterns)
        running = tuple(window for window in kind.windows if window.first <= first and last <= window.last)
        made.append(Stretch(first, steps, patterns, running))
    return tuple(made)


def maps(problem: Problem, plan: Layout, low: int, high: int) -> tuple[Map, ...]:
    """The map of each kind, for draws `low` to `high`."""
    years = plan.years[:, np.newaxis, np.newaxis]
    count = len(plan.years)
    rates = [
        part_of(rate[:count], low, high) * years
        for rate in (problem.residue_rate, problem.humus_rate, problem.surface_rate)
    ]
    humified = part_of(problem.humified, low, high)
    steps, flows = _steps(plan, rates, humified), _flows(plan, rates, humified)
    return tuple(_map(plan, number, steps, flows) for number in range(len(plan.kinds)))


def _total(rate: Array, patterns: Patterns) -> Array:
    """Added one by one: numpy's own sum takes another order when a block is one draw wide."""
    total: Array = rate[patterns[0]]
    for number, pattern in enumerate(patterns[1:]):
        total = np.add(total, rate[pattern], out=total if number else None)
    return total


def _steps(plan: Layout, rates: list[Array], humified: Array) -> dict[Patterns, Step]:
    residue, humus, surface = (np.stack([_total(rate, step) for step in plan.steps]) for rate in rates)
    of_residue, of_humus = fate_of_stock(residue, humus, humified), fate_of_humus(humus)
    on_top: Array | None = None
    if plan.surface is not None:
        on_top = fate_of_stock(*(of_lanes(values, plan.surface) for values in (surface, humus, humified)))
    return {
        step: Step(of_residue[:, n], of_humus[:, n], None if on_top is None else on_top[:, n])
        for n, step in enumerate(plan.steps)
    }


def _flows(plan: Layout, rates: list[Array], humified: Array) -> dict[tuple[int, int], tuple[Array, Step]]:
    """For each span and lane with an inflow: the fate of the flow, and what the span does to what is there."""
    if not plan.flows:
        return {}

    def row(values: Array, lane: int) -> Array:
        picked: Array = values[lane if len(values) > 1 else 0]
        return picked

    residue, humus = (np.stack([row(rate[pattern], lane) for pattern, lane in plan.flows]) for rate in rates[:2])
    share = np.stack([row(humified, lane) for _, lane in plan.flows])
    years = plan.years[[pattern for pattern, _ in plan.flows], np.newaxis]
    flow = fate_of_inflow(residue, humus, share, years=years)
    stock, of_humus = fate_of_stock(residue, humus, share), fate_of_humus(humus)
    one = [slice(n, n + 1) for n in range(len(plan.flows))]
    return {
        key: (flow[:, one[n]], Step(stock[:, one[n]], of_humus[:, one[n]], None)) for n, key in enumerate(plan.flows)
    }


def _map(
    plan: Layout, number: int, steps: dict[Patterns, Step], flows: dict[tuple[int, int], tuple[Array, Step]]
) -> Map:
    """From the end of the round back to its start, stretch by stretch."""
    kind, surface = plan.kinds[number], plan.surface
    after = at_the_end(surface is not None)
    wanted = {entry.stop for entry in kind.entries}
    entries: dict[int, Onward] = {}
    windows: dict[Window, Array] = {}
    for stretch in reversed(plan.stretches[number]):
        for window in stretch.open:
            fate = _through(window.lane, stretch.patterns, after, flows)
            windows[window] = windows[window] + fate if window in windows else fate
        for step in reversed(stretch.steps):
            after = before(steps[step], after, surface)
        for dig in reversed(kind.digs):
            if dig.stop == stretch.first:
                after = dug_in(after, dig.lanes, dig.share, surface)
        if stretch.first in wanted:
            entries[stretch.first] = after
    years = plan.years[list(kind.patterns)]
    open_for = {window: float(np.sum(years[window.first : window.last])) for window in windows}
    return Map(after, entries, windows, open_for)


def _through(
    lane: int, patterns: Patterns, after: Onward, flows: dict[tuple[int, int], tuple[Array, Step]]
) -> Array:
    """The fate (4, draw), by the end of the round, of a flow of 1 kg C/m2/yr all along these spans of one lane."""
    only = slice(lane, lane + 1)
    after = Onward(of_lanes(after.residue, only), of_lanes(after.humus, only), None)
    total: Array | None = None
    for pattern in reversed(patterns):
        flow, step = flows[pattern, lane]
        fate = carried(flow, after.residue, after.humus)
        total = fate if total is None else total + fate
        after = before(step, after, None)
    assert total is not None
    return total[:, 0]
