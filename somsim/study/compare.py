"""The main question: what does each strategy do to the soil, beside the others, in many possible worlds?"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from somsim.draws import Draws, best_values, chance, mean, quantile
from somsim.library import Library, read_library
from somsim.outcomes import carbon, dataset
from somsim.outcomes.soil_life import food_by_month
from somsim.plan.model import Plan
from somsim.plan.occurrences import Interval, united
from somsim.simulate import Trajectory, simulate
from somsim.study.benefits import Benefit, benefits
from somsim.study.cautions import Caution, cautions
from somsim.study.decision import Decision, Run, decide
from somsim.study.equivalence import Equivalence, Spread, equivalences, spread_of
from somsim.study.held import LoadHeld
from somsim.study.limits import NitrogenLoad, nitrogen_load
from somsim.study.limits_found import LimitsFound, limits_found, loads_held
from somsim.study.loop import Loop, loops
from somsim.study.nutrients import Nutrients, nutrients
from somsim.study.questions import Asked, level_of
from somsim.study.readings import cut_masses, readings
from somsim.study.seasons import season_notes, thin_cuts
from somsim.study.settle import Prospect, prospect_of
from somsim.study.support import support_notes
from somsim.timeline import Figures, Setting, figures, setting
from somsim.timeline.world import START

if TYPE_CHECKING:
    import xarray

Array = NDArray[np.float64]
DEFAULT_DRAWS = 512
DEFAULT_SEED = 1
MOST_DRAWS = 65_536
LEAST_DIFFERENCE = 1e-9  # kg/m2: nearer levels are one level, and share their worlds


@dataclass(frozen=True)
class Pair:
    """One strategy beside another: how much more organic matter it leaves at the horizon, kg/m2 of bed.

    ``chance`` that it leaves more; ``shortfall`` by how much it leaves less in the worlds where it does, on average, 0
    where there are none.
    """

    more: str
    less: str
    difference: Spread
    chance: float
    shortfall: float = 0.0

    @property
    def regret(self) -> float:
        """What choosing it costs on average for not knowing better, kg/m2."""
        return (1.0 - self.chance) * self.shortfall


@dataclass(frozen=True)
class StrategyAnswer:
    """The figures of one strategy at the horizon, means over the beds.

    ``change`` since the first day; ``added`` kg C/m2; ``kept`` the share of it still there, None when nothing was
    added; ``food`` kg C/m2 decomposed a year; ``from_source`` kg C/m2 by source, with its P10 to P90;
    ``held`` are the limits on what it spreads;
    ``spread_depth`` m of each material spread in a mean year on the beds that get it, by best values.
    """

    name: str
    percent: Spread
    organic_matter: Spread
    surface: Spread
    change: Spread
    added: Spread
    kept: Spread | None
    food: Spread
    from_source: dict[str, Spread]
    chance_of_most: float
    level_by_family: dict[str, float]
    nitrogen: NitrogenLoad
    held: tuple[LoadHeld, ...]
    spread_depth: dict[str, float]


class Answered(Protocol):
    """The heart of a comparison: what its first sentences are made from."""

    @property
    def plan(self) -> Plan:
        """The plan."""

    @property
    def draws(self) -> int:
        """How many possible worlds."""

    @property
    def answers(self) -> tuple[StrategyAnswer, ...]:
        """The figures of each strategy."""

    @property
    def pairs(self) -> tuple[Pair, ...]:
        """Strategies side by side."""


@dataclass(frozen=True)
class Study:
    """Everything that a comparison found out; reports and files are made from it.

    ``best`` and ``drawn`` are the outcomes as xarray datasets, with the best values and with the draws.
    ``monthly_food`` is by strategy: kg C/m2 decomposed in each month of the year by source (month, source).
    ``used`` are the addresses of all numbers the result rests on; ``notes`` (id, sentence) what it does not cover;
    ``prospect`` what could be measured next.
    """

    figures: Figures
    draws: int
    seed: int
    engine: str
    best: xarray.Dataset
    drawn: xarray.Dataset
    answers: tuple[StrategyAnswer, ...]
    pairs: tuple[Pair, ...]
    equivalences: tuple[Equivalence, ...]
    loops: tuple[Loop, ...]
    cautions: tuple[Caution, ...]
    decision: Decision
    monthly_food: dict[str, tuple[tuple[str, ...], Array]]
    used: tuple[str, ...]
    weights: Array | None
    notes: tuple[tuple[str, str], ...]
    nutrients: tuple[Nutrients, ...]
    limits: LimitsFound
    benefits: tuple[Benefit, ...]
    prospect: Prospect

    @property
    def plan(self) -> Plan:
        """The plan."""
        return self.figures.plan


def compare_study(
    plan: Plan,
    *,
    draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    engine: str = "exact",
    library: Library | None = None,
    step: Callable[[], None] = lambda: None,
    weights: Array | None = None,
    given: Mapping[str, Array] | None = None,
) -> Study:
    """Run every strategy of a plan, with the best values and in ``draws`` possible worlds.

    Parameters
    ----------
    plan : Plan
    draws : int, how many worlds, 2 to 65,536; powers of two are the most even
    seed : int, the same seed gives the same worlds
    engine : "exact" or "ivp"
    library : Library, the one that comes with somsim by default
    weights : (draw,), how far each world is to be believed; None for all alike
    given : scores (draw,) by name in place of the sequence's, such as those of a calibration
    step : called after each part of the work: twice for each strategy, and once more

    Raises
    ------
    ValueError
        for a number of draws or an engine that cannot be.
    InputError
        when the plan lacks a figure.
    """
    if not 2 <= draws <= MOST_DRAWS:
        raise ValueError(f"draws: {draws} is not between 2 and {MOST_DRAWS:,}")
    known = figures(plan, library or read_library())
    correlation = known.unknowns["constants/like_materials_correlation/value"].best
    many = Draws(draws, seed, known.unknowns, correlation, weights, given or {})
    best, drawn = setting(known, best_values(known.unknowns)), setting(known, many)
    likely, worlds = [], []
    for name in plan.strategies:
        likely.append(simulate(best, name, engine=engine, record="months"))
        step()
        worlds.append(simulate(drawn, name, engine=engine))
        step()
    answers = _answers(likely, worlds, drawn)
    found = equivalences(best, drawn, engine=engine)
    step()
    fed = tuple(nutrients(one, many) for one, many in zip(likely, worlds, strict=True))
    least = known.unknowns["constants/lowest_useful_cut/value"].best
    held = limits_found(likely, worlds, tuple(one for answer in answers for one in answer.held))
    over = tuple(one.strategy for one in held.loads if one.passed and one.rule.nutrient == "nitrogen")
    return Study(
        known,
        draws,
        seed,
        engine,
        dataset(likely),
        dataset(worlds),
        answers,
        _pairs(likely, worlds, weights),
        found,
        loops(best, drawn, engine=engine),
        cautions(known, over),
        _decision(likely, worlds, answers),
        {one.timeline.strategy: (one.sources, food_by_month(one)) for one in likely},
        tuple(sorted(many.asked)),
        weights,
        support_notes(known, best, answers) + thin_cuts(likely, least) + season_notes(likely, known),
        fed,
        held,
        tuple(
            benefit
            for run, has, answer in zip(likely, fed, answers, strict=True)
            for benefit in benefits(run, has, answer.food)
        ),
        _prospect(worlds, found, drawn),
    )


def _decision(likely: list[Trajectory], worlds: list[Trajectory], answers: tuple[StrategyAnswer, ...]) -> Decision:
    found = zip(likely, worlds, answers, strict=True)
    return decide(
        [
            Run(best, many, level_of(many), answer.organic_matter, answer.chance_of_most, answer.nitrogen)
            for best, many, answer in found
        ]
    )


def shares(trajectory: Trajectory) -> Array:
    """Share of the bed area of each group (group, 1), to weigh groups by."""
    return np.array([[group.share] for group in trajectory.timeline.groups])


def over_beds(values: Array, trajectory: Trajectory) -> Array:
    """Mean over the beds: (..., group, draw) to (..., draw)."""
    return np.asarray((values * shares(trajectory)).sum(axis=-2))


def _answers(likely: list[Trajectory], worlds: list[Trajectory], drawn: Setting) -> tuple[StrategyAnswer, ...]:
    most = chances_of_most(np.stack([level_of(one) for one in worlds]), drawn.draws.weights)
    return tuple(
        answer_of(best, many, drawn, float(most[number]))
        for number, (best, many) in enumerate(zip(likely, worlds, strict=True))
    )


def chances_of_most(levels: Array, weights: Array | None) -> Array:
    """The share of the worlds in which each strategy leaves most, from the levels (strategy, draw) in kg/m2."""
    highest = levels >= levels.max(axis=0) - LEAST_DIFFERENCE
    return np.asarray(mean(highest / highest.sum(axis=0), weights))


def answer_of(best: Trajectory, many: Trajectory, drawn: Setting, most: float) -> StrategyAnswer:
    """The figures of one strategy, which leaves most in the share ``most`` of the worlds."""
    weights = drawn.draws.weights

    def both(values: list[Array]) -> Spread:
        return spread_of(values[0][0], values[1], weights)

    pair = (best, many)
    level = [over_beds(carbon.organic_matter(one), one) for one in pair]
    surface = [over_beds(carbon.organic_matter_with_surface(one), one) for one in pair]
    percent = [over_beds(carbon.organic_matter_percent(one), one)[-1] for one in pair]
    added = [over_beds(carbon.carbon_added(one), one)[-1] for one in pair]
    by_source = [over_beds(carbon.carbon_by_source(one), one)[:, -1] for one in pair]
    start = [one.sources.index(START) if START in one.sources else None for one in pair]
    new = [
        np.delete(values, here, axis=0).sum(axis=0) if here is not None else values.sum(axis=0)
        for values, here in zip(by_source, start, strict=True)
    ]
    food = _mean_food(best, many, weights)
    isohumic = many.timeline.isohumic
    families = {}
    for name, inside in (("uppsala", ~isohumic), ("isohumic", isohumic)):
        believed = None if weights is None else weights[inside]
        if inside.any() and (believed is None or believed.sum() > 0.0):
            families[name] = float(quantile(level[1][-1][inside], 0.5, believed)[0])
    return StrategyAnswer(
        best.timeline.strategy,
        both(percent),
        both([one[-1] for one in level]),
        both([one[-1] - other[-1] for one, other in zip(surface, level, strict=True)]),
        both([one[-1] - one[0] for one in level]),
        both(added),
        _kept(new, added, weights),
        food,
        {
            name: spread_of(by_source[0][number, 0], by_source[1][number], weights)
            for number, name in enumerate(best.sources)
        },
        most,
        families,
        nitrogen_load(best, many),
        loads_held(best, many),
        _spread_depth(best),
    )


def _spread_depth(best: Trajectory) -> dict[str, float]:
    times = best.timeline.times
    years = max((times[-1] - times[0]).days / 365.25, 1.0)
    depth: dict[str, float] = {}
    ground: dict[str, list[tuple[Interval, ...]]] = {}
    for load in best.timeline.arrivals.loads:
        if load.kind == "material" and load.volume is not None:
            depth[load.name] = depth.get(load.name, 0.0) + float(load.volume[0]) * load.share / years
            ground.setdefault(load.name, []).append(load.happening.where)
    return {name: volume / united(ground[name]) for name, volume in depth.items()}


def _kept(new: list[Array], added: list[Array], weights: Array | None) -> Spread | None:
    """Share of the carbon added that is still there; None where in some world nothing was added."""
    if not all(np.all(put > 0.0) for put in added):
        return None
    best, draws = (kept / put for kept, put in zip(new, added, strict=True))
    return spread_of(best[0], draws, weights)


def _mean_food(best: Trajectory, many: Trajectory, weights: Array | None) -> Spread:
    """kg C/m2 decomposed a year, mean over the horizon."""
    means = []
    for one in (best, many):
        stocks = one.stocks
        eaten = over_beds(one.by_group(stocks.decomposed + stocks.humus_respired), one)[-1]
        times = one.timeline.times
        means.append(eaten / ((times[-1] - times[0]).days / 365.25))
    return spread_of(means[0][0], means[1], weights)


def _pairs(likely: list[Trajectory], worlds: list[Trajectory], weights: Array | None) -> tuple[Pair, ...]:
    names = [one.timeline.strategy for one in likely]
    return pairs_of(names, [float(level_of(one)[0]) for one in likely], [level_of(one) for one in worlds], weights)


def pairs_of(
    names: Sequence[str], likely: Sequence[float], levels: Sequence[Array], weights: Array | None
) -> tuple[Pair, ...]:
    """The strategy that leaves most in the middle world, beside each of the others.

    ``likely`` are the levels by best values and ``levels`` those in the worlds (draw,), kg/m2, of each strategy.
    """
    order = sorted(range(len(names)), key=lambda number: -float(quantile(levels[number], 0.5, weights)[0]))
    first = order[0]
    found = []
    for other in order[1:]:
        difference = levels[first] - levels[other]
        found.append(
            Pair(
                names[first],
                names[other],
                spread_of(likely[first] - likely[other], difference, weights),
                chance(difference > LEAST_DIFFERENCE, weights),
                _shortfall(difference, weights),
            )
        )
    return tuple(found)


def _shortfall(difference: Array, weights: Array | None) -> float:
    """By how much it is less where it is less, on average, kg/m2."""
    less = difference < -LEAST_DIFFERENCE
    believed = None if weights is None else weights[less]
    if not less.any() or (believed is not None and believed.sum() <= 0.0):
        return 0.0
    return -float(mean(difference[less], believed))


def _prospect(worlds: list[Trajectory], found: tuple[Equivalence, ...], shared: Setting) -> Prospect:
    """What could be measured next, from the worlds already drawn."""
    cuts: dict[str, Array] = {}
    for one in worlds:
        cuts = cut_masses(shared.figures, one.timeline.arrivals.loads) | cuts
    asked = Asked(
        tuple(one.timeline.strategy for one in worlds),
        np.stack([level_of(one) for one in worlds]),
        tuple((one.strategy, one.cover) for one in found),
        np.array([one.draws for one in found]).reshape(len(found), shared.draws.count),
        cuts,
    )
    return prospect_of(asked, readings(shared.figures, shared.draws, cuts), shared.draws.weights)
