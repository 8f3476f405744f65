"""What a season is made of: orders, tasks, waits, the strip of the year, hours by week, and what it costs."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from somsim.plan.model import Plan
from somsim.plan.occurrences import Interval
from somsim.study.cautions import Caution
from somsim.study.equivalence import Spread

Date = datetime.date


@dataclass(frozen=True)
class Pack:
    """How many of one size hold an order: ``count`` by best values, ``least`` to ``most`` in 8 of 10 worlds.

    ``size`` is m3 or kg, as the order is bought; ``name`` such as "load" or "packet".
    """

    name: str
    size: float
    count: int
    least: int
    most: int


@dataclass(frozen=True)
class Order:
    """One thing to have at hand by the day it is first wanted, for all the beds it is for.

    ``kind`` is "material", "seed", "planting" (plants or seed of a crop, for which no amount is published) or "sheet".
    ``area`` is m2 of bed.  Of a material: m3 ``volume`` and kg ``mass`` as delivered, and what they rest on, its
    ``dry_matter`` (share) and ``density`` (kg/m3).  Of seed: kg ``mass``.  None where nothing is known.
    ``packs`` are ways to buy it, each by itself enough; of seed together enough.  ``tasks`` are ids of what it is for,
    ``cautions`` what to mind when buying.
    """

    id: str
    kind: str
    name: str
    needed: Date
    order_by: Date
    area: float
    volume: Spread | None
    mass: Spread | None
    dry_matter: Spread | None
    density: Spread | None
    packs: tuple[Pack, ...]
    tasks: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class Condition:
    """What a task waits for, in ``words`` that complete "when ...", with the ``day`` it has in the plan.

    ``at_least`` deg C of the soil, and its ``usual`` warmth in that month, None where the climate is not known.
    """

    words: str
    day: Date | None = None
    at_least: float | None = None
    usual: float | None = None


@dataclass(frozen=True)
class Wait:
    """What must not happen on the beds of a task before ``until``, which is ``days`` after it.

    ``after`` is what is done first on them after the task, with its day, if it is in the plan; ``kept`` whether that
    day is late enough, None where it depends (on the size of the seed, say) or nothing follows.
    """

    what: str
    days: int
    until: Date
    after: str = ""
    next_day: Date | None = None
    kept: bool | None = None


@dataclass(frozen=True)
class Task:
    """One piece of work on some beds, on one day or evenly from ``first`` to ``last``.

    ``id`` stays the same when dates and amounts of the plan are changed, so that a record and a calendar can point at
    it.  ``kind`` is spread, sow, plant, grow, cut, rake, heap, dig, sheet, clear, "film off" or "film on"; ``what``
    it is done to; ``how`` the tool; ``fate`` what becomes of it, or what a digging is to bury.  ``beds`` are their
    numbers from 1, empty where the ground is no whole beds.  ``hours`` of the year asked for, on all those beds; None
    where no figure is published.  ``volume`` m3 and ``mass`` kg as spread, sown or cut fresh, on each m2 of those beds.
    """

    id: str
    kind: str
    what: str
    how: str
    fate: str
    first: Date
    last: Date
    ground: str
    where: tuple[Interval, ...]
    beds: tuple[int, ...]
    area: float
    hours: Spread | None
    hired: bool
    volume: Spread | None
    mass: Spread | None
    waits_for: tuple[Condition, ...]
    waits_after: tuple[Wait, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class Stretch:
    """Something that stands or lies on the beds from ``first`` to ``last``; ``kind`` is crop, cover or idle."""

    what: str
    kind: str
    first: Date
    last: Date


@dataclass(frozen=True)
class Row:
    """Beds that are treated alike all year, what stands on them, and the tasks of a day by kind."""

    ground: str
    stretches: tuple[Stretch, ...]
    marks: tuple[tuple[Date, str], ...]


@dataclass(frozen=True)
class Week:
    """Own hours of the week that begins on ``monday``; ``there`` are the hours there are, None where nothing is said.

    ``full`` where the middle world needs more than there are, ``chance`` how often it is so.
    """

    monday: Date
    hours: Spread
    there: float | None
    full: bool
    chance: float


@dataclass(frozen=True)
class Season:
    """A year of one strategy, as work: year ``number`` of the plan, from ``first`` to ``last``.

    ``costs`` are money by line in ``currency``, empty without prices; ``unpriced`` what they leave out.
    ``hours`` and ``hired`` are those of the whole year.  ``no_hours`` are jobs without a published figure.
    ``cautions`` are all that hold; those that belong to no task are in ``general``.  ``barrow`` is m3 of a garden one.
    """

    plan: Plan
    strategy: str
    number: int
    first: Date
    last: Date
    draws: int
    seed: int
    orders: tuple[Order, ...]
    tasks: tuple[Task, ...]
    strip: tuple[Row, ...]
    weeks: tuple[Week, ...]
    hours: Spread
    hired: Spread
    currency: str | None
    costs: dict[str, Spread]
    unpriced: tuple[str, ...]
    guessed: tuple[str, ...]
    no_hours: tuple[str, ...]
    cautions: tuple[Caution, ...]
    general: tuple[str, ...]
    tools: dict[str, str]
    barrow: float

    @property
    def full_weeks(self) -> tuple[Week, ...]:
        """The weeks that are too full."""
        return tuple(week for week in self.weeks if week.full)
