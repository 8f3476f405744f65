"""Which cautions belong to a plan: rows of the library, called up by its materials, covers, place and dates."""

from __future__ import annotations

import re
from dataclasses import dataclass

from somsim.outcomes.work import tool_of
from somsim.plan.actions import Cover, Crop, Dig, Spread, Uncover
from somsim.plan.model import Plan
from somsim.study.caution_dates import date_tags, midwinter
from somsim.timeline import Figures

PLACE = "the place"
TRACTOR = "two-wheel tractor"  # it cuts with a flail, and tills


@dataclass(frozen=True)
class Caution:
    """What to do, why, and who decides; ``strategies`` in which it applies, and ``because`` of what in them."""

    id: str
    name: str
    text: str
    why: str
    who_decides: str
    severity: int
    strategies: tuple[str, ...]
    because: tuple[str, ...] = ()


Tags = dict[str, dict[str, None]]


def cautions(figures: Figures, over_limit: tuple[str, ...] = ()) -> tuple[Caution, ...]:
    """Every caution that applies to a plan, each once, the most serious first.

    ``over_limit`` are strategies that pass a limit on nitrogen.
    """
    plan, library = figures.plan, figures.library
    called = {name: _tags(figures, plan.actions(name)) for name in plan.strategies}
    for name in over_limit:
        called[name].setdefault("nitrogen limit", {})["the limit"] = None
    found = []
    for entry in library.tables["cautions"].values():
        when = [word.strip() for word in entry.about["when"].split(";")]
        strategies = tuple(name for name, tags in called.items() if any(tag in tags for tag in when))
        if strategies:
            about = entry.about
            because = dict.fromkeys(
                thing for name in strategies for tag in when for thing in called[name].get(tag, {}) if thing != PLACE
            )
            texts = (about["text"], about["why"], about["who_decides"])
            found.append(Caution(entry.id, entry.name, *texts, int(about["severity"]), strategies, tuple(because)))
    return tuple(sorted(found, key=lambda one: -one.severity))


def _tags(figures: Figures, actions: tuple[object, ...]) -> Tags:
    """Every tag that a strategy calls, with what calls it."""
    plan = figures.plan
    tags: Tags = {"any": {PLACE: None}}
    if plan.site.shelter != "open ground" and not any(isinstance(action, Uncover) for action in actions):
        tags["under cover"] = {PLACE: None}
    if plan.site.tillage == "tilled repeatedly":
        tags["tiller"] = {PLACE: None}
    for tag, callers in _place_tags(plan, actions).items():
        tags.setdefault(tag, {}).update(dict.fromkeys(callers))
    for action in actions:
        for tag, name in tags_of(figures, action).items():
            tags.setdefault(tag, {})[name] = None
    for tag, names in date_tags(figures, actions, lambda action: tags_of(figures, action)).items():
        tags.setdefault(tag, {}).update(names)
    return tags


def _place_tags(plan: Plan, actions: tuple[object, ...]) -> dict[str, list[str]]:
    """Tags of the plan's tools and of what is near, with what calls each in a strategy."""
    found: dict[str, list[str]] = {}
    covers = [one.name for one in actions if isinstance(one, Cover)]
    if covers and tool_of(plan, "cut") == TRACTOR:
        found["flail"] = covers
    if tool_of(plan, "dig") == TRACTOR and any(_digs(action) for action in actions):
        found["tiller"] = [PLACE]
    if plan.site.near == "well" and (spread := [one.material for one in actions if isinstance(one, Spread)]):
        found["near a well"] = spread
    return found


def _digs(action: object) -> bool:
    """Whether soil is worked at some time of an action."""
    if isinstance(action, Cover):
        return "dug in" in {action.fate(number) for number in range(len(action.cut))}
    return isinstance(action, Dig) or (isinstance(action, Spread | Crop) and action.then == "dug in")


def tags_of(figures: Figures, action: object) -> dict[str, str]:
    """The tags of one action by what it is, and the name of what calls each."""
    if isinstance(action, Spread):
        return dict.fromkeys(_spread_tags(figures, action), action.material)
    if isinstance(action, Cover):
        return dict.fromkeys(_cover_tags(figures, action), action.name)
    if isinstance(action, Crop):
        return dict.fromkeys(_crop_tags(figures, action), action.name)
    return {}


def _spread_tags(figures: Figures, action: Spread) -> set[str]:
    tags = _words(figures, "materials", action.material, "tags") | {"spreading by hand"}
    if "high carbon" in tags and action.then == "dug in":
        tags.add("dug high carbon")
    own = figures.plan.materials.get(action.material)
    for part in own.heap or () if own is not None else ():
        fed = _words(figures, "materials", part.feedstock, "tags")
        tags |= {"heap"} | (fed & {"food waste", "herbicide risk"})
        tags |= {"heaped manure"} if "manure" in fed else set()
        tags |= {"bought in waste"} if fed & {"food waste"} else set()
    return tags


def _words(figures: Figures, table: str, name: str, column: str) -> set[str]:
    entry = figures.entry(table, name)
    text = entry.about.get(column, "") if entry is not None else ""
    return {word.strip() for word in text.split(";") if word.strip()}


TOXIC = ("sorghum", "vetch", "sunn hemp", "comfrey", "lupin", "buckwheat", "sweet clover")
SELF_SOWING = ("buckwheat", "vetch", "mustard", "phacelia")
CEREALS = ("rye", "barley", "oat")


def _cover_tags(figures: Figures, action: Cover) -> set[str]:
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
        tags |= {"dug late cereal"} if action.stage in ("flower", "mature") and "cereal" in kinds else set()
    return tags


def _speaks_of(plants: tuple[str, ...], words: str) -> bool:
    """Whether one of the plants is named, as a whole word: a ryegrass is no rye."""
    return re.search(rf"\b(?:{'|'.join(plants)})(?:es|s)?\b(?!-grass)", words) is not None


def _crop_tags(figures: Figures, action: Crop) -> set[str]:
    tags = {"heap"} if action.then == "to the heap" else set()
    entry = figures.entry("crops", action.name)
    kind = entry.kind if entry is not None else ""
    if kind == "brassica" and action.then in ("left on surface", "dug in"):
        tags.add("brassica residue")
    first = action.from_.on_or_after(figures.plan.start)
    day = midwinter(figures)
    stands = day.on_or_after(first) < action.to.on_or_after(first)
    if kind == "leaf" and stands:
        tags.add("leafy winter crop")
    return tags
