"""When and where actions happen, worked out by hand with a calendar."""

import datetime

import pytest

from somsim.plan.actions import Cover, Crop, Dig, Input, Repeated, Spread
from somsim.plan.model import shift
from somsim.plan.occurrences import intervals, meet, occurrences, plan_year
from somsim.plan.site import Beds

START, END = datetime.date(2026, 10, 1), datetime.date(2030, 10, 1)


def dates(action: Repeated, start: datetime.date = START, end: datetime.date = END) -> list[str]:
    return [" ".join(map(str, round_.dates)) for round_ in occurrences(action, start, end)]


def spread(**keys: str) -> Spread:
    given = {"material": "straw", "depth": "5 mm", "then": "dug in", "every": "year"} | keys
    return Spread.model_validate(given)


def crop(**keys: str) -> Crop:
    begin = {"from": keys.pop("begin")}
    return Crop.model_validate({"name": "leek", "then": "dug in", "every": "year"} | begin | keys)


def test_every_year_counts_from_the_start() -> None:
    assert dates(spread(on="20 Apr")) == ["2027-04-20", "2028-04-20", "2029-04-20", "2030-04-20"]
    assert dates(spread(on="1 Oct"))[0] == "2026-10-01"
    assert dates(spread(on="30 Sep"))[-1] == "2030-09-30"


def test_every_second_year_and_years_from_until() -> None:
    assert dates(spread(on="20 Apr", every="2 years")) == ["2027-04-20", "2029-04-20"]
    assert dates(spread(on="20 Apr", first_year="2", last_year="3")) == ["2028-04-20", "2029-04-20"]
    assert dates(spread(on="20 Apr", first_year="2", every="2 years")) == ["2028-04-20", "2030-04-20"]


def test_a_leap_day_falls_on_the_28th_in_other_years() -> None:
    assert dates(spread(on="29 Feb")) == ["2027-02-28", "2028-02-29", "2029-02-28", "2030-02-28"]


@pytest.mark.parametrize(("day", "first"), [("28 Feb", 2029), ("29 Feb", 2028), ("1 Mar", 2028)])
def test_a_plan_from_a_leap_day_has_one_round_in_each_calendar_year(day: str, first: int) -> None:
    start = datetime.date(2028, 2, 29)  # the ninth year ends before 28 February 2037
    found = dates(spread(on=day), start, shift(start, 12 * 9))
    assert [int(text[:4]) for text in found] == list(range(first, 2037))


def test_a_winter_crop_across_new_year_and_one_that_already_stands() -> None:
    winter = crop(begin="5 Oct", to="10 Apr")
    assert dates(winter)[:2] == ["2026-10-05 2027-04-10", "2027-10-05 2028-04-10"]
    mid_season = datetime.date(2027, 1, 15)
    assert dates(winter, mid_season, datetime.date(2028, 1, 15)) == [
        "2026-10-05 2027-04-10",
        "2027-10-05 2028-04-10",
    ]
    new = crop(begin="5 Oct", to="10 Apr", first_year="1")
    assert dates(new, mid_season, datetime.date(2028, 1, 15)) == ["2027-10-05 2028-04-10"]


def test_a_summer_in_the_southern_half() -> None:
    assert dates(crop(begin="1 Nov", to="31 Mar"), datetime.date(2026, 7, 1), datetime.date(2028, 7, 1)) == [
        "2026-11-01 2027-03-31",
        "2027-11-01 2028-03-31",
    ]


def test_cuts_in_a_second_year() -> None:
    keys = {"name": "ley", "sow": "10 Apr", "cut": ["20 Aug", "20 May year 2"], "then": "carted off"}
    ley = Cover.model_validate(keys | {"every": "2 years"})
    assert dates(ley) == ["2027-04-10 2027-08-20 2028-05-20", "2029-04-10 2029-08-20 2030-05-20"]


def test_a_ley_sown_before_the_start_still_stands() -> None:
    keys = {"name": "ley", "sow": "10 Apr", "cut": "20 May year 2", "then": "dug in", "every": "2 years"}
    ley = Cover.model_validate(keys)
    assert dates(ley, datetime.date(2027, 5, 1), datetime.date(2028, 5, 1)) == [
        "2026-04-10 2027-05-20",
        "2028-04-10 2029-05-20",
    ]


def test_a_date_in_full_happens_once() -> None:
    once = Spread.model_validate({"material": "straw", "depth": "5 mm", "then": "dug in", "on": "2028-04-20"})
    assert dates(once) == ["2028-04-20"]
    assert dates(once, datetime.date(2028, 4, 21), END) == []
    assert dates(once, START, datetime.date(2028, 4, 20)) == []
    planted = Crop.model_validate(
        {"name": "leek", "from": "2026-05-01", "to": "2026-12-01", "then": "carted off"}
    )
    assert dates(planted) == ["2026-05-01 2026-12-01"]


def test_a_steady_input_runs_from_year_to_year() -> None:
    keys = {"name": "straw", "residue": "straw", "carbon": "2 t C/ha/yr"}
    assert dates(Input.model_validate(keys)) == ["2026-10-01 2030-10-01"]
    later = Input.model_validate(keys | {"first_year": "2", "last_year": "3"})
    assert dates(later) == ["2027-10-01 2029-10-01"]


def test_the_year_of_the_plan() -> None:
    assert [plan_year(datetime.date(2027, 9, 30), START), plan_year(datetime.date(2027, 10, 1), START)] == [
        1,
        2,
    ]
    assert plan_year(datetime.date(2026, 9, 30), START) == 0


BEDS = Beds.model_validate(
    {"count": "4", "length": "10 m", "width": "1 m", "names": ["north", "east", "south", "west"]}
)


@pytest.mark.parametrize(
    ("beds", "expected"),
    [
        ("1", ((0.0, 0.25),)),
        ("1 to 3", ((0.0, 0.75),)),
        (["4", "1"], ((0.0, 0.25), (0.75, 1.0))),
        (["2", "1", "2"], ((0.0, 0.5),)),
        (["south", "4"], ((0.5, 1.0),)),
        ("1 to 4", ((0.0, 1.0),)),
    ],
)
def test_beds_become_parts_of_the_row(beds: object, expected: object) -> None:
    assert intervals(Dig.model_validate({"on": "1 Apr", "every": "year", "beds": beds}), BEDS) == expected


@pytest.mark.parametrize("word", ["0", "5", "3 to 5", "up", "²", "0 to 1"])
def test_a_bed_that_is_not_there(word: str) -> None:
    with pytest.raises(KeyError, match=word):
        intervals(Dig.model_validate({"on": "1 Apr", "every": "year", "beds": word}), BEDS)


def test_a_share_ends_at_the_edge_of_a_bed_whatever_its_last_digit() -> None:
    twenty = Beds.model_validate({"count": "20", "length": "10 m", "width": "1 m"})
    share = Dig.model_validate({"on": "1 Apr", "every": "year", "share": "35 %"})
    beds = Dig.model_validate({"on": "1 Apr", "every": "year", "beds": "8 to 20"})
    assert 35 * 0.01 != 7 / 20  # what would let them overlap
    assert not meet(intervals(share, twenty), intervals(beds, twenty))
    assert intervals(share, BEDS) == ((0.0, 35 * 0.01),)  # no edge of four beds is near
