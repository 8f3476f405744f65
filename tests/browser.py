"""A real browser for the tests: Debian's Chromium, what it complains of, what it asks for, and what axe finds."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, Request, sync_playwright

INSTALL = "apt-get install -y chromium"
NAMES = ("chromium", "chromium-browser", "google-chrome")
# WCAG 2.0 and 2.1, levels A and AA: the rules of axe-core with these tags.
TAGS = ["wcag2a", "wcag2aa", "wcag21aa"]
LOCAL = ("http://127.0.0.1:", "ws://127.0.0.1:", "file://", "data:", "blob:", "about:")


def program() -> str:
    """Where Chromium is; without one the test is skipped, or with CI set fails, with what would install it."""
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        told = f"no Chromium; to run this test: {INSTALL}"
        if os.environ.get("CI"):
            pytest.fail(told)
        pytest.skip(told)
    return found


@dataclass
class Visit:
    """A page that is open, what its console complained of, and every address it asked for."""

    page: Page
    complaints: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def listen(self) -> None:
        self.page.on("console", lambda told: self._console(told.type, told.text))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("request", self._request)

    def _console(self, kind: str, text: str) -> None:
        if kind in ("error", "warning"):
            self.complaints.append(f"{kind}: {text}")

    def _request(self, request: Request) -> None:
        self.asked.append(request.url)

    @property
    def abroad(self) -> list[str]:
        """Addresses asked for that are not on this machine."""
        return [address for address in self.asked if not address.startswith(LOCAL)]

    def violations(self) -> list[str]:
        """What axe finds wrong, one line a place."""
        found: Any = Axe().run(self.page, options={"runOnly": {"type": "tag", "values": TAGS}})
        return [
            f"{rule['id']}: {node['target']} {node['html'][:200]} {node['failureSummary']}"
            for rule in found.response["violations"]
            for node in rule["nodes"]
        ]


@contextmanager
def browsing() -> Iterator[Browser]:
    """Chromium, without a window; stopped at the end of the block."""
    path = program()
    with sync_playwright() as playwright:
        # --no-sandbox: inside a container run by root there is none.
        chromium = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        try:
            yield chromium
        finally:
            chromium.close()


@contextmanager
def visit(chromium: Browser, address: str, **manner: Any) -> Iterator[Visit]:
    """Open an address in a window of its own; ``manner`` is what `Browser.new_context` takes."""
    context = chromium.new_context(**manner)
    try:
        made = Visit(context.new_page())
        made.listen()
        made.page.goto(address)
        yield made
    finally:
        context.close()
