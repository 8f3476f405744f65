"""The answer on a screen: never wider than it, names as typed, no sign that is not a number."""

from __future__ import annotations

import io
import re

import pytest
from conftest import COVER, HOSTILE, SPREAD, study_of
from rich.cells import cell_len
from rich.console import Console

from somsim.plan import parse_plan
from somsim.report.explanation import show_explanation
from somsim.report.projection import show_projection
from somsim.report.terminal import figure_rows, show_comparison
from somsim.study.compare import Study
from somsim.study.explain import explain_plan
from somsim.study.project import project_study

NOT_A_NUMBER = re.compile(r"\b(?:nan|NaN|inf|None|True|False)\b|(?<![\d-])-0(?:\.0+)?(?![\d.-])|\x1b")
LONG = "x" * 150, " ".join(["a name"] * 20)


def screen(width: int) -> Console:
    return Console(file=io.StringIO(), width=width, markup=False, highlight=False, emoji=False)


def printed(study: Study, width: int = 80, system: str = "metric") -> str:
    console = screen(width)
    show_comparison(study, console, system)
    return console.file.getvalue()


def too_wide(text: str, width: int) -> list[str]:
    return [line for line in text.splitlines() if cell_len(line) > width]


@pytest.fixture(scope="module")
def one() -> Study:
    return study_of({"only": SPREAD.format(depth=5)})


@pytest.fixture(scope="module")
def nine() -> Study:
    return study_of({f"{number} mm": SPREAD.format(depth=number) for number in range(1, 10)}, draws=4)


@pytest.fixture(scope="module")
def long() -> Study:
    names = [*LONG, "[bold]loud[/bold] :seedling: [/]", "🌱" * 30 + " x"]
    return study_of({name: SPREAD.format(depth=3) + COVER + "}\n" for name in names}, draws=4)


@pytest.mark.parametrize("width", [80, 120])
@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("which", ["one", "hostile", "nine", "long", "crowd"])
def test_no_line_is_wider_than_the_screen_and_every_sign_is_a_number(
    which: str, width: int, system: str, request: pytest.FixtureRequest
) -> None:
    text = printed(request.getfixturevalue(which), width, system)
    assert not too_wide(text, width)
    assert not NOT_A_NUMBER.findall(text)


def test_every_strategy_has_its_figures(nine: Study) -> None:
    text = printed(nine)
    rows = [line for line in text.splitlines() if line.startswith("organic matter in the")]
    assert sum(len(row.split()) - 4 for row in rows) == 9


def test_names_are_printed_as_typed(long: Study, hostile: Study) -> None:
    assert '"[bold]loud[/bold] :seedling: [/]" leave the same.' in " ".join(printed(long, 120).split())
    assert HOSTILE[0] in printed(hostile, 120)
    assert HOSTILE[1] in printed(hostile, 120)


def test_the_sentences_come_before_the_table_and_the_cautions_after(hostile: Study) -> None:
    text = printed(hostile)
    order = [text.index(words) for words in ("possible worlds", "is worth", "by strategy", "What to watch", "rests on")]
    assert order == sorted(order)


def test_the_table_shows_the_figures_of_the_study(one: Study) -> None:
    answer = one.answers[0]
    rows = dict(figure_rows(one.answers))
    assert rows["organic matter in the soil, %"][0].startswith(f"{answer.percent.p50:.1f}\n")
    assert rows["nitrogen spread in a year, at most, kg/ha"][0].startswith(f"{answer.nitrogen.most.p50:.0f}\n")
    assert answer.kept is not None
    assert rows["of that still there, %"][0].startswith(f"{100 * answer.kept.p50:.0f}\n")


def test_us_figures_are_the_metric_ones_converted(one: Study) -> None:
    """1 kg/m2 is 0.2048 lb/ft2, 1 kg/ha is 0.8922 lb/acre (0.45359237 kg, 0.3048 m); two digits are printed."""
    rows = dict(figure_rows(one.answers, "us"))
    answer = one.answers[0]
    assert float(rows["the same, lb/ft2"][0].split()[0]) == pytest.approx(0.20482 * answer.organic_matter.p50, abs=0.06)
    nitrogen = rows["nitrogen spread in a year, at most, lb/acre"][0]
    assert float(nitrogen.split()[0]) == pytest.approx(0.89218 * answer.nitrogen.most.p50, abs=0.6)


def test_cautions_name_their_strategies_unless_they_are_for_all(hostile: Study, one: Study) -> None:
    assert "[in: " in printed(hostile)
    assert "[in: " not in printed(one)


@pytest.mark.parametrize("width", [80, 120])
def test_a_projection_fits(width: int, hostile: Study) -> None:
    console = screen(width)
    show_projection(project_study(hostile.plan, HOSTILE[1], draws=4), console)
    text = console.file.getvalue()
    assert not too_wide(text, width)
    assert not NOT_A_NUMBER.findall(text)
    assert re.search(r"^\s*start +2026-10-01 +0 +7\.0 +2\.6 *$", text, re.M)  # what was typed is no range
    assert re.search(r"^\s*3 +2029-10-01", text, re.M)


@pytest.mark.parametrize("width", [80, 120])
def test_an_explanation_fits(width: int, hostile: Study) -> None:
    console = screen(width)
    show_explanation(explain_plan(hostile.plan), console)
    text = console.file.getvalue()
    assert not too_wide(text, width)
    assert not NOT_A_NUMBER.findall(text)


def test_an_explanation_gives_every_number_a_source(hostile: Study) -> None:
    made = explain_plan(parse_plan("\n".join(hostile.plan.source.lines)))
    assert all(one.source for one in made.numbers)
