"""Reading a plan: text, then types, then names and dates; every mistake of a stage is told at once."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pydantic import ValidationError

from somsim.errors import InputError
from somsim.library import Library, read_library
from somsim.plan.dates import date_problems
from somsim.plan.mistakes import problems_in
from somsim.plan.model import Plan
from somsim.plan.names import name_problems
from somsim.plan.text import Source, parse_text, read_text


def read_plan(path: str | Path, library: Library | None = None) -> Plan:
    """Read and check a plan file.

    Raises
    ------
    InputError
        with every mistake found: place, line, what would do.
    """
    tree, source = read_text(path)
    return _checked(tree, source, library or read_library())


def parse_plan(text: str, name: str = "plan", library: Library | None = None) -> Plan:
    """Read and check a plan given as text; ``name`` stands in the messages.

    Raises
    ------
    InputError
        with every mistake found.
    """
    tree, source = parse_text(text, name)
    return _checked(tree, source, library or read_library())


def _checked(tree: Any, source: Source, library: Library) -> Plan:
    try:
        plan = Plan.model_validate(tree)
    except ValidationError as error:
        raise InputError(problems_in(error, tree, source)) from None
    problems = [*name_problems(plan, tree, source, library), *date_problems(plan, source)]
    if problems:
        raise InputError(
            sorted(problems, key=lambda p: (p.place.line, p.place.column) if p.place else (0, 0))
        )
    object.__setattr__(plan, "_source", source)
    return plan
