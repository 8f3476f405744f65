"""A plan as it went: what is recorded, typed as a plan by hand, gives the same answer; what is ahead stays."""

import datetime

import numpy as np
import pytest
from gardens import CLEARED, CUT, PLANTED, SOWN, YEAR, garden, line, record_in

from somsim.outcomes import carbon
from somsim.plan import Plan, parse_plan
from somsim.record import as_recorded
from somsim.record.intended import intended_lines
from somsim.record.matching import NEAR
from somsim.simulate import simulate
from somsim.study.rewriting import worlds
from somsim.timeline.pulse import covers_of

BEDS = garden()
TYPED = """
title: Six beds
start: 2026-10-01
horizon: 8 years
site:
  climate: south-east-england
  shelter: unheated tunnel
  beds: {count: 6, length: 15 m, width: 1.2 m, paths: 0.4 m}
  soil: {texture: sandy loam, organic_matter: 2.6 %, method: loss on ignition, bulk_density: 1.35 g/cm3, depth: 20 cm}
always:
  - cover: {name: rye and vetch, sow: 2026-10-07, cut: 2027-04-18, then: left on surface,
            sample: {fresh: [1.3 kg, 1.5 kg, 1.2 kg], area: 0.5 m2, dry_matter: 17 %}}
  - crop: {name: cucumber, from: 2027-05-02, to: 2027-09-25, then: carted off}
  - crop: {name: cucumber, from: 1 May, to: 30 Sep, every: year, first_year: 2, then: carted off}
strategies:
  cover:
    - cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: left on surface, dry_tops: 3 to 4.4 t/ha,
              first_year: 2}
  compost:
    - spread: {material: garden compost, depth: 5 mm, on: 20 Apr, every: year, then: left on surface, first_year: 2}
    - crop: {name: winter salad leaf, from: 5 Oct, to: 10 Apr, every: year, then: left on surface, first_year: 2}
"""


def _levels(plan: Plan, strategy: str) -> np.ndarray:
    best, _ = worlds(plan, 2, 1)
    return np.asarray(carbon.organic_matter(simulate(best, strategy)))


@pytest.mark.parametrize("strategy", ["cover", "compost"])
def test_facts_equal_the_same_facts_typed_as_a_plan(strategy: str) -> None:
    facts = as_recorded(BEDS, record_in(BEDS, *YEAR), datetime.date(2027, 9, 30))
    typed = parse_plan(TYPED.lstrip(), "typed.yaml")
    assert np.array_equal(_levels(facts.plan, strategy), _levels(typed, strategy))


def test_the_past_is_the_same_in_every_strategy() -> None:
    facts = as_recorded(BEDS, record_in(BEDS, *YEAR))
    first, second = (_levels(facts.plan, name) for name in facts.plan.strategies)
    assert np.array_equal(first[1], second[1])
    assert not np.array_equal(first[2], second[2])


def test_a_record_of_all_that_was_intended_on_its_days_changes_nothing() -> None:
    lines = intended_lines(BEDS, "cover", BEDS.start, datetime.date(2029, 9, 30))
    facts = as_recorded(BEDS, record_in(BEDS, *lines))
    assert facts.missed == ()
    assert _levels(facts.plan, "cover") == pytest.approx(_levels(BEDS, "cover"), rel=1e-12)


def test_what_is_recorded_after_the_day_is_left_out() -> None:
    facts = as_recorded(BEDS, record_in(BEDS, *YEAR), datetime.date(2027, 5, 31))
    assert [event.what for event in facts.events] == ["sown", "cut", "planted"]
    crop = next(action for action in facts.plan.always or () if action.action == "crop" and action.every is None)
    assert crop.to.text == "2027-09-30"
    assert facts.notes == ("cucumber of 2027-05-02 still stands: taken to be cleared on 2027-09-30, as planned",)


def test_what_is_overdue_ends_tomorrow_and_is_said() -> None:
    facts = as_recorded(BEDS, record_in(BEDS, SOWN), datetime.date(2027, 4, 25))
    cover = next(action for action in facts.plan.always or () if action.action == "cover")
    assert cover.cut[0].on.text == "2027-04-26"
    assert "it was planned for 2027-04-20, and is not recorded" in facts.notes[0]


def test_a_round_begun_early_is_not_done_again() -> None:
    early = line("2027-09-28", "sown", "rye and vetch")
    facts = as_recorded(BEDS, record_in(BEDS, *YEAR, early))
    sowings = [action for action in facts.plan.strategies["cover"] if action.action == "cover"]
    assert [action.first_year for action in sowings] == [3]
    assert facts.missed == ()


def test_what_was_intended_and_is_not_recorded_is_taken_as_not_done_and_named() -> None:
    facts = as_recorded(BEDS, record_in(BEDS, PLANTED, CLEARED))
    assert [(one.action.action, str(one.date)) for one in facts.missed] == [("cover", "2026-10-05")]
    assert not any(action.action == "cover" for action in facts.plan.always or ())


def test_another_strategys_crop_waits_for_what_still_stands() -> None:
    facts = as_recorded(BEDS, record_in(BEDS, *YEAR, line("2027-10-02", "sown", "rye and vetch")))
    assert any('"winter salad leaf" of 2027-10-05 is left out' in note for note in facts.notes)
    salad = next(action for action in facts.plan.strategies["compost"] if action.action == "crop")
    assert salad.first_year == 3


def test_beds_differ() -> None:
    some = [
        {**SOWN, "beds": "1 to 2"},
        {**CUT, "beds": "2"},
        {**CUT, "date": "2027-04-25", "beds": "1", "then": "carted off"},
        line("2026-10-20", "spread", "garden compost", beds="3; 5", depth="4 mm", then="left on surface"),
    ]
    facts = as_recorded(BEDS, record_in(BEDS, *some))
    done = [action for action in facts.plan.always or () if action.every is None]
    assert [(action.action, action.beds) for action in done] == [
        ("cover", ("1",)),
        ("cover", ("2",)),
        ("spread", ("3", "5")),
    ]


def test_several_cuts_of_one_sowing() -> None:
    first = {**CUT, "date": "2027-03-20", "grows_on": "yes"}
    facts = as_recorded(BEDS, record_in(BEDS, SOWN, first))
    cover = next(action for action in facts.plan.always or () if action.action == "cover")
    assert [cut.on.text for cut in cover.cut] == ["2027-03-20", "2027-04-20"]


def test_film_and_sheet_have_their_time() -> None:
    lines = [
        line("2026-11-01", "film off"),
        line("2027-02-20", "film on"),
        line("2027-01-10", "sheet laid", beds="6"),
    ]
    facts = as_recorded(BEDS, record_in(BEDS, *lines))
    uncover, sheet = (action for action in facts.plan.always or () if action.action in ("uncover", "idle"))
    assert (uncover.from_.text, uncover.to.text) == ("2026-11-01", "2027-02-20")
    assert (sheet.as_, sheet.to.text, sheet.beds) == ("sheet", "2027-02-21", ("6",))


def test_the_followed_strategy_is_the_last_one_named() -> None:
    lines = [line("2026-10-01", "followed", "compost"), SOWN, line("2027-10-01", "followed", "cover")]
    record = record_in(BEDS, *lines)
    assert as_recorded(BEDS, record).followed == "cover"
    assert as_recorded(BEDS, record, datetime.date(2027, 1, 1)).followed == "compost"


def test_idle_ground_of_the_past_is_that_of_the_followed_strategy() -> None:
    with_weeds = parse_plan(
        TYPED.split("always:")[0].lstrip()
        + "strategies:\n  weedy:\n    - idle: {as: weeds, dry_tops: 2 t/ha}\n  bare:\n    - idle: {as: bare}\n",
        "idle.yaml",
    )
    record = record_in(with_weeds, line("2026-10-01", "followed", "weedy"), line("2028-09-30", "dug"))
    facts = as_recorded(with_weeds, record)
    first, second = (_levels(facts.plan, name) for name in facts.plan.strategies)
    assert np.allclose(first[:3], second[:3], rtol=1e-12)
    assert not np.allclose(first[4], second[4], rtol=1e-6)


def test_days_are_matched_within_a_season() -> None:
    assert datetime.timedelta(days=30) < NEAR < datetime.timedelta(days=183)


def test_beds_that_take_turns_are_written_down_by_number() -> None:
    turning = parse_plan(
        TYPED.split("always:")[0].lstrip()
        + "strategies:\n  thirds:\n    - cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year,"
        " in_turn: 1 of 3, then: left on surface, dry_tops: 3 to 4.4 t/ha}\n",
        "thirds.yaml",
    )
    lines = intended_lines(turning, "thirds", turning.start, datetime.date(2028, 10, 30))
    assert [(each["what"], each["beds"]) for each in lines] == [
        ("sown", "1; 2"), ("cut", "1; 2"), ("sown", "3; 4"), ("cut", "3; 4"), ("sown", "5; 6"),
    ]  # fmt: skip
    facts = as_recorded(turning, record_in(turning, *lines[:4]))
    assert _levels(facts.plan, "thirds") == pytest.approx(_levels(turning, "thirds"), rel=1e-12)


def test_a_cover_of_the_past_is_no_choice_any_more() -> None:
    facts = as_recorded(BEDS, record_in(BEDS, *YEAR))
    best, _ = worlds(facts.plan, 2, 1)
    assert covers_of(best, "compost") == {}
    assert covers_of(best, "cover")["rye and vetch"].occurrence.first == datetime.date(2027, 10, 5)
    assert facts.plan.recorded_until == datetime.date(2027, 9, 25)
