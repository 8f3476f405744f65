"""Weeks that are too full, and hours by month, against worked arithmetic."""

import datetime

import numpy as np
import pytest
from study_plans import study

from somsim.outcomes.work import work
from somsim.simulate import Trajectory
from somsim.study.fit import by_month, fit, own_and_hired, week_edges, weekly

Day = datetime.date
AREA = 72.0  # 4 beds of 15 m x 1.2 m
CROP = "crop: {name: cabbage, from: 1 May, to: 30 Sep, every: year, then: carted off}"
DIG = "dig: {on: 10 Mar, every: year}"


def runs(*actions: str, extra: str = "", draws: int = 4, **how: str) -> tuple[Trajectory, Trajectory]:
    from study_plans import plan

    from somsim.draws import Draws, best_values
    from somsim.library import read_library
    from somsim.simulate import simulate
    from somsim.timeline import figures, setting

    known = figures(plan({"one": actions}, extra=extra, **how), read_library())
    return tuple(  # type: ignore[return-value]  # two of them
        simulate(setting(known, some), "one") for some in (best_values(known.unknowns), Draws(draws, 1, known.unknowns))
    )


def test_a_day_of_digging_fills_the_week_it_is_in() -> None:
    # 72 m2 x 6 h/100 m2 = 4.32 h by spade, on 10 March; in 2027 that is the week from Monday 8 March on.
    one = study({"a": (DIG,)}, extra="hours_available: {per_week: 3 h}\n").decision.choices[0]
    assert one.fit is not None and not one.fit.fits
    assert [week.monday for week in one.fit.full] == [Day(2027, 3, 8), Day(2028, 3, 6), Day(2029, 3, 5)]
    assert one.fit.full[0].hours.best == pytest.approx(4.32)
    assert one.fit.full[0].available == 3.0 and one.fit.full[0].chance > 0.5
    assert len(one.fit.stretches) == 3


def test_hours_of_the_month_count_and_enough_of_them_fit() -> None:
    twelve = "hours_available: {per_week: 0 0 50 0 0 0 0 0 0 0 0 0 h}\n"
    fits = study({"a": (DIG,)}, extra=twelve).decision.choices[0].fit
    assert fits is not None and fits.fits and fits.stretches == ()


def test_hired_work_takes_no_hours_of_ones_own() -> None:
    extra = "hours_available: {per_week: 3 h}\nmoney: {currency: EUR, hired: {dig: 40 per hour}}\n"
    one = study({"a": (DIG,)}, extra=extra).decision.choices[0]
    assert one.fit is not None and one.fit.fits
    assert (one.hours.best, one.hired.best) == (0.0, pytest.approx(3 * 4.32 / ((3 * 365.25 + 0.25) / 365.25), rel=1e-3))


def test_without_hours_available_nothing_is_said_of_weeks() -> None:
    assert study({"a": (DIG,)}).decision.choices[0].fit is None


def test_weeks_of_a_plan_hold_all_its_hours_and_no_others() -> None:
    # The first crop is under way on 1 July, a Thursday: its hours before that day are in no week.
    best, many = runs(CROP, start="2027-07-01", extra="hours_available: {per_week: 0 h}\n")
    plan = best.world.figures.plan
    edges = week_edges(plan.start, plan.end)
    assert edges[0] == Day(2027, 6, 28) and edges[-1] >= plan.end
    found = fit(plan, own_and_hired(best)[0], own_and_hired(many)[0], 4)
    assert found is not None
    # Cabbage 0.15 h/m2 over 153 days; 92 of the first crop's, two whole crops, and 61 days of the last: three crops.
    assert sum(week.hours.best for week in found.full) == pytest.approx(3 * 0.15 * AREA)


def test_weeks_are_the_same_however_many_are_looked_at_together() -> None:
    _, many = runs(CROP, DIG)
    plan, jobs = many.world.figures.plan, list(work(many).jobs)
    edges = week_edges(plan.start, plan.end)
    whole = weekly(jobs, edges, AREA, 4)
    parts = [weekly(jobs, edges[n : n + 11], AREA, 4) for n in range(0, len(edges) - 1, 10)]
    assert np.concatenate(parts) == pytest.approx(whole, abs=1e-12)


def test_hours_by_month_are_the_year_of_each_job() -> None:
    best, _ = runs(CROP, DIG)
    months = by_month(work(best).jobs, best.world.figures.plan)
    assert months["dig"][:, 0].tolist() == pytest.approx([0, 0, 4.32, *[0] * 9], rel=1e-3)
    days = [0, 0, 0, 0, 31, 30, 31, 31, 30, 0, 0, 0]
    assert months["grow"][:, 0] == pytest.approx([0.15 * AREA * count / 153 for count in days], rel=1e-3)
