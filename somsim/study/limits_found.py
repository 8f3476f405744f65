"""All limits of a plan held against all its strategies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from somsim.simulate import Trajectory
from somsim.study.held import LevelHeld, LoadHeld, load_held, not_worked_out, phosphorus_held, rules
from somsim.study.waits import ManureWait, MetalHeld, SaltHeld, manure_waits, metals_held, salt_held


@dataclass(frozen=True)
class LimitsFound:
    """What was held against what; see the types for the words."""

    loads: tuple[LoadHeld, ...]
    levels: tuple[LevelHeld, ...]
    metals: tuple[MetalHeld, ...]
    salt: SaltHeld | None
    waits: tuple[ManureWait, ...]
    not_worked_out: tuple[str, ...]


def limits_found(likely: Sequence[Trajectory], worlds: Sequence[Trajectory]) -> LimitsFound:
    """Hold every limit against every strategy, by the best values and in the draws."""
    figures = likely[0].world.figures
    pairs = list(zip(likely, worlds, strict=True))
    held = [load_held(best, drawn, rule) for best, drawn in pairs for rule in rules(figures)]
    return LimitsFound(
        tuple(one for one in held if one is not None),
        tuple(level for best, drawn in pairs for level in phosphorus_held(best, drawn)),
        metals_held(figures),
        salt_held(figures),
        tuple(wait for one in likely for wait in manure_waits(one)),
        not_worked_out(figures),
    )
