"""One strategy year by year: the years add up to what the comparison says."""

from __future__ import annotations

from dataclasses import asdict

import pytest
from study_plans import COVER, SPREAD, plan, study

from somsim.errors import InputError
from somsim.study.project import Projection, project_study

PAIR = {"compost": [SPREAD], "green": [COVER]}


@pytest.fixture(scope="module")
def compost() -> Projection:
    return project_study(plan(PAIR), "compost", draws=16)


def test_there_is_a_row_for_the_start_and_each_year(compost: Projection) -> None:
    assert [(year.number, year.date.isoformat()) for year in compost.years] == [
        (0, "2026-10-01"),
        (1, "2027-10-01"),
        (2, "2028-10-01"),
        (3, "2029-10-01"),
    ]


def test_the_last_year_is_the_answer_of_the_comparison(compost: Projection) -> None:
    answer = study(PAIR).answers[0]
    # recorded by years here and by months there: the same to rounding
    for name in ("organic_matter", "percent"):
        year, told = (asdict(getattr(one, name)) for one in (compost.years[-1], answer))
        assert year == pytest.approx(told, rel=1e-12)


def test_each_year_balances(compost: Projection) -> None:
    """Carbon in = change of all stocks + respired, by the best values: an invariant, so only rounding is allowed."""
    for before, after in zip(compost.years, compost.years[1:], strict=False):
        stock = [year.humus.best + year.residue.best + year.surface.best for year in (before, after)]
        assert after.added.best == pytest.approx(stock[1] - stock[0] + after.respired.best, abs=1e-12)


def test_the_start_is_what_was_typed(compost: Projection) -> None:
    assert compost.years[0].percent.best == pytest.approx(2.6, rel=1e-9)
    assert compost.years[0].added.best == 0.0


def test_both_engines_agree() -> None:
    exact, steps = (project_study(plan(PAIR), "green", draws=4, engine=engine) for engine in ("exact", "ivp"))
    for one, other in zip(exact.years, steps.years, strict=True):
        assert other.organic_matter.p50 == pytest.approx(one.organic_matter.p50, rel=1e-8)


def test_the_only_strategy_need_not_be_named() -> None:
    assert project_study(plan({"alone": [SPREAD]}), draws=4).strategy == "alone"


def test_of_several_one_has_to_be_named() -> None:
    with pytest.raises(InputError, match="which strategy"):
        project_study(plan(PAIR), draws=4)


def test_a_strategy_that_is_not_there_is_refused_with_the_nearest() -> None:
    with pytest.raises(InputError) as caught:
        project_study(plan(PAIR), "compots", draws=4)
    assert str(caught.value) == (
        'no strategy "compots" in the plan\n  nearest: compost; all: compost, green\n1 mistake; nothing was run.'
    )
