"""From a strategy to a year's work: what to order, what to do when and where, and how long it takes."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from somsim.draws import Draws, best_values
from somsim.errors import InputError, Problem
from somsim.library import read_library
from somsim.outcomes.money import CENTS, LINES, SALES, Ledger, ledger, year_ends
from somsim.outcomes.work import USUAL, done_by, tool_of, work
from somsim.plan.model import Plan
from somsim.simulate import Array, Trajectory, simulate
from somsim.study.compare import DEFAULT_DRAWS, DEFAULT_SEED
from somsim.study.equivalence import Spread, spread_of
from somsim.study.fit import fit, own_and_hired, week_edges, weekly
from somsim.study.limits_found import loads_held
from somsim.study.project import chosen
from somsim.study.season_cautions import Minded, minded
from somsim.study.season_orders import orders
from somsim.study.season_strip import strip
from somsim.study.season_tasks import tasks
from somsim.study.season_types import Date, Season, Week
from somsim.timeline import figures, setting

DEFAULT_AHEAD = 28  # days; a bought material can be tried out on peas or beans in that time
FIRST_CALENDAR_YEAR = 1000  # a smaller number is a year of the plan


@dataclass(frozen=True)
class Runs:
    """A strategy with the best values and in all draws, and the part of it that is asked for."""

    best: Trajectory
    many: Trajectory
    number: int
    first: Date
    end: Date

    @property
    def plan(self) -> Plan:
        """The plan."""
        return self.best.world.figures.plan


def season_study(
    plan: Plan,
    strategy: str | None = None,
    year: int | None = None,
    *,
    today: Date | None = None,
    ahead: int = DEFAULT_AHEAD,
    draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
) -> Season:
    """Lay out one year of a strategy as work.

    Parameters
    ----------
    plan : Plan
    strategy : str, not needed when there is only one
    year : int, a calendar year, or a year of the plan from 1; by default the one ``today`` falls in, else the first
    today : date
    ahead : int, days between the order of a thing and the day it is wanted
    draws, seed : int, as in a comparison: the same give the same figures

    Raises
    ------
    InputError
        for a strategy or a year that is not in the plan, or a figure that is missing.
    """
    name = chosen(plan, strategy)
    number, first, end = year_asked(plan, year, today)
    known = figures(plan, read_library())
    correlation = known.unknowns["constants/like_materials_correlation/value"].best
    best, drawn = (
        setting(known, best_values(known.unknowns)),
        setting(known, Draws(draws, seed, known.unknowns, correlation)),
    )
    runs = Runs(simulate(best, name), simulate(drawn, name), number, first, end)
    held = loads_held(runs.best, runs.many)
    over = (name,) if any(one.passed and one.rule.nutrient == "nitrogen" for one in held) else ()
    mind = minded(known, name, over)
    return _season(runs, mind, ahead, draws, seed)


def _season(runs: Runs, mind: Minded, ahead: int, draws: int, seed: int) -> Season:
    plan = runs.plan
    work_to_do = tasks(runs.best, runs.many, (runs.number, runs.first, runs.end), mind)
    books = (ledger(runs.best), ledger(runs.many))
    own, hired = (_hours(runs, which) for which in (0, 1))
    said = {} if plan.tools is None else plan.tools.model_dump(exclude_none=True)
    at_tasks = {caution for task in work_to_do for caution in task.cautions}
    return Season(
        plan=plan,
        strategy=runs.best.timeline.strategy,
        number=runs.number,
        first=runs.first,
        last=runs.end - datetime.timedelta(days=1),
        draws=draws,
        seed=seed,
        orders=orders(runs.best, runs.many, (runs.number, runs.first, runs.end), work_to_do, mind, ahead),
        tasks=work_to_do,
        strip=strip(runs.best, runs.first, runs.end, work_to_do),
        weeks=_weeks(runs),
        hours=own,
        hired=hired,
        currency=None if plan.money is None else plan.money.currency,
        costs=_costs(books, runs.number),
        unpriced=books[1].unpriced if books[1] is not None else (),
        guessed=books[1].guessed if books[1] is not None else (),
        no_hours=work(runs.best).unknown,
        cautions=mind.cautions,
        general=tuple(one.id for one in mind.cautions if one.id not in at_tasks),
        tools={
            kind: tool_of(plan, kind)
            for kind in USUAL
            if kind not in said and any(task.kind == kind for task in work_to_do)
        },
        barrow=float(runs.best.world.constant("garden_barrow")[0]),
    )


def year_asked(plan: Plan, year: int | None, today: Date | None) -> tuple[int, Date, Date]:
    """The year of the plan that is meant, from 1, its first day and the day after its last.

    A calendar year means the year of the plan that has most of its days.

    Raises
    ------
    InputError
        for a year that is not in the plan.
    """
    ends = year_ends(plan.start, plan.end)
    years = list(pairwise(ends))
    if year is None:
        held = [number for number, (first, end) in enumerate(years) if today is not None and first <= today < end]
        number = held[0] if held else 0
    elif 1 <= year <= len(years):
        number = year - 1
    else:
        days = [_days_in(year, first, end) for first, end in years] if year >= FIRST_CALENDAR_YEAR else [0]
        number = int(np.argmax(days))
        if days[number] == 0:
            last = years[-1][1] - datetime.timedelta(days=1)
            said = f"year {year} is not in the plan, which goes from {plan.start} to {last}"
            hint = f"--year with a year of the plan, 1 to {len(years)}, or a calendar year, such as {last.year}"
            raise InputError([Problem(said, hint=hint)])
    return number + 1, *years[number]


def _days_in(year: int, first: Date, end: Date) -> int:
    """How many days of a calendar year lie between two dates."""
    begin, stop = Date(year, 1, 1), Date(year + 1, 1, 1)
    return max((min(end, stop) - max(first, begin)).days, 0)


def _hours(runs: Runs, which: int) -> Spread:
    """Hours of the year, own (0) or hired (1), on all beds."""
    area, found = runs.plan.site.beds.bed_area, []
    for one in (runs.best, runs.many):
        jobs = own_and_hired(one)[which]
        parts = np.diff(done_by([(job.first, job.last) for job in jobs], _edges(runs)), axis=1) if jobs else ()
        total = np.zeros(one.timeline.problem.draws)
        for job, part in zip(jobs, parts, strict=True):
            total = total + part[1] * job.hours * job.share * area
        found.append(total)
    return spread_of(found[0][0], found[1])


def _edges(runs: Runs) -> tuple[Date, ...]:
    """The start of the plan, and the ends of the year; the start is there for what was done before it."""
    return runs.plan.start, runs.first, runs.end


def _costs(books: tuple[Ledger | None, Ledger | None], number: int) -> dict[str, Spread]:
    """Money of the year by line, without sales."""
    likely, many = books
    if likely is None or many is None:
        return {}

    def line(place: int) -> Spread:
        return spread_of(likely.cents[place, number - 1, 0] / CENTS, many.cents[place, number - 1] / CENTS)

    return {name: line(place) for place, name in enumerate(LINES) if place != SALES}


def _weeks(runs: Runs) -> tuple[Week, ...]:
    """Every week of the year with its own hours; the first and the last may reach beyond it, as they do in the plan."""
    plan = runs.plan
    jobs = [own_and_hired(one)[0] for one in (runs.best, runs.many)]
    count = runs.many.timeline.problem.draws
    held = fit(plan, jobs[0], jobs[1], count)
    full = {} if held is None else {week.monday: week for week in held.full}
    edges = week_edges(plan.start, plan.end)
    part = [day for day in edges if runs.first - datetime.timedelta(days=6) <= day < runs.end]
    closed = (*part, part[-1] + datetime.timedelta(days=7))
    inside = tuple(min(max(day, plan.start), plan.end) for day in closed)
    likely: Array = weekly(jobs[0], inside, plan.site.beds.bed_area, 1)
    many: Array = weekly(jobs[1], inside, plan.site.beds.bed_area, count)
    per_week = None if plan.hours_available is None else plan.hours_available.per_week.months
    return tuple(
        Week(
            monday,
            spread_of(likely[number, 0], many[number]),
            None if per_week is None else per_week[monday.month - 1],
            monday in full,
            full[monday].chance if monday in full else 0.0,
        )
        for number, monday in enumerate(part)
    )
