"""The year at a glance: what stands on which beds, and the days on which something is done."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from somsim.plan.actions import Cover, Crop, Idle
from somsim.plan.occurrences import meet
from somsim.simulate import Trajectory
from somsim.study.season_ground import called_ground, joined
from somsim.study.season_types import Date, Row, Stretch, Task
from somsim.timeline.ground import Group, Happening

MARKED = ("spread", "dig", "cut", "sheet")
GROUND = {"bare": "bare ground", "weeds": "weeds", "sheet": "opaque sheet"}


def strip(best: Trajectory, first: Date, end: Date, tasks: Sequence[Task]) -> tuple[Row, ...]:
    """A row for all beds that have the same year; in order of the beds."""
    plan = best.world.figures.plan
    alike: dict[tuple[tuple[Stretch, ...], tuple[tuple[Date, str], ...]], list[Group]] = {}
    for group in best.timeline.groups:
        stretches = tuple(_stretches(best.timeline.happenings, group, first, end))
        alike.setdefault((stretches, tuple(_marks(group, tasks))), []).append(group)
    return tuple(
        Row(called_ground(joined([group.interval for group in groups]), plan.site.beds), stretches, marks)
        for (stretches, marks), groups in alike.items()
    )


def _stretches(happenings: Sequence[Happening], group: Group, first: Date, end: Date) -> Iterator[Stretch]:
    for one in happenings:
        action = one.action
        begin, stop = max(one.occurrence.first, first), min(one.occurrence.last, end)
        dated = isinstance(action, Crop | Cover | Idle) and action.anchor is not None
        if dated and one.on(group) and begin < stop:
            what = GROUND[action.as_] if isinstance(action, Idle) else action.name
            yield Stretch(what, action.action, begin, stop)


def _marks(group: Group, tasks: Sequence[Task]) -> Iterator[tuple[Date, str]]:
    """Days of tasks on a group of beds."""
    for task in tasks:
        if task.kind in MARKED and meet(task.where, group.interval):
            yield task.first, task.kind
