"""Hours of work: which job, on which days, on which beds, at the library's rates and with the plan's tools."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from somsim.plan.actions import Cover, Crop, Idle, Input, Spread, Uncover
from somsim.plan.model import Plan
from somsim.plan.occurrences import Interval, meet
from somsim.simulate import Array, Trajectory
from somsim.timeline.build import Date
from somsim.timeline.ground import Happening, digs
from somsim.timeline.world import HEAP, Load

TASK_OF = {
    "spread": {"barrow": "spread_by_barrow", "loader": "spread_with_loader"},
    "sow": {"by hand": "sow_broadcast", "push seeder": "sow_push_seeder"},
    "cut": {"scythe": "cut_scythe", "shears": "cut_shears", "two-wheel tractor": "cut_flail"},
    "dig": {"spade": "dig_by_hand", "broadfork": "broadfork", "two-wheel tractor": "till_two_wheel"},
    "rake": {"": "rake_off"},
    "sheet": {"": "cover_with_sheet"},
    "heap": {"": "build_heap"},
}
USUAL = {"spread": "barrow", "sow": "by hand", "cut": "scythe", "dig": "spade"}
UNDER_COVER = "shears"  # a scythe has no room to swing in a tunnel
CARTED = ("carted off", HEAP)


@dataclass(frozen=True)
class Job:
    """One job: ``hours`` (draw,) for each m2 of the beds it is on, done evenly on the days from ``first`` to ``last``.

    ``kind`` is spread, sow, cut, rake, dig, sheet, heap or grow; ``what`` it is done to.
    """

    kind: str
    what: str
    first: Date
    last: Date
    where: tuple[Interval, ...]
    hours: Array

    @property
    def share(self) -> float:
        """Share of the bed area that it is done on."""
        return sum(high - low for low, high in self.where)


@dataclass(frozen=True)
class Work:
    """All jobs of a strategy, and what no hours are published for."""

    jobs: tuple[Job, ...]
    unknown: tuple[str, ...]


def tool_of(plan: Plan, kind: str) -> str:
    """What a job is done with: the plan's tool, else the usual one of the place.

    Raises
    ------
    KeyError
        for a job that has no choice of tools.
    """
    said = None if plan.tools is None else getattr(plan.tools, kind)
    if said is not None:
        return str(said)
    return UNDER_COVER if kind == "cut" and plan.site.shelter != "open ground" else USUAL[kind]


def work(trajectory: Trajectory) -> Work:
    """Every job of a strategy between the start and the end of its plan."""
    found = [*_of_happenings(trajectory), *_of_loads(trajectory), *_digs(trajectory), *_sheets(trajectory)]
    begin, end = trajectory.timeline.times[0], trajectory.timeline.times[-1]
    jobs = [one for one in found if isinstance(one, Job) and one.first < end and one.last >= begin]
    return Work(
        tuple(sorted(jobs, key=lambda job: (job.first, job.last))),
        tuple(dict.fromkeys(one for one in found if isinstance(one, str))),
    )


def hours_of_work(trajectory: Trajectory) -> Array:
    """h/m2 of all work since the start, own and hired (time, group, draw)."""
    timeline = trajectory.timeline
    jobs = work(trajectory).jobs
    done = np.zeros((len(timeline.times), len(timeline.groups), timeline.problem.draws))
    for job, part in zip(jobs, done_by([(job.first, job.last) for job in jobs], timeline.times), strict=True):
        begun = int(np.argmax(part > 0.0))
        for number, group in enumerate(timeline.groups):
            if meet(job.where, group.interval):
                done[begun:, number] += part[begun:, np.newaxis] * job.hours
    return done


def done_by(rounds: Sequence[tuple[Date, Date]], times: Sequence[Date]) -> Array:
    """Share of each round that is done at each time since the first time (round, time), day by day alike.

    A round lasts from its first to its last day, both whole days.

    >>> day = Date(2027, 1, 1).replace
    >>> done_by([(day(day=2), day(day=5))], (day(), day(day=3), day(day=9))).tolist()
    [[0.0, 0.25, 1.0]]
    """
    first, last = (np.array([one[end].toordinal() for one in rounds])[:, np.newaxis] for end in (0, 1))
    passed = np.array([time.toordinal() for time in times]) - first
    done = np.clip(passed / (last - first + 1), 0.0, 1.0)
    return np.asarray(done - done[:, :1])


def _job(trajectory: Trajectory, kind: str, what: str, date: Date, where: tuple[Interval, ...], times: Array) -> Job:
    """A job of a day, at the rate of its task; ``times`` is how much of what the rate is for lies on each m2."""
    plan = trajectory.world.figures.plan
    task = TASK_OF[kind][tool_of(plan, kind) if kind in USUAL else ""]
    return Job(kind, what, date, date, where, trajectory.world.draws.of(f"tasks/{task}/rate") * times)


def _of_happenings(trajectory: Trajectory) -> Iterator[Job | str]:
    one_each = np.ones(trajectory.timeline.problem.draws)
    for one in trajectory.timeline.happenings:
        action, dates = one.action, one.occurrence.dates
        if isinstance(action, Cover):
            yield _job(trajectory, "sow", action.name, dates[0], one.where, one_each)
            for number, date in enumerate(dates[1:]):
                yield _job(trajectory, "cut", action.name, date, one.where, one_each)
                if action.fate(number) in CARTED:
                    yield _job(trajectory, "rake", action.name, date, one.where, one_each)
        elif isinstance(action, Crop):
            yield _grown(trajectory, one, action)
        elif isinstance(action, Idle) and action.as_ != "sheet":
            yield "keeping weeds down on ground left idle"
        elif isinstance(action, Input):
            yield f"the work behind {action.name}"
        elif isinstance(action, Uncover):
            yield "taking the film off and putting it on"


def _grown(trajectory: Trajectory, one: Happening, action: Crop) -> Job | str:
    world = trajectory.world
    hours = world.maybe(world.figures.of_thing("crops", action.name, "labour"))
    if hours is None:
        return f"growing {action.name}"
    return Job("grow", action.name, one.occurrence.first, one.occurrence.last, one.where, hours)


def _of_loads(trajectory: Trajectory) -> Iterator[Job | str]:
    """Spreading by volume, and building heaps of what is carted to them."""
    for load in trajectory.timeline.arrivals.loads:
        if isinstance(load.happening.action, Spread):
            if load.volume is None:
                yield f"spreading {load.name}, whose density is not known"
            else:
                yield _job(trajectory, "spread", load.name, load.date, load.happening.where, load.volume)
        elif load.fate == HEAP:
            yield _heaped(trajectory, load)
            yield "turning heaps"


def _heaped(trajectory: Trajectory, load: Load) -> Job | str:
    if load.fresh is None:
        return f"heaping {load.name}"
    volume = load.fresh / trajectory.world.draws.of("composting/heap_density/value")
    return _job(trajectory, "heap", load.name, load.date, load.happening.where, volume)


def _digs(trajectory: Trajectory) -> Iterator[Job]:
    """Several diggings of a bed on one day are one."""
    timeline = trajectory.timeline
    one_each = np.ones(timeline.problem.draws)
    for number, group in enumerate(timeline.groups):
        here = [one for one in timeline.happenings if digs(one) and one.on(timeline.groups[number])]
        for date in sorted({one.occurrence.last for one in here}):
            yield _job(trajectory, "dig", group.label, date, group.interval, one_each)


def _sheets(trajectory: Trajectory) -> Iterator[Job]:
    """Each time a sheet is laid; lifting it is in the same figure."""
    timeline = trajectory.timeline
    one_each = np.ones(timeline.problem.draws)
    for group, spans in zip(timeline.groups, timeline.ground, strict=True):
        lying = [False, *(span.sheet for span in spans)]
        for number in range(len(spans)):
            if lying[number + 1] and not lying[number]:
                yield _job(trajectory, "sheet", group.label, timeline.dates[number], group.interval, one_each)
