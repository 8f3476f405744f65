"""The report on paper: printed to a PDF by a Chromium that is on the machine."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from pathlib import Path

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
PATIENCE = 120.0  # seconds: a browser that has said nothing by then will not
HOW_TO_GET_IT = (
    "no PDF: it is printed by Chromium, which is not on this machine. Install it (on Debian or Ubuntu: apt install "
    "chromium), or open report.html in any browser and print it to a file."
)


def browser() -> str | None:
    """Where Chromium is, or None."""
    return next((path for name in NAMES if (path := shutil.which(name)) is not None), None)


def pdf(page: str, program: str) -> bytes:
    """Print a page that needs no other file, on A4 or Letter as the system has it.

    Parameters
    ----------
    page : the HTML
    program : path of Chromium, from `browser`

    Raises
    ------
    OSError
        when the browser gives no PDF; with what it said.
    """
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        source, made = folder / "report.html", folder / "report.pdf"
        source.write_text(page, encoding="utf-8")
        # No sandbox: inside a container run by root there is none, and the page is our own and asks for nothing.
        command = [
            program,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            f"--user-data-dir={folder / 'profile'}",
            "--no-pdf-header-footer",
            "--virtual-time-budget=20000",
            f"--print-to-pdf={made}",
            source.as_uri(),
        ]
        try:
            done = subprocess.run(command, capture_output=True, timeout=PATIENCE, check=False)
        except subprocess.TimeoutExpired as late:
            raise OSError(f"no PDF: {program} did not finish within {PATIENCE:.0f} seconds") from late
        if not made.exists():
            raise OSError(f"no PDF: {program} said: {done.stderr.decode(errors='replace').strip()[-300:]}")
        return made.read_bytes()
