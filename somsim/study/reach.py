"""How much of a material a year reaches a level of organic matter by a date, holds it then, and how long it lasts."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from somsim.draws import chance
from somsim.errors import InputError, Problem
from somsim.outcomes.money import CENTS, LINES, Ledger, ledger
from somsim.outcomes.salt import salt_years
from somsim.plan import write_plan
from somsim.plan.actions import Spread as SpreadAction
from somsim.plan.beds import HEAVIEST, THICKEST
from somsim.plan.model import Plan, shift
from somsim.simulate import Trajectory, simulate
from somsim.study.aims import Aim, read_aim, read_by, read_material, same_material, spreadings
from somsim.study.compare import DEFAULT_DRAWS, DEFAULT_SEED
from somsim.study.drift import LOOKED_AHEAD, Drift, Stop, drift, families, stop
from somsim.study.equivalence import Spread, spread_of
from somsim.study.held import load_held, phosphorus_held
from somsim.study.inverse import Layer, amount_for, highest_percent, layer_of
from somsim.study.limits import rules
from somsim.study.project import chosen
from somsim.study.rewriting import amount_in, rewritten, worlds
from somsim.study.room import Room, load_room, olsen_room
from somsim.study.starting import write_new
from somsim.timeline import Setting
from somsim.timeline.pulse import compost_of

Array = NDArray[np.float64]
HOLDING = 30  # years over which the amount that holds a level is to hold it
MOST = {"depth": THICKEST, "dry_mass": HEAVIEST}
AGREEMENT = 1e-6  # relative, between what was solved and what the answer's own plan gives


@dataclass(frozen=True)
class Yearly:
    """An amount a year in base units: m of depth, or kg/m2 dry where no bulk density is known.

    Quantiles count worlds in which no amount does it as the ``most`` that can be spread; ``by_family`` are medians.
    ``possible`` is the chance that some amount does it, ``none`` that nothing is needed.
    """

    key: str
    amount: Spread
    by_family: dict[str, float]
    possible: float
    none: float
    most: float


@dataclass(frozen=True)
class Reach:
    """The answer for one strategy.  Levels are percent of the layer, or kg/m2 where the target is.

    ``instead`` is whether the strategy itself spreads the material, so that the amount replaces it.  ``without`` is the
    level by the date with none of it, ``ceiling`` the one that no amount passes (None for a target in kg/m2).
    ``answer`` is the plan with the middle amounts, and ``checked`` the level it was found to reach when run.
    ``rooms`` are what the limits leave, the tightest first, of each nutrient the tightest; ``unknown`` are limited
    nutrients whose content in the material nobody knows.  ``payments`` are material and delivery a year of the answer
    until the date, None without prices; ``salt_years`` for how long
    by then compost or manure lies on soil that no rain reaches.
    """

    strategy: str
    material: str
    aim: Aim
    years: int
    date: datetime.date
    target: Spread
    start: Spread
    without: Spread
    instead: bool
    to_reach: Yearly
    to_hold: Yearly
    ceiling: Spread | None
    rooms: tuple[Room, ...]
    unknown: tuple[str, ...]
    payments: Spread | None
    unpriced: tuple[str, ...]
    salt_years: float
    today: Drift
    after_stop: Stop
    answer: Plan
    checked: Spread

    @property
    def reachable(self) -> bool:
        """Whether some amount reaches the target in at least half of the worlds."""
        return self.to_reach.possible >= 0.5

    @property
    def over_limit(self) -> bool:
        """Whether the middle amount is more than some limit leaves room for."""
        return self.reachable and any(room.amount.p50 < self.to_reach.amount.p50 for room in self.rooms)


@dataclass(frozen=True)
class Reaches:
    """The answers for one strategy or for all of a plan."""

    plan: Plan
    draws: int
    seed: int
    answers: tuple[Reach, ...]


def reach_study(
    plan: Plan,
    target: str,
    *,
    by: str | None = None,
    material: str | None = None,
    strategy: str | None = None,
    draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    step: Callable[[], None] = lambda: None,
) -> Reaches:
    """Ask how a level of organic matter is reached and held.

    Parameters
    ----------
    plan : Plan
    target : str, "4 %", "5 kg/m2", or "today"
    by : str, a year or a date; the end of the plan by default; counted in whole years of the plan
    material : str, by default the compost that the plan compares with
    strategy : str, all of the plan by default
    draws, seed : int, how many possible worlds, and which
    step : called after each strategy

    Raises
    ------
    InputError
        for words that cannot be read, an unknown strategy or material, or a missing figure.
    """
    aim, years = read_aim(target), read_by(plan, by)
    names = list(plan.strategies) if strategy is None else [chosen(plan, strategy)]
    # The material is chosen by the plan as it stands; one draw is enough to know its figures.
    chosen_material = read_material(plan, material) if material is not None else compost_of(worlds(plan, 2, seed)[0])
    found = []
    for name in names:
        found.append(_Question(plan, name, chosen_material, aim, years, draws, seed).answer())
        step()
    return Reaches(plan, draws, seed, tuple(found))


@dataclass(frozen=True)
class _Run:
    """The runs of a question in one setting: without the material, with a unit a year before or after the date.

    The first three end with the plan of the answer; ``far_without``, ``far_first`` and today's ``practice`` go on.
    """

    aim: Aim
    shared: Setting
    bare_run: Trajectory
    unit_run: Trajectory
    without: Layer
    first: Layer
    then: Layer
    far_without: Layer
    far_first: Layer
    practice: Layer

    @property
    def target(self) -> Array:
        """The level asked for (draw,)."""
        if self.aim.value is None:
            return np.asarray(self.without.level(self.aim.percent)[0])
        return np.full(self.shared.draws.count, self.aim.value)

    def after(self, first: Array, then: Array, year: int) -> Layer:
        """The layer in one year with so much a year before, and after, the date."""
        here = slice(year, year + 1)
        return (
            self.without.at(here.start, here.stop)
            .plus(first, self.unit(self.first, year))
            .plus(then, self.unit(self.then, year))
        )

    def unit(self, run: Layer, year: int) -> Layer:
        """What one unit of it adds by a year."""
        return run.at(year, year + 1).less(self.without.at(year, year + 1))


@dataclass(frozen=True)
class _Question:
    plan: Plan
    strategy: str
    material: str
    aim: Aim
    years: int
    draws: int
    seed: int

    @cached_property
    def rest(self) -> list[object]:
        """What the strategy does beside spreading the material."""
        return [
            one
            for one in self.plan.strategies[self.strategy]
            if not (isinstance(one, SpreadAction) and same_material(one.material, self.material))
        ]

    def answer_plan(self, spread: SpreadAction, key: str, first: float, then: float, years: int) -> Plan:
        """The plan in which so much is spread each year until the date, and so much each year after it."""
        spreads = [
            spread.model_copy(update={key: amount_in(key, first), "last_year": self.years}),
            spread.model_copy(update={key: amount_in(key, then), "first_year": self.years + 1}),
        ]
        return rewritten(self.plan, {self.strategy: [*self.rest, *spreads]}, years)

    @cached_property
    def spread(self) -> tuple[SpreadAction, str]:
        """How it is spread, without an amount, and the key its amount has."""
        key = "depth" if _has_density(self.plan, self.material) else "dry_mass"
        nothing = dict.fromkeys(("depth", "volume", "mass", "mass_per_area", "dry_mass", "heap_share"))
        change = {**nothing, "material": self.material, "first_year": None, "last_year": None}
        for one in spreadings(self.plan, self.strategy, self.material):
            bare = one.model_copy(update=change)
            try:
                self.answer_plan(bare, key, 0.0, 0.0, self.years + 1)
            except InputError as error:
                refused = error
                continue
            return bare, key
        raise refused

    def runs(self) -> list[_Run]:
        """With the best values, and in all worlds."""
        spread, key = self.spread
        unit, near, far = MOST[key] / 1000.0, self.years + HOLDING, self.years + LOOKED_AHEAD
        # The isohumic rate is a mean over all days of a plan: what is compared to 1e-6 has to end on the same day.
        amounts = [(0.0, 0.0, near), (unit, 0.0, near), (0.0, unit, near), (0.0, 0.0, far), (unit, 0.0, far)]
        plans = [self.answer_plan(spread, key, first, then, years) for first, then, years in amounts]
        plans.append(rewritten(self.plan, {self.strategy: self.plan.strategies[self.strategy]}, far))
        settings = [worlds(one, self.draws, self.seed) for one in plans]
        found = []
        for number in range(2):
            ran = [simulate(both[number], self.strategy) for both in settings]
            layers = [layer_of(one) for one in ran]
            found.append(_Run(self.aim, settings[1][number], ran[0], ran[1], *layers))
        return found

    def answer(self) -> Reach:
        spread, key = self.spread
        best, drawn = runs = self.runs()
        most = MOST[key]
        size = most / 1000.0
        first = [self._solve(run, run.without.at(self.years, self.years + 1), run.first, self.years) for run in runs]
        usable = [np.where(np.isfinite(one), one, 0.0) for one in first]
        end = self.years + HOLDING
        none = [np.zeros_like(one) for one in usable]
        then = [
            np.where(np.isfinite(one), self._solve(run, run.after(some, nothing, end), run.then, end), np.inf)
            for run, one, some, nothing in zip(runs, first, usable, none, strict=True)
        ]
        to_reach, to_hold = (self._yearly(key, one[0], one[1], drawn) for one in (first, then))
        answer = self.answer_plan(spread, key, to_reach.amount.p50, to_hold.amount.p50, end)
        checked, ran = self._checked(answer, runs, to_reach.amount.p50 / size)
        rooms = self._rooms(runs, size, ran)
        books = [ledger(one) for one in ran]

        def level(values: list[Array]) -> Spread:
            return spread_of(values[0][0], values[1], drawn.shared.draws.weights)

        return Reach(
            strategy=self.strategy,
            material=self.material,
            aim=self.aim,
            years=self.years,
            date=shift(self.plan.start, 12 * self.years),
            target=level([run.target for run in runs]),
            start=level([run.without.level(self.aim.percent)[0] for run in runs]),
            without=level([run.without.level(self.aim.percent)[self.years] for run in runs]),
            instead=len(self.rest) < len(self.plan.strategies[self.strategy]),
            to_reach=to_reach,
            to_hold=to_hold,
            ceiling=level([self._ceiling(run) for run in runs]) if self.aim.percent else None,
            rooms=rooms,
            unknown=self._unknown(ran[0]),
            payments=_payments(books, self.years),
            unpriced=() if books[0] is None else books[0].unpriced,
            salt_years=float(salt_years(ran[0])[self.years].max()),
            today=drift(self.plan, best.practice, drawn.practice, drawn.shared),
            after_stop=stop(
                [run.far_without.mass for run in runs],
                [some * (run.far_first.mass - run.far_without.mass) for run, some in zip(runs, usable, strict=True)],
                self.years,
                drawn.shared.draws.weights,
            ),
            answer=answer,
            checked=checked,
        )

    def _solve(self, run: _Run, without: Layer, more: Layer, year: int) -> Array:
        """Units a year (draw,) with which the level is the target's in a year."""
        return amount_for(run.target, without, run.unit(more, year), percent=self.aim.percent, most=1000.0)

    def _yearly(self, key: str, best: Array, many: Array, drawn: _Run) -> Yearly:
        most, weights = MOST[key], drawn.shared.draws.weights
        amounts = [np.minimum(one, 1000.0) * most / 1000.0 for one in (best, many)]
        return Yearly(
            key,
            spread_of(amounts[0][0], amounts[1], weights),
            families(amounts[1], drawn.shared),
            chance(np.isfinite(many), weights),
            chance(many == 0.0, weights),
            most,
        )

    def _ceiling(self, run: _Run) -> Array:
        return highest_percent(run.without.at(self.years, self.years + 1), run.unit(run.first, self.years))

    def _checked(self, answer: Plan, runs: list[_Run], units: float) -> tuple[Spread, list[Trajectory]]:
        """Run the answer's plan; what it gives must be what the two runs foretold, in every world."""
        settings = worlds(answer, self.draws, self.seed)
        ran = [simulate(shared, self.strategy) for shared in settings]
        found = [layer_of(one).level(self.aim.percent)[self.years] for one in ran]
        for run, level in zip(runs, found, strict=True):
            nothing = np.zeros_like(level)
            foretold = run.after(nothing + units, nothing, self.years).level(self.aim.percent)[0]
            if not np.allclose(level, foretold, rtol=AGREEMENT, atol=0.0):
                raise ArithmeticError("the plan of the answer does not reach what was worked out for it")
        return spread_of(found[0][0], found[1], settings[1].draws.weights), ran

    def _rooms(self, runs: list[_Run], size: float, ran: list[Trajectory]) -> tuple[Room, ...]:
        """What each limit leaves, the tightest first; of each nutrient only the tightest."""
        found = []
        for rule in rules(ran[0].world.figures):
            units = [
                load_room(run.unit_run, rule, run.shared.figures.plan.strategies[self.strategy][-2:]) for run in runs
            ]
            held = load_held(ran[0], ran[1], rule)
            found += [Room(rule, held, None, *both) for both in self._within(runs, units, size)]
        for level in phosphorus_held(ran[0], ran[1]):
            units = [olsen_room(run.bare_run, run.unit_run, level.level, self.years) for run in runs]
            found += [Room(None, None, level.level, *both) for both in self._within(runs, units, size)]
        found.sort(key=lambda room: room.amount.p50)
        return tuple({room.nutrient: room for room in reversed(found)}.values())[::-1]

    def _within(self, runs: list[_Run], units: list[Array | None], size: float) -> list[tuple[Spread, Spread]]:
        """The largest amount within a limit and the level it comes to; nothing where the limit does not bear on it."""
        kept = [np.clip(one, 0.0, 1000.0) for one in units if one is not None]
        if len(kept) < len(runs):
            return []
        levels = [
            run.after(one, np.zeros_like(one), self.years).level(self.aim.percent)[0]
            for run, one in zip(runs, kept, strict=True)
        ]
        weights = runs[1].shared.draws.weights
        return [(spread_of(size * kept[0][0], size * kept[1], weights), spread_of(levels[0][0], levels[1], weights))]

    def _unknown(self, best: Trajectory) -> tuple[str, ...]:
        """Limited nutrients whose content in the material is not known."""
        limited = dict.fromkeys(rule.nutrient for rule in rules(best.world.figures))
        mine = [load for load in best.timeline.arrivals.loads if same_material(load.name, self.material)]
        return tuple(one for one in limited if any(getattr(load, one) is None for load in mine))


def _payments(books: list[Ledger | None], years: int) -> Spread | None:
    """Material and delivery, a mean year until the date."""
    rows = [LINES.index("material"), LINES.index("delivery")]
    paid = [book.cents[rows, :years].sum(axis=(0, 1)) / CENTS / years for book in books if book is not None]
    return spread_of(paid[0][0], paid[1]) if len(paid) == len(books) else None


def _has_density(plan: Plan, material: str) -> bool:
    known = worlds(plan, 2, 1)[0].figures
    return known.of_thing("materials", material, "bulk_density") is not None


def write_answer(found: Reaches, file: Path) -> None:
    """Write the plan of an answer, with the middle amounts, to a file that is not there yet.

    Raises
    ------
    InputError
        when there are several answers, or the file cannot be a new one.
    """
    if len(found.answers) > 1:
        hint = "add --strategy with one of: " + ", ".join(f'"{one.strategy}"' for one in found.answers)
        raise InputError([Problem("a plan is written for one strategy, here are several", hint=hint)])
    write_new(file, write_plan(found.answers[0].answer))
