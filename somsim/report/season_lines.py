"""A season in words: the same lines for the screen, the page and the calendar."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from string import ascii_lowercase

from somsim.report.season_amounts import amount, in_all, on_the_ground, ranged, unit_for, warm
from somsim.report.words import Scale, System, date_in_words, short
from somsim.study.equivalence import Spread
from somsim.study.season_types import Condition, Order, Pack, Season, Task, Wait
from somsim.units import factor

Date = datetime.date
WITH = {
    "barrow": "with shovel and barrow",
    "loader": "with a loader",
    "by hand": "by hand",
    "push seeder": "with a push seeder",
    "scythe": "with a scythe",
    "shears": "with hedge trimmer or shears",
    "two-wheel tractor": "with a two-wheel tractor",
    "spade": "with a spade or fork",
    "broadfork": "with a broadfork",
}
FATES = {
    "left on surface": "leave it lying on the bed",
    "dug in": "it is dug in",
    "carted off": "cart it off",
    "to the heap": "take it to the heap",
}
LEFTOVERS = {
    "left on surface": "leave them lying on the bed",
    "dug in": "they are dug in",
    "carted off": "cart them off",
    "to the heap": "take them to the heap",
}
HOURS, MINUTES = Scale("h", 1.0), Scale("minutes", 60.0)


@dataclass(frozen=True)
class OrderLines:
    """An order as it is read: by when, what, how much, and below it in smaller words what it rests on."""

    id: str
    by: str
    wanted: str
    title: str
    much: str
    packs: str
    rests_on: str
    mind: str


@dataclass(frozen=True)
class TaskLines:
    """A task as it is read: the day, what, where, how much, how long; when, what has to wait after it, what to mind."""

    id: str
    day: str
    title: str
    ground: str
    much: str
    hours: str
    when: str
    after: str
    mind: str


def letters(season: Season) -> dict[str, str]:
    """A letter for each caution that stands at a task or an order, in order of how serious they are."""
    at_tasks = {name for task in season.tasks for name in task.cautions}
    used = at_tasks | {name for order in season.orders for name in order.cautions}
    told = [caution.id for caution in season.cautions if caution.id in used]
    return {name: _letter(number) for number, name in enumerate(told)}


def _letter(number: int) -> str:
    """a to z, then aa, ab and so on.

    >>> _letter(0), _letter(27)
    ('a', 'ab')
    """
    high, low = divmod(number, len(ascii_lowercase))
    return (_letter(high - 1) if high else "") + ascii_lowercase[low]


def day_words(day: Date) -> str:
    """A day with its weekday: "Tue 20 Apr 2027"."""
    return f"{day:%a} {day.day} {day:%b %Y}"


def opening(season: Season) -> str:
    """What year it is."""
    return f"{date_in_words(season.first)} to {date_in_words(season.last)}: year {season.number} of the plan."


def dates_note(season: Season) -> str:
    """How the dates and the amounts are meant."""
    return (
        "Days are those of the plan: wait for what stands after \"when\". An amount is the middle of "
        f"{season.draws} possible worlds; in brackets, where 8 of 10 fall."
    )


def barrow_note(season: Season, system: System) -> str:
    """How large the barrow is that is reckoned with, where one is."""
    if any(task.kind == "spread" and task.how == "barrow" and task.volume is not None for task in season.tasks):
        return f"A barrow here holds {amount('volume', _exactly(season.barrow), system)} (judged)."
    return ""


def _exactly(value: float) -> Spread:
    return Spread(value, value, value, value)


def order_lines(order: Order, season: Season, system: System) -> OrderLines:
    """An order in words."""
    return OrderLines(
        order.id,
        day_words(order.order_by),
        day_words(order.needed),
        _order_title(order),
        _order_much(order, system),
        _packs(order, system),
        _rests_on(order, system),
        ", ".join(letters(season)[one] for one in order.cautions),
    )


def _order_title(order: Order) -> str:
    return {
        "material": order.name,
        "seed": f"seed of {order.name}",
        "planting": f"plants or seed of {order.name}",
        "sheet": "opaque sheet",
    }[order.kind]


def _order_much(order: Order, system: System) -> str:
    area = unit_for("area", order.area, system).one(order.area, 3)
    if order.kind == "sheet":
        return f"for {area} of bed"
    if order.kind == "planting":
        return f"for {area} of bed; no published amount"
    parts = [amount(kind, one, system) for kind, one in (("volume", order.volume), ("mass", order.mass)) if one]
    if not parts:
        return f"for {area} of bed; no published sowing rate" if order.kind == "seed" else f"for {area} of bed"
    return f"{', weighing '.join(parts)}, for {area} of bed"


def _packs(order: Order, system: System) -> str:
    joiner = " and " if order.kind == "seed" else ", or "
    return joiner.join(_pack(pack, order.kind, system) for pack in order.packs)


def _pack(pack: Pack, kind: str, system: System) -> str:
    size = amount("mass" if kind == "seed" else "volume", _exactly(pack.size), system)
    several = "" if pack.count == 1 else "s"
    range_ = "" if pack.least == pack.most else f" ({pack.least} to {pack.most})"
    return f"{pack.count} {pack.name}{several} of {size}{range_}"


def _rests_on(order: Order, system: System) -> str:
    """What the weight of a material rests on, and what to do where it comes otherwise."""
    if order.density is None or order.dry_matter is None:
        return ""
    density = Scale("kg/m3", 1.0) if system == "metric" else Scale("lb/yd3", 1.0 / factor("lb/yd3", "density"))
    percent = Scale("%", 100.0)
    return (
        f"As delivered: {ranged(order.density, density)}, {ranged(order.dry_matter, percent)} of it dry. "
        f"{_moist(order)}"
    )


def _moist(order: Order) -> str:
    """What to go by: the measure that the plan gives stays, the other follows how wet and heavy it comes."""
    if order.volume is not None and order.volume.exact:
        return "Go by the volume: a wet load weighs more and is no more compost."
    if order.mass is not None and order.mass.exact:
        return "Go by the weight; if it comes wetter than this, there is less in it."
    return "If it comes wetter than this, take more of it."


def task_lines(task: Task, season: Season, system: System) -> TaskLines:
    """A task in words."""
    much = [*on_the_ground(task, season, system), *(in_all(task, system) if task.kind != "grow" else ())]
    return TaskLines(
        task.id,
        day_words(task.first),
        title(task),
        task.ground,
        ", ".join(much),
        hours_words(task),
        "; ".join(_condition(one, system) for one in task.waits_for),
        " ".join(wait_words(one) for one in task.waits_after),
        ", ".join(letters(season)[one] for one in task.cautions),
    )


def hours_words(task: Task) -> str:
    """How long it takes, and by whom."""
    if task.hours is None:
        return "" if task.kind in ("plant", "clear") else "no published hours"
    unit = HOURS if task.hours.p50 >= 1.0 else MINUTES
    return f"{ranged(task.hours, unit)}{', hired' if task.hired else ''}"


def title(task: Task) -> str:
    """What is to be done."""
    tool = WITH.get(task.how, "")
    fate = FATES.get(task.fate, "")
    return {
        "spread": f"Spread {task.what} {tool}; {_lying(task)}",
        "sow": f"Sow {task.what} {tool}",
        "plant": f"Plant or sow {task.what}",
        "grow": f"Look after {task.what}, until {day_words(task.last)}",
        "cut": f"Cut {task.what} {tool}; {fate}",
        "rake": f"Rake up what was cut of {task.what} and {fate}",
        "heap": f"Build the heap with {task.what}",
        "dig": f"Dig over {tool}" + (f", so that {task.fate} goes under" if task.fate else ""),
        "sheet": "Lay the opaque sheet and weigh it down",
        "clear": f"Clear {task.what}; leaves and stems: {LEFTOVERS.get(task.fate, '')}",
        "film off": "Take the film off",
        "film on": "Put the film on",
    }[task.kind]


def _lying(task: Task) -> str:
    return "leave it lying on the bed" if task.fate == "left on surface" else "it is dug in"


def _condition(one: Condition, system: System) -> str:
    if one.at_least is not None:
        usual = "" if one.usual is None else f"; in this month usually {warm(one.usual, system)}"
        return f"{one.words}: {warm(one.at_least, system)} or more{usual}"
    return one.words if one.day is None else f"{one.words} ({day_words(one.day)} in the plan)"


def wait_words(one: Wait) -> str:
    """What has to wait, until when, and whether the plan does."""
    until = f"not before {day_words(one.until)} ({one.days} days)"
    if one.what.startswith("lifting"):
        return f"{one.what}: {until}."
    told = f"{one.what[0].upper()}{one.what[1:]}: {until}."
    if one.kept is None and one.next_day is not None:
        return f"{told} The plan has {one.after} on {day_words(one.next_day)}: set plants there rather than sow."
    if one.kept is False:
        return f"{told} The plan does not keep to this."
    return told


def week_words(season: Season) -> Iterator[tuple[str, str, bool]]:
    """Each week with work in it: its Monday, its hours, and whether it is too full."""
    for week in season.weeks:
        if week.hours.p50 > 0.0:
            yield f"{week.monday.day} {week.monday:%b}", short(week.hours.p50), week.full


def full_words(season: Season) -> Iterator[str]:
    """The weeks that are too full, or that there are none."""
    if season.plan.hours_available is None:
        yield "The plan does not say how many hours there are, so no week is called too full."
        return
    full = season.full_weeks
    if not full:
        yield "No week needs more hours than there are."
    for week in full:
        there = 0.0 if week.there is None else week.there
        needs = ranged(week.hours, HOURS)
        yield f"Too full: the week of {day_words(week.monday)} needs {needs}, there are {short(there)} h."


def cost_lines(season: Season) -> Iterator[tuple[str, str]]:
    """Money of the year by line."""
    if season.currency is None:
        return
    unit = Scale(season.currency, 1.0)
    for name, spread in season.costs.items():
        if spread.p90 > 0.0:
            yield name, ranged(spread, unit)

