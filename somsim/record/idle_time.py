"""What the ground was like between recorded rounds, so that the past is the same in every strategy."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from typing import Any

from somsim.plan.actions import Cover, Crop, Idle
from somsim.plan.model import Plan
from somsim.plan.occurrences import intervals
from somsim.units import Amount

DAY = datetime.timedelta(days=1)
DAYS_A_YEAR = 365.25
Stretch = tuple[datetime.date, datetime.date]


def between_rounds(done: Sequence[Any], plan: Plan, followed: str, until: datetime.date) -> list[Idle]:
    """Dated idle ground for each time up to ``until`` in which nothing recorded stood, as the followed strategy has it.

    Needed only where the strategies differ in what idle ground is: else what each says of it holds for the past too.
    """
    said = {name: _undated(plan.actions(name)) for name in plan.strategies}
    if len({None if one is None else (one.as_, one.dry_tops) for one in said.values()}) < 2:
        return []
    kind = said[followed]
    free: dict[Stretch, list[int]] = {}
    for bed in range(plan.site.beds.number):
        for stretch in gaps(_standing(done, plan, bed), (plan.start, until + DAY)):
            free.setdefault(stretch, []).append(bed)
    return [_idle(kind, stretch, beds, plan) for stretch, beds in sorted(free.items())]


def _undated(actions: Iterable[Any]) -> Idle | None:
    return next((action for action in actions if isinstance(action, Idle) and action.from_ is None), None)


def _standing(done: Sequence[Any], plan: Plan, bed: int) -> list[Stretch]:
    middle = (bed + 0.5) / plan.site.beds.number
    found = []
    for action in done:
        where = intervals(action, plan.site.beds)
        if isinstance(action, Cover | Crop | Idle) and any(a < middle < b for a, b in where):
            first = action.anchor.in_year(action.anchor.year)
            end = action.cut[-1].on if isinstance(action, Cover) else action.to
            assert end is not None
            found.append((first, end.in_year(end.year)))
    return found


def gaps(standing: Iterable[Stretch], within: Stretch) -> list[Stretch]:
    """The stretches of time in which nothing stands.

    >>> day = datetime.date(2027, 1, 1).replace
    >>> [(a.day, b.day) for a, b in gaps([(day(day=3), day(day=9)), (day(day=5), day(day=12))], (day(), day(day=20)))]
    [(1, 3), (12, 20)]
    """
    at, end = within
    free = []
    for first, last in sorted(standing):
        if first > at:
            free.append((at, min(first, end)))
        at = max(at, last)
    if at < end:
        free.append((at, end))
    return [(first, last) for first, last in free if first < last]


def _idle(kind: Idle | None, stretch: Stretch, beds: Sequence[int], plan: Plan) -> Idle:
    first, last = stretch
    body: dict[str, Any] = {"as": kind.as_ if kind is not None else "bare"}
    body |= {"from": first.isoformat(), "to": last.isoformat()}
    if kind is not None and kind.dry_tops is not None:
        body["dry_tops"] = _part_of_a_year(kind.dry_tops, (last - first).days)
    if len(beds) < plan.site.beds.number:
        body["beds"] = tuple(str(bed + 1) for bed in beds)
    return Idle.model_validate(body)


def _part_of_a_year(amount: Amount, days: int) -> Amount:
    """Weeds of a part of the year, in the proportion of its days."""
    low, high = (end * days / DAYS_A_YEAR for end in (amount.low, amount.high))
    words = f"{low:.12g} kg/m2" if low == high else f"{low:.12g} to {high:.12g} kg/m2"
    low, high = float(f"{low:.12g}"), float(f"{high:.12g}")
    return Amount(low, low if low == high else low + (high - low) / 2, high, words)
