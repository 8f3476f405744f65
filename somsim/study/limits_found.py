"""All limits of a plan held against all its strategies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from somsim.simulate import Trajectory
from somsim.study.held import LevelHeld, LoadHeld, load_held, not_worked_out, phosphorus_held
from somsim.study.limits import loads_of, rules
from somsim.study.waits import ManureWait, MetalHeld, SaltHeld, manure_waits, metals_held, salt_held


@dataclass(frozen=True)
class LimitsFound:
    """What was held against what; see the types for the words.

    ``not_counted`` are materials that are spread and whose content is not known, by the nutrient that is limited.
    """

    loads: tuple[LoadHeld, ...]
    levels: tuple[LevelHeld, ...]
    metals: tuple[MetalHeld, ...]
    salt: SaltHeld | None
    waits: tuple[ManureWait, ...]
    not_worked_out: tuple[str, ...]
    not_counted: dict[str, tuple[str, ...]]


def limits_found(
    likely: Sequence[Trajectory], worlds: Sequence[Trajectory], loads: tuple[LoadHeld, ...]
) -> LimitsFound:
    """Hold every limit against every strategy; ``loads`` are those on what is spread."""
    figures = likely[0].world.figures
    pairs = list(zip(likely, worlds, strict=True))
    return LimitsFound(
        loads,
        tuple(level for best, drawn in pairs for level in phosphorus_held(best, drawn)),
        metals_held(figures),
        salt_held(figures),
        tuple(wait for one in likely for wait in manure_waits(one)),
        not_worked_out(figures),
        {nutrient: _unknown(likely, nutrient) for nutrient in dict.fromkeys(rule.nutrient for rule in rules(figures))},
    )


def loads_held(best: Trajectory, drawn: Trajectory) -> tuple[LoadHeld, ...]:
    """Every limit on what is spread held against one strategy."""
    figures = best.world.figures
    table = figures.library.tables["limits"]
    field, option = (table[name].name for name in ("field_nitrogen", "compost_nitrogen"))
    found = [one for rule in rules(figures) if (one := load_held(best, drawn, rule)) is not None]
    only_compost = len(loads_of(best, "nitrogen", "all")) == len(loads_of(best, "nitrogen", "compost"))
    if only_compost and any(one.rule.name == option and not one.passed for one in found):
        return tuple(replace(one, option=option) if one.rule.name == field and one.passed else one for one in found)
    return tuple(found)


def _unknown(likely: Sequence[Trajectory], nutrient: str) -> tuple[str, ...]:
    loads = [load for one in likely for load in one.timeline.arrivals.loads if load.kind == "material"]
    return tuple(dict.fromkeys(load.name for load in loads if getattr(load, nutrient) is None))
