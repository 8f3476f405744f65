"""The report without a browser: whole, in order, the answer in it without a script, and no name breaks out of it."""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest
from conftest import COVER, HOSTILE, SPREAD, study_of
from page_parts import Element, Taken, section, table

from somsim.report import sentences
from somsim.report.columns import cell
from somsim.report.machine import comparison
from somsim.report.page.sections import SECTIONS
from somsim.report.page.write import Telling, command_of, report
from somsim.report.settling import in_short, tells
from somsim.report.terminal import caution_lines
from somsim.report.words import scale
from somsim.study.compare import Study
from somsim.study.equivalence import Spread

TOLD = Telling(datetime.date(2026, 11, 27))
ORDER = ["answer", "years", "choice", "worth", "settle", "watch", "nitrogen", "money", "seasons", "soil", "beside"]
ORDER += ["numbers", "plan", "making"]


@pytest.fixture(scope="module")
def text(hostile: Study) -> str:
    return report(hostile, TOLD)


@pytest.fixture(scope="module")
def page(text: str) -> Element:
    return Taken(text).top


def plain(text: str) -> str:
    return " ".join(text.split())


def test_the_order_is_that_of_the_questions(page: Element) -> None:
    found = [one.attributes["id"] for one in page.all("section")]
    assert [name for name in found if name in ORDER] == ORDER  # others may stand between them
    assert len(found) <= len(SECTIONS)
    assert [link.attributes["href"] for link in page.all("nav")[0].all("a")] == [f"#{name}" for name in found]


def test_the_answer_is_there_without_a_script(page: Element, hostile: Study) -> None:
    said = plain(section(page, "answer").text)
    lines = [sentences.opening(hostile), *sentences.answer(hostile)]
    for one in hostile.equivalences:
        lines += [*sentences.worth(one, hostile), *sentences.match(one, hostile)]
    for line in lines:
        assert plain(line) in said


def test_what_to_measure_next_is_there(page: Element, hostile: Study) -> None:
    part = section(page, "settle")
    for line in in_short(hostile.prospect):
        assert plain(line) in plain(part.text)
    shown = [gain for gain in hostile.prospect.gains if tells(gain)]
    if shown:
        rows = table(part, "What to measure next")
        assert list(rows) == [gain.name for gain in shown]
        assert all(cells[-1] == gain.measurement.how for cells, gain in zip(rows.values(), shown, strict=True))


def test_beds_that_end_apart_are_told_each(page: Element, hostile: Study) -> None:
    # one strategy spreads on the first of four beds only
    rows = table(section(page, "soil"), "Organic matter at the end by bed")
    assert list(rows) == ["bed 1", "beds 2 to 4"]
    assert "The beds end apart" in section(page, "answer").text


def test_every_caution_is_there(page: Element, hostile: Study) -> None:
    said = plain(section(page, "watch").text)
    lines = list(caution_lines(hostile))
    assert len(lines) > 3
    for line in lines:
        assert plain(line) in said


def test_what_is_shown_is_what_machines_get(page: Element, hostile: Study) -> None:
    whole = comparison(hostile)
    unit = scale("mass_per_area")
    row = table(section(page, "choice"), "What to decide by")[f"organic matter, {unit.unit}"]
    for shown, one in zip(row, whole["strategies"], strict=True):
        figures = one["organic_matter"]
        spread = Spread(*(figures[name] for name in ("best", "p10", "p50", "p90")))
        assert shown == cell(unit, spread).replace("\n", "")
    months = table(section(page, "nitrogen"), "Nitrogen set free")
    by_strategy = list(whole["nutrients"].values())
    for number, cells in enumerate(months.values()):
        middles = [one["nitrogen_by_month"][number]["p50"] * 1e4 for one in by_strategy]
        assert [float(one.split(" ")[0]) for one in cells] == pytest.approx(middles, rel=0.06, abs=1e-6)  # two digits
    last = list(table(section(page, "years"), "Organic matter")["after 3 years"])
    ends = [one["organic_matter"]["p50"] for one in whole["strategies"]]
    assert [float(one.split(" ")[0]) for one in last] == pytest.approx(ends, rel=0.06)


def test_every_number_used_is_told_with_how_it_is_known(page: Element, hostile: Study) -> None:
    (found,) = section(page, "numbers").all("table")
    rows = found.all("tbody")[0].all("tr")
    assert len(rows) == len(hostile.used)
    known = {"your plan", "read", "from memory", "judged", "worked out"}
    assert all(row.all("td")[0].text and row.all("td")[1].text in known for row in rows)


def test_the_plan_is_there_as_it_was_written(page: Element, hostile: Study) -> None:
    assert section(page, "plan").all("pre")[0].text == "\n".join(hostile.plan.source.lines)


def test_how_to_make_it_again(page: Element, hostile: Study) -> None:
    said = table(section(page, "making"), "How to make it again")
    assert said["written"] == ["27 November 2026"]
    assert said["command"] == ["somsim compare plan.yaml --draws 16 --seed 1"]
    assert said["seed"] == ["1"]
    assert command_of(hostile, replace(TOLD, system="us")).endswith("--units us")


def test_names_are_text_everywhere(text: str, page: Element) -> None:
    assert len(page.all("script")) == len(page.all("figure")) + 1
    for script in page.all("script"):
        if script.attributes.get("type") == "application/json":
            found = json.dumps(json.loads(script.text), ensure_ascii=False)
            assert "</script>" in found  # the name is in the data, and did not end the element
    assert all(one.text in "ABCD" or one.parent.attributes.get("class") == "said" for one in page.all("b"))
    said = plain(page.all("main")[0].text)
    for name in HOSTILE[:2]:
        assert name in said


def test_nothing_is_asked_for_from_elsewhere(page: Element) -> None:
    def walk(one: Element) -> None:
        for name in ("src", "href", "action", "data", "poster", "srcset", "xlink:href"):
            address = one.attributes.get(name, "#")
            assert address.startswith(("#", "data:")), (one.tag, address)
        for child in one.children:
            walk(child)

    walk(page)
    rule = next(one for one in page.all("meta") if one.attributes.get("http-equiv") == "Content-Security-Policy")
    assert rule.attributes["content"].startswith("default-src 'none'")


def test_headings_go_down_one_step_at_a_time(page: Element) -> None:
    def headings(one: Element) -> list[int]:
        here = [int(one.tag[1])] if re.fullmatch("h[1-6]", one.tag) else []
        return here + [level for child in one.children for level in headings(child)]

    levels = headings(page)
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_every_table_has_a_caption_and_heads(page: Element) -> None:
    tables = page.all("table")
    assert len(tables) > 8
    for one in tables:
        assert one.all("caption")[0].text
        widths = {len(row.children) for row in one.all("tr")}
        assert len(widths) == 1
        assert all(head.attributes["scope"] in ("row", "col") for head in one.all("th"))
        assert all(row.all("th") for row in one.all("tbody")[0].all("tr"))


def test_every_chart_is_a_picture_with_words(page: Element) -> None:
    figures = page.all("figure")
    assert [one.attributes["id"] for one in figures] == ["chart-years", "chart-nitrogen"]
    for one in figures:
        (picture,) = [svg for svg in one.all("svg") if svg.attributes.get("role") == "img"]
        assert all(letter in picture.attributes["aria-label"] for letter in ("A, ", "B, ", "C, ", "D, "))
        assert len(picture.all("path")) > 4


def test_ids_are_there_once(page: Element) -> None:
    def ids(one: Element) -> list[str]:
        here = [one.attributes["id"]] if "id" in one.attributes else []
        return here + [name for child in one.children for name in ids(child)]

    found = ids(page)
    assert len(found) == len(set(found))


def test_layers_are_to_one_scale(page: Element, hostile: Study) -> None:
    slabs = [one for one in section(page, "worth").all("span") if one.attributes.get("class") == "slab"]
    heights = [float(re.fullmatch(r"height:([\d.]+)mm", one.attributes["style"])[1]) for one in slabs]
    first = hostile.equivalences[0]
    assert first.volume is not None
    real = [first.at_horizon.p50, first.on_the_day.p50, first.volume.p50, 5.0]
    ratios = [height / millimetres for height, millimetres in zip(heights, real, strict=False)]
    assert ratios == pytest.approx([ratios[0]] * 4, rel=0.02)
    said = re.search(r"drawn (\d+) times", section(page, "worth").text)
    assert said is not None and float(said[1]) == pytest.approx(ratios[0], abs=0.6)
    assert max(heights) <= 46


def test_nothing_is_not_a_number(text: str, page: Element) -> None:
    said = page.all("main")[0].text
    for one in page.all("script"):
        said = said.replace(one.text, "")
    assert not re.search(r"\bnan\b|\binf\b|\bNone\b|Undefined", said)


def test_twice_the_same_and_small(text: str, hostile: Study) -> None:
    assert report(hostile, TOLD) == text
    assert len(text.encode()) < 3e6


def test_us_units(hostile: Study) -> None:
    said = Taken(report(hostile, replace(TOLD, system="us"))).top
    assert "organic matter, lb/ft2" in table(section(said, "choice"), "What to decide by")
    assert " kg" not in section(said, "answer").text


def test_of_many_strategies_some_are_told_and_all_are_in_a_table(crowd: Study) -> None:
    text = report(crowd, TOLD)
    page = Taken(text).top
    assert len(text.encode()) < 3e6
    assert len(table(section(page, "choice"), "All strategies")) == 30
    assert "Of 30 strategies the 4 that end highest and the 4 lowest" in section(page, "years").text
    assert len(table(section(page, "years"), "Organic matter")["start"]) == 4
    assert not [one for one in page.all("section") if one.attributes["id"] == "worth"]  # no covers


@pytest.mark.parametrize(
    "name",
    [
        "x" * 200,
        "{{ 7 * 7 }}{% raw %}",
        "<!--<script>",
        "&lt;img src=x onerror=alert(1)&gt;",
        "javascript:alert('1')",
        "🌱" * 40,
    ],
)
def test_a_hostile_name_alone(name: str, one_strategy: Callable[[str], Study]) -> None:
    text = report(one_strategy(name), TOLD)
    page = Taken(text).top
    assert len(page.all("script")) == len(page.all("figure")) + 1
    assert "49" not in plain(page.all("h1")[0].text)
    assert len(text.encode()) < 3e6


@pytest.fixture(scope="module")
def one_strategy() -> Callable[[str], Study]:
    def made(name: str) -> Study:
        body = COVER + "}\n" + SPREAD.format(depth=2)
        return study_of({name: body, "other": SPREAD.format(depth=1)}, "1 year", 4)

    return made
