"""Two hundred strategies: the report stays small, opens, and has all of them."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from conftest import COVER, SPREAD, study_of
from page_parts import Taken, section, table

from somsim.report.page.write import Telling, report

if TYPE_CHECKING:
    from playwright.sync_api import Browser

pytestmark = [pytest.mark.slow, pytest.mark.browser]


def test_two_hundred_strategies(chromium: Browser, tmp_path: Path) -> None:
    from browser import visit

    bodies = {f"compost {n / 20:g} mm, plot {n}": SPREAD.format(depth=n / 20) + COVER + "}\n" for n in range(1, 201)}
    text = report(study_of(bodies, "2 years", 4), Telling(datetime.date(2026, 11, 27)))
    assert len(text.encode()) < 3e6
    page = Taken(text).top
    assert len(table(section(page, "choice"), "All strategies")) == 200
    path = tmp_path / "report.html"
    path.write_text(text, encoding="utf-8")
    with visit(chromium, path.as_uri(), viewport={"width": 360, "height": 900}) as there:
        there.page.wait_for_function("document.documentElement.dataset.ready === 'yes'")
        assert there.complaints == []
        assert there.page.locator("#chart-years .key input").count() == 8
        assert there.page.evaluate("document.documentElement.scrollWidth") <= 360
        assert there.violations() == []
