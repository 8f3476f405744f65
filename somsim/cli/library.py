"""`somsim library`: what somsim knows, each number with its range, its source and how it is known."""

from __future__ import annotations

from typing import Annotated

import typer

from somsim.cli.options import JsonOption, console, print_json


def _tables(incomplete: str) -> list[str]:
    """Tables that begin so, for the shell."""
    from somsim.library import read_library

    return [name for name in read_library().tables if name.startswith(incomplete)]


def _rows(context: typer.Context, incomplete: str) -> list[str]:
    """Rows of the table typed before that begin so, for the shell."""
    from somsim.library import read_library

    known = read_library()
    table = str(context.params.get("table"))
    return [name for name in known.names(table) if name.startswith(incomplete)] if table in known.tables else []


def library(
    table: Annotated[
        str | None,
        typer.Argument(help="One table, such as materials.", show_default=False, autocompletion=_tables),
    ] = None,
    name: Annotated[
        str | None,
        typer.Argument(help="One row of it, such as garden compost.", show_default=False, autocompletion=_rows),
    ] = None,
    json: JsonOption = False,
) -> None:
    """Look things up: without a name the tables, with a table its rows, with a row all that is known about it."""
    from somsim.library import read_library
    from somsim.report.shelf import as_json, chosen_entry, chosen_table, show_entry, show_table, show_tables

    known = read_library()
    if json:
        print_json(as_json(known, table, name))
    elif table is None:
        show_tables(known, console())
    elif name is None:
        show_table(known, chosen_table(known, table), console())
    else:
        show_entry(known, chosen_entry(known, chosen_table(known, table), name), console())
