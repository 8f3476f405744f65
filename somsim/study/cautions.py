"""Which cautions belong to a plan: rows of the library, called up by tags of its materials, covers and place."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from somsim.library import Library
from somsim.plan.actions import Cover, Crop, Idle, Spread
from somsim.plan.days import Day
from somsim.plan.model import Plan, shift
from somsim.plan.occurrences import intervals, occurrences
from somsim.timeline import Figures
from somsim.timeline.weather import latitude_of


@dataclass(frozen=True)
class Caution:
    """What to do, why, and who decides; ``strategies`` in which it applies."""

    id: str
    name: str
    text: str
    why: str
    who_decides: str
    severity: int
    strategies: tuple[str, ...]


def cautions(figures: Figures, over_limit: tuple[str, ...] = ()) -> tuple[Caution, ...]:
    """Every caution that applies to a plan, the most serious first.

    ``over_limit`` are strategies that pass the usual nitrogen limit.
    """
    plan, library = figures.plan, figures.library
    tags = {
        name: _tags(figures, plan.actions(name)) | ({"nitrogen limit"} if name in over_limit else set())
        for name in plan.strategies
    }
    found = []
    for entry in library.tables["cautions"].values():
        when = {word.strip() for word in entry.about["when"].split(";")}
        strategies = tuple(name for name, there in tags.items() if when & there)
        if strategies:
            about = entry.about
            found.append(
                Caution(
                    entry.id,
                    entry.name,
                    about["text"],
                    about["why"],
                    about["who_decides"],
                    int(about["severity"]),
                    strategies,
                )
            )
    return tuple(sorted(found, key=lambda one: -one.severity))


def _tags(figures: Figures, actions: tuple[Any, ...]) -> set[str]:
    plan, library = figures.plan, figures.library
    tags = {"any"} | ({"under cover"} if plan.site.shelter != "open ground" else set())
    for action in actions:
        if isinstance(action, Spread):
            tags |= _words(figures, "materials", action.material, "tags") | {"spreading by hand"}
        elif isinstance(action, Cover):
            tags |= _cover_tags(figures, plan, library, action)
        elif isinstance(action, Crop):
            tags |= _crop_tags(figures, action)
        elif isinstance(action, Idle) and action.as_ == "bare" and _in_winter(figures, action, actions):
            tags.add("bare winter")
    return tags


def _words(figures: Figures, table: str, name: str, column: str) -> set[str]:
    entry = figures.entry(table, name)
    text = entry.about.get(column, "") if entry is not None else ""
    return {word.strip() for word in text.split(";") if word.strip()}


TOXIC = ("sorghum", "vetch", "sunn hemp", "comfrey", "lupin", "buckwheat", "sweet clover")
SELF_SOWING = ("buckwheat", "vetch", "mustard", "phacelia")
WHOLE = 1e-9  # share of the beds: nearer than this, all of them are taken
CEREALS = ("rye", "barley", "oat")


def _cover_tags(figures: Figures, plan: Plan, library: Library, action: Cover) -> set[str]:
    names = [action.name, *(action.mix or {})]
    words = " ".join([*names, *(entry.name for name in names if (entry := figures.entry("covers", name)))]).lower()
    tags = {"toxic cover"} if _speaks_of(TOXIC, words) else set()
    if _speaks_of(SELF_SOWING, words):
        tags.add("seeding cover")
    if _speaks_of(CEREALS, words):
        tags.add("cereal cover")
    tags |= {word for word in ("buckwheat", "sorghum") if _speaks_of((word,), words)}
    fates = {action.fate(number) for number in range(len(action.cut))}
    tags |= {"heap"} if "to the heap" in fates else set()
    if "dug in" in fates:
        kinds = {entry.kind for name in names if (entry := figures.entry("covers", name))}
        tags |= {"legume dug in"} if "legume" in kinds else set()
        tags |= {"late cereal"} if action.stage in ("flower", "mature") and "cereal" in kinds else set()
    return tags


def _speaks_of(plants: tuple[str, ...], words: str) -> bool:
    """Whether one of the plants is named, as a whole word: a ryegrass is no rye."""
    return re.search(rf"\b(?:{'|'.join(plants)})(?:es|s)?\b(?!-grass)", words) is not None


def _midwinter(figures: Figures) -> Day:
    """The shortest day; of the north, where nothing is known of the place but a factor."""
    south = (latitude_of(figures) or 0.0) < 0.0
    return Day(21, 6 if south else 12)


def _crop_tags(figures: Figures, action: Crop) -> set[str]:
    tags = {"heap"} if action.then == "to the heap" else set()
    entry = figures.entry("crops", action.name)
    first = action.from_.on_or_after(figures.plan.start)
    midwinter = _midwinter(figures)
    stands = midwinter.on_or_after(first) < action.to.on_or_after(first)
    if entry is not None and entry.kind == "leaf" and stands:
        tags.add("leafy winter crop")
    return tags


def _in_winter(figures: Figures, action: Idle, actions: tuple[Any, ...]) -> bool:
    """Whether ground lies bare on midwinter's day; without dates, on beds where nothing else stands then."""
    if action.from_ is None or action.to is None:
        plan = figures.plan
        date = _midwinter(figures).on_or_after(plan.start)
        standing = [
            intervals(one, plan.site.beds)
            for one in actions
            if isinstance(one, Crop | Cover)
            and any(round_.first <= date < round_.last for round_ in occurrences(one, plan.start, shift(date, 1)))
        ]
        ground = sum(high - low for low, high in intervals(action, plan.site.beds))
        taken = sum(high - low for parts in standing for low, high in parts)
        return taken < ground - WHOLE
    first = action.from_.on_or_after(figures.plan.start)
    last = action.to.on_or_after(first)
    midwinter = _midwinter(figures)
    return midwinter.on_or_after(first) < last
