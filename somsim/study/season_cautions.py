"""Which cautions belong to which task and which order; the rest hold for the whole season."""

from __future__ import annotations

from dataclasses import dataclass

from somsim.plan.actions import Cover
from somsim.study.cautions import TRACTOR, Caution, cautions
from somsim.study.season_types import Task
from somsim.timeline import Figures
from somsim.timeline.ground import Happening

MACHINES = "machines"
BUYING = ("heat_dried", "weedkiller", "metals", "raw_manure", "food_waste", "licences", "hot_heap", "nitrogen_limit")
AT_PLANTING = ("leaf_nitrate",)
EVERY_CUT = ("toxic_feed", "self_seeding")
HEAPS = ("heap_place", "hot_heap", "spores", "legionella")


@dataclass(frozen=True)
class Minded:
    """The cautions of one strategy, the most serious first."""

    cautions: tuple[Caution, ...]

    def at(self, task: Task, one: Happening | None, number: int) -> tuple[str, ...]:
        """Ids of the cautions that belong to a task."""
        return tuple(dict.fromkeys(caution.id for caution in self.cautions if _belongs(caution, task, one, number)))

    def buying(self, name: str) -> tuple[str, ...]:
        """Ids of the cautions to mind when a material is ordered."""
        return tuple(one.id for one in self.cautions if one.id in BUYING and name in one.because)


def minded(figures: Figures, strategy: str, over: tuple[str, ...]) -> Minded:
    """The cautions that hold in a strategy; ``over`` names it where it passes the usual nitrogen limit."""
    found = [one for one in cautions(figures, over) if strategy in one.strategies]
    return Minded(tuple(found))


def _belongs(caution: Caution, task: Task, one: Happening | None, number: int) -> bool:
    if caution.id == MACHINES:
        return task.kind in ("cut", "dig") and task.how == TRACTOR
    if caution.id in HEAPS and task.kind == "heap":
        return task.what in caution.because
    if task.what == "" or task.what not in caution.because:
        return False
    if task.kind == "cut" and one is not None and isinstance(one.action, Cover):
        return caution.id in EVERY_CUT or number == len(one.action.cut) - 1
    if task.kind == "plant":
        return caution.id in AT_PLANTING
    return task.kind in ("spread", "clear") and caution.id not in AT_PLANTING
