"""Money of a strategy, by year and in whole cents, so that every sum is the sum of what is shown."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from somsim.outcomes.food import harvests
from somsim.outcomes.work import done_by, work
from somsim.plan.actions import Cover, Spread
from somsim.plan.fields import Placed
from somsim.plan.model import shift
from somsim.simulate import Array, Trajectory
from somsim.timeline.build import Date
from somsim.timeline.cuts import plants_of
from somsim.timeline.ground import Happening
from somsim.timeline.prices import Asked, price_of
from somsim.timeline.world import Load

LINES = ("material", "delivery", "seed", "hired work", "own hours", "sales")
SALES = LINES.index("sales")
CENTS = 100.0
WHOLE = 1e-9  # of a load: a hundredth of a millilitre over is no further load


@dataclass(frozen=True)
class Thing:
    """What is bought or sold of one material or crop: m3 or kg by year (year, draw), and its money in cents."""

    per: str
    quantity: Array
    cents: Array


@dataclass(frozen=True)
class Ledger:
    """Money of a strategy: cents by line, year and draw (line, year, draw), all positive; ``sales`` come in.

    ``begins`` is the first day of each year of the plan, ``worth`` what money of that year counts for (year,).
    ``feeding`` are the cents (year, draw) that go into the soil's organic matter: all costs but the work on crops.
    ``things`` are what the materials and crops have in it, by table and name.  ``unpriced`` costs are left out for
    want of a price; ``guessed`` have the library's old one; ``unsold`` crops have no price in the plan.
    """

    strategy: str
    currency: str
    begins: tuple[Date, ...]
    cents: Array
    worth: Array
    feeding: Array
    things: dict[tuple[str, str], Thing]
    unpriced: tuple[str, ...]
    guessed: tuple[str, ...]
    unsold: tuple[str, ...]

    @property
    def complete(self) -> bool:
        """Whether every cost has a price."""
        return not self.unpriced

    @property
    def costs(self) -> Array:
        """Cents spent (year, draw), own hours at their wage."""
        return np.asarray(self.cents.sum(axis=0) - self.cents[SALES])

    @property
    def result(self) -> Array:
        """Cents left over (year, draw): sales less costs."""
        return np.asarray(self.cents[SALES] - self.costs)

    @property
    def present(self) -> Array:
        """Cents left over in all (draw,), later years counted for less; each year is rounded to a cent."""
        return np.asarray(np.rint(self.result * self.worth[:, np.newaxis]).sum(axis=0))


def worth_of_years(rate: float, years: int) -> Array:
    """What money of each year counts for (year,): that of the first year in full, a year later less by the rate.

    The present value of a row of payments as in any textbook: the sum of payment over (1 + rate)^years.

    >>> worth_of_years(0.25, 3).tolist()
    [1.0, 0.8, 0.64]
    """
    return np.asarray((1.0 + rate) ** -np.arange(years, dtype=float))


def whole_cents(money: ArrayLike) -> Array:
    """Money in cents, to the nearest whole one.

    >>> whole_cents([0.125, 3.0]).tolist()
    [12.0, 300.0]
    """
    return np.asarray(np.rint(np.asarray(money) * CENTS))


@dataclass
class _Book:
    """A ledger while it is written: money (line, year, draw), and what could not be priced."""

    money: Array
    growing: Array
    things: dict[tuple[str, str], Thing] = field(default_factory=dict)
    unpriced: list[str] = field(default_factory=list)
    guessed: list[str] = field(default_factory=list)
    unsold: list[str] = field(default_factory=list)


def ledger(trajectory: Trajectory) -> Ledger | None:
    """The money of a strategy; None when its plan says nothing of money."""
    plan = trajectory.world.figures.plan
    if plan.money is None:
        return None
    times = year_ends(plan.start, plan.end)
    shape = (len(times) - 1, trajectory.timeline.problem.draws)
    book = _Book(np.zeros((len(LINES), *shape)), np.zeros(shape))
    _buy(trajectory, times, book)
    _deliver(trajectory, times, book)
    _sow(trajectory, times, book)
    _pay(trajectory, times, book)
    _sell(trajectory, times, book)
    rate = 0.0 if plan.money.discount is None else plan.money.discount.best
    cents = whole_cents(book.money)
    return Ledger(
        trajectory.timeline.strategy,
        plan.money.currency,
        times[:-1],
        cents,
        worth_of_years(rate, len(times) - 1),
        cents.sum(axis=0) - cents[SALES] - whole_cents(book.growing),
        book.things,
        *(tuple(dict.fromkeys(names)) for names in (book.unpriced, book.guessed, book.unsold)),
    )


def year_ends(start: Date, end: Date) -> tuple[Date, ...]:
    """The start of a plan, and the end of each of its years; the last one may be short.

    >>> [day.isoformat() for day in year_ends(Date(2026, 10, 1), Date(2028, 4, 1))]
    ['2026-10-01', '2027-10-01', '2028-04-01']
    """
    days = (shift(start, 12 * year) for year in range(end.year - start.year + 1))
    return (*(day for day in days if day < end), end)


def _area(trajectory: Trajectory) -> float:
    return trajectory.world.figures.plan.site.beds.bed_area


def _in_years(first: Date, last: Date, times: tuple[Date, ...]) -> Array:
    """Share of something done evenly from ``first`` to ``last`` that falls in each year (year,)."""
    return np.asarray(np.diff(done_by([(first, last)], times)[0]))


def _asked(trajectory: Trajectory, table: str, name: str) -> Asked | None:
    figures = trajectory.world.figures
    return price_of(figures.plan, figures.library, table, name)


def bought(trajectory: Trajectory) -> Iterator[Load]:
    """Every spreading of a material that is bought: not of a heap of one's own."""
    own = trajectory.world.figures.plan.materials
    for load in trajectory.timeline.arrivals.loads:
        action = load.happening.action
        if isinstance(action, Spread) and action.heap_share is None:
            home_made = load.name in own and own[load.name].heap is not None
            if not home_made or _asked(trajectory, "materials", load.name) is not None:
                yield load


def _add(line: Array, part: Array, amount: Array) -> None:
    """Add an amount (draw,) to the years (year, draw) that its parts (year,) fall in."""
    for year in np.flatnonzero(part):
        line[year] += part[year] * amount


def _note(book: _Book, key: tuple[str, str], per: str, part: Array, quantity: Array, money: Array | None) -> None:
    """Add to what is known of one thing; ``quantity`` and ``money`` are (draw,)."""
    shape = book.growing.shape
    thing = book.things.setdefault(key, Thing(per, np.zeros(shape), np.zeros(shape)))
    _add(thing.quantity, part, quantity)
    if money is not None:
        _add(thing.cents, part, money * CENTS)


def _buy(trajectory: Trajectory, times: tuple[Date, ...], book: _Book) -> None:
    for load in bought(trajectory):
        asked = _asked(trajectory, "materials", load.name)
        per = asked.per if asked is not None else "volume" if load.volume is not None else "mass"
        amount = load.volume if per == "volume" else load.fresh
        if amount is None:
            book.unpriced.append(f"{load.name}, whose density is not known")
            continue
        part = _in_years(load.date, load.date, times)
        quantity = amount * load.share * _area(trajectory)
        money = None
        if asked is None:
            book.unpriced.append(load.name)
        else:
            money = quantity * trajectory.world.draws.of(asked.address)
            book.guessed += [load.name] if asked.guess else []
            _add(book.money[LINES.index("material")], part, money)
        _note(book, ("materials", load.name), per, part, quantity, money)


def _deliver(trajectory: Trajectory, times: tuple[Date, ...], book: _Book) -> None:
    """Whole loads of each material for each day of spreading; the library's old prices have delivery in them."""
    plan, world = trajectory.world.figures.plan, trajectory.world
    if plan.money is None or plan.money.delivery is None or plan.money.load is None:
        return
    volumes: dict[tuple[Date, str], Array] = {}
    for load in bought(trajectory):
        asked = _asked(trajectory, "materials", load.name)
        if asked is not None and asked.guess:
            continue
        if load.volume is None:
            book.unpriced.append(f"delivery of {load.name}, whose density is not known")
            continue
        volume = load.volume * load.share * _area(trajectory)
        volumes[load.date, load.name] = volumes.get((load.date, load.name), np.zeros_like(volume)) + volume
    each = world.draws.of("plan/money/delivery")
    for (date, _), volume in volumes.items():
        loads = np.ceil(volume / plan.money.load.best - WHOLE)
        _add(book.money[LINES.index("delivery")], _in_years(date, date, times), loads * each)


def _sow(trajectory: Trajectory, times: tuple[Date, ...], book: _Book) -> None:
    for one in trajectory.timeline.happenings:
        part = _in_years(one.occurrence.first, one.occurrence.first, times)
        if isinstance(one.action, Cover) and part.any():
            for money in _seed(trajectory, one, one.action, book):
                _add(book.money[LINES.index("seed")], part, money)


def _seed(trajectory: Trajectory, one: Happening, action: Cover, book: _Book) -> Iterator[Array]:
    """Money for the seed of one sowing (draw,): of a mix by its own price, else plant by plant.

    Each plant of a mix is sown at its usual rate times its share.
    """
    world = trajectory.world
    area = _area(trajectory) * sum(high - low for low, high in one.where)
    whole = _asked(trajectory, "covers", action.name) if action.mix is not None else None
    for name, rate in seed_rates(trajectory, one).items():
        asked = whole or _asked(trajectory, "covers", name)
        if asked is None or rate is None:
            why = "" if rate is not None else ", whose sowing rate is not known"
            book.unpriced.append(f"seed of {name}{why}")
            continue
        book.guessed += [f"seed of {name}"] if asked.guess else []
        yield area * rate * world.draws.of(asked.address)


def seed_rates(trajectory: Trajectory, one: Happening) -> dict[str, Array | None]:
    """kg of seed of each plant of a cover for each m2 sown (draw,), its usual rate times its share; None: not known."""
    world = trajectory.world
    rates = {name: world.maybe(world.figures.of_thing("covers", name, "seed_rate")) for name in plants_of(one.action)}
    shares = plants_of(one.action)
    return {name: None if rate is None else shares[name] * rate for name, rate in rates.items()}


def _pay(trajectory: Trajectory, times: tuple[Date, ...], book: _Book) -> None:
    """Hired hours at what is paid for them, own hours at their wage."""
    plan, draws = trajectory.world.figures.plan, trajectory.world.draws
    assert plan.money is not None
    for job in work(trajectory).jobs:
        hired = is_hired(plan.money.hired, job.kind)
        if not hired and plan.money.wage is None:
            continue
        each = draws.of(f"plan/money/hired/{job.kind}" if hired else "plan/money/wage")
        part, money = _in_years(job.first, job.last, times), job.hours * job.share * _area(trajectory) * each
        _add(book.money[LINES.index("hired work" if hired else "own hours")], part, money)
        if job.kind == "grow":
            _add(book.growing, part, money)


def is_hired(hired: Placed | None, kind: str) -> bool:
    """Whether a kind of job is paid for."""
    return hired is not None and getattr(hired, kind) is not None


def _sell(trajectory: Trajectory, times: tuple[Date, ...], book: _Book) -> None:
    for one in harvests(trajectory):
        asked = _asked(trajectory, "crops", one.crop)
        part = _in_years(one.first, one.last, times)
        quantity = one.mass * one.share * _area(trajectory)
        money = None
        if asked is None:
            book.unsold.append(one.crop)
        else:
            money = quantity * trajectory.world.draws.of(asked.address)
            _add(book.money[SALES], part, money)
        _note(book, ("crops", one.crop), "mass", part, quantity, money)
