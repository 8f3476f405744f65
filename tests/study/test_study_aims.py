"""What `reach` is asked for, in words: read, or refused with what would do."""

from __future__ import annotations

import pytest
from study_plans import COVER, PLAIN, SPREAD, plan

from somsim.errors import InputError
from somsim.study.aims import Aim, read_aim, read_by, read_material, same_material, spreadings


@pytest.mark.parametrize(
    ("text", "aim"),
    [
        ("4 %", Aim("4 %", True, 4.0)),
        ("4%", Aim("4%", True, 4.0)),
        ("50 t/ha", Aim("50 t/ha", False, 5.0)),
        (" Today ", Aim("today's level", True, None)),
    ],
)
def test_a_target_is_a_percentage_a_mass_or_today(text: str, aim: Aim) -> None:
    read = read_aim(text)
    assert (read.text, read.percent) == (aim.text, aim.percent)
    assert read.value == pytest.approx(aim.value) if aim.value else read.value is None


@pytest.mark.parametrize("text", ["", "4", "3 to 4 %", "0 %", "100 %", "-1 %", "700 kg/m2", "4 m", "tomorrow", "nan %"])
def test_another_target_is_refused(text: str) -> None:
    with pytest.raises(InputError) as caught:
        read_aim(text)
    assert "--target 4%, --target '5 kg/m2' of organic matter, or --target today" in str(caught.value)


def test_the_whole_message_about_a_range() -> None:
    with pytest.raises(InputError) as caught:
        read_aim("3 to 4 %")
    assert str(caught.value) == (
        '--target "3 to 4 %" is a range; give one level\n'
        "  --target 4%, --target '5 kg/m2' of organic matter, or --target today\n"
        "1 mistake; nothing was run."
    )


@pytest.mark.parametrize(
    ("text", "years"),
    [(None, 3), ("2035", 9), ("2035-10-01", 9), ("2035-09-30", 8), ("2036-02-29", 9), (" 2027 ", 1), ("2216", 190)],
)
def test_a_date_is_counted_in_whole_years_of_the_plan(text: str | None, years: int) -> None:
    assert read_by(plan({"a": [SPREAD]}), text) == years  # it starts on 1 October 2026, and lasts three years


def test_a_plan_of_some_months_is_looked_at_for_a_year() -> None:
    assert read_by(plan({"a": [SPREAD]}, horizon="8 months"), None) == 1


@pytest.mark.parametrize("text", ["", "soon", "35", "2026", "2027-09-30", "2217", "20350", "2035-13-01", "1 Oct 2035"])
def test_another_date_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="a year such as 2036"):
        read_by(plan({"a": [SPREAD]}), text)


def test_a_material_goes_by_the_name_the_plan_has_for_it() -> None:
    made = plan({"a": [SPREAD]}, extra=PLAIN)
    assert read_material(made, "plain compost") == "plain compost"
    assert read_material(made, "GARDEN Compost") == "garden compost"
    with pytest.raises(InputError, match='no material "plan compost" in this plan or the library') as caught:
        read_material(made, "plan compost")
    assert "nearest: plain compost" in str(caught.value)
    with pytest.raises(InputError, match="no material"):
        read_material(made, "")


def test_two_names_of_one_material() -> None:
    assert same_material("garden compost", "garden_compost")
    assert not same_material("garden compost", "leaf mould")
    assert not same_material("nothing", "naught")


def test_it_is_spread_as_the_plan_spreads_it_before_any_other_way() -> None:
    other = "spread: {material: leaf mould, depth: 5 mm, on: 1 Nov, every: year, then: dug in}"
    made = plan({"a": [COVER], "b": [other, SPREAD]})
    days = [one.on.text for one in spreadings(made, "b", "garden compost")]
    assert days == ["20 Apr", "1 Nov", "1 Oct"]
    assert [one.on.text for one in spreadings(made, "a", "leaf mould")] == ["1 Nov", "20 Apr", "1 Oct"]
