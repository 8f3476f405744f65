"""What is decided by: soil, money, hours, food, nutrients and salt of each strategy, side by side, without weights."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from somsim.draws import chance
from somsim.outcomes.food import PORTION, harvest, without_yield
from somsim.outcomes.money import CENTS, LINES, Ledger, ledger
from somsim.outcomes.nutrients import phosphorus_brought, without_phosphorus
from somsim.outcomes.salt import salt_years
from somsim.outcomes.work import USUAL, tool_of, work
from somsim.simulate import Array, Trajectory
from somsim.study.breakeven import BreakEven, break_evens
from somsim.study.equivalence import Spread, spread_of
from somsim.study.fit import Fit, by_month, fit, own_and_hired
from somsim.study.limits import HECTARE, NitrogenLoad
from somsim.timeline.world import START

SAME = 1e-9  # of the largest figure: nearer ones are the same
SURE = 0.9  # a strategy is called beaten where it is in this share of the worlds
LEAST_LASTING = 1e-6  # kg C on all beds: a price for each kg of less means nothing


@dataclass(frozen=True)
class Cost:
    """Money of a strategy in its currency: means a year by line, all costs, what is left over, and for one of what.

    ``present`` is what is left over in all, later years counted for less; ``per_area`` the costs a year for each m2
    of bed; ``per_lasting`` what feeding the soil costs for each kg of its carbon still there, or None.
    ``chance_of_most`` is how often this strategy leaves over most, None where some cost has no price.
    """

    lines: dict[str, Spread]
    costs: Spread
    result: Spread
    present: Spread
    per_area: Spread
    per_lasting: Spread | None
    ledger: Ledger
    likely: Ledger
    chance_of_most: float | None = None


@dataclass(frozen=True)
class Choice:
    """One strategy as it stands to be chosen; everything by the year is a mean of the years, on all beds.

    ``hours`` are own hours, ``by_month`` the same by kind of job (twelve months each); kg ``harvest``;
    ``phosphorus`` kg/ha of ground with paths; ``salt_years`` of compost or manure under cover without rain.
    ``unknown_hours`` are jobs, ``unknown_yields`` crops, ``unknown_phosphorus`` materials without a published figure.
    ``beaten_by`` are strategies that are at least as good on everything, with the share of worlds where they are.
    """

    strategy: str
    organic_matter: Spread
    chance_of_most: float
    cost: Cost | None
    hours: Spread
    hired: Spread
    by_month: dict[str, tuple[Spread, ...]]
    harvest: Spread
    portions: Spread
    nitrogen: Spread
    phosphorus: Spread
    salt_years: float
    fit: Fit | None
    unknown_hours: tuple[str, ...]
    unknown_yields: tuple[str, ...]
    unknown_phosphorus: tuple[str, ...]
    beaten_by: tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class MoneyPair:
    """The strategy that leaves most money in the middle world, beside another: how much more over the whole plan."""

    more: str
    less: str
    difference: Spread
    chance: float


@dataclass(frozen=True)
class Decision:
    """All strategies as they stand to be chosen.  ``tools`` are the usual ones, taken where the plan names none."""

    currency: str | None
    choices: tuple[Choice, ...]
    pairs: tuple[MoneyPair, ...]
    break_evens: tuple[BreakEven, ...]
    tools: dict[str, str]


@dataclass(frozen=True)
class Run:
    """One strategy with the best values and in all draws, and what was found out about its soil.

    ``level`` is kg/m2 of organic matter at the horizon (draw,), ``nitrogen`` is the most spread in twelve months.
    """

    best: Trajectory
    many: Trajectory
    level: Array
    organic_matter: Spread
    chance_of_most: float
    nitrogen: NitrogenLoad


def decide(runs: Sequence[Run]) -> Decision:
    """Lay the strategies side by side."""
    plan = runs[0].best.world.figures.plan
    books = [(ledger(run.best), ledger(run.many)) for run in runs]
    priced = [(likely, many) for likely, many in books if likely is not None and many is not None]
    found = [_choice(run, *book) for run, book in zip(runs, books, strict=True)]
    beaten = _beaten([choice for choice, _ in found], [judged for _, judged in found], [book for _, book in priced])
    kinds = {kind for choice, _ in found for kind in choice.by_month}
    said = {} if plan.tools is None else plan.tools.model_dump(exclude_none=True)
    return Decision(
        None if plan.money is None else plan.money.currency,
        _with_chances([replace(choice, beaten_by=others) for (choice, _), others in zip(found, beaten, strict=True)]),
        _pairs(priced),
        break_evens([one for one, _ in priced], [one for _, one in priced], plan.site.beds.bed_area),
        {kind: tool_of(plan, kind) for kind in USUAL if kind in kinds and kind not in said},
    )


def _with_chances(choices: list[Choice]) -> tuple[Choice, ...]:
    """Tell each strategy how often it leaves over most money; worlds in which several do are shared."""
    costs = [one.cost for one in choices if one.cost is not None]
    if not costs or not all(cost.ledger.complete for cost in costs):
        return tuple(choices)
    left = np.stack([cost.ledger.present for cost in costs])
    most = left == left.max(axis=0)
    shares = np.mean(most / most.sum(axis=0), axis=1)
    return tuple(
        replace(one, cost=replace(cost, chance_of_most=float(share)))
        for one, cost, share in zip(choices, costs, shares, strict=True)
    )


def _years(one: Trajectory) -> float:
    times = one.timeline.times
    return max((times[-1] - times[0]).days / 365.25, 1.0)


def _over_beds(values: Array, one: Trajectory) -> Array:
    """Mean over the beds: (group, draw) to (draw,)."""
    share = np.array([[group.share] for group in one.timeline.groups])
    return np.asarray((values * share).sum(axis=0))


def _choice(run: Run, likely: Ledger | None, many: Ledger | None) -> tuple[Choice, Array]:
    """A strategy, and all that it is judged by but money (criterion, draw), each the better the higher."""
    plan, draws = run.best.world.figures.plan, run.many.timeline.problem.draws
    pair = (run.best, run.many)
    jobs = [own_and_hired(one) for one in pair]
    months = [by_month(own, plan) for own, _ in jobs]
    own = [_sum(found, one) for found, one in zip(months, pair, strict=True)]
    hired = [_sum(by_month(paid, plan), one) for (_, paid), one in zip(jobs, pair, strict=True)]
    food = [_food(one) for one in pair]
    phosphorus = [_phosphorus(one) for one in pair]
    portion, salt = run.best.world.figures.unknowns[PORTION].best, float(salt_years(run.best)[-1].max())
    choice = Choice(
        strategy=run.best.timeline.strategy,
        organic_matter=run.organic_matter,
        chance_of_most=run.chance_of_most,
        cost=None if likely is None or many is None else _cost(run, likely, many),
        hours=spread_of(own[0][0], own[1]),
        hired=spread_of(hired[0][0], hired[1]),
        by_month={
            kind: tuple(spread_of(months[0][kind][month, 0], months[1][kind][month]) for month in range(12))
            for kind in months[0]
        },
        harvest=spread_of(food[0][0], food[1]),
        portions=spread_of(food[0][0] / portion, food[1] / portion),
        nitrogen=run.nitrogen.most,
        phosphorus=spread_of(phosphorus[0][0], phosphorus[1]),
        salt_years=salt,
        fit=fit(plan, jobs[0][0], jobs[1][0], draws),
        unknown_hours=work(run.best).unknown,
        unknown_yields=without_yield(run.best),
        unknown_phosphorus=without_phosphorus(run.best),
        beaten_by=(),
    )
    alike = np.ones(draws)
    judged = [run.level, -own[1], food[1], -phosphorus[1], -salt * alike, -run.nitrogen.draws]
    return choice, np.stack(judged)


def _sum(months: dict[str, Array], one: Trajectory) -> Array:
    """Hours a year (draw,) from hours by month of each kind of job."""
    total = np.zeros(one.timeline.problem.draws)
    for part in months.values():
        total = total + part.sum(axis=0)
    return total


def _food(one: Trajectory) -> Array:
    """kg a year from all beds (draw,)."""
    return _over_beds(harvest(one)[-1], one) * one.world.figures.plan.site.beds.bed_area / _years(one)


def _phosphorus(one: Trajectory) -> Array:
    """kg P a year for each hectare of ground with its paths (draw,)."""
    beds = one.world.figures.plan.site.beds
    return _over_beds(phosphorus_brought(one)[-1], one) * HECTARE * beds.bed_area / beds.ground_area / _years(one)


def _cost(run: Run, likely: Ledger, many: Ledger) -> Cost:
    years, area = _years(run.best), run.best.world.figures.plan.site.beds.bed_area
    books = (likely, many)

    def yearly(values: list[Array]) -> Spread:
        means = [value.sum(axis=0) / CENTS / years for value in values]
        return spread_of(means[0][0], means[1])

    costs = [one.costs.sum(axis=0) / CENTS / years / area for one in books]
    lasting = [_lasting(one) for one in (run.best, run.many)]
    feeding = [one.feeding.sum(axis=0) / CENTS for one in books]
    dear = feeding[1].any() and all(np.all(kept > LEAST_LASTING) for kept in lasting)
    return Cost(
        {line: yearly([one.cents[number] for one in books]) for number, line in enumerate(LINES)},
        yearly([one.costs for one in books]),
        yearly([one.result for one in books]),
        spread_of(likely.present[0] / CENTS, many.present / CENTS),
        spread_of(costs[0][0], costs[1]),
        spread_of(feeding[0][0] / lasting[0][0], feeding[1] / lasting[1]) if dear else None,
        many,
        likely,
    )


def _lasting(one: Trajectory) -> Array:
    """kg C on all beds at the horizon (draw,) that came from what was spread and from covers."""
    lanes = one.timeline.lanes
    fed = np.array([lane.table in ("materials", "covers") and lane.source != START for lane in lanes])
    kept = one.by_group(one.stocks.total * fed[:, np.newaxis])[-1]
    return _over_beds(kept, one) * one.world.figures.plan.site.beds.bed_area


def _beaten(
    choices: Sequence[Choice], judged: Sequence[Array], books: Sequence[Ledger]
) -> list[tuple[tuple[str, float], ...]]:
    """For each strategy those that beat it: nowhere worse and somewhere better, in nearly all worlds.

    Money counts only where every cost of all strategies has a price.  Nobody wins by work or phosphorus that has no
    figure, or against a harvest that has none.
    """
    table = np.stack(judged)
    if books and all(book.complete for book in books):
        table = np.concatenate([table, np.stack([book.present for book in books])[:, np.newaxis]], axis=1)
    least = np.max(np.abs(table), axis=(0, 2))[:, np.newaxis] * SAME
    found = []
    for mine, figures in zip(choices, table, strict=True):
        others = []
        for other, theirs in zip(choices, table, strict=True):
            wins = np.all(theirs >= figures - least, axis=0) & np.any(theirs > figures + least, axis=0)
            known = set(other.unknown_hours) <= set(mine.unknown_hours)
            known &= set(mine.unknown_yields) <= set(other.unknown_yields)
            known &= set(other.unknown_phosphorus) <= set(mine.unknown_phosphorus)
            if known and chance(wins) >= SURE:
                others.append((other.strategy, chance(wins)))
        found.append(tuple(others))
    return found


def _pairs(books: Sequence[tuple[Ledger, Ledger]]) -> tuple[MoneyPair, ...]:
    """The strategy that leaves most money beside each of the others; only those whose costs all have a price."""
    whole = [(likely, many) for likely, many in books if many.complete]
    if len(whole) < 2:
        return ()
    whole.sort(key=lambda book: -float(np.median(book[1].present)))
    likely, first = whole[0]
    found = []
    for other_likely, other in whole[1:]:
        difference = first.present - other.present
        best = float(likely.present[0] - other_likely.present[0])
        found.append(
            MoneyPair(
                first.strategy, other.strategy, spread_of(best / CENTS, difference / CENTS), chance(difference > 0.0)
            )
        )
    return tuple(found)
