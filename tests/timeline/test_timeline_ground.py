"""What stands on the beds in each span: planted, watered, covered, under a sheet, and how often dug."""

import datetime

import pytest
from worked_plans import plan_text, run, setting_of

TEMPERATE = {"climate": "netherlands"}
LETTUCE = "crop: {name: lettuce, from: 10 May, to: 1 Aug, every: year, then: carted off}"


def states(text, group=0):
    """The state of the ground on every first of a month: {(year, month): Ground}."""
    made = run(text).timeline
    found = {}
    for day, ground in zip(made.dates, made.ground[group], strict=False):
        found[day.year, day.month, day.day] = ground
    return {(year, month): ground for (year, month, day), ground in found.items() if day == 1}


def months_with(text, quality, year=2028, group=0):
    return [
        month for (y, month), g in sorted(states(text, group).items()) if y == year and getattr(g, quality)
    ]


def test_a_month_in_which_a_crop_stands_on_any_day_is_planted_as_a_whole():
    # From 10 May to 1 August: on the first of August it is gone.
    assert months_with(plan_text(LETTUCE, **TEMPERATE), "planted") == [5, 6, 7]


def test_a_cover_across_new_year_is_planted_in_both_years():
    text = plan_text(
        "cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: dug in}", **TEMPERATE
    )
    assert months_with(text, "planted") == [1, 2, 3, 4, 10, 11, 12]
    assert months_with(text, "planted", year=2027) == [1, 2, 3, 4, 10, 11, 12]


def test_a_cover_in_the_south_stands_in_the_southern_winter():
    text = plan_text(
        "cover: {name: rye and vetch, sow: 10 Apr, cut: 20 Sep, every: year, then: dug in}",
        climate="canterbury-nz",
        start="2027-07-01",
    )
    assert months_with(text, "planted") == [4, 5, 6, 7, 8, 9]
    # The plan begins in the middle of a winter, with the cover standing.
    assert months_with(text, "planted", year=2027) == [7, 8, 9]


def test_weeds_plant_only_the_time_in_which_nothing_else_stands():
    sheet = "idle: {as: sheet, from: 1 Feb, to: 1 Apr, every: year}"
    text = plan_text(LETTUCE, sheet, "idle: {as: weeds}", **TEMPERATE)
    assert months_with(text, "planted") == [1, *range(4, 13)]
    assert months_with(text, "sheet") == [2, 3]


def test_a_sheet_without_dates_lies_whenever_nothing_stands():
    text = plan_text(LETTUCE, "idle: {as: sheet}", **TEMPERATE)
    # On 1 May it still lies; on 10 May the lettuce is planted.
    assert months_with(text, "sheet") == [1, 2, 3, 4, 5, 8, 9, 10, 11, 12]


def test_under_cover_what_grows_is_watered_and_empty_ground_is_not():
    text = plan_text(LETTUCE, **TEMPERATE, shelter="unheated tunnel")
    assert months_with(text, "watered") == [5, 6, 7]
    assert months_with(text, "covered") == list(range(1, 13))
    assert months_with(plan_text(LETTUCE, **TEMPERATE), "watered") == []


def test_a_stated_season_of_watering_holds_crop_or_not():
    season = "irrigation: {from: 1 Apr, to: 1 Jul}"
    for shelter in ("open ground", "unheated tunnel"):
        text = plan_text(LETTUCE, **TEMPERATE, shelter=shelter, site=season)
        assert months_with(text, "watered") == [4, 5, 6], shelter


def test_watering_may_run_across_new_year():
    text = plan_text(LETTUCE, climate="canterbury-nz", site="irrigation: {from: 1 Nov, to: 1 Mar}")
    assert months_with(text, "watered") == [1, 2, 11, 12]


def test_watering_that_begins_in_a_month_splits_it():
    text = plan_text("idle: {as: bare}", **TEMPERATE, site="irrigation: {from: 10 May, to: 20 May}")
    made = run(text).timeline
    watered = [
        (a, b)
        for a, b, ground in zip(made.dates, made.dates[1:], made.ground[0], strict=False)
        if ground.watered
    ]
    assert watered == [(datetime.date(y, 5, 10), datetime.date(y, 5, 20)) for y in (2027, 2028, 2029)]


def test_no_watering_when_the_plan_says_none():
    text = plan_text(LETTUCE, **TEMPERATE, shelter="unheated tunnel", site="irrigation: none")
    assert months_with(text, "watered") == []


def test_the_film_is_off_between_its_dates_across_new_year():
    text = plan_text(
        LETTUCE, "uncover: {from: 1 Nov, to: 1 Mar, every: year}", **TEMPERATE, shelter="unheated tunnel"
    )
    assert months_with(text, "covered") == [3, 4, 5, 6, 7, 8, 9, 10]
    assert months_with(text, "covered", 2027)[0] == 3  # it was off when the plan began


DIG = "dig: {on: 1 Apr, every: year}"
DIG_AGAIN = "dig: {on: 1 Sep, every: year}"
BURIED = "spread: {material: garden compost, depth: 5 mm, on: 1 Apr, every: year, then: dug in}"


@pytest.mark.parametrize(
    ("actions", "row"),
    [
        (["idle: {as: bare}"], "no_dig_factor"),
        ([DIG], "dug_once_factor"),
        ([BURIED], "dug_once_factor"),
        ([DIG, DIG_AGAIN], "dug_often_factor"),
        # Compost dug in while the bed is dug anyway: the bed is dug once.
        ([DIG, BURIED], "dug_once_factor"),
        (
            [
                "spread: {material: garden compost, depth: 5 mm, on: 1 Apr, every: year, then: left on surface}"
            ],
            "no_dig_factor",
        ),
        (
            ["cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: dug in}"],
            "dug_once_factor",
        ),
        (
            ["crop: {name: lettuce, from: 1 May, to: 1 Jul, every: year, then: dug in}", DIG],
            "dug_often_factor",
        ),
    ],
)
def test_tillage_follows_the_diggings_of_the_plans_year(actions, row):
    assert {ground.tillage for ground in states(plan_text(*actions)).values()} == {row}


def test_tillage_is_counted_for_each_year_of_the_plan():
    # Years of the plan run from October to September.
    text = plan_text("dig: {on: 1 Apr, every: 2 years}", start="2027-10-01", horizon="3 years")
    found = states(text)
    assert found[2027, 11].tillage == found[2028, 9].tillage == "dug_once_factor"
    assert found[2028, 10].tillage == found[2029, 9].tillage == "no_dig_factor"
    assert found[2029, 10].tillage == "dug_once_factor"


def test_tillage_said_for_the_site_holds_instead():
    text = plan_text(DIG, DIG_AGAIN, site="tillage: dug once a year")
    assert {ground.tillage for ground in states(text).values()} == {"dug_once_factor"}


def test_beds_are_grouped_where_any_strategy_treats_them_apart():
    beds = "{count: 6, length: 15 m, width: 1.2 m}"
    text = plan_text(
        strategies={
            "a": ["dig: {on: 1 Apr, every: year, beds: [1, 2]}"],
            "b": ["dig: {on: 1 Apr, every: year, share: 50 %}"],
        },
        beds=beds,
    )
    groups = setting_of(text).groups
    assert [group.label for group in groups] == ["beds 1 to 2", "bed 3", "beds 4 to 6"]
    assert [group.share for group in groups] == pytest.approx([2 / 6, 1 / 6, 3 / 6])
    assert months_dug(text, "a") == [True, False, False]
    assert months_dug(text, "b") == [True, True, False]


def months_dug(text, strategy):
    made = run(text, strategy).timeline
    return [ground[0].tillage == "dug_once_factor" for ground in made.ground]


def test_beds_all_treated_alike_are_one_group():
    text = plan_text(DIG, beds="{count: 6, length: 15 m, width: 1.2 m}")
    assert [group.label for group in setting_of(text).groups] == ["all beds"]


def test_spans_end_with_months_plan_years_and_dates_on_which_something_happens():
    made = run(plan_text(LETTUCE, start="2027-03-15", horizon="2 years")).timeline
    assert made.dates[0] == datetime.date(2027, 3, 15) and made.dates[-1] == datetime.date(2029, 3, 15)
    for day in ((2027, 4, 1), (2027, 5, 10), (2027, 8, 1), (2028, 3, 15), (2028, 5, 10)):
        assert datetime.date(*day) in made.dates
    assert made.times == tuple(datetime.date(year, 3, 15) for year in (2027, 2028, 2029))
    assert list(made.dates) == sorted(set(made.dates))


def test_a_plan_that_starts_on_29_february_counts_its_years_from_the_28th():
    made = run(plan_text("idle: {as: bare}", start="2028-02-29", horizon="4 years")).timeline
    assert [str(day) for day in made.times] == [
        "2028-02-29", "2029-02-28", "2030-02-28", "2031-02-28", "2032-02-29",
    ]  # fmt: skip
