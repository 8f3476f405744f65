"""The answer bed by bed: a sentence, a table, and nothing at all where beds are treated alike."""

from __future__ import annotations

import io

import pytest
from rich.console import Console

from somsim.plan import parse_plan
from somsim.report.by_beds import beds_levels, beds_sentence, show_beds
from somsim.report.projection import show_projection
from somsim.study.compare import Study, compare_study
from somsim.study.project import project_study

PLAN = """title: beds that differ
start: 2026-10-01
horizon: 3 years
site:
  climate: south-east-england
  shelter: open ground
  beds: {count: 3, length: 10 m, width: 1.2 m}
  soil: {bulk_density: 1.3 g/cm3, carbon: 2 %}
strategies:
  a little in turn:
    - spread: {material: garden compost, depth: DEPTH, on: 20 Apr, every: year, TURN then: left on surface}
  left alone:
    - idle: {as: bare}
"""


@pytest.fixture(scope="module")
def differing() -> Study:
    return study("in_turn: 1 of 3, last_year: 2,")


def study(turn: str, depth: str = "20 mm") -> Study:
    return compare_study(parse_plan(PLAN.replace("TURN", turn).replace("DEPTH", depth)), draws=8)


def printed(found: Study, width: int = 80) -> str:
    out = io.StringIO()
    show_beds(found, Console(file=out, width=width))
    return out.getvalue()


def test_the_mean_of_the_beds_is_the_whole(differing: Study) -> None:
    for one, answer in zip(beds_levels(differing), differing.answers, strict=True):
        mean = sum(level.best for level in one.levels.values()) / len(one.levels)
        assert mean == pytest.approx(answer.organic_matter.best, rel=1e-12)


def test_the_bed_without_a_turn_is_named_as_the_lowest(differing: Study) -> None:
    said = beds_sentence(differing)
    assert said is not None
    assert said.startswith('The beds end apart, most in "a little in turn"')
    assert said.endswith("on bed 3.")


def test_the_table_has_every_group_and_the_whole(differing: Study) -> None:
    for width in (60, 80, 120):
        text = printed(differing, width)
        assert all(label in text for label in ("bed 1", "bed 2", "bed 3", "all beds together"))
        assert max(len(line.rstrip()) for line in text.splitlines()) <= width


def test_nothing_is_said_where_beds_are_treated_alike() -> None:
    alike = study("")
    assert beds_sentence(alike) is None
    assert printed(alike) == ""


def test_beds_that_end_alike_are_not_told_apart() -> None:
    assert beds_sentence(study("in_turn: 1 of 3, last_year: 2,", "0.01 mm")) is None


def test_a_projection_tells_each_bed(differing: Study) -> None:
    found = project_study(differing.plan, "a little in turn", draws=8)
    assert [one.beds for one in found.by_beds] == ["bed 1", "bed 2", "bed 3"]
    out = io.StringIO()
    show_projection(found, Console(file=out, width=80))
    assert "all beds together" in out.getvalue()
