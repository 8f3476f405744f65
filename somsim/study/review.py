"""Intended beside done: mass, hours and money of each year, and what the record lacks."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from somsim.errors import InputError, Problem
from somsim.outcomes.money import LINES, SALES, Ledger, ledger
from somsim.outcomes.work import done_by, work
from somsim.plan import Plan, read_plan
from somsim.plan.model import shift
from somsim.plan.occurrences import plan_year
from somsim.record import Facts, as_recorded
from somsim.record.events import CutDone, Harvested
from somsim.record.reading import record_path
from somsim.simulate import Trajectory, simulate
from somsim.study.equivalence import Spread, spread_of
from somsim.study.garden import is_weighed, tops_of, unweighed
from somsim.study.hindsight import Foretold, hindsight
from somsim.study.recording import followed_in, record_of
from somsim.study.rewriting import worlds
from somsim.timeline.world import Array

DRAWS, SEED = 256, 1
PAID = tuple(number for number, line in enumerate(LINES) if line in ("material", "delivery", "seed", "hired work"))
DAY = datetime.timedelta(days=1)


@dataclass(frozen=True)
class YearSide:
    """One year of the plan: what was intended and what is recorded.

    ``hours`` up to the day the record goes to; ``paid`` and ``sold`` are money of the whole year, None where the plan
    has no prices.  ``whole`` tells whether the record goes to the end of the year.
    """

    number: int
    until: datetime.date
    whole: bool
    hours: Spread
    hours_recorded: float
    paid: Spread | None
    paid_recorded: float
    sold: Spread | None
    sold_recorded: float


@dataclass(frozen=True)
class CutSide:
    """One cut that was weighed: dry mass, kg/m2 of bed, as hoped and as weighed."""

    name: str
    date: datetime.date
    line: int
    hoped: Spread
    weighed: Spread

    @property
    def surprising(self) -> bool:
        """Whether what was weighed and what was hoped have no range in common."""
        return self.weighed.p10 > self.hoped.p90 or self.weighed.p90 < self.hoped.p10


@dataclass(frozen=True)
class Review:
    """A record beside its plan."""

    facts: Facts
    years: tuple[YearSide, ...]
    cuts: tuple[CutSide, ...]
    foretold: tuple[Foretold, ...]


def review(path: Path, strategy: str | None = None, *, skip_damaged: bool = False) -> Review:
    """Read a plan and its record, and hold one against the other.

    Raises
    ------
    InputError
        when there is no record, or several strategies and none is followed.
    """
    plan = read_plan(path)
    record = record_of(path, plan, skip_damaged=skip_damaged)
    if record is None or record.last is None:
        hint = f'begin one: somsim record {path} followed "{next(iter(plan.strategies))}"'
        raise InputError([Problem(f"nothing is recorded in {record_path(path)}", hint=hint)])
    name = followed_in(record, plan, strategy)
    facts = as_recorded(plan, record)
    intended = _run(plan, name)
    return Review(facts, tuple(_years(facts, intended)), tuple(_cuts(facts, name)), hindsight(facts))


def _run(plan: Plan, strategy: str) -> tuple[Trajectory, Trajectory]:
    best, many = worlds(plan, DRAWS, SEED)
    return simulate(best, strategy), simulate(many, strategy)


def _years(facts: Facts, intended: tuple[Trajectory, Trajectory]) -> Iterable[YearSide]:
    plan = facts.intended
    books = [ledger(one) for one in intended]
    for number in range(1, plan_year(facts.until, plan.start) + 1):
        first, end = (shift(plan.start, 12 * (number - offset)) for offset in (1, 0))
        here = [event for event in facts.events if first <= event.date < end]
        until = min(end, facts.until + DAY)
        hours = [_hours(one, first, until) for one in intended]
        paid, sold = (_money(books, lines, number) for lines in (PAID, (SALES,)))
        yield YearSide(
            number,
            until - DAY,
            until == end,
            spread_of(hours[0][0], hours[1]),
            sum(event.hours.best for event in here if event.hours is not None),
            paid,
            sum(event.cost for event in here if event.cost is not None),
            sold,
            sum(event.income for event in here if isinstance(event, Harvested) and event.income is not None),
        )


def _hours(trajectory: Trajectory, first: datetime.date, until: datetime.date) -> Array:
    """Hours of work on all beds between two days (draw,)."""
    jobs = work(trajectory).jobs
    area = trajectory.world.figures.plan.site.beds.bed_area
    total = np.zeros(trajectory.timeline.problem.draws)
    for job, part in zip(jobs, done_by([(job.first, job.last) for job in jobs], (first, until)), strict=True):
        total += part[-1] * job.hours * job.share * area
    return total


def _money(books: list[Ledger | None], lines: Iterable[int], number: int) -> Spread | None:
    best, many = books
    if best is None or many is None:
        return None
    sums = [book.cents[list(lines), number - 1].sum(axis=0) / 100.0 for book in (best, many)]
    return spread_of(sums[0][0], sums[1])


def _cuts(facts: Facts, strategy: str) -> Iterable[CutSide]:
    weighed = [event for event in facts.events if isinstance(event, CutDone) and is_weighed(event)]
    if not weighed:
        return
    there, hoped = (_tops(one.plan, strategy) for one in (facts, unweighed(facts)))
    for event in weighed:
        key = (event.name, event.date)
        if key in there and key in hoped:
            yield CutSide(event.name, event.date, event.line, spread_of(*hoped[key]), spread_of(*there[key]))


def _tops(plan: Plan, strategy: str) -> dict[tuple[str, datetime.date], tuple[float, Array]]:
    """Dry tops of each cut: with the best values, and over the draws."""
    best, many = (tops_of(one) for one in _run(plan, strategy))
    return {key: (float(best[key][0]), dry) for key, dry in many.items() if key in best}

