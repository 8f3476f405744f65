"""Run `somsim` in this process as its own entry point does, or as a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from somsim.cli import main

ENTRY = "from somsim.cli.main import run; run()"
CONFIGS = Path(__file__).parent.parent.parent / "configs"
PLAN = """title: Two beds
start: 2027-03-01
horizon: 2 years
site:
  climate: netherlands
  shelter: open ground
  beds: {count: 2, length: 10 m, width: 1.2 m, paths: 0.4 m}
  soil: {texture: loam, organic_matter: 3 %, method: loss on ignition, bulk_density: 1.3 g/cm3, depth: 20 cm}
strategies:
  compost:
    - spread: {material: garden compost, depth: 4 mm, on: 1 May, every: year, then: left on surface}
  rye:
    - cover: {name: cereal rye, sow: 12 Oct, cut: 5 May, every: year, then: dug in, dry_tops: 2.5 to 4 t/ha}
"""


@dataclass(frozen=True)
class Ended:
    """How a command ended."""

    code: int
    out: str
    err: str


class CommandLine:
    """Commands in an empty folder that holds a small plan, `plan.yaml`."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], folder: Path) -> None:
        self.monkeypatch, self.capsys, self.folder = monkeypatch, capsys, folder
        monkeypatch.chdir(folder)
        monkeypatch.setenv("COLUMNS", "80")
        monkeypatch.delenv("FORCE_COLOR", raising=False)
        self.plan = folder / "plan.yaml"
        self.plan.write_text(PLAN, encoding="utf-8")

    def __call__(self, *words: str) -> Ended:
        self.monkeypatch.setattr(sys, "argv", ["somsim", *words])
        with pytest.raises(SystemExit) as ended:
            main.run()
        told = self.capsys.readouterr()
        code = ended.value.code
        return Ended(code if isinstance(code, int) else 0, told.out, told.err)

    def files(self) -> list[str]:
        return sorted(str(path.relative_to(self.folder)) for path in self.folder.rglob("*"))


def process(
    folder: Path, *words: str, before: str = "", environment: dict[str, str] | None = None
) -> subprocess.CompletedProcess[bytes]:
    """A command as a process of its own; ``before`` is code that runs in it first."""
    return subprocess.run(
        [sys.executable, "-W", "error", "-c", f"{before}\n{ENTRY}", *words],
        cwd=folder,
        env={**os.environ, "COLUMNS": "80", **(environment or {})},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        timeout=120,
    )
