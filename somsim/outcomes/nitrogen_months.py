"""Nitrogen set free month by month, mean of the years and of the beds: what a crop finds when it stands."""

from __future__ import annotations

import datetime
from bisect import bisect_right
from dataclasses import dataclass

import numpy as np

from somsim.outcomes.nitrogen import harvests, parcel
from somsim.outcomes.release import from_humus, reached
from somsim.plan.actions import Crop
from somsim.plan.model import shift
from somsim.simulate import Array, Trajectory
from somsim.timeline.world import DAYS_A_YEAR

Date = datetime.date


def released_by_month(one: Trajectory, where: tuple[int, ...] | None = None) -> Array:
    """kg N/m2 of bed set free in each month of the year, January first (month, draw); tied up counts below nought.

    ``where`` are numbers of groups of beds, all by default.
    What is put down frees nitrogen evenly; humus frees it in each month as warmth and water let it decay.
    """
    found = np.zeros((12, one.timeline.problem.draws))
    groups = one.timeline.groups
    numbers = tuple(range(len(groups))) if where is None else where
    area = sum(groups[number].share for number in numbers)
    for number in numbers:
        key = ("nitrogen by month", number)
        if key not in one.worked:
            one.worked[key] = _from_loads(one, number) + _from_humus(one, number)
        found += groups[number].share / area * one.worked[key]
    times = one.timeline.times
    return found / max((times[-1] - times[0]).days / DAYS_A_YEAR, 1.0)


def _from_loads(one: Trajectory, group: int) -> Array:
    """All parcels of a group, by the month in which they come free."""
    here = one.timeline.groups[group]
    begin, end = one.timeline.times[0], one.timeline.times[-1]
    days = [begin, *_firsts(begin, end), end]
    months = np.array([day.month - 1 for day in days[:-1]])
    found = np.zeros((12, one.timeline.problem.draws))
    for load in one.timeline.arrivals.loads:
        if not load.kept or load.nitrogen is None or not load.happening.on(here) or not begin <= load.date < end:
            continue
        made = parcel(one, load, group)
        since = np.array([[(day - load.date).days / DAYS_A_YEAR] for day in days])
        freed = made.quick * reached(since, made.quick_years)
        freed += made.held * reached(since, made.held_years, made.quick_years)
        np.add.at(found, months, np.diff(freed, axis=0))
    return found


def _firsts(begin: Date, end: Date) -> list[Date]:
    """First days of months strictly between two dates."""
    found, day = [], shift(begin.replace(day=1), 1)
    while day < end:
        found.append(day)
        day = shift(day, 1)
    return found


def _from_humus(one: Trajectory, group: int) -> Array:
    """Nitrogen of humus by month: what each recorded period frees, shared out by the humus decay of its spans."""
    timeline, problem = one.timeline, one.timeline.problem
    lane = next(n for n, this in enumerate(timeline.lanes) if this.group == group)
    rates = np.broadcast_to(problem.humus_rate, (len(problem.humus_rate), problem.lanes, problem.draws))
    decay = rates[problem.pattern, lane] * np.asarray(problem.years)[:, np.newaxis]
    mine = [n for n, this in enumerate(timeline.lanes) if this.group == group]
    freed = from_humus(one.stocks.humus_respired[:, mine].sum(axis=1), one.world.constant("humus_carbon_nitrogen"))
    steps = np.diff(freed, axis=0)
    period = np.array([bisect_right(timeline.times, day) - 1 for day in timeline.dates[:-1]])
    whole = np.zeros_like(steps)
    np.add.at(whole, period, decay)
    share = np.divide(decay, whole[period], out=np.zeros_like(decay), where=whole[period] > 0.0)
    found = np.zeros((12, problem.draws))
    np.add.at(found, np.array([day.month - 1 for day in timeline.dates[:-1]]), share * steps[period])
    return found


def released_between(months: Array, first: Date, last: Date) -> Array:
    """kg N/m2 (draw,) of the months (month, draw) that falls between two dates, by days.

    >>> float(released_between(np.ones((12, 1)), Date(2027, 4, 16), Date(2027, 6, 1))[0])
    1.5
    """
    found = np.zeros(months.shape[1])
    day = first
    while day < last:
        following = min(shift(day.replace(day=1), 1), last)
        length = (shift(day.replace(day=1), 1) - day.replace(day=1)).days
        found += months[day.month - 1] * ((following - day).days / length)
        day = following
    return found


@dataclass(frozen=True)
class Need:
    """The first whole round of a crop, the numbers of the groups it stands on, and its nitrogen, kg/m2 (draw,)."""

    first: Date
    last: Date
    where: tuple[int, ...]
    amount: Array | None


def crop_needs(one: Trajectory) -> dict[str, Need]:
    """By crop: its first round, and kg N/m2 in its harvest and leftovers, None where no harvest is published.

    The total need alone: nobody published by which month these crops take it up.
    """
    leftovers = {
        (load.name, load.date): load.nitrogen for load in one.timeline.arrivals.loads if load.kind == "leftovers"
    }
    begin, end = one.timeline.times[0], one.timeline.times[-1]
    found: dict[str, Need] = {}
    taken = dict(harvests_by_crop(one))
    for happening in one.timeline.happenings:
        action, occurrence = happening.action, happening.occurrence
        if not isinstance(action, Crop) or occurrence.first < begin or occurrence.last >= end or action.name in found:
            continue
        harvest, left = taken.get(action.name), leftovers.get((action.name, occurrence.last))
        need = None if harvest is None else harvest + (0.0 if left is None else left)
        where = tuple(n for n, group in enumerate(one.timeline.groups) if happening.on(group))
        found[action.name] = Need(occurrence.first, occurrence.last, where, need)
    return found


def harvests_by_crop(one: Trajectory) -> dict[str, Array | None]:
    """kg N/m2 in one harvest of each crop (draw,); None where nobody published it."""
    names = [
        happening.action.name
        for happening in one.timeline.happenings
        if isinstance(happening.action, Crop)
        and one.timeline.times[0] <= happening.occurrence.last < one.timeline.times[-1]
    ]
    amounts = [amount for _, amount in harvests(one, "nitrogen")]
    return dict(zip(names, amounts, strict=True))
