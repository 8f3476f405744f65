import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.growth.regrowth import Cut, CutLimits, Refusal, cut_mass, cut_plan, falling_cuts

DECLINE = [1.00, 0.85, 0.65, 0.45]
LIMITS = CutLimits(most_cuts=4, shortest_interval=35, lightest=0.05)
SUMMER = ["2026-05-20", "2026-06-30", "2026-08-10", "2026-09-20"]


def plenty(day, last):
    return 0.4


def test_regrowth_falls_by_shares_of_the_first_cut():
    cuts = cut_plan(SUMMER, plenty, LIMITS, decline=DECLINE)
    assert [cut.mass for cut in cuts] == pytest.approx([0.40, 0.34, 0.26, 0.18])
    assert [cut.limited_by for cut in cuts] == ["date", "regrowth", "regrowth", "regrowth"]


def test_a_regrowth_limited_by_its_date_is_not_declined_as_well():
    cuts = cut_plan(SUMMER[:2], lambda day, last: 0.4 if last is None else 0.2, LIMITS, decline=DECLINE)
    assert cuts[1] == Cut(2, np.datetime64("2026-06-30"), 0.2, "date")


def test_printed_cuts_replace_the_decline_and_the_first_cut_stays_the_growers():
    printed = [0.35, 0.30, 0.20, 0.1]
    cuts = cut_plan(SUMMER, lambda day, last: 0.45, LIMITS, decline=DECLINE, printed_cuts=printed)
    assert [cut.mass for cut in cuts] == [0.45, 0.30, 0.20, 0.1]


def reasons(days, standing_on=plenty, **limits):
    usual = {"most_cuts": 4, "shortest_interval": 35, "lightest": 0.05}
    cuts = cut_plan(days, standing_on, CutLimits(**usual | limits), decline=DECLINE)
    return [cut.reason if isinstance(cut, Refusal) else "cut" for cut in cuts]


def test_each_limit_has_its_reason():
    assert reasons(["2026-03-01"], lambda day, last: 0.04) == ["too early"]
    assert reasons(["2026-05-20", "2026-06-23"]) == ["cut", "too soon"]
    assert reasons(["2026-05-20", "2026-06-24"]) == ["cut", "cut"]
    assert reasons(SUMMER, most_cuts=2) == ["cut", "cut", "too many", "too many"]
    frost = np.datetime64("2026-08-10")
    assert reasons(SUMMER, killed_on=frost) == ["cut", "cut", "after frost", "after frost"]
    assert reasons(["2026-07-15"], seeds_on=np.datetime64("2026-07-10")) == ["past seed set"]
    assert reasons(["2026-06-01", "2026-07-15"], seeds_on=np.datetime64("2026-07-10")) == ["cut", "cut"]


def test_a_refusal_says_what_was_found_and_the_limit():
    refusal = cut_plan(["2026-03-01"], lambda day, last: 0.04, LIMITS, decline=DECLINE)[0]
    assert refusal == Refusal(1, np.datetime64("2026-03-01"), "too early", 0.04, 0.05)


def test_a_refused_cut_leaves_the_crop_standing_since_the_last_one_made():
    seen = []

    def standing_on(day, last):
        seen.append(last)
        return 0.4

    cut_plan(["2026-05-20", "2026-06-01", "2026-07-01"], standing_on, LIMITS, decline=DECLINE)
    assert seen == [None, np.datetime64("2026-05-20"), np.datetime64("2026-05-20")]


def test_disordered_dates_and_missing_regrowth_are_refused():
    with pytest.raises(ValueError, match="rise"):
        cut_plan(["2026-05-20", "2026-05-20"], plenty, LIMITS, decline=DECLINE)
    with pytest.raises(ValueError, match="given for 2"):
        cut_plan(SUMMER, plenty, LIMITS, decline=DECLINE[:2])


@given(st.floats(0, 2), st.lists(st.floats(0, 2), min_size=4, max_size=4))
def test_several_cuts_never_make_more_than_the_first_times_their_number(first, standing):
    masses = cut_mass(standing, falling_cuts(first, DECLINE))
    assert np.all(masses <= np.asarray(standing))
    assert masses.sum() <= 2.95 * first * (1 + 1e-12)
