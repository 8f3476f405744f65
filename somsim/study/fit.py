"""Do the hours of a strategy fit into the hours there are? Week by week, and by task and month."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from somsim.draws import chance
from somsim.outcomes.money import is_hired
from somsim.outcomes.work import Job, done_by, work
from somsim.plan.model import Plan, shift
from somsim.simulate import Array, Trajectory
from somsim.study.equivalence import Spread, spread_of

Date = datetime.date
DAYS_A_YEAR = 365.25
WEEK = datetime.timedelta(days=7)
AT_A_TIME = 53  # weeks: all of a long plan in many draws would not fit into memory


@dataclass(frozen=True)
class FullWeek:
    """A week, from ``monday`` on, with more own hours in the middle world than there are; ``chance`` of that."""

    monday: Date
    hours: Spread
    available: float
    chance: float


@dataclass(frozen=True)
class Fit:
    """The weeks of a strategy that are too full, of ``weeks`` in all."""

    weeks: int
    full: tuple[FullWeek, ...]

    @property
    def fits(self) -> bool:
        """Whether no week is too full."""
        return not self.full

    @property
    def stretches(self) -> tuple[tuple[FullWeek, ...], ...]:
        """The weeks that are too full, those in a row together."""
        rows: list[list[FullWeek]] = []
        for week in self.full:
            if rows and week.monday - rows[-1][-1].monday == WEEK:
                rows[-1].append(week)
            else:
                rows.append([week])
        return tuple(tuple(row) for row in rows)


def own_and_hired(trajectory: Trajectory) -> tuple[list[Job], list[Job]]:
    """The jobs of one's own, and those that are paid for."""
    plan = trajectory.world.figures.plan
    hired = None if plan.money is None else plan.money.hired
    jobs = work(trajectory).jobs
    return (
        [job for job in jobs if not is_hired(hired, job.kind)],
        [job for job in jobs if is_hired(hired, job.kind)],
    )


def fit(plan: Plan, likely: Sequence[Job], jobs: Sequence[Job], draws: int) -> Fit | None:
    """Hold the own hours of each week against those of the plan; None when it says nothing of them.

    ``likely`` are the jobs with the best values, ``jobs`` the same in all draws.  A week has the hours of the month
    in which it begins.
    """
    if plan.hours_available is None:
        return None
    edges = week_edges(plan.start, plan.end)
    full = []
    for begin in range(0, len(edges) - 1, AT_A_TIME):
        part = edges[begin : begin + AT_A_TIME + 1]
        inside = tuple(min(max(day, plan.start), plan.end) for day in part)
        hours, best_hours = (
            weekly(some, inside, plan.site.beds.bed_area, count)
            for some, count in ((jobs, draws), (likely, 1))
        )
        for number, monday in enumerate(part[:-1]):
            there = plan.hours_available.per_week.months[monday.month - 1]
            if np.median(hours[number]) > there:
                spread = spread_of(best_hours[number, 0], hours[number])
                full.append(FullWeek(monday, spread, there, chance(hours[number] > there)))
    return Fit(len(edges) - 1, tuple(full))


def week_edges(start: Date, end: Date) -> tuple[Date, ...]:
    """The Mondays of a plan; the first and the last week may be short.

    >>> [day.isoformat() for day in week_edges(Date(2026, 10, 1), Date(2026, 10, 14))]
    ['2026-09-28', '2026-10-05', '2026-10-12', '2026-10-19']
    """
    monday = start - datetime.timedelta(days=start.weekday())
    count = -((monday - end).days // 7)
    return tuple(monday + WEEK * number for number in range(count + 1))


def weekly(jobs: Sequence[Job], edges: Sequence[Date], area: float, draws: int) -> Array:
    """Hours of each week on all beds (week, draw), of ``area`` m2 together."""
    found = np.zeros((len(edges) - 1, draws))
    here = [job for job in jobs if job.first < edges[-1] and job.last >= edges[0]]
    for job, part in zip(here, _parts(here, edges), strict=True):
        inside = np.flatnonzero(part)
        found[inside] += part[inside, np.newaxis] * (job.hours * job.share * area)
    return found


def by_month(jobs: Sequence[Job], plan: Plan) -> dict[str, Array]:
    """Hours by kind of job, in each month of the year, mean of the years (month, draw)."""
    first = Date(plan.start.year, plan.start.month, 1)
    months = (shift(first, number) for number in range(round(plan.horizon.best * 12.0) + 2))
    edges = (plan.start, *(day for day in months if plan.start < day < plan.end), plan.end)
    years = max((plan.end - plan.start).days / DAYS_A_YEAR, 1.0)
    found: dict[str, Array] = {}
    for job, part in zip(jobs, _parts(jobs, edges), strict=True):
        hours = found.setdefault(job.kind, np.zeros((12, len(job.hours))))
        for number in np.flatnonzero(part):
            mean = job.share * plan.site.beds.bed_area / years
            hours[edges[number].month - 1] += part[number] * job.hours * mean
    return found


def _parts(jobs: Sequence[Job], edges: Sequence[Date]) -> Array:
    """Share of each job that falls between each two edges (job, span)."""
    return np.asarray(np.diff(done_by([(job.first, job.last) for job in jobs], edges), axis=1))
