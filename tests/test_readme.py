"""README, docs and .ci/run say what is true: commands run, plans read, names exist, every key is explained."""

import os
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import Any, get_args

import pytest
from pydantic import BaseModel

from somsim.plan import Plan, parse_plan

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
DOCUMENTS = [README, ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]
NAMES = {path: str(path.relative_to(ROOT)) for path in DOCUMENTS}


def blocks(path: Path, language: str) -> list[str]:
    """The fenced blocks of a document in one language."""
    return re.findall(rf"^```{language}\n(.*?)^```$", path.read_text(encoding="utf-8"), re.S | re.M)


def start_commands() -> list[str]:
    section = README.read_text(encoding="utf-8").split("## Start", 1)[1].split("\n## ", 1)[0]
    return re.findall(r"^```\w*\n(.*?)^```$", section, re.S | re.M)


def plans(path: Path) -> dict[str, str]:
    """Whole plans in a document, by the file name in their first line."""
    found = {}
    for block in blocks(path, "yaml"):
        if named := re.match(r"# (\S+\.yaml)\n", block):
            found[named[1]] = block
    return found


def consoles(path: Path) -> Iterator[tuple[str, list[str]]]:
    """Each command of a document's console blocks with the lines of output shown below it."""
    for block in blocks(path, "console"):
        for part in re.split(r"^\$ ", block, flags=re.M)[1:]:
            command, *shown = part.splitlines()
            yield command, [line for line in shown if line.strip() and line.strip() != "..."]


def run(command: str, folder: Path) -> str:
    """Run a `somsim` command with the code of this checkout; give what it printed."""
    program, *words = shlex.split(command)
    assert program == "somsim", command
    surroundings = {**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "80", "NO_COLOR": "1"}
    call = [sys.executable, "-W", "error", "-c", "from somsim.cli.main import run; run()", *words]
    done = subprocess.run(
        call, cwd=folder, env=surroundings, stdin=subprocess.DEVNULL, capture_output=True, text=True, encoding="utf-8"
    )
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done.stdout


def test_start_is_exactly_two_commands_of_one_line_each() -> None:
    commands = start_commands()
    assert len(commands) == 2
    assert all(command.count("\n") == 1 for command in commands)
    assert "somsim compare configs/hillside.yaml" in commands[0]
    assert not any(re.search(r"pip install.* -e\b", command) for command in commands)


def test_readme_and_ci_run_the_tests_in_the_same_way() -> None:
    # .ci/run calls its environment "$venv", keeps pip quiet, gives no command any input and notes which one failed
    own = {'"$venv"/': ".venv/", " --quiet": "", " </dev/null": "", " || exit 1": "", "check pytest ": ""}
    lines = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    for here, there in own.items():
        lines = lines.replace(here, there)
    for command in start_commands()[1].strip().split(" && "):
        assert command in lines.splitlines()


def test_ci_runs_every_kind_of_check_and_pytest_last() -> None:
    lines = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    checks = [line.split()[1] for line in lines if line.startswith("check ")]
    assert checks == ["ruff", "mypy", "imports", "pytest"]
    assert os.access(ROOT / ".ci" / "run", os.X_OK)


@pytest.mark.parametrize("path", DOCUMENTS, ids=NAMES.get)
def test_commands_in_documents_run_and_print_what_is_shown(path: Path, tmp_path: Path) -> None:
    shutil.copytree(ROOT / "configs", tmp_path / "configs")
    for name, text in plans(path).items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    for command, shown in consoles(path):
        rest = run(command, tmp_path)
        for line in shown:
            assert line in rest, f"{NAMES[path]}: {command} no longer prints\n  {line}\nbut\n{rest}"
            rest = rest.split(line, 1)[1]


def test_there_are_commands_and_plans_to_run() -> None:
    assert list(consoles(README))
    assert len(plans(ROOT / "docs" / "first-plan.md")) == 2


@pytest.mark.parametrize("path", DOCUMENTS, ids=NAMES.get)
def test_parts_of_plans_can_be_read(path: Path) -> None:
    whole = (ROOT / "configs" / "hillside.yaml").read_text(encoding="utf-8")
    for block in blocks(path, "yaml"):
        text = block if re.search("^title:", block, re.M) else f"{whole}\n{block}"
        parse_plan(text, NAMES[path])


@pytest.mark.parametrize("path", DOCUMENTS, ids=NAMES.get)
def test_names_in_documents_exist(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    for name in re.findall(r"`(somsim(?:\.\w+)+)`", text):
        found: Any = import_module("somsim")
        for part in name.split(".")[1:]:
            found = import_module(f"{found.__name__}.{part}") if is_module(found, part) else getattr(found, part)


def is_module(inside: Any, part: str) -> bool:
    """Whether a part of a dotted name is a file or folder of the package, and not something in it."""
    here = [Path(folder) / part for folder in getattr(inside, "__path__", ())]
    return not hasattr(inside, part) and any(path.is_dir() or path.with_suffix(".py").exists() for path in here)


@pytest.mark.parametrize("path", DOCUMENTS, ids=NAMES.get)
def test_files_that_documents_name_are_there(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)#:]+)\)", text):
        assert (path.parent / target).exists(), target
    for name in re.findall(r"`((?:somsim|tests|configs|benchmarks|docs)/[\w./-]+)`", text):
        assert (ROOT / name).exists(), name


def types_of_a_plan() -> set[type[BaseModel]]:
    """Every type that a plan is made of."""
    found: set[type[BaseModel]] = set()
    waiting: list[Any] = [Plan]
    while waiting:
        kind = waiting.pop()
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            if kind not in found:
                found.add(kind)
                waiting += [field.annotation for field in kind.model_fields.values()]
        else:
            waiting += [part for part in get_args(kind) if not isinstance(part, str | int)]
    return found


def keys_explained(text: str) -> set[str]:
    """Words in backticks in the first two columns of a table, or at the beginning of a line about a verb."""
    lines = [line for line in text.splitlines() if line.startswith(("|", "**"))]
    return set(re.findall(r"`(\w+)`", "\n".join(lines)))


def test_every_key_of_a_plan_is_explained() -> None:
    text = (ROOT / "docs" / "first-plan.md").read_text(encoding="utf-8").split("# Every key", 1)[1]
    keys = {
        field.alias or name
        for kind in types_of_a_plan()
        for name, field in kind.model_fields.items()
        if name != "action"
    }
    assert {"title", "depth", "from", "as", "bulk_density", "harvest_index", "factor"} <= keys
    assert keys - keys_explained(text) == set()
