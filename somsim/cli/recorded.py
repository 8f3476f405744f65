"""What commands have in common that take a plan together with its record."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from somsim.errors import InputError, Problem

if TYPE_CHECKING:
    from datetime import date

    from rich.console import Console

    from somsim.plan import Plan
    from somsim.record import Facts

AsOfOption = Annotated[
    str | None,
    typer.Option("--as-of", help="The last day that the record is used for; the last recorded day when left out."),
]
PlanOnlyOption = Annotated[
    bool, typer.Option("--plan-only", help="Leave the record beside the plan out: the plan as it was intended.")
]


def read_date_option(text: str, option: str) -> date:
    """A date typed on the command line.

    Raises
    ------
    InputError
        when it is none.
    """
    from somsim.plan.days import read_date
    from somsim.plan.fields import FieldError

    try:
        return read_date(text)
    except FieldError as error:
        raise InputError([Problem(f"{option}: {error}", hint=error.hint)]) from None


def plan_with_record(path: Path, as_of: str | None, plan_only: bool) -> tuple[Plan, Facts | None]:
    """Read a plan, with the record beside it taken in unless only the plan is wanted.

    Raises
    ------
    InputError
        for mistakes in either.
    """
    from somsim.study.recording import facts_of

    day = None if as_of is None else read_date_option(as_of, "--as-of")
    return facts_of(path, as_of=day, plan_only=plan_only)


def recorded_sentences(facts: Facts | None) -> list[str]:
    """What was taken from a record, in words."""
    if facts is None:
        return []
    from somsim.report.recorded import facts_in_words

    return list(facts_in_words(facts))


def tell_record(facts: Facts | None, screen: Console) -> None:
    """Say first what was taken from a record."""
    from somsim.report.terminal import say

    for sentence in recorded_sentences(facts):
        say(screen, sentence)
    if facts is not None:
        screen.print()


def with_record(found: dict[str, object], facts: Facts | None) -> dict[str, object]:
    """JSON of an answer, with what was taken from a record."""
    if facts is None:
        return found
    from somsim.report.recorded import facts_json

    return {**found, "record": facts_json(facts)}
