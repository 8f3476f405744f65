"""`somsim record`: what was really done and measured, beside the plan."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated

import typer

from somsim.cli.options import JsonOption, PlanFile, Units, UnitsOption, console, print_json, strategies_of
from somsim.cli.recorded import read_date_option
from somsim.errors import InputError, Problem, nearest

SkipDamagedOption = Annotated[
    bool, typer.Option("--skip-damaged", help="Leave out lines of the record that cannot be read, and say which.")
]


def record(
    plan: PlanFile,
    words: Annotated[
        list[str] | None,
        typer.Argument(
            help="What was done, its name, and columns with their values. Without any: show the record.",
            metavar="[WHAT [NAME] [COLUMN=VALUE ...]]",
            show_default=False,
        ),
    ] = None,
    lines: Annotated[
        Path | None, typer.Option("--from", help="Add every line of this CSV file, all of them or none.")
    ] = None,
    until: Annotated[
        str | None,
        typer.Option("--as-intended-until", help="Add all that the followed strategy intended, up to this day."),
    ] = None,
    strategy: Annotated[
        str | None,
        typer.Option(
            "--strategy",
            help="The strategy that the beds are worked by, if the record has none.",
            autocompletion=strategies_of,
        ),
    ] = None,
    skip_damaged: SkipDamagedOption = False,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """Write down what was really done and measured, or show it beside what was intended.

    For example: somsim record beds.yaml cut "rye and vetch" date=2027-04-18 fresh="1.9 kg; 2.3 kg" area="0.5 m2".
    Without a date, today's. A line is never changed: a further one corrects it (corrects=7), or takes it back
    (somsim record beds.yaml withdrawn corrects=7).
    """
    from somsim.report.recorded import as_json, said_of
    from somsim.study.recording import add_as_intended, add_lines, rows_from

    if sum((bool(words), lines is not None, until is not None)) > 1:
        raise InputError([Problem("words, --from and --as-intended-until each say what to add", hint="give one")])
    if words:
        added = add_lines(plan, [cells_of(words)])
    elif lines is not None:
        added = add_lines(plan, rows_from(lines))
    elif until is not None:
        added = add_as_intended(plan, read_date_option(until, "--as-intended-until"), strategy)
    else:
        _show(plan, strategy, skip_damaged, units, json)
        return
    if json:
        print_json([as_json(event) for event in added])
        return
    for event in added:
        typer.echo(f"line {event.line}: {said_of(event)}")


def cells_of(words: list[str], today: datetime.date | None = None) -> dict[str, str]:
    """The cells of a line from words: what, perhaps a name, and column=value.

    Raises
    ------
    InputError
        for words that are none of these, or a column that no record has.

    >>> cells_of(["dug", "date=2027-03-01", "beds=1 to 3"])
    {'date': '2027-03-01', 'what': 'dug', 'beds': '1 to 3'}
    """
    from somsim.record.cells import columns

    typed = [word for word in words if "=" in word]
    plain = [word for word in words if "=" not in word]
    problems = []
    if not 1 <= len(plain) <= 2:
        said = f"{len(plain)} words without a column: {', '.join(plain)}" if plain else "what was done is missing"
        hint = 'first what was done, then its name: cut "rye and vetch"; the rest as column=value'
        problems.append(Problem(said, hint=hint))
    cells: dict[str, str] = {}
    for word in typed:
        column, _, value = word.partition("=")
        if column not in columns() or column == "line":
            near = nearest(column, columns())
            hint = f"nearest: {near[0]}" if near else "columns: " + ", ".join(columns()[:-1])
            problems.append(Problem(f'no column "{column}"', hint=hint))
        elif column in cells:
            problems.append(Problem(f'the column "{column}" is given twice', hint="keep one of them"))
        cells[column] = value.strip()
    if problems:
        raise InputError(problems, "nothing was saved.")
    named = {"what": plain[0]} | ({"name": plain[1]} if len(plain) > 1 else {})
    day = cells.pop("date", "") or (today or datetime.date.today()).isoformat()
    return {"date": day, **named, **cells}


def _show(plan: Path, strategy: str | None, skip_damaged: bool, units: Units, json: bool) -> None:
    from somsim.report.recorded import review_json, show_review
    from somsim.study.review import review

    found = review(plan, strategy, skip_damaged=skip_damaged)
    if json:
        print_json(review_json(found))
    else:
        show_review(found, console(), units.value)
