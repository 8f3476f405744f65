"""Charts inside pages: still pictures with words, living ones in a real browser, and names that try to break out."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

import pytest
from conftest import HOSTILE

from somsim.report.bundle import bundle
from somsim.report.embed import Drawing, drawing_script, embeddable, still, themed
from somsim.report.look import COLOURS

if TYPE_CHECKING:
    from playwright.sync_api import Browser

ROWS = [
    {"year": year, "level": year * 0.5 + number, "name": name} for number, name in enumerate(HOSTILE) for year in (0, 1)
]


def drawing(name: str = "level") -> Drawing:
    specification: dict[str, Any] = {
        "width": "container",
        "height": 200,
        "data": {"values": ROWS},
        "encoding": {
            "x": {"field": "year", "type": "quantitative"},
            "y": {"field": "level", "type": "quantitative"},
            "detail": {"field": "name"},
        },
        "layer": [
            {"mark": {"type": "line", "color": COLOURS[0], "clip": True}},
            {
                "mark": {"type": "point", "size": 100, "filled": True, "color": COLOURS[1]},
                "encoding": {"tooltip": [{"field": "name", "title": "strategy"}]},
            },
        ],
    }
    return Drawing(name, themed(specification), f"Levels of {HOSTILE[0]}.")


class Scripts(HTMLParser):
    """The text of every script element, as a browser parts a page."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self._inside = False

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        self._inside = tag == "script"
        if self._inside:
            self.found.append("")

    def handle_endtag(self, tag: str) -> None:
        self._inside = self._inside and tag != "script"

    def handle_data(self, data: str) -> None:
        if self._inside:
            self.found[-1] += data


def test_no_name_ends_the_element_that_it_stands_in() -> None:
    page = Scripts()
    page.feed(f'<script type="application/json">{embeddable(list(HOSTILE))}</script><p>after</p>')
    assert [json.loads(text) for text in page.found] == [list(HOSTILE)]


def test_the_bundle_is_one_script_and_fits_into_a_page(tmp_path: Path) -> None:
    text = bundle(tmp_path)
    page = Scripts()
    page.feed(f"<script>{text}</script>")
    assert page.found == [text]
    assert 0.5e6 < len(text.encode()) < 1.2e6


def test_the_bundle_is_kept_and_a_spoilt_copy_is_not_believed(tmp_path: Path) -> None:
    text = bundle(tmp_path)
    (kept,) = tmp_path.iterdir()
    assert kept.read_text(encoding="utf-8") == text
    kept.write_text("alert(1)", encoding="utf-8")
    assert bundle(tmp_path) == text
    assert "alert(1)" not in {path.read_text(encoding="utf-8") for path in tmp_path.iterdir()}


def test_the_bundle_comes_without_a_place_to_keep_it(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder", encoding="utf-8")
    assert "vegaEmbed" in bundle(tmp_path / "file" / "below")


def test_a_still_picture_is_read_out_as_its_alternative() -> None:
    top = ElementTree.fromstring(still(drawing()))
    assert (top.tag, top.get("role"), top.get("aria-label")) == ("svg", "img", f"Levels of {HOSTILE[0]}.")
    assert not [one for one in top.iter() if one is not top and one.get("role")]
    assert (float(top.get("width", "0")), float(top.get("height", "0"))) == pytest.approx((640, 200), abs=80)


def test_two_pictures_on_one_page_share_no_id() -> None:
    ids = [re.findall(r' id="([^"]+)"', still(drawing(name))) for name in ("one", "two")]
    assert ids[0] and not set(ids[0]) & set(ids[1])
    assert f"url(#{ids[0][0]})" in still(drawing("one"))


def test_pictures_have_the_colours_of_the_page() -> None:
    assert 'stroke="var(--series-0, #142b52)"' in still(drawing())


def page(folder: Path, script: bool = True) -> str:
    """A page with one chart; the address of it."""
    one = drawing()
    scripts = f"<script>{bundle()}</script><script>{drawing_script()}</script>" if script else ""
    start = f"drawChart(document.getElementById('holder'), {embeddable(one.specification)}).then(v => window.view = v)"
    (folder / "page.html").write_text(
        f'<!doctype html><html lang="en"><meta charset="utf-8"><title>chart</title><h1>chart</h1>'
        f'<div id="holder" style="width:50%">{still(one)}</div>{scripts}'
        + (f"<script>{start}</script>" if script else ""),
        encoding="utf-8",
    )
    return (folder / "page.html").as_uri()


@pytest.mark.browser
def test_a_living_chart_takes_the_place_of_the_still_one(chromium: Browser, tmp_path: Path) -> None:
    from browser import visit

    with visit(chromium, page(tmp_path), viewport={"width": 800, "height": 600}) as there:
        there.page.wait_for_function("window.view !== undefined")
        assert there.page.locator("#holder svg").count() == 1
        width = there.page.locator("#holder svg").bounding_box()
        assert width is not None and 300 < width["width"] <= 401
        assert there.page.locator("details, .vega-actions").count() == 0  # no menu
        there.page.locator("#holder path[fill^='var(--series-1']").first.hover()
        assert there.page.locator(".chart-note").inner_text() == f"strategy: {HOSTILE[0]}"
        assert there.page.locator("b").count() == 0
        assert there.complaints == []
        assert len(there.asked) == 1  # the page itself


@pytest.mark.browser
def test_without_a_script_the_still_picture_stays(chromium: Browser, tmp_path: Path) -> None:
    from browser import visit

    with visit(chromium, page(tmp_path), java_script_enabled=False) as there:
        assert there.page.get_by_role("img", name=f"Levels of {HOSTILE[0]}.").is_visible()
