"""What each field of the page is: its words, what it may be, and what can be added, from the types of a plan."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from somsim.library import read_library
from somsim.plan.actions import Cut
from somsim.plan.model import Plan
from somsim.plan.money import Money
from somsim.plan.samples import Sample
from somsim.plan.site import Beds, Site, Soil
from somsim.plan.verbs import KINDS
from somsim.planner.spans import Path

DAYS = frozenset({"on", "sow", "from", "to", "cut"})
TABLES = {"material": "materials", "climate": "climates", "texture": "soils", "compare_with": "materials"}
NAMED = {"cover": "covers", "crop": "crops"}
GROUPS = frozenset({"mix", "sample", "cut", "beds", "phosphorus", "salt", "in_turn"})

HOLDERS: dict[tuple[str, ...], type[BaseModel]] = {
    ("site",): Site,
    ("site", "beds"): Beds,
    ("site", "soil"): Soil,
    ("money",): Money,
}


@dataclass(frozen=True)
class Kind:
    """A field: its label, what it says, what it may be (none: anything), the library's table of its names, a day."""

    label: str
    help: str
    choices: tuple[str, ...] = ()
    table: str | None = None
    day: bool = False


@cache
def kind_of(path: Path) -> Kind:
    """What the field at a path is."""
    key = next((str(step) for step in reversed(path) if isinstance(step, str)), "")
    found = _fields(path).get(key)
    verb = next((str(step) for step in path if step in KINDS and step != key), "")
    table = NAMED.get(verb) if key == "name" else TABLES.get(key)
    words = found.description or "" if found is not None else ""
    return Kind(key.replace("_", " "), words, tuple(_choices(found.annotation) if found else ()), table, key in DAYS)


def addable(path: Path, there: Iterable[str]) -> tuple[str, ...]:
    """Keys that could stand in an action or the soil, and do not yet."""
    return tuple(key for key in _fields((*path, "")) if key not in {*there, *GROUPS, "action"})


def names(table: str) -> tuple[str, ...]:
    """What the library has in a table, by the names a plan uses."""
    return tuple(entry.id if table == "climates" else entry.name for entry in read_library().tables[table].values())


def _fields(path: Path) -> dict[str, FieldInfo]:
    holder = _holder(path)
    if holder is None:
        return {}
    return {(field.alias or name): field for name, field in holder.model_fields.items()}


def _holder(path: Path) -> type[BaseModel] | None:
    steps = [step for step in path if isinstance(step, str)]
    if len(steps) == 1:
        return Plan
    if "sample" in steps[:-1]:
        return Sample
    if path[0] in ("strategies", "always"):
        if len(path) >= 2 and isinstance(path[-2], int):
            return Cut if "cut" in steps else None
        verb = next((step for step in steps if step in KINDS), None)
        return KINDS[verb] if verb is not None else None
    return HOLDERS.get(tuple(steps[:-1]))


def _choices(annotation: Any) -> list[str]:
    origin = typing.get_origin(annotation)
    if origin is typing.Literal:
        return [str(one) for one in typing.get_args(annotation)]
    if origin is typing.Annotated:
        return _choices(typing.get_args(annotation)[0])
    if origin in (typing.Union, types.UnionType):
        parts = [part for part in typing.get_args(annotation) if part is not type(None)]
        return _choices(parts[0]) if len(parts) == 1 else []
    return []
