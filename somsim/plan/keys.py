"""Every key of a plan, gathered from the types that read it: what commands and documents explain keys from."""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import BaseModel

from somsim.plan.actions import Repeated
from somsim.plan.model import Plan
from somsim.plan.verbs import EXAMPLE_ACTIONS, KINDS

EVERY_ACTION = "every action"


@dataclass(frozen=True)
class Key:
    """One key: its name, whether it is needed, what it says, and the words that it takes, if only some will do."""

    name: str
    needed: bool
    says: str
    words: tuple[str, ...]


@dataclass(frozen=True)
class KeyGroup:
    """The keys of one part of a plan: where it stands ("site: soil", "- cover: sample"), what it is, an example."""

    title: str
    about: str
    keys: tuple[Key, ...]
    example: str = ""


def key_groups() -> tuple[KeyGroup, ...]:
    """Every part of a plan with its keys, from the whole to its parts; the actions come last."""
    groups: dict[tuple[str, type[BaseModel]], KeyGroup] = {}
    for title, model in _parts("", Plan):
        ways = 1 + sum(title == other for other, _ in groups)
        groups.setdefault((title, model), _group(f"{title}, way {ways}" if ways > 1 else title or "plan", model, ()))
    common = tuple(Repeated.model_fields)
    actions = {EVERY_ACTION: _group(EVERY_ACTION, Repeated, ())}
    for verb, kind in KINDS.items():
        for title, part in _parts(f"- {verb}", kind):
            example = f"- {verb}: {EXAMPLE_ACTIONS[verb]}" if part is kind else ""
            actions.setdefault(title, _group(title, part, (*common, "action"), example))
    return (*groups.values(), *actions.values())


def _parts(title: str, model: type[BaseModel]) -> Iterator[tuple[str, type[BaseModel]]]:
    """A part of a plan and the parts below it, each with its title; actions are told apart from them."""
    yield title, model
    for name, field in model.model_fields.items():
        key = field.alias or name
        for below, named in _models(field.annotation):
            if not issubclass(below, Repeated):
                place = f"{title}: {key}" if title else key
                yield from _parts(f"{place}: (a name)" if named else place, below)


def _models(annotation: Any, named: bool = False) -> Iterator[tuple[type[BaseModel], bool]]:
    """The types of parts that a value may be, and whether each stands under a name of its own."""
    if inspect.isclass(annotation) and issubclass(annotation, BaseModel):
        yield annotation, named
        return
    named = named or get_origin(annotation) is dict
    for inner in get_args(annotation):
        if get_origin(annotation) is not Literal:
            yield from _models(inner, named)


def _group(title: str, model: type[BaseModel], without: tuple[str, ...], example: str = "") -> KeyGroup:
    keys = tuple(
        Key(field.alias or name, field.is_required(), field.description or "", _words(field.annotation))
        for name, field in model.model_fields.items()
        if name not in without
    )
    about = inspect.cleandoc(model.__doc__ or "").partition("\n\n")[0].replace("\n", " ").replace("``", "")
    return KeyGroup(title, about, keys, example)


def _words(annotation: Any) -> tuple[str, ...]:
    """The words that will do, where only some do."""
    if get_origin(annotation) is Literal:
        return tuple(str(word) for word in get_args(annotation))
    if get_origin(annotation) in (dict, tuple):
        return ()
    inner = get_args(annotation)[:1] if get_origin(annotation) is Annotated else get_args(annotation)
    return tuple(word for part in inner for word in _words(part))
