"""`somsim help`, and what the shell completes."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from somsim.cli.main import app

ROOT = Path(__file__).parents[2]
PLAN = ROOT / "configs" / "hillside.yaml"


def test_one_part_is_explained() -> None:
    printed = CliRunner().invoke(app, ["help", "plan", "soil"])
    assert printed.exit_code == 0
    assert "bulk_density *" in printed.output and "dry mass of a volume of soil" in printed.output
    assert "every action" not in printed.output


def test_all_of_it_is_explained() -> None:
    printed = CliRunner().invoke(app, ["help", "plan"]).output
    for words in ("site: soil", "- spread", "every action", "horizon *", "harvest_index"):
        assert words in printed


def completed(*words: str) -> list[str]:
    """What bash is offered after some words, the last of them unfinished."""
    done = subprocess.run(
        [sys.executable, "-c", "from somsim.cli.main import app; app(prog_name='somsim')"],
        env={
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "_SOMSIM_COMPLETE": "complete_bash",
            "COMP_WORDS": " ".join(("somsim", *words)),
            "COMP_CWORD": str(len(words)),
        },
        capture_output=True,
        text=True,
        check=False,
    )
    return [line for line in done.stdout.splitlines() if line]


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        (("comp",), ["compare"]),
        (("library", "mater"), ["materials"]),
        (("library", "materials", "garden"), ["garden compost"]),
        (("help", "plan", "horiz"), ["horizon"]),
        (("project", str(PLAN), "--strategy", "left"), ["left alone in winter"]),
        (("compare", str(PLAN), "--units", "m"), ["metric"]),
        (("project", "no-such-plan.yaml", "--strategy", "x"), []),
    ],
)
def test_the_shell_is_offered_what_there_is(words: tuple[str, ...], offered: list[str]) -> None:
    assert completed(*words) == offered
