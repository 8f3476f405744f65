"""The command line, in an empty folder with a small plan."""

from pathlib import Path

import pytest
from command_line import CommandLine


@pytest.fixture
def somsim(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> CommandLine:
    return CommandLine(monkeypatch, capsys, tmp_path)
