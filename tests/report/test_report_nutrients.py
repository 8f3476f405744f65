"""Nutrients on a screen and for machines."""

from __future__ import annotations

import json

import pytest
from conftest import COVER, SPREAD, study_of
from test_report_terminal import NOT_A_NUMBER, printed, too_wide

from somsim.report.machine import comparison
from somsim.study.compare import Study

CROP = "    - crop: {name: cucumber, from: 1 May, to: 30 Sep, every: year, then: carted off}\n"
RYE = (
    "    - cover: {name: cereal rye, sow: 5 Oct, cut: 20 Apr, every: year, then: dug in, stage: mature,"
    " dry_tops: 8 t/ha}\n"
)


@pytest.fixture(scope="module")
def made() -> Study:
    return study_of({"compost": SPREAD.format(depth=15) + CROP, "rye": RYE + CROP, "mix": COVER + "}\n" + CROP})


@pytest.mark.parametrize("width", [60, 80, 200])
@pytest.mark.parametrize("system", ["metric", "us"])
def test_it_fits_and_says_only_numbers(made: Study, width: int, system: str) -> None:
    text = printed(made, width, system)
    assert too_wide(text, width) == []
    assert not NOT_A_NUMBER.search(text)
    assert ("Nutrients, lb/acre of bed and year" if system == "us" else "Nutrients, kg/ha of bed and year") in text


def test_it_tells_need_and_release_tie_up_salt_and_what_is_left_out(made: Study) -> None:
    text = " ".join(printed(made, 200).split())
    assert "compost, cucumber: needs" in text and "the beds set free" in text
    assert "cereal rye ties up" in text and "the next crop waits" in text
    assert "rye and vetch frees" in text
    assert (
        "No rain reaches the soil for 3.0 years, as the film never comes off; in it garden compost is spread 3 times."
        in text
    )
    assert "no published rise" in text
    assert "leaves and stems of cucumber carted off" in text


def test_accounts_that_are_empty_everywhere_are_not_shown(made: Study) -> None:
    assert "lost to the air by heaps" not in printed(made)
    assert "nitrogen taken from" in printed(made, 200)


def test_machines_get_units_and_ranges(made: Study) -> None:
    told = json.loads(json.dumps(comparison(made), allow_nan=False))["nutrients"]["compost"]
    assert told["nitrogen"]["brought"]["unit"] == "kg/m2/yr"
    assert len(told["nitrogen_by_month"]) == 12
    assert told["salt"]["rounds"] == 3 and told["salt"]["first"] == "2026-10-01"
    assert told["crops"][0]["need"]["p10"] < told["crops"][0]["need"]["p90"]
    assert told["olsen_rise"]["unit"] == "mg/l"
