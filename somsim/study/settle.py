"""What would settle it: what decides a comparison, and what to measure next."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from somsim.draws import Draws, best_values
from somsim.library import Library, read_library
from somsim.plan import Plan
from somsim.study.doubts import Doubt, Measurement, doubt_of
from somsim.study.equivalence import Spread, spread_of
from somsim.study.indices import Indices, sobol, that_matter
from somsim.study.information import Choice, choice, worth
from somsim.study.questions import Asked, Question, ask
from somsim.study.readings import Reading, readings
from somsim.timeline import Figures, figures, setting

Array = NDArray[np.float64]
POINTS = 512  # of the design behind the indices
MOST_POINTS = 8192
DRAWS = 4096  # worlds behind what a reading is worth
BLOCK = 4096  # points worked out at a time
NAMED = 16  # unknowns with an index of their own; all others count as one
LEAST_INDEX = 0.01  # of the variance of any figure: less does not matter
LEAST_SPREAD = 1e-9  # a figure whose P90 is no further from its P10 than this is not in doubt


@dataclass(frozen=True)
class Part:
    """A share of a figure's variance, 0 to 1, with P10 and P90 of resampling the design."""

    share: float
    low: float
    high: float


@dataclass(frozen=True)
class Driver:
    """An unknown, and how much of a figure's doubt it makes: alone, and together with others.

    ``doubt`` is None for all unknowns that were found to matter little, taken as one.
    """

    doubt: Doubt | None
    first: Part
    total: Part


@dataclass(frozen=True)
class Decided:
    """What decides one figure: its unknowns, those that make most of the doubt first."""

    question: Question
    spread: Spread
    drivers: tuple[Driver, ...]


@dataclass(frozen=True)
class Gain:
    """What one measurement would bring.

    ``narrowed`` is by question: the share by which the spread of the figure is expected to shrink.  ``changes`` is the
    chance that another strategy is chosen afterwards; ``saved`` the regret that is spared on average, kg/m2.
    """

    measurement: Measurement
    subject: str
    tells_of: tuple[str, ...]
    narrowed: tuple[tuple[Question, float], ...]
    changes: float
    saved: float

    @property
    def name(self) -> str:
        """What to do, and on what: "dry and weigh a sample of cut rye and vetch"."""
        return self.measurement.name.format(name=self.subject)

    def narrows(self, question: Question) -> float:
        """By which share the spread of one figure is expected to shrink."""
        return dict(self.narrowed)[question]


@dataclass(frozen=True)
class Prospect:
    """What could be measured next, best first, and what there is to win.

    ``chosen`` is the strategy that leaves most on average; ``wrong`` the chance that another leaves more, and
    ``regret`` how much is lost on average for not knowing which, kg/m2.  ``closest`` is the difference from the
    strategy that comes nearest to it, None where the plan has only one.
    """

    chosen: str
    wrong: float
    regret: float
    closest: Question | None
    gains: tuple[Gain, ...]

    @property
    def best(self) -> Gain | None:
        """The measurement that is worth most; None where nothing that can be measured tells anything."""
        return self.gains[0] if self.gains else None


@dataclass(frozen=True)
class Settled:
    """The answer of `somsim settle`: what decides each figure, and what to measure next.

    ``screened`` is how many unknowns were looked at, ``points`` the size of the design behind the indices.
    """

    figures: Figures
    points: int
    draws: int
    seed: int
    screened: int
    decided: tuple[Decided, ...]
    prospect: Prospect

    @property
    def plan(self) -> Plan:
        """The plan."""
        return self.figures.plan


def settle(
    plan: Plan,
    *,
    points: int = POINTS,
    draws: int = DRAWS,
    seed: int = 1,
    library: Library | None = None,
    step: Callable[[], None] = lambda: None,
) -> Settled:
    """What decides the differences, equivalences and the level of a plan, and what to measure next.

    Parameters
    ----------
    plan : Plan
    points : int, a power of two: the design behind the indices has this many points for each unknown that matters
    draws : int, how many worlds readings are tried in
    seed : int
    library : Library, the one that comes with somsim by default
    step : called after each part of the work, three times in all

    Raises
    ------
    ValueError
        when ``points`` is no power of two.
    InputError
        when the plan lacks a figure.
    """
    known = figures(plan, library or read_library())
    correlation = known.unknowns["constants/like_materials_correlation/value"].best
    worlds = Draws(draws, seed, known.unknowns, correlation)
    asked = ask(setting(known, worlds))
    likely = ask(setting(known, best_values(known.unknowns)))
    step()
    prospect = prospect_of(asked, readings(known, worlds, asked.cuts))
    questions = _in_doubt(asked, prospect)
    names = worlds.scores()
    function = _worked_out(known, correlation, questions)
    matter = that_matter(function, names, seed, least=LEAST_INDEX, most=NAMED) if questions else ()
    step()
    rest = tuple(name for name in names if name not in matter)
    groups = [*((name,) for name in matter), *([rest] if rest else [])]
    found = sobol(function, groups, points, seed + 1) if matter else None
    step()
    decided = () if found is None else tuple(_decided(known, likely, asked, questions, found))
    return Settled(known, points, draws, seed, len(names), decided, prospect)


def _in_doubt(asked: Asked, prospect: Prospect) -> tuple[Question, ...]:
    """What is to be explained: the chosen strategy against each other, every cover's worth, the chosen one's level."""
    others = [name for name in asked.strategies if name != prospect.chosen]
    wanted = [
        *(Question("difference", prospect.chosen, other) for other in others),
        *(Question("worth", strategy, cover) for strategy, cover in asked.covers),
        Question("level", prospect.chosen),
    ]
    return tuple(one for one in wanted if _spread(asked.values(one)) > LEAST_SPREAD)


def _spread(values: Array) -> float:
    low, high = np.quantile(values, (0.1, 0.9))
    return float(high - low)


def _worked_out(
    known: Figures, correlation: float, questions: Sequence[Question]
) -> Callable[[Mapping[str, Array]], Array]:
    """From scores (point,) by name to the values of the questions (question, point), a block at a time."""

    def work(scores: Mapping[str, Array]) -> Array:
        count = len(next(iter(scores.values())))
        parts = []
        for begin in range(0, count, BLOCK):
            block = {name: score[begin : begin + BLOCK] for name, score in scores.items()}
            size = min(BLOCK, count - begin)
            made = ask(setting(known, Draws(size, 0, known.unknowns, correlation, given=block)))
            parts.append(np.stack([made.values(question) for question in questions]))
        return np.concatenate(parts, axis=1)

    return work


def _decided(
    known: Figures, likely: Asked, asked: Asked, questions: Sequence[Question], found: Indices
) -> list[Decided]:
    doubts = [doubt_of(known, group[0]) if len(group) == 1 else None for group in found.groups]
    made = []
    for row, question in enumerate(questions):
        drivers = [
            Driver(
                doubt,
                Part(*(float(one) for one in (found.first[column, row], *found.first_range[:, column, row]))),
                Part(*(float(one) for one in (found.total[column, row], *found.total_range[:, column, row]))),
            )
            for column, doubt in enumerate(doubts)
        ]
        drivers.sort(key=lambda one: (one.doubt is None, -one.total.share))
        spread = spread_of(float(likely.values(question)[0]), asked.values(question))
        made.append(Decided(question, spread, tuple(drivers)))
    return made


def prospect_of(asked: Asked, could_read: Sequence[Reading], weights: Array | None = None) -> Prospect:
    """What could be measured next, and what each measurement is worth, from worlds already drawn.

    Best first: by the regret that it spares, then by how far it narrows the difference from the strategy that comes
    nearest (with one strategy alone: its level).

    Parameters
    ----------
    asked : Asked
    could_read : from `readings`, in the same draws
    weights : (draw,) or None
    """
    now = choice(asked.levels, weights)
    chosen = asked.strategies[now.chosen]
    closest = _closest(asked, now, weights)
    questions = [
        *(Question("difference", chosen, other) for other in asked.strategies if other != chosen),
        *(Question("worth", strategy, cover) for strategy, cover in asked.covers),
        Question("level", chosen),
    ]
    values = np.stack([asked.values(question) for question in questions])
    gains = []
    for one in could_read:
        found = worth(one.values, asked.levels, values, weights)
        narrowed = tuple(zip(questions, (float(share) for share in found.narrowed), strict=True))
        gains.append(Gain(one.measurement, one.subject, one.tells_of, narrowed, found.changes, found.saved))
    main = closest or Question("level", chosen)
    least = max(0.01 * now.regret, 1e-6)  # what is spared below this is one and the same
    gains.sort(key=lambda gain: (-(gain.saved // least), -gain.narrows(main), gain.name))
    return Prospect(chosen, now.wrong, now.regret, closest, tuple(gains))


def _closest(asked: Asked, now: Choice, weights: Array | None) -> Question | None:
    """The difference from the strategy that is likeliest to leave more than the chosen one after all."""
    chosen = asked.levels[now.chosen]
    others = [number for number in range(len(asked.strategies)) if number != now.chosen]
    if not others:
        return None
    means = {number: float(np.average(asked.levels[number] - chosen, weights=weights)) for number in others}
    spreads = {number: float(np.std(asked.levels[number] - chosen)) for number in others}
    nearest = max(others, key=lambda number: means[number] / max(spreads[number], LEAST_SPREAD))
    return Question("difference", asked.strategies[now.chosen], asked.strategies[nearest])
