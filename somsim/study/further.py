"""More of a cover than a plan has: how much more the season and the ground hold, and the plan that grows it."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from somsim.errors import InputError
from somsim.plan.actions import Cover, Cut
from somsim.plan.days import Day
from somsim.plan.model import Plan
from somsim.study.rewriting import rewritten
from somsim.timeline import Setting
from somsim.timeline.build import assemble
from somsim.timeline.cuts import plants_of
from somsim.timeline.ground import Happening
from somsim.timeline.rounds import free_starts, free_until
from somsim.units import Amount

Date = datetime.date
DAYS_A_YEAR = 365.25
DAY = datetime.timedelta(days=1)


@dataclass(frozen=True)
class Attempt:
    """A way to have more of a cover: the most that fits, what limits it, and the plan with so many."""

    fits: int
    why: str
    plan: Callable[[int], Plan]


@dataclass(frozen=True)
class Ways:
    """A cover of a strategy in its first whole round, with the best values."""

    plan: Plan
    strategy: str
    happening: Happening
    shared: Setting

    @property
    def action(self) -> Cover:
        """The cover as the plan has it."""
        found: Cover = self.happening.action
        return found

    @property
    def covered(self) -> float:
        """m2 of bed that the cover stands on."""
        share = sum(high - low for low, high in self.happening.where)
        return self.plan.site.beds.bed_area * share

    @cached_property
    def around(self) -> tuple[Happening, ...]:
        """Everything that happens in the strategy."""
        plan = self.plan
        return assemble(self.shared, plan.actions(self.strategy), plan.start, plan.end, "years").happening

    def with_covers(self, covers: list[Cover]) -> Plan:
        """The plan with other covers in place of this one."""
        actions: list[Any] = []
        for one in self.plan.strategies[self.strategy]:
            actions += covers if one is self.action else [one]
        return rewritten(self.plan, {self.strategy: actions})


def attempts(ways: Ways, by: str) -> Attempt:
    """The way that is asked for: cuts, crops, years or area."""
    return {"cuts": _cuts, "crops": _crops, "years": _years, "area": _area}[by](ways)


def _crops(ways: Ways) -> Attempt:
    starts = free_starts(ways.around, ways.happening)
    first = starts[0]

    def plan(number: int) -> Plan:
        return ways.with_covers([_moved(ways.action, ways.happening, start - first) for start in starts[:number]])

    many = len(starts)
    said = "only one crop fits" if many == 1 else f"only {many} such crops fit"
    days = (ways.happening.occurrence.last - first).days
    return Attempt(
        many, f"{said} into a year between what else stands there, at {days} days from sowing to cutting", plan
    )


def _moved(action: Cover, happening: Happening, days: datetime.timedelta) -> Cover:
    """The same cover some days later in the year."""
    if not days:
        return action
    sown, *cuts = happening.occurrence.dates

    def day(date: Date, written: Day) -> Day:
        later = date + days
        return Day(
            later.day if (later.month, later.day) != (2, 29) else 28, later.month, later.year if written.year else None
        )

    cut = tuple(one.model_copy(update={"on": day(date, one.on)}) for one, date in zip(action.cut, cuts, strict=True))
    return action.model_copy(update={"sow": day(sown, action.sow), "cut": cut})


def _years(ways: Ways) -> Attempt:
    own = [one.occurrence for one in ways.around if one.action is ways.action]
    last = max(max(one.year, 1) for one in own)
    repeated = ways.action.every is not None

    def plan(number: int) -> Plan:
        return ways.with_covers([ways.action.model_copy(update={"last_year": number})] if repeated else [ways.action])

    return Attempt(
        last if repeated else 1,
        f"the plan ends after {last} years of it" if last > 1 else "the plan has one year of it",
        plan,
    )


def _area(ways: Ways) -> Attempt:
    beds = ways.plan.site.beds.bed_area

    def plan(number: int) -> Plan:
        if number == int(ways.covered + 1e-9):
            return ways.with_covers([ways.action])
        share = min(number / beds, 1.0)
        where = {"beds": None, "share": Amount(share, share, share, f"{100.0 * share:.12g} %")}
        return ways.with_covers([ways.action.model_copy(update=where)])

    whole = int(beds + 1e-9)
    try:
        plan(whole)
    except InputError as error:
        own = int(ways.covered + 1e-9)
        return Attempt(own, f"it stands on {own} m2, and elsewhere: {error.problems[0].message}", plan)
    return Attempt(whole, f"there are {whole} m2 of beds", plan)


def _cuts(ways: Ways) -> Attempt:
    """More cuts of the same crop, as soon after each other as the plant is known to bear."""
    here = len(ways.action.cut)
    plants = list(plants_of(ways.action))
    entries = [ways.shared.figures.entry("covers", name) for name in plants]
    limits = [(one.values.get("cuts"), one.values.get("cut_interval")) for one in entries if one is not None]
    if not limits or len(limits) < len(plants) or any(most is None for most, _ in limits):
        why = f"how often {ways.action.name} bears cutting is not known, so only the cuts of the plan are counted on"
        return Attempt(here, why, lambda number: ways.with_covers([_cut_times(ways, number, 0.0)]))
    bears = max(here, min(int(most.high) for most, _ in limits if most is not None))
    waits = [wait.low * DAYS_A_YEAR for _, wait in limits if wait is not None]
    wait = float(-int(-max(waits) // 1)) if waits else 0.0
    why = f"{ways.action.name} bears at most {bears} cut{'s' if bears > 1 else ''} in a season"
    if bears > here:
        last, until = ways.happening.occurrence.last, free_until(ways.around, ways.happening)
        room = int((until - last).days // wait) if wait > 0.0 else 0
        if here + room < bears:
            bears = here + room
            more = "no further cut" if room == 0 else "one more cut" if room == 1 else f"only {room} more cuts"
            why = f"after {last.day} {last:%b} {more} can grow before {until.day} {until:%b}"
    return Attempt(bears, why, lambda number: ways.with_covers([_cut_times(ways, number, wait)]))


def _cut_times(ways: Ways, number: int, wait: float) -> Cover:
    """The cover with so many cuts: the first of those it has, or further ones after its last."""
    action, dates = ways.action, ways.happening.occurrence.dates[1:]
    if number <= len(action.cut):
        kept = action.cut[:number]
        return action if number == len(action.cut) else _weighed(ways, action, list(kept))
    cuts = list(action.cut)
    for further in range(1, number - len(action.cut) + 1):
        date = dates[-1] + datetime.timedelta(days=round(further * wait))
        on = Day(date.day, date.month, date.year if action.sow.year else None)
        cuts.append(Cut(on=on if (date.month, date.day) != (2, 29) else Day(28, 2, on.year)))
    return _weighed(ways, action, cuts)


def _weighed(ways: Ways, action: Cover, cuts: list[Cut]) -> Cover:
    """A mass for each cut where the grower gave one: a further cut is smaller, in the library's proportion."""
    here = len(action.cut)
    steps = [
        float(ways.shared.world.constant(f"cut_decline_{min(n, 4)}")[0]) for n in range(1, max(here, len(cuts)) + 1)
    ]
    change: dict[str, Any] = {"cut": tuple(cuts)}
    if action.dry_tops is not None:
        whole = sum(steps[:here])
        change["cut"] = tuple(
            one.model_copy(update={"dry_tops": _dry(action.dry_tops, step / whole)})
            for one, step in zip(cuts, steps, strict=False)
        )
        change["dry_tops"] = None
    elif action.sample is not None or action.cut[0].dry_tops is not None or action.cut[0].sample is not None:
        first = _first_mass(ways)
        given = [cuts[0].model_copy(update={"sample": action.sample})] if action.sample is not None else [cuts[0]]
        later = [
            one
            if one.dry_tops is not None or one.sample is not None
            else one.model_copy(update={"dry_tops": _dry(first, step / steps[0])})
            for one, step in zip(cuts[1:], steps[1:], strict=False)
        ]
        change |= {"cut": (*given, *later), "sample": None}
    return action.model_copy(update=change)


def _first_mass(ways: Ways) -> Amount:
    """Dry mass of the first cut with the best values, kg/m2."""
    from somsim.timeline.cuts import cuttings_of

    world = ways.shared.world
    mass = sum(
        float(cuttings_of(world, ways.happening, ways.action, name, share)[0].mass[0])
        for name, share in plants_of(ways.action).items()
    )
    return Amount(mass, mass, mass, f"{mass:.12g} kg/m2")


def _dry(amount: Amount, times: float) -> Amount:
    low, high = amount.low * times, amount.high * times
    words = f"{low:.12g}" if low == high else f"{low:.12g} to {high:.12g}"
    return Amount(low, 0.5 * (low + high), high, f"{words} kg/m2")
