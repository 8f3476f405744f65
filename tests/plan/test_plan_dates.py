"""What stands where and when: each case is a plan of a few lines and what must be said about it."""

import pytest

from somsim.errors import InputError
from somsim.plan import parse_plan

HEAD = """title: Two beds
start: {start}
horizon: {horizon}
site:
  climate: south-east-england
  shelter: open ground
  beds: {{count: 2, length: 10 m, width: 1.2 m, names: [north, south]}}
  soil: {{carbon: 1.5 %, bulk_density: 1.35 g/cm3}}
"""


def said(
    *actions: str, always: str = "", before: str = "", start: str = "2026-10-01", horizon: str = "6 years"
) -> list[str]:
    """The messages about a plan with these actions; none when it is accepted."""
    text = HEAD.format(start=start, horizon=horizon)
    text += f"always:\n  - {always}\n" if always else ""
    text += f"before:\n  - {before}\n" if before else ""
    text += "strategies:\n  one:\n" + "".join(f"    - {action}\n" for action in actions)
    text += "  other:\n    - dig: {on: 15 Dec, every: 3 years, last_year: 1}\n"
    try:
        parse_plan(text)
    except InputError as error:
        return [problem.message for problem in error.problems]
    return []


def crop(begin: str, end: str, more: str = "every: year", name: str = "tomato") -> str:
    return f"crop: {{name: {name}, from: {begin}, to: {end}, then: carted off, {more}}}"


def cover(sow: str, cut: str, more: str = "every: year") -> str:
    return f"cover: {{name: rye and vetch, sow: {sow}, cut: {cut}, then: left on surface, {more}}}"


@pytest.mark.parametrize(
    "actions",
    [
        (crop("1 May", "30 Sep"), cover("30 Sep", "1 May")),  # one ends on the day the other begins
        (crop("1 May", "30 Sep", "every: year, beds: 1"), crop("1 Jul", "1 Oct", "every: year, beds: south")),
        (crop("1 May", "30 Sep", "every: year, share: 50 %"), crop("1 Jul", "1 Oct", "every: year, beds: 2")),
        (crop("1 May", "30 Sep", "every: 2 years"), crop("1 Jul", "1 Oct", "every: 2 years, first_year: 2")),
        (
            crop("1 May", "30 Sep", "every: year, last_year: 2"),
            crop("1 Jul", "1 Oct", "every: year, first_year: 3"),
        ),
        (crop("1 May", "30 Sep"), cover("1 Aug", "20 Apr", "every: year, undersown: yes")),
        (crop("1 May", "30 Sep"), "dig: {on: 1 May, every: year}", "dig: {on: 30 Sep, every: year}"),
        (crop("1 May", "30 Sep"), "idle: {as: weeds}"),
        ("idle: {as: weeds, beds: 1}", "idle: {as: sheet, beds: 2}"),
        (cover("1 Apr", "1 Mar year 2", "every: 2 years"),),
    ],
)
def test_what_can_be(actions: tuple[str, ...]) -> None:
    assert said(*actions) == []


@pytest.mark.parametrize(
    ("actions", "message"),
    [
        (
            (crop("1 May", "30 Sep"), crop("29 Sep", "1 Nov", name="cucumber")),
            '"cucumber" begins on 2027-09-29, while "tomato" stands until 2027-09-30',
        ),
        (
            (
                crop("1 May", "30 Sep", "every: year, beds: 1"),
                crop("1 Jul", "1 Oct", "every: year, share: 10 %"),
            ),
            '"tomato" begins on 2027-07-01, while "tomato" stands until 2027-09-30',
        ),
        (
            (crop("1 May", "30 Sep", "every: 2 years"), crop("1 Jul", "1 Oct", "every: 3 years")),
            '"tomato" begins on 2027-07-01, while "tomato" stands until 2027-09-30',
        ),
        (
            (crop("5 Oct", "10 Apr"), "idle: {as: sheet, from: 1 Mar, to: 1 May, every: year}"),
            'ground under a sheet begins on 2027-03-01, while "tomato" stands until 2027-04-10',
        ),
        (
            (cover("1 Aug", "20 Apr", "every: year, undersown: yes"), "dig: {on: 1 Oct, every: year}"),
            'digging on 2026-10-01, while "rye and vetch" stands until 2027-04-20',
        ),
        (
            (cover("1 Apr", "1 May year 2"),),
            '"rye and vetch" still stands (until 2027-05-01) when its next round begins (2027-04-01)',
        ),
        (
            ("idle: {as: weeds}", "idle: {as: bare, beds: south}"),
            "bare ground and ground under weeds at once, whenever nothing else stands",
        ),
    ],
)
def test_what_cannot_be_is_told_once(actions: tuple[str, ...], message: str) -> None:
    assert said(*actions) == [message]


def test_a_long_stand_is_still_in_the_way_after_a_short_one() -> None:
    found = said(crop("1 May", "30 Sep"), crop("1 Jun", "10 Jun", name="cucumber"), cover("1 Aug", "10 Aug"))
    assert found == [
        '"cucumber" begins on 2027-06-01, while "tomato" stands until 2027-09-30',
        '"rye and vetch" begins on 2027-08-01, while "tomato" stands until 2027-09-30',
    ]


def test_what_is_always_done_meets_each_strategy() -> None:
    found = said(crop("1 Jul", "1 Aug", name="cucumber"), always=crop("1 May", "30 Sep"))
    assert found == ['"cucumber" begins on 2027-07-01, while "tomato" stands until 2027-09-30']


def test_a_clash_that_first_comes_years_later_is_found() -> None:
    late = crop("1 May", "30 Sep", "every: 5 years, first_year: 5"), crop("1 Jul", "1 Oct", "every: 4 years")
    assert said(*late) == ['"tomato" begins on 2031-07-01, while "tomato" stands until 2031-09-30']


def test_what_stood_before_the_start_is_in_the_way() -> None:
    found = said(
        "crop: {name: tomato, from: 2026-08-01, to: 2026-12-01, then: carted off}", cover("5 Oct", "20 Apr")
    )
    assert found == ['"rye and vetch" begins on 2026-10-05, while "tomato" stands until 2026-12-01']


def test_a_leap_day_that_ends_on_its_own_day_in_other_years() -> None:
    assert said(crop("29 Feb", "28 Feb"), horizon="1 year") == [
        "to (2027-02-28) is the same day as from (2027-02-28)"
    ]


def test_before_is_one_year_whatever_the_horizon() -> None:
    assert said(crop("5 Oct", "10 Oct"), before=crop("1 May", "30 Sep"), horizon="3 months") == []


def test_the_seasons_of_the_southern_half() -> None:
    assert said(crop("1 Nov", "31 Mar"), cover("5 Apr", "20 Oct"), start="2026-07-01") == []
    assert said(crop("1 Nov", "31 Mar"), cover("15 Mar", "20 Oct"), start="2026-07-01") == [
        '"rye and vetch" begins on 2027-03-15, while "tomato" stands until 2027-03-31'
    ]


def test_clashes_are_told_beside_other_mistakes() -> None:
    found = said(
        crop("1 May", "30 Sep"), crop("1 Jul", "1 Oct", name="cucumber"), "dig: {on: 31 Jun, every: year}"
    )
    assert found == [
        '"cucumber" begins on 2027-07-01, while "tomato" stands until 2027-09-30',
        '"31 Jun" does not exist: June has 30 days',
    ]


def test_a_plan_too_large_to_look_through_is_refused_at_once() -> None:
    many = ["spread: {material: straw, depth: 5 mm, on: 1 Apr, every: year, then: dug in}"] * 1100
    assert said(*many, horizon="300 years") == [
        "this plan is too large to be looked through: at most 300,000 rounds of all actions together"
    ]


def test_of_very_many_clashes_the_first_are_told() -> None:
    many = [crop("1 May", "30 Sep", f"every: year, first_year: {1 + n % 3}") for n in range(300)]
    assert len(said(*many)) == 200
