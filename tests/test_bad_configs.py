"""Each file in configs/bad holds one mistake; the whole message it must give stands beside it.

A file called text_... is refused as text, season_... as a season that no plant could keep, the others as a plan.
"""

import os
from importlib import import_module
from pathlib import Path

import pytest

from somsim.errors import InputError

REPOSITORY = Path(__file__).parent.parent
BAD = sorted((REPOSITORY / "configs" / "bad").glob("*.yaml"))


def message_for(path: Path) -> str:
    if path.name.startswith("season_"):
        return message_of_the_season(path)
    module = import_module("somsim.plan.text" if path.name.startswith("text_") else "somsim.plan.reading")
    read = module.read_text if path.name.startswith("text_") else module.read_plan
    with pytest.raises(InputError) as caught:
        read(path)
    return str(caught.value)


def message_of_the_season(path: Path) -> str:
    """What working the plan out says; reading it finds nothing wrong."""
    explain = import_module("somsim.study.explain")
    plan = import_module("somsim.plan.reading").read_plan(path)
    with pytest.raises(InputError) as caught:
        explain.explain_plan(plan)
    return str(caught.value)


def test_there_are_files_to_check() -> None:
    assert BAD


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_the_whole_message(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(REPOSITORY)
    shown = message_for(Path(os.path.relpath(path, REPOSITORY)))
    assert shown + "\n" == path.with_suffix(".expected").read_text(encoding="utf-8")


def test_no_expected_message_is_left_without_its_file() -> None:
    expected = {path.stem for path in (REPOSITORY / "configs" / "bad").glob("*.expected")}
    assert expected == {path.stem for path in BAD}
