"""Plans to start from: the commented starter, and the demonstrations that come with somsim."""

from __future__ import annotations

import os
from pathlib import Path

from somsim.errors import InputError, Problem, nearest

PACKAGE = Path(__file__).parent.parent
FOLDERS = (PACKAGE / "configs", PACKAGE.parent / "configs")  # in an installed copy; in a checkout
STARTER = "starter"


def demonstrations() -> dict[str, Path]:
    """The plans that come with somsim, by name."""
    for folder in FOLDERS:
        found = {path.stem: path for path in sorted(folder.glob("*.yaml"))}
        if found:
            return found
    return {}


def starting_plan(name: str) -> str:
    """The text of a plan to start from.

    Raises
    ------
    InputError
        when there is none of that name.
    """
    found = demonstrations()
    if name not in found:
        near = nearest(name, found)
        hint = (f"nearest: {near[0]}; " if near else "") + "all: " + ", ".join(found)
        raise InputError([Problem(f'no plan "{name}" to start from', hint=hint)], "nothing was written.")
    return found[name].read_text(encoding="utf-8")


def write_new(file: Path, text: str) -> None:
    """Write a file that is not there yet, whole or not at all.

    Raises
    ------
    InputError
        when the file is there already, or its folder is not.
    """
    if file.exists():
        hint = "choose another name, or move it away"
        raise InputError([Problem(f"{file} is there already", hint=hint)], "nothing was written.")
    if not file.parent.is_dir():
        raise InputError([Problem(f"no folder {file.parent}")], "nothing was written.")
    beside = file.with_name(f".{file.name}.{os.getpid()}")
    try:
        beside.write_text(text, encoding="utf-8", newline="\n")
        os.link(beside, file)  # fails when somebody wrote the file meanwhile, where a rename would replace it
    except FileExistsError:
        raise InputError([Problem(f"{file} is there already")], "nothing was written.") from None
    finally:
        beside.unlink(missing_ok=True)
