"""One round of a cover followed on its own, beside a millimetre of compost put down the same day."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from somsim.decay import Stocks
from somsim.plan.actions import Cover, Crop, Spread
from somsim.plan.model import shift
from somsim.plan.occurrences import meet
from somsim.plan.site import FactorClimate
from somsim.timeline.build import Parts, Setting, Solve, assemble, lanes_of, problem_of
from somsim.timeline.cuts import plants_of, stage_of
from somsim.timeline.ground import Happening
from somsim.timeline.growing import warmth
from somsim.timeline.materials import carbon_per_volume
from somsim.timeline.world import DAYS_A_YEAR, HEAP, STOCK_OF, SURFACE, Arrival, Arrivals, Date, Lane, Load

Array = NDArray[np.float64]
MILLIMETRE = 0.001  # m
ALMOST = 0.02  # of a round: a leap day more or less does not decide whether one fits


@dataclass(frozen=True)
class Pulse:
    """What is left of one round of a cover, and of 1 mm of compost, some months after the cover's last cut.

    ``added`` and ``left`` are kg C per m2 of bed: (draw,) and (time, draw); for the compost per mm.  ``months``
    (time,).  ``rounds_a_year`` is how many of it would fit between the other crops.  ``pressed`` is the measured
    volume of its compressed tops, m3/m2 (draw,), or None.
    """

    cover: str
    compost: str
    months: tuple[int, ...]
    added: Array
    left: Array
    compost_added: Array
    compost_left: Array
    rounds_a_year: float
    tops_kept: bool
    pressed: Array | None

    @property
    def lasting(self) -> Array:
        """mm of compost (time, draw) that leave as much as one round of the cover."""
        return self.left / self.compost_left

    @property
    def on_the_day(self) -> Array:
        """mm of compost (draw,) that bring as much carbon as one round of the cover."""
        return self.added / self.compost_added


def covers_of(shared: Setting, strategy: str) -> dict[str, Happening]:
    """The first whole round of each cover of a strategy; what a record tells of the past is no choice any more."""
    plan = shared.figures.plan
    parts = assemble(shared, plan.actions(strategy), plan.start, plan.end, "years")
    found: dict[str, Happening] = {}
    for one in parts.happening:
        whole = one.occurrence.first >= plan.start and one.occurrence.last < plan.end
        done = plan.recorded_until is not None and one.occurrence.last <= plan.recorded_until
        if isinstance(one.action, Cover) and whole and not done:
            found.setdefault(one.action.name, one)
    return found


def pulse(
    shared: Setting, strategy: str, cover: Happening, compost: str, months: tuple[int, ...], solve: Solve
) -> Pulse:
    """Follow one round of a cover, and 1 mm of compost, through the ground as the strategy treats it.

    Both lie where the plan puts them, in the same weather.  The actions of the strategy go on to the last of the
    months, so that the ground is planted, watered and dug as before.
    """
    last = cover.occurrence.last
    parts, times = _laid(shared, strategy, last, months)
    group = _first_group(shared, cover)
    lane = Lane(compost, "materials", compost, "", group)
    spread = _spread_of(shared, compost)
    per_mm = carbon_per_volume(shared.world, compost, spread or cover.action) * MILLIMETRE
    stock = STOCK_OF[spread.then if spread is not None else "left on surface"]
    own = [item for item in parts.arrivals.arrivals if _is(item.happening, cover) and item.lane.group == group]
    flows = [item for item in parts.arrivals.flows if _is(item.happening, cover) and item.lane.group == group]
    marked = Arrivals((*own, Arrival(last, lane, stock, per_mm, cover)), tuple(flows), (), ())
    lanes, stocks = _followed(shared, parts, marked, times, solve)
    is_compost = np.array([one == lane for one in lanes])
    pressed = shared.figures.of_plan(cover.action, "pressed_volume")
    return Pulse(
        cover.action.name,
        compost,
        months,
        stocks.added[-1, ~is_compost].sum(axis=0),
        stocks.total[:, ~is_compost].sum(axis=1),
        stocks.added[-1, is_compost].sum(axis=0),
        stocks.total[:, is_compost].sum(axis=1),
        _rounds_a_year(shared, parts.happening, cover),
        any(cover.action.fate(number) in STOCK_OF for number in range(len(cover.action.cut))),
        None if pressed is None else shared.draws.of(pressed),
    )


def _laid(shared: Setting, strategy: str, begin: Date, months: tuple[int, ...]) -> tuple[Parts, tuple[Date, ...]]:
    """The actions of a strategy up to the last of some months after a date, and those dates."""
    plan = shared.figures.plan
    times = tuple(shift(begin, count) for count in months)
    return assemble(shared, plan.actions(strategy), plan.start, times[-1], "years", extra=set(times)), times


def _followed(
    shared: Setting, parts: Parts, marked: Arrivals, times: tuple[Date, ...], solve: Solve
) -> tuple[tuple[Lane, ...], Stocks]:
    """What becomes of some arrivals alone, in ground treated as ``parts`` says, at some dates."""
    lanes = lanes_of(marked)
    empty = np.zeros((3, len(lanes), shared.draws.count))
    problem, _ = problem_of(shared, replace(parts, arrivals=marked), lanes, empty)
    return lanes, solve(replace(problem, record=np.array([parts.days.index(time) for time in times])))


@dataclass(frozen=True)
class HeapPath:
    """One kg of plant carbon taken to the heap and spread as compost, beside the same left lying where it grew.

    ``heaped`` and ``left`` are the kg C still there some months after the cut (time, draw).
    """

    plant: str
    material: str
    months: tuple[int, ...]
    heaped: Array
    left: Array


def heap_paths(shared: Setting, strategy: str, months: tuple[int, ...], solve: Solve) -> tuple[HeapPath, ...]:
    """Both ways for each plant that a strategy carts to the heap and spreads again (``heap_share``).

    Left in place it lies on the surface of its own bed from the day it was cut; heaped, what composting leaves of it
    is spread on the first spreading day that follows, as and where the plan spreads it.
    """
    plan = shared.figures.plan
    parts = assemble(shared, plan.actions(strategy), plan.start, plan.end, "years")
    spreadings = [
        one for one in parts.happening if isinstance(one.action, Spread) and one.action.heap_share is not None
    ]
    found: dict[str, HeapPath] = {}
    for load in parts.arrivals.loads:
        later = [one for one in spreadings if one.occurrence.first >= load.date]
        if load.fate == HEAP and later and load.name not in found:
            spreading = min(later, key=lambda one: one.occurrence.first)
            found[load.name] = _heap_path(shared, strategy, load, spreading, months, solve)
    return tuple(found.values())


def _heap_path(
    shared: Setting, strategy: str, load: Load, spreading: Happening, months: tuple[int, ...], solve: Solve
) -> HeapPath:
    parts, times = _laid(shared, strategy, load.date, months)
    material = spreading.action.material
    heap_lane = Lane(material, "materials", material, "", _first_group(shared, spreading))
    plant_lane = _plant_lane(shared, load)
    kept = 1.0 - shared.world.loss("carbon_loss")
    one_kg = np.ones(shared.draws.count)
    date, stock = spreading.occurrence.first, STOCK_OF[spreading.action.then]
    marked = Arrivals(
        (
            Arrival(load.date, plant_lane, SURFACE, one_kg, load.happening),
            Arrival(date, heap_lane, stock, kept * one_kg, spreading),
        ),
        (),
        (),
        (),
    )
    lanes, stocks = _followed(shared, parts, marked, times, solve)
    heaped, left = (stocks.total[:, lanes.index(lane)] for lane in (heap_lane, plant_lane))
    return HeapPath(load.name, material, months, heaped, left)


def _plant_lane(shared: Setting, load: Load) -> Lane:
    """The lane in which what went to the heap would have decayed on its own bed."""
    action, group = load.happening.action, _first_group(shared, load.happening)
    if isinstance(action, Cover):
        name = next(iter(plants_of(action)))
        stage = stage_of(shared.figures, action, name)
        return Lane(f"{load.name}: left in place", "covers", name, f"_{stage}", group)
    return Lane(f"{load.name}: left in place", "crops", load.name, "", group)


def _first_group(shared: Setting, one: Happening) -> int:
    return next(number for number, group in enumerate(shared.groups) if one.on(group))


def _is(one: Happening, other: Happening) -> bool:
    return one.action is other.action and one.occurrence.dates == other.occurrence.dates


def _spread_of(shared: Setting, material: str) -> Spread | None:
    plan = shared.figures.plan
    for name in plan.strategies:
        for action in plan.actions(name):
            if isinstance(action, Spread) and action.material == material:
                return action
    return None


def compost_of(shared: Setting) -> str:
    """The compost that covers are measured against.

    The plan's choice, else the first compost or manure that it spreads, else garden compost.
    """
    plan = shared.figures.plan
    if plan.compare_with is not None:
        return plan.compare_with
    for name in plan.strategies:
        for action in plan.actions(name):
            if isinstance(action, Spread):
                kind = shared.figures.kind_of_residue("materials", action.material)
                if kind in ("compost", "manure", "aged_manure", "poultry_manure"):
                    return action.material
    return "garden compost"


def others_beside(happening: tuple[Happening, ...], cover: Happening) -> list[tuple[Date, Date]]:
    """When the ground of a cover has something else on it, in the year from its sowing on, in order of date."""
    begin = cover.occurrence.first
    end = shift(begin, 12)
    return sorted(
        (max(one.occurrence.first, begin), min(one.occurrence.last, end))
        for one in happening
        if isinstance(one.action, Crop | Cover)
        and one.action is not cover.action
        and meet(one.where, cover.where)
        and one.occurrence.first < end
        and one.occurrence.last > begin
    )


def _rounds_a_year(shared: Setting, happening: tuple[Happening, ...], cover: Happening) -> float:
    """How many covers as long as this one fit into a mean year of the plan, between what else stands on its beds.

    A round needs the days, and where the weather is known the warmth and light, of the cover as it is grown.
    """
    plan = shared.figures.plan
    begin, end = plan.start, max(plan.end, shift(plan.start, 12))
    own = [
        one
        for one in happening
        if one.action is cover.action and begin <= one.occurrence.first < end and meet(one.where, cover.where)
    ]
    others = sorted(
        (one.occurrence.first, one.occurrence.last)
        for one in happening
        if isinstance(one.action, Crop | Cover) and one.action is not cover.action and meet(one.where, cover.where)
    )
    fits, free = 0, begin
    for first, last in [*others, (end, end)]:
        if first > free:
            fits += _fit_between(shared, cover, free, min(first, end))
        free = max(free, last)
        if free >= end:
            break
    return max(fits, len(own)) / ((end - begin).days / DAYS_A_YEAR)


def _fit_between(shared: Setting, cover: Happening, first: Date, last: Date) -> int:
    """How many rounds of a cover fit between two dates."""
    sown, ended = cover.occurrence.first, cover.occurrence.last
    by_days = max((last - first).days, 0) // max((ended - sown).days, 1)
    entry = shared.figures.entry("covers", next(iter(plants_of(cover.action))))
    if by_days == 0 or entry is None or isinstance(shared.figures.plan.site.climate, FactorClimate):
        return by_days
    covered = shared.figures.plan.site.shelter != "open ground"
    needed = warmth(shared.figures, entry, sown, ended, covered)
    if needed <= 0.0:
        return by_days
    return min(by_days, int(warmth(shared.figures, entry, first, last, covered) / needed + ALMOST))
