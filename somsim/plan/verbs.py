"""An action as it is written, "- spread: {...}": one verb, and below it what is done."""

from __future__ import annotations

from copy import copy
from typing import Annotated, Any

from pydantic import BeforeValidator, Discriminator, Tag

from somsim.errors import nearest
from somsim.plan.actions import Cover, Crop, Dig, Idle, Input, Repeated, Spread, Uncover
from somsim.plan.fields import FieldError, quoted

KINDS: dict[str, type[Repeated]] = {
    "spread": Spread,
    "cover": Cover,
    "crop": Crop,
    "input": Input,
    "idle": Idle,
    "dig": Dig,
    "uncover": Uncover,
}

EXAMPLE_ACTIONS = {
    "spread": "{material: garden compost, depth: 5 mm, on: 20 Apr, every: year, then: left on surface}",
    "cover": "{name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: left on surface}",
    "crop": "{name: cucumber, from: 1 May, to: 30 Sep, every: year, then: carted off}",
    "input": "{name: straw, residue: straw, carbon: 2 t C/ha/yr}",
    "idle": "{as: weeds}",
    "dig": "{on: 1 Apr, every: year}",
    "uncover": "{from: 1 Nov, to: 1 Mar, every: year}",
}


def _read_action(value: object) -> object:
    """Take "- spread: {...}" apart; what was made in Python stays as it is.

    Raises
    ------
    FieldError
        when there is no verb, more than one, one that is not known, or nothing below it.
    """
    if isinstance(value, Repeated):
        return value
    if isinstance(value, str) and value in KINDS:
        raise _nothing_below(str(value))
    if not isinstance(value, dict) or not value:
        raise FieldError("an action begins with its verb", f"one of: {', '.join(KINDS)}")
    if "action" in value and value["action"] in KINDS and not hasattr(value, "place"):
        return value
    verbs = [key for key in value if key in KINDS]
    if len(value) > 1 and len(verbs) == 1:
        raise FieldError(
            f"{verbs[0]}: and what belongs to it begin in the same column",
            f"move the lines below it to the right, or write - {verbs[0]}: {EXAMPLE_ACTIONS[verbs[0]]}",
        )
    if len(value) != 1:
        raise FieldError(
            f"one action has one verb, here are {len(value)} keys: {_few(list(value))}",
            "each verb begins on a new line with a dash: - spread: {...}",
        )
    verb, body = next(iter(value.items()))
    if verb not in KINDS:
        near = nearest(str(verb), KINDS)
        offered = (f"nearest: {near[0]}; all: " if near else "one of: ") + ", ".join(KINDS)
        raise FieldError(f"no action {quoted(verb)}", offered)
    if not isinstance(body, dict):
        raise _nothing_below(str(verb))
    if "action" in body:
        raise FieldError('no key "action" here', "the verb stands before the colon", str(verb))
    named = copy(body)
    named["action"] = verb
    return named


def _nothing_below(verb: str) -> FieldError:
    return FieldError(f"{verb}: of what, and when?", f"for example - {verb}: {EXAMPLE_ACTIONS[verb]}")


def _few(words: list[Any]) -> str:
    return ", ".join(str(word)[:30] for word in words[:6]) + (" ..." if len(words) > 6 else "")


def _kind(value: Any) -> str:
    return str(value["action"] if isinstance(value, dict) else value.action)


Action = Annotated[
    Annotated[Spread, Tag("spread")]
    | Annotated[Cover, Tag("cover")]
    | Annotated[Crop, Tag("crop")]
    | Annotated[Input, Tag("input")]
    | Annotated[Idle, Tag("idle")]
    | Annotated[Dig, Tag("dig")]
    | Annotated[Uncover, Tag("uncover")],
    Discriminator(_kind),
    BeforeValidator(_read_action),
]
