"""A plan back to text: what was typed, in our order of keys."""

from __future__ import annotations

import datetime
import io
from typing import Any

from pydantic import BaseModel
from ruamel.yaml import YAML

from somsim.plan.days import Day
from somsim.plan.model import Plan
from somsim.plan.money import WeekHours
from somsim.plan.turns import Turn
from somsim.plan.verbs import KINDS
from somsim.units import Amount, parse_series


def write_plan(plan: Plan) -> str:
    """The plan as YAML text that `read_plan` reads back to an equal plan."""
    yaml = YAML(typ="rt", pure=True)
    yaml.width = 110
    yaml.allow_unicode = True
    out = io.StringIO()
    yaml.dump(_plain(plan), out)
    return out.getvalue()


def _plain(value: Any) -> Any:
    if isinstance(value, Amount | WeekHours):
        return value.text
    if isinstance(value, Day | Turn):
        return value.text
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, BaseModel):
        return _model(value)
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return value


def _model(value: BaseModel) -> dict[str, Any]:
    kind = type(value)
    body: dict[str, Any] = {}
    for name, field in kind.model_fields.items():
        item = getattr(value, name)
        if name == "action" or item is None or item == field.get_default(call_default_factory=True):
            continue
        body[field.alias or name] = _every(item) if name == "every" else _months(name, item)
    action = getattr(value, "action", None)
    return {action: body} if action in KINDS else body


def _every(count: int) -> str:
    return "year" if count == 1 else f"{count} years"


def _months(name: str, item: Any) -> Any:
    """Twelve months in one line, in mm of rain where that reads back to the same numbers, else in m."""
    if not (isinstance(item, tuple) and len(item) == 12 and all(isinstance(part, float) for part in item)):
        return _plain(item)
    if name == "temperature":
        return " ".join(_shortest(part) for part in item) + " deg C"
    millimetres = " ".join(f"{part * 1000.0:.12g}" for part in item) + " mm"
    if parse_series(millimetres, "length", 12) == item:
        return millimetres
    return " ".join(_shortest(part) for part in item) + " m"


def _shortest(number: float) -> str:
    """The shortest text that reads back to the same number, without an exponent or a nought too many."""
    text = f"{number:.12g}"
    return text if float(text) == number else repr(number)
