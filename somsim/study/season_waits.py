"""What a task waits for (a stage, warmth, a bed that is free), and what has to wait after it."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from somsim.plan.actions import Cover, Crop, Spread
from somsim.plan.occurrences import meet
from somsim.plan.site import FactorClimate
from somsim.simulate import Trajectory
from somsim.study.caution_dates import DAYS_A_YEAR, SOON
from somsim.study.cautions import tags_of
from somsim.study.season_ground import Where
from somsim.study.season_types import Condition, Date, Task, Wait
from somsim.study.waits import waits_after_manure
from somsim.timeline import weather
from somsim.timeline.cuts import plants_of, stage_of
from somsim.timeline.ground import Happening

STAGES = {
    "vegetative": "it is well grown and still leafy",
    "flower": "it begins to flower",
    "mature": "it is ripe",
}
SMALL_SEED = "small seed"


def waits_for(best: Trajectory, task: Task, one: Happening | None, number: int) -> tuple[Condition, ...]:
    """The weather, the stage or the free bed that a task waits for; its date is only the likely day."""
    found: list[Condition] = []
    if task.kind in ("sow", "plant", "spread", "sheet") and one is not None:
        found += _free_bed(best, task, one)
    if task.kind == "sow" and one is not None:
        found += _warm_soil(best, task, one)
    if task.kind == "cut" and one is not None:
        found += _stage(best, one, number)
    return tuple(found)


def _free_bed(best: Trajectory, task: Task, one: Happening) -> Iterator[Condition]:
    """What stood on the beds last and has to go first."""
    before = [
        other
        for other in best.timeline.happenings
        if isinstance(other.action, Crop | Cover)
        and other is not one
        and other.occurrence.last <= task.first
        and meet(other.where, one.where)
    ]
    if before and not _standing(best, task.first, one):
        last = max(before, key=lambda other: other.occurrence.last)
        done = "cleared" if isinstance(last.action, Crop) else "cut"
        yield Condition(f"{last.action.name} is {done}", day=last.occurrence.last)


def _standing(best: Trajectory, day: Date, one: Happening) -> bool:
    """Whether something else still stands on the beds on a day."""
    return any(
        isinstance(other.action, Crop | Cover)
        and other is not one
        and other.occurrence.first < day < other.occurrence.last
        and meet(other.where, one.where)
        for other in best.timeline.happenings
    )


def _warm_soil(best: Trajectory, task: Task, one: Happening) -> Iterator[Condition]:
    """The warmth below which the plants of a cover do not grow, and what the soil usually has in that month."""
    world = best.world
    entries = [world.figures.entry("covers", name) for name in plants_of(one.action)]
    kinds = {entry.about["base_temperature"] for entry in entries if entry is not None}
    if not kinds:
        return
    needed = max(float(world.constant(f"{kind}_base_temperature")[0]) for kind in kinds)
    usual = None
    if not isinstance(world.figures.plan.site.climate, FactorClimate):
        made = weather.weather(world.figures, world.draws, best.timeline.times[-1])
        covered = world.figures.plan.site.shelter != "open ground"
        usual = float(made.soil_temperature(made.key(task.first), covered).ravel()[0])
    yield Condition("the soil is warm enough", at_least=needed, usual=usual)


def _stage(best: Trajectory, one: Happening, number: int) -> Iterator[Condition]:
    """The stage of the last cut, and what is said of cutting that plant."""
    figures, action = best.world.figures, one.action
    last = number == len(action.cut) - 1
    rules: dict[str, None] = {}
    stages: dict[str, None] = {}
    for name in plants_of(action):
        entry = figures.entry("covers", name)
        rule = figures.library.tables["cut_rules"].get(entry.id) if entry is not None else None
        if rule is not None:
            rules[rule.about["text"]] = None
        stages[stage_of(figures, action, name)] = None
    if last and len(stages) == 1:
        yield Condition(STAGES[next(iter(stages))])
    for rule_text in rules:
        yield Condition(rule_text)


def waits_after(best: Trajectory, task: Task, one: Happening | None, number: int, where: Where) -> tuple[Wait, ...]:
    """What may not follow too soon on the same beds."""
    if one is None:
        return tuple(_under_sheet(best, task)) if task.kind == "sheet" else ()
    found: list[Wait] = []
    last_cut = task.kind == "cut" and number == len(one.action.cut) - 1
    if last_cut or task.kind in ("spread", "clear"):
        found += _small_seed(best, task, one, where)
    if task.kind == "spread" and isinstance(one.action, Spread):
        found += _manure(best, task, one)
    return tuple(found)


def _small_seed(best: Trajectory, task: Task, one: Happening, where: Where) -> Iterator[Wait]:
    """Days before small seed, after residues that starve it or hold it back; the longer of two waits alone."""
    figures = best.world.figures
    tags = tags_of(figures, one.action)
    days = [
        round(figures.library.tables["cautions"][row].value("wait").best * DAYS_A_YEAR)
        for row, asked, _ in SOON
        if any(tag in tags for tag in asked)
    ]
    if days:
        until = task.first + datetime.timedelta(days=max(days))
        following = _next(best, task.first, one, where)
        if following is None:
            yield Wait(SMALL_SEED, max(days), until)
        else:
            name, day = following
            yield Wait(SMALL_SEED, max(days), until, name, day, True if day >= until else None)


def _next(best: Trajectory, day: Date, one: Happening, where: Where) -> tuple[str, Date] | None:
    """What is sown or planted first on the same beds from a day on, and when."""
    later = [
        (other.occurrence.first, other.action.name)
        for other in best.timeline.happenings
        if isinstance(other.action, Crop | Cover)
        and other is not one
        and other.occurrence.first >= day
        and meet(other.where, where)
    ]
    return None if not later else (min(later)[1], min(later)[0])


def _manure(best: Trajectory, task: Task, one: Happening) -> Iterator[Wait]:
    """Raw manure: the harvests that have to wait for it."""
    load = next(
        (load for load in best.timeline.arrivals.loads if load.happening is one and load.date == task.first), None
    )
    for wait in waits_after_manure(best, load) if load is not None else ():
        kept = None if wait.verdict == "wait" else False
        yield Wait(f"harvest of {wait.crop}", wait.days, wait.earliest, wait.crop, None, kept)


def _under_sheet(best: Trajectory, task: Task) -> Iterator[Wait]:
    """How long a sheet has to lie before the plants under it are dead."""
    row = best.world.figures.library.tables["tasks"]["cover_with_sheet"]
    waits = {"covered_summer": "lifting it in summer", "covered_cool": "lifting it in spring or autumn"}
    for quantity, words in waits.items():
        days = round(row.value(quantity).best * DAYS_A_YEAR)
        yield Wait(words, days, task.first + datetime.timedelta(days=days))
