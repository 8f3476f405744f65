"""How many cuts, crops, years or square metres of a cover leave as much as a compost, and the other way round."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from somsim.draws import chance, quantile
from somsim.errors import InputError, Problem, nearest
from somsim.plan.actions import Spread as SpreadAction
from somsim.plan.model import Plan
from somsim.simulate import simulate
from somsim.study.compare import DEFAULT_DRAWS, DEFAULT_SEED
from somsim.study.equivalence import VOLUME_LOST, Spread, spread_of
from somsim.study.further import Attempt, Ways, attempts
from somsim.study.pairing import Pair, Ran, cover_sources, cuts_needed, left_from, ratio, years_needed
from somsim.study.rewriting import rewritten, scaled, worlds
from somsim.timeline import Setting
from somsim.timeline.ground import Happening
from somsim.timeline.pulse import compost_of, covers_of

Array = NDArray[np.float64]
By = Literal["cuts", "crops", "years", "area"]
WAYS: tuple[By, ...] = ("cuts", "crops", "years", "area")
AGREEMENT = 1e-6  # relative, between what was solved and what the answer's own plan gives
CLOSE = 1e-12  # relative: the same carbon but for rounding is enough
FEW = 8  # chances are told one by one up to this number


@dataclass(frozen=True)
class Checked:
    """A whole number of something, put into a plan and run: the chance that it is enough, and that one less is."""

    number: int
    chance: float
    chance_of_one_less: float | None
    plan: Plan


@dataclass(frozen=True)
class Number:
    """How many are needed.  ``needed`` need not be whole; ``whole`` is enough in half of the worlds, ``sure`` in nine
    of ten; ``chances`` that n is enough.

    ``fits`` is the most that the season and the ground hold, and ``why`` says what limits it.
    ``checked`` is the smallest number that proved enough when run, None where none that fits did.
    """

    by: By
    needed: Spread
    whole: int
    sure: int
    chances: tuple[tuple[int, float], ...]
    fits: int
    why: str
    checked: Checked | None

    @property
    def possible(self) -> bool:
        """Whether a number that fits is enough in at least half of the worlds."""
        return self.checked is not None


@dataclass(frozen=True)
class Depth:
    """An amount of the compost: ``times`` the one in the plan, and m of depth a year (kg/m2 dry without a density).

    ``plan`` is the plan it describes, with the best value in it; ``error`` how far that run is off, relative to the
    carbon it was to match.  ``on_surface`` when it has to be left lying, because digging it in would clash.
    """

    times: Spread
    yearly: Spread
    plan: Plan
    error: float
    on_surface: bool = False


@dataclass(frozen=True)
class Match:
    """A cover of one strategy beside the compost of another, both as the plan has them.

    ``left_of_cover`` and ``left_of_compost`` are kg C per m2 of all beds at the end of the plan.  ``lasting``,
    ``on_the_day`` and ``volume`` say how many times the cover is needed, three ways.  ``as_grown`` is the compost that
    equals the cover, ``beside`` the one that, with the cover as grown, equals the compost; None where no plan says it.
    """

    plan: Plan
    cover_strategy: str
    cover: str
    compost_strategy: str
    compost: str
    draws: int
    seed: int
    spread_yearly: Spread
    by_depth: bool
    left_of_cover: Spread
    left_of_compost: Spread
    lasting: Spread
    on_the_day: Spread
    volume: Spread | None
    tops_kept: bool
    number: Number
    as_grown: Depth | None
    beside: Depth | None


def match_study(
    plan: Plan,
    cover: str,
    compost: str,
    *,
    by: By = "crops",
    plant: str | None = None,
    draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    step: Callable[[], None] = lambda: None,
) -> Match:
    """Set the cover of one strategy beside the compost of another.

    Parameters
    ----------
    plan : Plan
    cover, compost : str, names of strategies; the cover of the one, the compost of the other
    by : what is counted
    plant : str, which cover, as the plan names it; the first to be sown by default
    draws, seed : int, how many possible worlds, and which
    step : called after each of three parts of the work

    Raises
    ------
    InputError
        for a strategy that is not there, or that has no cover, or spreads nothing.
    """
    both = worlds(plan, draws, seed)
    happening = _cover_of(both[0], _strategy(plan, cover, "--cover"), plant)
    spreads = _spreads_of(both[0], _strategy(plan, compost, "--compost"))
    asked = Pair(plan, cover, happening, compost, spreads, both, seed)
    ran = [Ran.of(asked, shared) for shared in both]
    step()
    number = _number(asked, by, ran)
    step()
    times = [one.times for one in ran]
    weights = both[1].draws.weights
    found = Match(
        plan,
        cover,
        asked.cover,
        compost,
        asked.compost,
        draws,
        seed,
        _spread([one.yearly for one in ran], weights),
        ran[0].by_depth,
        _spread([one.left_of_cover for one in ran], weights),
        _spread([one.left_of_compost for one in ran], weights),
        _spread(times, weights),
        _spread([ratio(one.compost_added, one.cover_added) for one in ran], weights),
        _by_volume(asked, ran),
        any(happening.action.fate(n) in ("left on surface", "dug in") for n in range(len(happening.action.cut))),
        number,
        _as_grown(asked, ran),
        _beside(asked, ran),
    )
    step()
    return found


def _spread(values: list[Array], weights: Array | None) -> Spread:
    return spread_of(values[0][0], values[1], weights)


def _strategy(plan: Plan, name: str, option: str) -> str:
    if name in plan.strategies:
        return name
    near = nearest(name, plan.strategies)
    hint = (f"nearest: {near[0]}; " if near else "") + "all: " + ", ".join(plan.strategies)
    raise InputError([Problem(f'{option}: no strategy "{name}" in the plan', hint=hint)])


def _cover_of(shared: Setting, strategy: str, plant: str | None) -> Happening:
    """The cover of a strategy that is meant, in its first whole round."""
    plan = shared.figures.plan
    found = {
        name: one
        for name, one in covers_of(shared, strategy).items()
        if any(one.action is own for own in plan.strategies[strategy])
    }
    if plant is not None and found and plant not in found:
        raise InputError(
            [Problem(f'--plant: "{strategy}" does not grow "{plant}"', hint="it grows: " + ", ".join(found))]
        )
    if found:
        return found[plant] if plant is not None else next(iter(found.values()))
    having = [name for name in plan.strategies if covers_of(shared, name)]
    hint = "one grows in: " + ", ".join(having) if having else "no strategy of this plan grows one"
    raise InputError([Problem(f'--cover: "{strategy}" grows no cover of its own from sowing to cutting', hint=hint)])


def _spreads_of(shared: Setting, strategy: str) -> tuple[SpreadAction, ...]:
    """What a strategy spreads of the plan's compost; of its first material when it has none of that."""
    plan = shared.figures.plan

    def spread(name: str) -> list[SpreadAction]:
        return [one for one in plan.strategies[name] if isinstance(one, SpreadAction)]

    own = spread(strategy)
    if not own:
        having = [name for name in plan.strategies if spread(name)]
        hint = "something is spread in: " + ", ".join(having) if having else "no strategy of this plan does"
        raise InputError([Problem(f'--compost: "{strategy}" spreads nothing of its own', hint=hint)])
    usual = compost_of(shared)
    material = usual if any(one.material == usual for one in own) else own[0].material
    return tuple(one for one in own if one.material == material)


def _by_volume(asked: Pair, ran: list[Ran]) -> Spread | None:
    """By volume: the compost over what the pressed tops come to when rotted; None where no volume was measured."""
    found = []
    for one, shared in zip(ran, asked.both, strict=True):
        if one.pressed is None or one.volume is None:
            return None
        found.append(ratio(one.volume, one.pressed * (1.0 - shared.draws.of(VOLUME_LOST))))
    return _spread(found, asked.both[1].draws.weights)


def _number(asked: Pair, by: By, ran: list[Ran]) -> Number:
    """How many are needed by the two runs, and the smallest number that fits and proves enough when run."""
    drawn = asked.both[1]
    ways = Ways(asked.plan, asked.cover_strategy, asked.happening, asked.both[0])
    needed = [_needed(asked, by, one, shared, ways) for one, shared in zip(ran, asked.both, strict=True)]
    weights = drawn.draws.weights
    spread = _spread(needed, weights)
    whole, sure = (max(math.ceil(float(quantile(needed[1], p, weights)[0]) - 1e-9), 1) for p in (0.5, 0.9))
    found = attempts(ways, by)
    checked, fits, why = _smallest(asked, found, whole, ran[1].left_of_compost)
    return Number(
        by,
        spread,
        whole,
        sure,
        tuple((n, chance(needed[1] <= n + 1e-9, weights)) for n in _worth_telling(by, needed[1], weights)),
        fits,
        why,
        checked,
    )


def _needed(asked: Pair, by: By, ran: Ran, shared: Setting, ways: Ways) -> Array:
    """How many (draw,) by the linearity of the model: not whole, but for cuts, of which each is smaller."""
    if by == "crops":
        return ran.times
    if by == "area":
        return ran.times * ways.covered
    if by == "years":
        return years_needed(ran)
    steps = [shared.world.constant(f"cut_decline_{n}") for n in range(1, 5)]
    return cuts_needed(ran, steps, len(asked.happening.action.cut))


def _worth_telling(by: By, needed: Array, weights: Array | None) -> list[int]:
    """Every number up to eight, or a few and those at which the chance has come to a tenth, a quarter ..."""
    most = max(math.ceil(float(quantile(needed, 0.9, weights)[0])), 1)
    if most <= FEW:
        return list(range(1, most + 1))
    marks = [math.ceil(float(value)) for value in quantile(needed, (0.1, 0.25, 0.5, 0.75, 0.9), weights)]
    return sorted({*marks} if by == "area" else {1, 2, 3, *marks})


def _smallest(asked: Pair, found: Attempt, guess: int, wanted: Array) -> tuple[Checked | None, int, str]:
    """The smallest number that fits and is enough in half of the worlds when run; how many fit, and what limits it."""
    weights, tried = asked.both[1].draws.weights, dict[int, tuple[float, Plan]]()

    def enough(number: int) -> float:
        if number not in tried:
            made = found.plan(number)
            ran = simulate(worlds(made, asked.both[1].draws.count, asked.seed)[1], asked.cover_strategy)
            left = left_from(ran, cover_sources(asked.cover))
            tried[number] = chance(left >= wanted * (1.0 - CLOSE), weights), made
        return tried[number][0]

    number, fits, why = min(guess, found.fits), found.fits, found.why
    while number > 1:  # a number that fits by its dates may still be refused: too little grows by then
        try:
            enough(number)
            break
        except InputError as error:
            number, fits = number - 1, number - 1
            why = f"a plan with {number + 1} cannot be: {error.problems[0].message}"
    while enough(number) < 0.5:
        if number >= fits:
            return None, fits, why
        number += 1
    while number > 1 and enough(number - 1) >= 0.5:
        number -= 1
    less = enough(number - 1) if number > 1 else None
    return Checked(number, tried[number][0], less, tried[number][1]), fits, why


def _as_grown(asked: Pair, ran: list[Ran]) -> Depth | None:
    """The amount of compost that leaves as much as the cover as it is grown."""
    times = [ratio(one.left_of_cover, one.left_of_compost) for one in ran]
    try:
        made = asked.compost_plan(float(times[0][0]))
    except InputError:
        return None
    left = left_from(simulate(worlds(made, 2, asked.seed)[0], asked.compost_strategy), (asked.compost,))
    anyway = asked.spread_anyway
    if anyway is not None:
        left = left - left_from(anyway[0], (asked.compost,))
    return _depth(asked, ran, times, made, float(left[0]), float(ran[0].left_of_cover[0]))


def _beside(asked: Pair, ran: list[Ran]) -> Depth | None:
    """The amount of compost that, beside the cover as grown, leaves as much as the compost; None if none is needed.

    Spread as the compost's own strategy does, or left on the surface where digging it in clashes with the cover.
    """
    if chance(ran[1].left_of_cover >= ran[1].left_of_compost, asked.both[1].draws.weights) >= 0.5:
        return None
    lying = tuple(one.model_copy(update={"then": "left on surface"}) for one in asked.spreads)
    for spreads in (asked.spreads, lying):
        try:
            return _with_cover(asked, ran, spreads, on_surface=spreads is lying)
        except InputError:
            continue
    return None


def _with_cover(asked: Pair, ran: list[Ran], spreads: tuple[SpreadAction, ...], *, on_surface: bool) -> Depth:
    """Two runs, without and with all of the compost beside the cover, tell how much of it; a third one checks it."""
    name, green = asked.cover_strategy, asked.plan.strategies[asked.cover_strategy]

    def plan_with(times: float) -> Plan:
        return rewritten(asked.plan, {name: [*green, *(scaled(one, times) for one in spreads)]})

    pair = [asked.run_of(plan_with(some), name) for some in (0.0, 1.0)]
    times = []
    for number, one in enumerate(ran):
        none, all_of_it = (left_from(both[number], (asked.compost,)) for both in pair)
        cover = left_from(pair[1][number], cover_sources(asked.cover))
        times.append(np.maximum(ratio(one.left_of_compost - cover, all_of_it - none), 0.0))
    made = plan_with(float(times[0][0]))
    end = simulate(worlds(made, 2, asked.seed)[0], name)
    own = float(left_from(pair[0][0], (asked.compost,))[0])
    left = float(left_from(end, (*cover_sources(asked.cover), asked.compost))[0]) - own
    wanted = float(ran[0].left_of_compost[0]) if times[0][0] > 0.0 else left
    return replace(_depth(asked, ran, times, made, left, wanted), on_surface=on_surface)


def _depth(asked: Pair, ran: list[Ran], times: list[Array], made: Plan, left: float, wanted: float) -> Depth:
    """An amount as people read it, with its plan; a plan that does not give what was solved stops the work."""
    error = abs(left - wanted) / wanted if wanted > 0.0 else abs(left)
    if error > AGREEMENT:
        raise ArithmeticError(f"the plan of the answer leaves {left:g} kg C/m2 and not {wanted:g}")
    weights = asked.both[1].draws.weights
    yearly = [some * one.yearly for some, one in zip(times, ran, strict=True)]
    return Depth(_spread(times, weights), _spread(yearly, weights), made, error)
