"""A grower's way through the planner in a real Chromium, and what must never happen on it."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from conftest import HOSTILE
from serving_planner import Served, planner

from somsim.plan import read_plan

if TYPE_CHECKING:
    from browser import Visit
    from playwright.sync_api import Browser, Locator

pytestmark = pytest.mark.browser
CONFIGS = Path(__file__).parent.parent.parent / "configs"
HILLSIDE = (CONFIGS / "hillside.yaml").read_text(encoding="utf-8")
SLOW = 120_000  # ms: a busy machine
WIDTHS = (360, 800, 1440, 2560)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    home = tmp_path / "plans"
    home.mkdir()
    return home


def answered(there: Visit) -> list[str]:
    """Wait until all of the plan as it is is worked out; the sentences of the answer."""
    there.page.get_by_text("All of it is worked out.").wait_for(timeout=SLOW)
    return there.page.locator("#answer p").all_inner_texts()


def field(there: Visit, *path: str | int) -> Locator:
    return there.page.locator(f"[data-path='{json.dumps(path, ensure_ascii=False)}']")


def typed(there: Visit, value: str, *path: str | int) -> None:
    place = field(there, *path)
    place.fill(value)
    place.press("Tab")


def holds(there: Visit, value: str, *path: str | int) -> None:
    """Wait until a field holds a value."""
    there.page.wait_for_function(
        "([path, value]) => [...document.querySelectorAll('[data-path]')].some("
        "one => one.dataset.path === path && one.value === value)",
        arg=[json.dumps(path, ensure_ascii=False), value],
    )


def printed(folder: Path, name: str) -> str:
    """What `somsim compare` prints for a saved file, its lines joined."""
    environment = {**os.environ, "COLUMNS": "100"}
    command = [sys.executable, "-m", "somsim.cli.main", "compare", name]
    ran = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=True, timeout=300, env=environment)
    return re.sub(r"\s+", " ", ran.stdout)


def test_from_five_questions_to_a_saved_plan_that_compare_answers_alike(chromium: Browser, folder: Path) -> None:
    from browser import visit

    with planner(folder) as served, visit(chromium, served.address) as there:
        page = there.page
        page.set_default_timeout(SLOW)
        page.get_by_label("shelter").select_option("unheated tunnel")
        page.get_by_label("how many beds").fill("6")
        page.get_by_role("button", name="Make the plan").click()
        first = answered(there)

        page.get_by_role("button", name="bought compost", exact=True).click()
        typed(there, "9 mm", "strategies", "bought compost", 0, "spread", "depth")
        page.wait_for_function(
            "words => [...document.querySelectorAll('#answer p')].map(p => p.innerText).join('|') !== words",
            arg="|".join(first),
        )
        assert answered(there) != first

        page.get_by_role("button", name="rye in winter", exact=True).click()
        page.get_by_role("button", name="Add a cut").click()
        page.get_by_text("cut 2 (5 May) is the same day as cut 1 (5 May)").wait_for()
        page.get_by_role("button", name="Undo").click()
        page.get_by_text("cut 2 (5 May)").wait_for(state="detached")

        typed(there, "35 May", "strategies", "rye in winter", 0, "cover", "cut")
        page.locator(".told", has_text="35 May").first.wait_for()
        page.get_by_role("button", name="Undo").click()
        assert answered(there)

        page.get_by_text("How many would match?").first.click()
        page.get_by_role("button", name="How many would match?").click()
        page.locator("#matched", has_text="To leave as much takes").wait_for()

        page.get_by_role("button", name="Save", exact=True).click()
        page.get_by_text("my-beds.yaml: saved", exact=True).wait_for()
        shown = answered(there)
        worth = page.locator("#whole > p").all_inner_texts()
        said = printed(folder, "my-beds.yaml")
        assert len(shown) >= 2 and len(worth) >= 4
        for line in [*shown, *worth]:
            assert line in said
        assert "# weighed and dried" in (folder / "my-beds.yaml").read_text(encoding="utf-8")
        assert there.complaints == []
        assert there.abroad == []


def test_a_server_that_is_killed_loses_nothing(chromium: Browser, folder: Path) -> None:
    from browser import visit

    (folder / "hillside.yaml").write_text(HILLSIDE, encoding="utf-8")
    depth = ("strategies", "bought compost", 0, "spread", "depth")
    with planner(folder, "hillside.yaml") as served, visit(chromium, served.address) as there:
        there.page.set_default_timeout(SLOW)
        there.page.get_by_role("button", name="bought compost", exact=True).click()
        typed(there, "8 mm", *depth)
        there.page.get_by_text("hillside.yaml: not saved yet").wait_for()
        served.kill()
    assert read_plan(folder / "hillside.yaml").strategies["bought compost"][0].depth.text == "5 mm"
    with planner(folder, "hillside.yaml") as served, visit(chromium, served.address) as there:
        there.page.set_default_timeout(SLOW)
        there.page.get_by_text("Unsaved changes of an earlier time were brought back.").wait_for()
        there.page.get_by_role("button", name="bought compost", exact=True).click()
        assert field(there, *depth).input_value() == "8 mm"
        there.page.get_by_role("button", name="Undo").click()
        holds(there, "5 mm", *depth)


def test_two_pages_and_a_file_that_changed_lose_nothing(chromium: Browser, folder: Path) -> None:
    from browser import visit

    file = folder / "hillside.yaml"
    file.write_text(HILLSIDE, encoding="utf-8")
    with (
        planner(folder, "hillside.yaml") as served,
        visit(chromium, served.address) as one,
        visit(chromium, served.address) as other,
    ):
        for there in (one, other):
            there.page.set_default_timeout(SLOW)
        typed(one, "10 years", "horizon")
        typed(other, "a title of the other page", "title")
        other.page.get_by_role("heading", name="a title of the other page").wait_for()
        one.page.get_by_role("heading", name="a title of the other page").wait_for()
        assert field(other, "horizon").input_value() == "10 years"
        theirs = HILLSIDE + "# written by somebody else\n"
        file.write_text(theirs, encoding="utf-8")
        one.page.get_by_role("button", name="Save", exact=True).click()
        one.page.get_by_text("was changed on disk").wait_for()
        assert file.read_text(encoding="utf-8") == theirs
        one.page.get_by_role("button", name="Write over it").click()
        one.page.get_by_text("hillside.yaml: saved", exact=True).wait_for()
    assert "title: a title of the other page\n" in file.read_text(encoding="utf-8")
    assert "horizon: 10 years\n" in file.read_text(encoding="utf-8")


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_axe_finds_nothing_and_no_width_is_too_narrow(chromium: Browser, folder: Path, colours: str) -> None:
    from browser import visit

    (folder / "hillside.yaml").write_text(HILLSIDE, encoding="utf-8")
    manner = {"color_scheme": colours}
    with planner(folder) as served, visit(chromium, served.address, **manner) as there:
        there.page.get_by_role("button", name="Make the plan").wait_for(timeout=SLOW)
        assert there.violations() == []
        there.page.get_by_role("button", name="hillside.yaml").click()
        answered(there)
        there.page.get_by_role("button", name="winter green manure", exact=True).click()
        typed(there, "20", "site", "soil", "depth")
        there.page.locator(".told", has_text="20").first.wait_for(timeout=SLOW)
        for summary in there.page.locator("summary").all():
            summary.click()
        assert there.violations() == []
        for width in WIDTHS:
            there.page.set_viewport_size({"width": width, "height": 900})
            assert there.page.evaluate("document.documentElement.scrollWidth") <= width
        there.page.set_viewport_size({"width": 640, "height": 450})  # 1280 by 900 at 200 %
        assert there.page.evaluate("document.documentElement.scrollWidth") <= 640
        assert there.complaints == []
        assert there.abroad == []


def test_the_keyboard_alone_does_it(chromium: Browser, folder: Path) -> None:
    from browser import visit

    (folder / "hillside.yaml").write_text(HILLSIDE, encoding="utf-8")
    with planner(folder, "hillside.yaml") as served, visit(chromium, served.address) as there:
        page = there.page
        page.set_default_timeout(SLOW)
        answered(there)

        def reach(words: str) -> None:
            """Press Tab until the element with these words or this path has the keyboard."""
            for _ in range(150):
                page.keyboard.press("Tab")
                here = "(document.activeElement.dataset.path ?? '') + '|' + document.activeElement.innerText"
                if words in page.evaluate(here):
                    return
            raise AssertionError(f"{words} is not reached")

        reach("winter green manure")
        page.keyboard.press("Enter")
        page.locator("fieldset.action").first.wait_for()
        reach('"cut"]')
        page.keyboard.press("Control+A")
        page.keyboard.type("18 Apr")
        page.keyboard.press("Tab")  # to the slider of the same day
        page.wait_for_function("document.activeElement.type === 'range' && document.activeElement.value === '108'")
        page.keyboard.press("ArrowRight")
        cut = ("strategies", "winter green manure", 0, "cover", "cut")
        holds(there, "19 Apr", *cut)
        page.keyboard.press("Shift+Tab")
        reach("Add a cut")
        page.keyboard.press("Enter")
        page.get_by_text("cut 2 (19 Apr) is the same day as cut 1 (19 Apr)").wait_for()


def test_names_that_try_to_break_out_are_names(chromium: Browser, folder: Path) -> None:
    from browser import visit

    text = HILLSIDE
    for old, new in zip(("bought compost", "winter green manure", "left alone in winter"), HOSTILE, strict=False):
        text = text.replace(f"  {old}:", f"  {json.dumps(new, ensure_ascii=False)}:")
    (folder / "hostile.yaml").write_text(text, encoding="utf-8")
    with planner(folder, "hostile.yaml") as served, visit(chromium, served.address) as there:
        there.page.set_default_timeout(SLOW)
        answered(there)
        for name in HOSTILE[:3]:
            assert there.page.get_by_role("button", name=name, exact=True).count() == 1
        assert there.page.locator("#app b").count() == 0
        typed(there, "x" * 10_000, "title")
        there.page.locator(".told", has_text="too long").first.wait_for()
        assert there.complaints == []
        assert there.abroad == []


@pytest.mark.slow
def test_two_hundred_strategies_are_shown_and_changed(chromium: Browser, folder: Path) -> None:
    from browser import visit

    head = HILLSIDE[: HILLSIDE.index("strategies:")]
    way = "    - spread: {{material: garden compost, depth: {} mm, on: 20 Apr, every: year, then: left on surface}}\n"
    ways = "".join(f"  way {n}:\n{way.format(n / 20 + 1)}" for n in range(200))
    (folder / "many.yaml").write_text(f"{head}strategies:\n{ways}", encoding="utf-8")
    with planner(folder, "many.yaml") as served, visit(chromium, served.address) as there:
        there.page.set_default_timeout(300_000)
        there.page.locator("#answer p").nth(1).wait_for()
        assert there.page.locator(".way-head").count() == 200
        there.page.get_by_role("button", name="way 7", exact=True).click()
        depth = ("strategies", "way 7", 0, "spread", "depth")
        typed(there, "30 mm", *depth)
        there.page.locator("#answer", has_text='"way 7" leaves').wait_for()
        assert there.complaints == []


def get(served: Served, path: str, **headers: str) -> int:
    request = urllib.request.Request(served.home + path, headers=headers)
    try:
        with urllib.request.urlopen(request, timeout=30) as answer:
            return int(answer.status)
    except urllib.error.HTTPError as error:
        return error.code


def test_a_running_server_refuses_others_and_serves_no_files(folder: Path) -> None:
    (folder.parent / "secret.yaml").write_text("title: secret\n", encoding="utf-8")
    (folder / "hillside.yaml").write_text(HILLSIDE, encoding="utf-8")
    with planner(folder, "hillside.yaml") as served:
        cookie = f"somsim-{served.port}={served.token}"
        assert get(served, "/", Cookie=cookie) == 200
        assert get(served, "/") == 403
        assert get(served, "/", Cookie=cookie, Host="evil.example") == 403
        assert get(served, "/", Cookie=cookie, Origin="http://evil.example") == 403
        assert get(served, "/_nicegui_ws/socket.io/?EIO=4&transport=polling") == 403
        tricks = ("/../secret.yaml", "/%2e%2e/secret.yaml", "/hillside.yaml", "/_nicegui/..%2f..%2fsecret.yaml")
        for path in (*tricks, "/.hillside.yaml.unsaved"):
            assert get(served, path, Cookie=cookie) in (404, 400)
