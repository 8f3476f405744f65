"""Where people read: what a pipe gets, line by line."""

from __future__ import annotations

import io
import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest
from command_line import ENTRY, PLAN, CommandLine

from somsim.cli.options import DEFAULT_DRAWS, TrimmedLines
from somsim.study import compare

COMMANDS = [
    ("compare", "plan.yaml", "--draws", "4"),
    ("project", "plan.yaml", "--strategy", "rye", "--draws", "4"),
    ("check", "plan.yaml", "--explain"),
    ("library",),
    ("library", "materials"),
    ("library", "materials", "garden compost"),
    ("estimate", "layer", "--depth", "25 mm", "--area", "108 m2", "--material", "garden compost"),
    ("estimate", "sample", "--fresh", "2.3 kg", "--area", "0.5 m2", "--crop", "rye and vetch"),
    ("estimate", "roots", "--tops", "4 t/ha", "--crop", "cereal rye"),
    ("estimate", "heap", "--add", "straw = 20 kg"),
    ("estimate", "land", "--layer", "25 mm", "--area", "108 m2", "--with", "white clover"),
    ("estimate", "worth", "--crop", "rye and vetch", "--fresh", "2.3 kg", "--area", "0.5 m2", "--draws", "4"),
]


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> CommandLine:
    return CommandLine(monkeypatch, capsys, tmp_path)


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_piped_lines_end_where_their_words_end(command: CommandLine, words: tuple[str, ...]) -> None:
    ended = command(*words)
    assert ended.code == 0
    lines = ended.out.split("\n")
    assert len(lines) > 5
    assert [line for line in lines if line != line.rstrip()] == []


@pytest.mark.parametrize("width", [50, 72, 120])
def test_the_width_asked_for_is_kept_and_used(command: CommandLine, width: int) -> None:
    command.monkeypatch.setenv("COLUMNS", str(width))
    longest = max(len(line) for line in command("library", "materials", "garden compost").out.split("\n"))
    assert 0.9 * width <= longest <= width


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="needs a pseudo-terminal")
def test_a_terminal_is_left_as_it_was(tmp_path: Path) -> None:
    (tmp_path / "plan.yaml").write_text(PLAN, encoding="utf-8")
    ours, theirs = pty.openpty()
    command = [sys.executable, "-c", ENTRY, "library"]
    environment = {**os.environ, "COLUMNS": "60", "TERM": "xterm"}
    with subprocess.Popen(command, stdout=theirs, stdin=subprocess.DEVNULL, cwd=tmp_path, env=environment):
        os.close(theirs)
        told = b""
        while True:
            try:
                piece = os.read(ours, 65536)
            except OSError:  # Linux says so when the other end has closed
                break
            if not piece:
                break
            told += piece
    os.close(ours)
    assert b" \r\n" in told


@pytest.mark.parametrize("size", [1, 2, 3, 7, 100])
def test_pieces_of_any_size_are_trimmed_alike(size: int) -> None:
    text = "a  b  \n   \n  c \n\nd   "
    there = io.StringIO()
    stream = TrimmedLines(there)
    for begin in range(0, len(text), size):
        stream.write(text[begin : begin + size])
    assert there.getvalue() == "a  b\n\n  c\n\nd"


def test_the_commands_take_as_many_draws_as_the_studies_do() -> None:
    assert DEFAULT_DRAWS == compare.DEFAULT_DRAWS
