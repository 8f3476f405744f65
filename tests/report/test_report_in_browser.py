"""The report in a real browser: quiet, alone, reachable, readable at every width, in the dark, on paper."""

from __future__ import annotations

import datetime
import json
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from conftest import HOSTILE, study_of

from somsim.plan import read_plan
from somsim.report.machine import comparison
from somsim.report.page.write import Telling, report
from somsim.study.compare import Study, compare_study

if TYPE_CHECKING:
    from browser import Visit
    from playwright.sync_api import Browser

pytestmark = pytest.mark.browser
TOLD = Telling(datetime.date(2026, 11, 27))
READY = "document.documentElement.dataset.ready === 'yes'"
# Millimetres of paper less the margins of the style sheet, in CSS pixels (96 to the inch of 25.4 mm: CSS 2.1, 4.3.2).
A4, LETTER = ((width - 26.0) * 96.0 / 25.4 for width in (210.0, 215.9))


@pytest.fixture(scope="module")
def address(hostile: Study, tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("report") / "report.html"
    path.write_text(report(hostile, TOLD), encoding="utf-8")
    return path.as_uri()


@pytest.fixture(scope="module")
def priced(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Study]:
    """The plan with prices: a chart more."""
    study = compare_study(read_plan(Path(__file__).parents[2] / "configs" / "tunnel-costs.yaml"), draws=16)
    path = tmp_path_factory.mktemp("report") / "report.html"
    path.write_text(report(study, TOLD), encoding="utf-8")
    return path.as_uri(), study


def lines(there: Visit, figure: str) -> int:
    return there.page.locator(f"#{figure} .chart path[fill=none], #{figure} .chart .mark-line path").count()


@pytest.mark.parametrize("width", [360, 800, 1440])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_it_is_quiet_alone_and_open_to_all(chromium: Browser, address: str, width: int, scheme: str) -> None:
    from browser import visit

    with visit(chromium, address, viewport={"width": width, "height": 900}, color_scheme=scheme) as there:
        there.page.wait_for_function(READY)
        assert there.complaints == []
        assert there.asked == [address]
        assert there.page.evaluate("document.documentElement.scrollWidth") <= width
        assert there.violations() == []
        assert there.page.locator("figure[data-alive=yes]").count() == there.page.locator("figure").count() == 2


def test_the_page_says_what_json_says(chromium: Browser, priced: tuple[str, Study]) -> None:
    from browser import visit

    address, study = priced
    whole = comparison(study)
    with visit(chromium, address) as there:
        there.page.wait_for_function(READY)
        answer = there.page.locator("#answer").inner_text()
        for sentence in whole["answer"]:
            assert sentence in answer
        rows = there.page.locator("#chart-years .figures tbody tr")
        there.page.locator("#chart-years .figures summary").click()
        last = rows.nth(rows.count() - 1).locator("td").all_inner_texts()
        for shown, one in zip(last, whole["strategies"], strict=True):
            assert float(shown.split(" ")[0]) == pytest.approx(one["organic_matter"]["p50"], rel=0.06)
        costs = there.page.locator("#choice tr", has=there.page.get_by_text("costs a year, EUR", exact=True))
        for shown, one in zip(costs.locator("td").all_inner_texts(), whole["decision"]["strategies"], strict=True):
            assert float(shown.split("\n")[0]) == pytest.approx(one["money"]["costs"]["p50"], rel=0.006)  # three digits
        assert there.page.locator("figure").count() == 3


def test_a_strategy_is_hidden_and_shown_again(chromium: Browser, address: str) -> None:
    from browser import visit

    with visit(chromium, address) as there:
        there.page.wait_for_function(READY)
        count = lines(there, "chart-years")
        box = there.page.locator("#chart-years .key input").nth(1)
        box.focus()
        there.page.keyboard.press("Space")
        there.page.wait_for_function("document.querySelectorAll('#chart-years .mark-text text').length > 0")
        there.page.wait_for_timeout(200)
        letters = there.page.locator("#chart-years .chart text").all_text_contents()
        assert "B" not in letters and "A" in letters
        assert lines(there, "chart-years") < count
        there.page.keyboard.press("Space")
        there.page.wait_for_timeout(200)
        assert lines(there, "chart-years") == count


def test_a_year_is_read_off_with_the_keyboard(chromium: Browser, address: str) -> None:
    from browser import visit

    with visit(chromium, address) as there:
        there.page.wait_for_function(READY)
        output = there.page.locator("#chart-years output")
        assert output.inner_text().startswith("after 3 years")
        there.page.locator("#chart-years .read-off input").focus()
        there.page.keyboard.press("Home")
        there.page.keyboard.press("ArrowRight")
        assert output.inner_text().startswith("after 1 year\n")
        row = there.page.locator("#chart-years .figures tbody tr").nth(1).locator("td").all_text_contents()
        for figure in row:
            assert figure in output.inner_text()
        assert there.page.evaluate("document.activeElement.getAttribute('aria-valuetext')") == "after 1 year"


def test_what_is_pointed_at_is_told_as_text(chromium: Browser, address: str) -> None:
    from browser import visit

    with visit(chromium, address, viewport={"width": 800, "height": 900}) as there:
        there.page.wait_for_function(READY)
        there.page.locator("#chart-years").scroll_into_view_if_needed()
        there.page.locator("#chart-years .chart path[opacity='0']").nth(3).hover(force=True)
        note = there.page.locator(".chart-note")
        assert note.inner_text().splitlines()[0] in {f"strategy: {name}" for name in HOSTILE}
        assert note.locator("*").count() == 3  # a line each for strategy, time and figure; no name made another
        assert there.complaints == []


def test_without_a_script_all_of_it_is_there(chromium: Browser, address: str) -> None:
    from browser import visit

    with visit(chromium, address, java_script_enabled=False) as there:
        assert there.page.locator("#answer .answer").first.is_visible()
        assert there.page.locator("#chart-years svg[role=img]").is_visible()
        assert there.page.locator("input:visible").count() == 0  # nothing that would do nothing
        there.page.locator("#chart-years .figures summary").click()
        assert there.page.locator("#chart-years .figures td").first.is_visible()


@pytest.mark.parametrize("width", [A4, LETTER])
def test_no_table_is_cut_on_paper(chromium: Browser, priced: tuple[str, Study], width: float) -> None:
    from browser import visit

    with visit(chromium, priced[0], viewport={"width": int(width), "height": 1000}) as there:
        there.page.wait_for_function(READY)
        there.page.emulate_media(media="print", color_scheme="dark")
        over = there.page.evaluate(
            "[...document.querySelectorAll('table, svg[role], .chart svg, pre, .strip, .layers')]"
            ".filter(one => one.getBoundingClientRect().right > document.documentElement.clientWidth + 0.5)"
            ".map(one => one.outerHTML.slice(0, 80))"
        )
        assert over == []
        assert there.page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(255, 255, 255)"
        assert there.page.locator("nav").is_hidden()


def test_lines_are_told_apart_without_colour(chromium: Browser, address: str) -> None:
    from browser import visit

    with visit(chromium, address) as there:
        there.page.wait_for_function(READY)
        swatches = there.page.locator("#chart-years .key path")
        assert len({one.get_attribute("stroke-dasharray") for one in swatches.all()}) == 4
        dashes = there.page.evaluate(
            "[...document.querySelectorAll('#chart-years .chart path[stroke-dasharray]')]"
            ".map(one => one.getAttribute('stroke-dasharray'))"
        )
        assert len(set(dashes)) >= 3  # and the first is drawn through
        letters = there.page.locator("#chart-years .chart text").all_text_contents()
        assert {"A", "B", "C", "D"} <= set(letters)


def test_names_stay_names(chromium: Browser, tmp_path: Path) -> None:
    from browser import visit

    names = ["<img src=x onerror=alert(1)>", "';alert(1)//", "${alert(1)}", "{{constructor.constructor('alert(1)')()}}"]
    study = study_of({name: f"    - idle: {{as: {kind}}}\n" for name, kind in zip(names, ["weeds"] * 4, strict=True)})
    path = tmp_path / "report.html"
    path.write_text(report(study, TOLD), encoding="utf-8")
    with visit(chromium, path.as_uri()) as there:
        said: list[str] = []
        there.page.on("dialog", lambda dialog: said.append(dialog.message))
        there.page.wait_for_function(READY)
        assert said == there.complaints == []
        assert there.asked == [path.as_uri()]
        assert there.page.locator("img").count() == 0
        shown = there.page.locator("#answer").inner_text()
        for name in names[:1]:
            assert name in shown
        assert json.dumps(names[0])[1:-1] in json.dumps(there.page.locator("#plan pre").inner_text())
