"""Limits held against what each strategy does: those the plan names, else the library's as typical ones.

Nothing is capped: a strategy that passes a limit is told when, by how much, and how much would not have passed.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass

import numpy as np

from somsim.draws import chance, quantile
from somsim.library import Entry
from somsim.outcomes.nutrients import phosphorus_left
from somsim.plan.actions import AMOUNTS, Spread
from somsim.simulate import Array, Trajectory
from somsim.study.equivalence import Spread as Range
from somsim.study.equivalence import spread_of
from somsim.study.limits import Rule, loads_of, rolling
from somsim.study.nutrients import PHOSPHATE_RISE, over_beds
from somsim.timeline import Figures

PHOSPHORUS_TEST = {"olsen": "Olsen", "mehlich-3": "Mehlich-3", "bray-1": "Bray-1"}


@dataclass(frozen=True)
class Part:
    """The most of one spreading that would not pass, with its kind of amount (depth, mass ...), in base units.

    ``typed`` is what the plan has, ``text`` in its own words; ``middle`` keeps the middle world under the limit,
    ``safe`` 9 of 10 worlds.
    """

    material: str
    amount: str
    text: str
    typed: float
    middle: float
    safe: float


@dataclass(frozen=True)
class LoadHeld:
    """A limit on what is spread, held against one strategy.

    ``most`` in any window, kg/m2 of ground; ``over`` how far beyond the limit; ``since`` the first day on which the
    middle world is over it; ``chance`` of worlds over it at some time; ``parts`` what would not pass, where some do.
    ``option`` names a limit that may be kept in place of this one, and is: the two-year option for compost.
    """

    strategy: str
    rule: Rule
    most: Range
    over: Range | None
    since: datetime.date | None
    chance: float
    parts: tuple[Part, ...]
    option: str | None = None

    @property
    def passed(self) -> bool:
        """Whether the middle world is over it."""
        return self.most.p50 > self.rule.level


@dataclass(frozen=True)
class LevelHeld:
    """A level of a soil test: now, at the end where a rise is published, and the level to stop at, as printed.

    ``since`` is the first recorded day on which the middle world is over it, None where never or not known.
    """

    strategy: str
    name: str
    test: str
    unit: str
    now: Range
    end: Range | None
    level: float
    source: str
    known: str
    since: datetime.date | None
    chance: float

    @property
    def passed(self) -> bool:
        """Whether the middle world is over it, now or by the end."""
        return (self.end or self.now).p50 > self.level or self.now.p50 > self.level


def not_worked_out(figures: Figures) -> tuple[str, ...]:
    """Limits that the plan names and that nothing in a plan can be held against."""
    found = []
    for limit in figures.plan.limits or ():
        entry = None if limit.limit is None else figures.library.find("limits", limit.limit)
        if entry is not None and not entry.about["stop"] and entry.kind not in ("metals", "wait"):
            found.append(entry.name)
        elif entry is not None and entry.kind in ("phosphorus", "salt") and not _test_of(figures, entry):
            found.append(f"{entry.name} (give soil: {entry.kind}: with its test)")
    return tuple(found)


def _test_of(figures: Figures, entry: Entry) -> bool:
    test = getattr(figures.plan.site.soil, entry.kind)
    return test is not None and _same_test(entry, test.test)


def _same_test(entry: Entry, test: str) -> bool:
    printed = entry.about["lab_test"]
    return printed == PHOSPHORUS_TEST.get(test, "") or printed.startswith(f"{test} ")


def load_held(best: Trajectory, drawn: Trajectory, rule: Rule) -> LoadHeld | None:
    """Hold one limit against one strategy; None where it spreads nothing that counts."""
    rolled = [rolling(loads_of(one, rule.nutrient, rule.counts), rule.days) for one in (best, drawn)]
    if not rolled[0]:
        return None
    weights = drawn.world.draws.weights
    most = [np.max([amount for _, amount in one], axis=0) for one in rolled]
    since = [day for day, amount in rolled[1] if quantile(amount, 0.5, weights)[0] > rule.level]
    spread = spread_of(most[0][0], most[1], weights)
    share = chance(most[1] > rule.level, weights)
    over = spread_of(most[0][0] - rule.level, most[1] - rule.level, weights) if spread.p50 > rule.level else None
    parts = _parts(best, rule, rule.level / spread.p50, rule.level / spread.p90) if share > 0.0 else ()
    return LoadHeld(best.timeline.strategy, rule, spread, over, since[0] if since else None, share, parts)


def _parts(best: Trajectory, rule: Rule, middle: float, safe: float) -> tuple[Part, ...]:
    """Each counted spreading made smaller in the same proportion: what is spread is linear in its amount."""
    found: dict[int, Part] = {}
    for load, _ in loads_of(best, rule.nutrient, rule.counts):
        action = load.happening.action
        assert isinstance(action, Spread)
        key = next(name for name in AMOUNTS if getattr(action, name) is not None)
        text, typed = getattr(action, key).text, getattr(action, key).best
        found[id(action)] = Part(load.name, key, text, typed, typed * min(middle, 1.0), typed * min(safe, 1.0))
    return tuple(found.values())


def phosphorus_held(best: Trajectory, drawn: Trajectory) -> tuple[LevelHeld, ...]:
    """The plan's phosphorus test against every level published, or named, for that test."""
    figures = best.world.figures
    test = figures.plan.site.soil.phosphorus
    if test is None:
        return ()
    named = [figures.library.find("limits", one.limit) for one in figures.plan.limits or () if one.limit is not None]
    wanted = [entry for entry in named if entry is not None and entry.kind == "phosphorus"]
    rows = wanted or [one for one in figures.library.tables["limits"].values() if one.kind == "phosphorus"]
    chosen = [entry for entry in rows if entry.about["stop"] and _same_test(entry, test.test)]
    return tuple(_level(best, drawn, entry) for entry in chosen)


def _level(best: Trajectory, drawn: Trajectory, entry: Entry) -> LevelHeld:
    test = best.world.figures.plan.site.soil.phosphorus
    assert test is not None
    value, weights = entry.value(entry.about["stop"]), drawn.world.draws.weights
    level = value.printed[0]
    path = "plan/site/soil/phosphorus/value"
    now = [one.world.draws.of(path) for one in (best, drawn)]
    course = [start + _rise(one) for start, one in zip(now, (best, drawn), strict=True)]
    since = None
    if test.test == "olsen":
        middles = [float(quantile(each, 0.5, weights)[0]) for each in course[1]]
        later = [day for day, middle in zip(drawn.timeline.times, middles, strict=True) if middle > level]
        since = later[0] if later else None
    end = spread_of(course[0][-1][0], course[1][-1], weights) if test.test == "olsen" else None
    over = (course[1] if end is not None else now[1][np.newaxis]).max(axis=0) > level
    return LevelHeld(
        best.timeline.strategy,
        entry.name,
        entry.about["lab_test"],
        value.unit,
        spread_of(now[0][0], now[1], weights),
        end,
        level,
        value.source,
        value.known,
        since,
        chance(over, weights),
    )


def _rise(one: Trajectory) -> Array:
    """mg/l that an Olsen test has risen by at each recorded time (time, draw); a loss counts as no change."""
    left = np.stack([over_beds(values, one) for values in phosphorus_left(one)])
    phosphate = np.maximum(left, 0.0) / one.world.constant("phosphorus_in_phosphate")
    return np.asarray(phosphate / one.world.draws.of(PHOSPHATE_RISE))
