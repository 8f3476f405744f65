"""From what the types refuse to what a person is told: the place, the line, and what would do."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterable, Sequence
from typing import Any

from pydantic import BaseModel, ValidationError

from somsim.errors import Place, Problem, nearest
from somsim.plan.model import Plan
from somsim.plan.text import Source

TOLD_IN_ONE = 200  # mistakes told in one message; more would hide the first


def problems_in(error: ValidationError, tree: Any, source: Source) -> list[Problem]:
    """One problem for each thing that the types refused, in the order of the file."""
    found = [_problem(dict(detail), tree, source) for detail in error.errors(include_url=False)]
    unique = {(p.message, p.place.line if p.place else 0, p.place.column if p.place else 0): p for p in found}
    ordered = sorted(unique.values(), key=lambda p: (p.place.line, p.place.column) if p.place else (0, 0))
    return ordered[:TOLD_IN_ONE]


def at(place: Place | None, message: str, source: Source, hint: str | None = None) -> Problem:
    """A problem with the line it stands on."""
    line = source.lines[place.line - 1] if place and 1 <= place.line <= len(source.lines) else None
    return Problem(message, place, line, hint)


def _problem(detail: dict[str, Any], tree: Any, source: Source) -> Problem:
    loc: tuple[Any, ...] = detail["loc"]
    kind, typed = detail["type"], detail.get("input")
    if kind == "missing":
        node, place = follow(loc[:-1], tree)
        return at(place, f'"{loc[-1]}" is missing', source, _what_is_needed(loc))
    if kind == "extra_forbidden":
        node, _ = follow(loc[:-1], tree)
        place = getattr(node, "key_places", {}).get(loc[-1])
        return at(place, f'no key "{loc[-1]}" here', source, _near(str(loc[-1]), keys_at(loc[:-1])))
    _, place = follow(loc, tree)
    if kind == "literal_error":
        choices = _choices(detail["ctx"]["expected"])
        return at(place, f'"{typed}" is none of the choices here', source, _near(str(typed), choices))
    if kind == "value_error":
        cause = detail["ctx"]["error"]
        return at(place, str(cause), source, getattr(cause, "hint", None))
    return at(place, _plain(kind, typed), source, _what_is_needed(loc))


def _plain(kind: str, typed: Any) -> str:
    what = (
        f'"{typed}"' if isinstance(typed, str) else "a list" if isinstance(typed, list) else "a group of keys"
    )
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return f"{what} stands where keys with values are expected"
    if kind in ("tuple_type", "list_type"):
        return f"{what} stands where a list is expected"
    if kind == "string_type":
        return f"{what} stands where a word is expected"
    if kind == "too_short":
        return "an empty list"
    return f"{what} cannot be read here ({kind.replace('_', ' ')})"


def _what_is_needed(loc: Sequence[Any]) -> str | None:
    keys = keys_at(loc)
    return "keys: " + ", ".join(keys) if keys else None


def _near(word: str, choices: Iterable[str]) -> str:
    choices = list(choices)
    near = nearest(word, choices)
    return (f"nearest: {near[0]}; " if near else "") + "one of: " + ", ".join(choices)


def _choices(expected: str) -> list[str]:
    return [part.strip(" '\"") for part in expected.replace(" or ", ", ").split(", ")]


def follow(loc: Sequence[Any], tree: Any) -> tuple[Any, Place | None]:
    """The value at a path and its place; words of the path that are no keys (kinds of a union) are skipped."""
    node, place = tree, getattr(tree, "place", None)
    for step in loc:
        if (isinstance(node, dict) and step in node) or (isinstance(node, list) and isinstance(step, int) and step < len(node)):
            node = node[step]
        else:
            continue
        place = getattr(node, "place", place)
    return node, place


def keys_at(loc: Sequence[Any]) -> list[str]:
    """The keys that a plan may have at a path, from the types themselves."""
    here: list[Any] = [Plan]
    for step in loc:
        here = [below for kind in here for below in _below(kind, step)] or here
    names: dict[str, None] = {}
    for kind in here:
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            names |= dict.fromkeys(file_keys(kind))
    return list(names)


def file_keys(kind: type[BaseModel]) -> list[str]:
    """The keys of a part of a plan as they stand in the file."""
    return [field.alias or name for name, field in kind.model_fields.items() if name != "action"]


def _below(kind: Any, step: Any) -> list[Any]:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        for name, field in kind.model_fields.items():
            if step == (field.alias or name):
                return _flat(field.annotation)
        return [kind] if step == getattr(kind.model_fields.get("action"), "default", None) else []
    origin, arguments = typing.get_origin(kind), typing.get_args(kind)
    if origin is dict:
        return _flat(arguments[1])
    if origin is tuple and isinstance(step, int):
        return _flat(arguments[0])
    return []


def _flat(annotation: Any) -> list[Any]:
    origin = typing.get_origin(annotation)
    if origin is typing.Annotated:
        return _flat(typing.get_args(annotation)[0])
    if origin in (typing.Union, types.UnionType):
        return [part for choice in typing.get_args(annotation) for part in _flat(choice)]
    return [annotation]
