"""From what the types refuse to what a person is told: the place, the line, and what would do."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from somsim.errors import InputError, Place, Problem, nearest
from somsim.plan.fields import quoted
from somsim.plan.model import Plan
from somsim.plan.site import FactorClimate, MonthsClimate, SeriesClimate, Watering
from somsim.plan.text import Source

TOLD_IN_ONE = 200  # mistakes told in one message; more would hide the first
MANY_KEYS = 12  # from here on, a near key is offered without the list of all


def at(place: Place | None, message: str, source: Source, hint: str | None = None) -> Problem:
    """A problem with the line it stands on; without a place when it was not read from a file."""
    if place is None or not place.line:
        return Problem(message, None, None, hint)
    line = source.lines[place.line - 1] if place.line <= len(source.lines) else None
    return Problem(message, place, line, hint)


def all_told(problems: Iterable[Problem], source: Source) -> InputError:
    """One error for all problems, in the order of the file, each once; of very many only the first."""
    unique: dict[tuple[object, ...], Problem] = {}
    for problem in problems:
        unique.setdefault((*_order(problem, source), problem.message), problem)
    ordered = sorted(unique.values(), key=lambda problem: _order(problem, source))
    if len(ordered) <= TOLD_IN_ONE:
        return InputError(ordered)
    return InputError(ordered[:TOLD_IN_ONE], "more were found, these are the first; nothing was run.")


def _order(problem: Problem, source: Source) -> tuple[bool, int, int]:
    place = problem.place
    return (False, 0, 0) if place is None else (place.file != source.name, place.line, place.column)


def problems_in(error: ValidationError, tree: Any, source: Source) -> Iterator[Problem]:
    """One problem for each thing that the types refused; of very many only the first in the file."""
    details = [typing.cast(dict[str, Any], detail) for detail in error.errors(include_url=False)]
    if len(details) > TOLD_IN_ONE:
        places = [follow(detail["loc"], tree)[1] or Place("", 0, 0) for detail in details]
        order = sorted(range(len(details)), key=lambda n: (places[n].line, places[n].column))
        details = [details[n] for n in order[: TOLD_IN_ONE + 1]]
    return (_problem(detail, tree, source) for detail in details)


def _problem(detail: dict[str, Any], tree: Any, source: Source) -> Problem:
    loc: tuple[Any, ...] = detail["loc"]
    kind, typed = detail["type"], detail.get("input")
    _, place = follow(loc, tree)
    if kind == "missing":
        _, place = follow(loc[:-1], tree)
        return at(place, f'"{loc[-1]}" is missing', source, _description(loc))
    if kind == "extra_forbidden":
        holder, _ = follow(loc[:-1], tree)
        place = getattr(holder, "key_places", {}).get(loc[-1], place)
        if str(loc[-1])[:1].isdecimal():
            hint = "inside { } a comma ends the value before it; a decimal point is a dot, as in 1.5"
            return at(place, f"{quoted(loc[-1])} stands alone behind a comma", source, hint)
        return at(place, f"no key {quoted(loc[-1])} here", source, _near(str(loc[-1]), keys_at(loc[:-1])))
    if kind == "value_error":
        cause = detail["ctx"]["error"]
        key = getattr(cause, "key", None)
        if key is not None:
            _, place = follow((*loc, key), tree)
        return at(place, str(cause), source, getattr(cause, "hint", None))
    if typed in ("", [], {}):
        return at(place, "nothing is written after this key", source, _description(loc))
    if kind == "literal_error":
        choices = _choices(detail["ctx"]["expected"])
        key = next((step for step in reversed(loc) if isinstance(step, str)), "this")
        return at(place, f"{_what(typed)} is no choice for {key}", source, _near(str(typed), choices))
    return at(place, _plain(kind, typed), source, _description(loc))


def _what(typed: Any) -> str:
    if isinstance(typed, str):
        return quoted(typed)
    return (
        "a list"
        if isinstance(typed, list)
        else "a group of keys"
        if isinstance(typed, dict)
        else quoted(typed)
    )


def _plain(kind: str, typed: Any) -> str:
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return f"{_what(typed)} stands where keys with values are needed"
    if kind in ("tuple_type", "list_type"):
        return f"{_what(typed)} stands where a list is needed"
    return f"{_what(typed)} can't be read here"


def _description(loc: Sequence[Any]) -> str | None:
    """What the types say about the key at a path; else the keys that can stand there."""
    field = _field_at(loc)
    if field is not None and field.description:
        return f"{field.alias or loc[-1]}: {field.description}"
    keys = keys_at(loc)
    return "keys: " + ", ".join(keys) if keys else None


def _field_at(loc: Sequence[Any]) -> FieldInfo | None:
    for kind in _kinds_at(loc[:-1]):
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            for name, field in kind.model_fields.items():
                if (field.alias or name) == loc[-1]:
                    return field
    return None


def _near(word: str, choices: Iterable[str]) -> str:
    offered = list(choices)
    near = nearest(word, offered)
    if near and len(offered) > MANY_KEYS:
        return f"nearest: {', '.join(near)}"
    return (f"nearest: {near[0]}; " if near else "") + "one of: " + ", ".join(offered)


def _choices(expected: str) -> list[str]:
    return [part.strip(" '\"") for part in expected.replace(" or ", ", ").split(", ")]


def follow(loc: Sequence[Any], tree: Any) -> tuple[Any, Place | None]:
    """The value at a path and its place; steps that are no keys (kinds of a union) are skipped."""
    node, place = tree, getattr(tree, "place", None)
    for step in loc:
        is_key = isinstance(node, dict) and step in node
        is_item = isinstance(node, list) and isinstance(step, int) and step < len(node)
        if is_key or is_item:
            node = node[step]
            place = getattr(node, "place", place)
    return node, place


def keys_at(loc: Sequence[Any]) -> list[str]:
    """The keys that a plan may have at a path, from the types themselves."""
    names: dict[str, None] = {}
    for kind in _kinds_at(loc):
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            names |= dict.fromkeys(file_keys(kind))
    return list(names)


TAGS = {"known": FactorClimate, "file": SeriesClimate, "months": MonthsClimate, "period": Watering}


def _kinds_at(loc: Sequence[Any]) -> list[Any]:
    """The types that can stand at a path; a step that names one kind of a union leaves only that kind."""
    here: list[Any] = [Plan]
    for step in loc:
        if step in TAGS and TAGS[step] in here:
            here = [TAGS[step]]
        else:
            here = [found for kind in here for found in _below(kind, step)] or here
    return here


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
