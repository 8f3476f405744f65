"""A page as PDF, where Chromium is there to print it."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

BROWSERS = ("chromium", "chromium-browser")
LONGEST = 60  # seconds; a browser that hangs prints nothing


def printed(page: bytes) -> bytes | None:
    """The page as PDF; None where no Chromium is found, or it cannot print here."""
    browser = next((found for name in BROWSERS if (found := shutil.which(name))), None)
    if browser is None:
        return None
    with tempfile.TemporaryDirectory(prefix="somsim-", ignore_cleanup_errors=True) as folder:
        source, target = Path(folder) / "page.html", Path(folder) / "page.pdf"
        source.write_bytes(page)
        root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []  # it won't start otherwise
        command = [
            browser,
            "--headless",
            "--disable-gpu",
            *root,
            f"--user-data-dir={folder}/profile",
            "--no-pdf-header-footer",
            f"--print-to-pdf={target}",
            source.as_uri(),
        ]
        try:
            subprocess.run(command, capture_output=True, timeout=LONGEST, check=True)
        except (OSError, subprocess.SubprocessError):
            return None
        return target.read_bytes() if target.exists() else None
