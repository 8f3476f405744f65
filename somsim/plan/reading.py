"""Reading a plan: text, types, names, dates; every mistake in the file is told at once."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from somsim.errors import InputError, Problem
from somsim.library import Library, read_library
from somsim.plan.beds import Finding, bed_findings, measured_findings
from somsim.plan.dates import Diary, date_findings
from somsim.plan.days import Date
from somsim.plan.fields import Horizon
from somsim.plan.mistakes import all_told, at, problems_in
from somsim.plan.model import Plan, end_of
from somsim.plan.names import name_findings
from somsim.plan.price_names import price_findings
from somsim.plan.series import read_months, read_series
from somsim.plan.site import Beds
from somsim.plan.text import Items, Record, Source, Text, parse_text, read_text
from somsim.plan.verbs import Action


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


def _checked(tree: Record, source: Source, library: Library) -> Plan:
    plan, problems = None, []
    try:
        plan = Plan.model_validate(tree)
        diary: Diary | None = _diary(plan)
    except ValidationError as error:
        problems = list(problems_in(error, tree, source))
        diary = _what_can_be_read(tree)
    findings = [*name_findings(tree, library), *price_findings(tree, library), *_film_findings(tree, diary)]
    if diary is not None:
        listed = [*diary.before, *(action for actions in diary.strategies for action in actions)]
        unique = list({id(action): action for action in listed}.values())
        findings += [*bed_findings(unique, diary.beds), *date_findings(diary, source)]
        tests = (plan.measured or ()) if plan is not None else ()
        findings += measured_findings(tests, diary.beds, diary.start, diary.end)
    problems += [at(found.place, found.message, source, found.hint) for found in findings]
    problems += _weather_problems(tree, source)
    if problems or plan is None:
        raise all_told(problems, source)
    plan._source = source
    return plan


def _diary(plan: Plan) -> Diary:
    strategies = tuple(plan.actions(name) for name in plan.strategies)
    return Diary(plan.start, plan.end, plan.site.beds, strategies, plan.before or ())


@cache
def _reader(kind: Any) -> TypeAdapter[Any]:
    return TypeAdapter(kind)


def _read(kind: Any, node: Any) -> Any:
    """A part of a plan, or None when it cannot be read (which is told elsewhere)."""
    try:
        return _reader(kind).validate_python(node)
    except ValidationError:
        return None


def _what_can_be_read(tree: Record) -> Diary | None:
    """The parts of a plan with mistakes that can still be judged by their dates and beds."""
    start, horizon = _read(Date, tree.get("start")), _read(Horizon, tree.get("horizon"))
    site, strategies = tree.get("site"), tree.get("strategies")
    if not isinstance(start, datetime.date) or horizon is None or not isinstance(strategies, Record):
        return None
    beds = _read(Beds, site.get("beds")) if isinstance(site, Record) else None

    def actions(node: Any) -> tuple[Any, ...]:
        items = node if isinstance(node, Items) else ()
        read = (_read(Action, item) for item in items)
        return tuple(one for one in read if one is not None and (beds or (not one.beds and not one.share)))

    always = actions(tree.get("always"))
    return Diary(
        start,
        end_of(start, horizon),
        beds or Beds.model_validate({"area": "1e10 m2"}),  # so large that no amount is too much for it
        tuple((*always, *actions(node)) for node in strategies.values()),
        actions(tree.get("before")),
    )


def _film_findings(tree: Record, diary: Diary | None) -> Iterator[Finding]:
    """A film that comes off where there is none."""
    site = tree.get("site")
    shelter, climate = (site.get(key) if isinstance(site, Record) else None for key in ("shelter", "climate"))
    known = isinstance(climate, Record) and "factor" in climate
    if diary is None or not (known or shelter == "open ground"):
        return
    said = (
        "uncover changes the climate factor, but the factor itself is given"
        if known
        else "there is no film to take off: shelter is open ground"
    )
    for actions in (diary.before, *diary.strategies):
        for action in actions:
            if action.action == "uncover":
                yield Finding(action.place, said, "leave uncover out")


def _weather_problems(tree: Record, source: Source) -> list[Problem]:
    """What is wrong with the files of months that a plan names."""
    site = tree.get("site")
    climate = site.get("climate") if isinstance(site, Record) else None
    named = climate.get("series") if isinstance(climate, Record) else None
    weather = site.get("weather") if isinstance(site, Record) else None
    came = weather.get("file") if isinstance(weather, Record) else None
    return [*_file_problems(named, read_series, source), *_file_problems(came, read_months, source)]


def _file_problems(named: Any, read: Callable[[Path], object], source: Source) -> list[Problem]:
    """What is wrong with one file of months, at the word that names it where it is not in the file itself."""
    if not isinstance(named, Text) or not named.strip():
        return []
    try:
        read(Path(source.name).parent / named.strip())
    except InputError as error:
        return [
            problem if problem.place else at(named.place, problem.message, source, problem.hint)
            for problem in error.problems
        ]
    return []
