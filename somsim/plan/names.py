"""Are the names in a plan known: materials, covers, crops, kinds of residue, climates, textures, beds?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from somsim.errors import Place, Problem, nearest
from somsim.library import Library
from somsim.plan.actions import Cover, Crop, Input, Spread
from somsim.plan.mistakes import at, follow
from somsim.plan.model import Plan
from somsim.plan.occurrences import intervals
from somsim.plan.site import FactorClimate
from somsim.plan.text import Source

SINGULAR = {
    "materials": "material",
    "covers": "cover",
    "crops": "crop",
    "residues": "kind of residue",
    "climates": "climate",
    "soils": "texture",
}


def name_problems(plan: Plan, tree: Any, source: Source, library: Library) -> list[Problem]:
    """Every name in a plan that neither the plan nor the library knows."""
    return [
        at(place, message, source, hint)
        for place, message, hint in [
            *_site_names(plan, tree, library),
            *_own_names(plan, tree, library),
            *_action_names(plan, tree, library),
        ]
    ]


Finding = tuple[Place | None, str, str | None]


def known(plan: Plan, library: Library, table: str, name: str) -> bool:
    """Whether a name is defined in the plan or the library."""
    return name in getattr(plan, table, {}) or library.find(table, name) is not None


def _unknown(plan: Plan, library: Library, table: str, name: str, place: Place | None) -> Finding:
    own = list(getattr(plan, table, {}))
    names = [*own, *library.names(table)]
    near = nearest(
        name, [*names, *(word for entry in library.tables[table].values() for word in entry.words())]
    )
    hint = (f"nearest: {near[0]}; " if near else "") + f"all {len(names)}: `somsim library {table}`"
    return place, f'no {SINGULAR[table]} "{name}" in the library', hint


def _site_names(plan: Plan, tree: Any, library: Library) -> Iterator[Finding]:
    climate = plan.site.climate
    if isinstance(climate, str) and library.find("climates", climate) is None:
        yield _unknown(plan, library, "climates", climate, follow(("site", "climate"), tree)[1])
    texture = plan.site.soil.texture
    if texture is not None and library.find("soils", texture) is None:
        yield _unknown(plan, library, "soils", texture, follow(("site", "soil", "texture"), tree)[1])
    if plan.compare_with is not None and not known(plan, library, "materials", plan.compare_with):
        place = follow(("compare_with",), tree)[1]
        yield _unknown(plan, library, "materials", plan.compare_with, place)


NEEDED = {
    "residues": ("decay", "humified"),
    "materials": ("residue", "bulk_density", "dry_matter", "carbon"),
    "covers": ("residue", "dry_tops", "root_ratio"),
    "crops": ("residue",),
}


def _own_names(plan: Plan, tree: Any, library: Library) -> Iterator[Finding]:
    for table, needed in NEEDED.items():
        for name, own in getattr(plan, table).items():
            place = follow((table, name), tree)[1]
            if own.like is not None and library.find(table, own.like) is None:
                yield _unknown(plan, library, table, own.like, follow((table, name, "like"), tree)[1])
            elif own.like is None and library.find(table, name) is None:
                missing = [key for key in needed if getattr(own, key) is None]
                if missing:
                    yield (
                        place,
                        f'"{name}" is not in the library, and {" and ".join(missing)} is missing',
                        f"give it, or say like: with the name of one of the {table} in the library",
                    )
            kind = getattr(own, "residue", None)
            if kind is not None and not known(plan, library, "residues", kind):
                yield _unknown(plan, library, "residues", kind, follow((table, name, "residue"), tree)[1])


def _lists(plan: Plan) -> Iterator[tuple[tuple[Any, ...], tuple[Any, ...]]]:
    for part in ("before", "always"):
        if getattr(plan, part):
            yield (part,), getattr(plan, part)
    for name, actions in plan.strategies.items():
        yield ("strategies", name), actions


def _action_names(plan: Plan, tree: Any, library: Library) -> Iterator[Finding]:
    for path, actions in _lists(plan):
        for index, action in enumerate(actions):
            here = (*path, index, action.action)
            yield from _names_of(plan, tree, library, action, here)
            try:
                intervals(action, plan.site.beds)
            except KeyError as error:
                beds = plan.site.beds
                hint = f"beds 1 to {beds.number}" + (f", or {', '.join(beds.names)}" if beds.names else "")
                yield follow((*here, "beds"), tree)[1], f'no bed "{error.args[0]}"', hint
            if action.action == "uncover" and (
                plan.site.shelter == "open ground" or isinstance(plan.site.climate, FactorClimate)
            ):
                yield follow(here, tree)[1], "there is no film to take off: the site is open ground", None


def _names_of(
    plan: Plan, tree: Any, library: Library, action: Any, here: tuple[Any, ...]
) -> Iterator[Finding]:
    asked: list[tuple[str, str, tuple[Any, ...]]] = []
    if isinstance(action, Spread):
        asked.append(("materials", action.material, ("material",)))
    elif isinstance(action, Cover) and action.mix is not None:
        asked.extend(("covers", name, ("mix", name)) for name in action.mix)
    elif isinstance(action, Cover):
        asked.append(("covers", action.name, ("name",)))
    elif isinstance(action, Crop):
        asked.append(("crops", action.name, ("name",)))
    elif isinstance(action, Input):
        asked.append(("residues", action.residue, ("residue",)))
    for table, name, where in asked:
        if not known(plan, library, table, name):
            yield _unknown(plan, library, table, name, follow((*here, *where), tree)[1])
