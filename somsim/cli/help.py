"""`somsim help`: every key of a plan, in the words of the types that read it."""

from __future__ import annotations

from typing import Annotated

import typer

from somsim.cli.options import console


def _keys(incomplete: str) -> list[str]:
    """Parts and keys that begin so, for the shell."""
    from somsim.plan.keys import key_groups

    groups = key_groups()
    words = {one.title.removeprefix("- ").split(": ")[-1] for one in groups}
    words |= {key.name for one in groups for key in one.keys}
    return sorted(word for word in words if word.startswith(incomplete))


app = typer.Typer(help="Explain what a plan may say.", no_args_is_help=True)


@app.callback()
def topics() -> None:
    """Explain what a plan may say."""


@app.command("plan")
def plan(
    key: Annotated[
        str | None,
        typer.Argument(help="One part or key, such as soil, cover or depth.", show_default=False, autocompletion=_keys),
    ] = None,
    markdown: Annotated[bool, typer.Option("--markdown", help="Print all keys as a page of Markdown.")] = False,
) -> None:
    """Explain every key of a plan, or one part of it: what it says, and whether it is needed."""
    from somsim.report.keys import as_markdown, chosen_groups, show_keys

    if markdown:
        typer.echo(as_markdown(), nl=False)
    else:
        show_keys(chosen_groups(key), console())
