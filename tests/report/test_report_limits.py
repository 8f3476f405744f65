"""Limits on a screen and for machines."""

from __future__ import annotations

import json

import pytest
from conftest import SPREAD, plan_text
from test_report_terminal import NOT_A_NUMBER, printed, too_wide

from somsim.plan import parse_plan
from somsim.report.limits import limit_sentences
from somsim.report.machine import comparison
from somsim.study.compare import Study, compare_study

MANURE = "    - spread: {material: aged cattle manure, dry_mass: 12 t/ha, on: 1 Mar, every: year, then: dug in}\n"
CROP = "    - crop: {name: lettuce, from: 15 Mar, to: 20 May, every: year, then: carted off}\n"
TESTS = 'phosphorus: {test: olsen, value: 60 mg/l}, salt: {test: "1:2", value: 0.9 dS/m}, depth'


def study(extra: str = "", soil: str = "depth") -> Study:
    text = plan_text(
        {
            "deep": SPREAD.format(depth=15),
            "thin": SPREAD.format(depth=5),
            "manure": MANURE + CROP,
            "none": "    - idle: {as: weeds}\n",
        }
    )
    return compare_study(
        parse_plan(text.replace("depth: 20 cm", f"{soil}: 20 cm").replace("strategies:", extra + "strategies:")),
        draws=16,
    )


@pytest.fixture(scope="module")
def typical() -> Study:
    return study()


def said(made: Study) -> str:
    return "\n".join(limit_sentences(made))


def test_a_passed_limit_is_told_with_when_by_how_much_and_what_would_do(typical: Study) -> None:
    text = said(typical)
    assert "typical, check your own" in text and "Nothing is capped" in text
    lines = text.splitlines()
    field = next(n for n, line in enumerate(lines) if line.startswith("Nitrogen in all organic manure on any field"))
    assert "250 kg/ha in any 12 months" in lines[field]
    assert lines[field + 1].startswith("  deep: ") and "OVER IT by" in lines[field + 1]
    assert "first on 20 May 2027" in lines[field + 1]
    assert "Largest that would not pass in the middle world: garden compost, 7" in lines[field + 1]
    assert "mm each time; in 9 of 10 worlds: garden compost, 4" in lines[field + 1]
    manure = next(n for n, line in enumerate(lines) if line.startswith("Nitrogen in livestock manure, farm average"))
    assert "170 kg/ha" in lines[manure] and lines[manure + 1].startswith("  manure: ")
    assert "t/ha dry each time" in lines[manure + 1]
    assert not any(line.strip().startswith("none:") for line in lines)


def test_raw_manure_says_when_harvest_may_begin(typical: Study) -> None:
    assert "aged cattle manure on 1 March 2027, lettuce is cleared before 29 June 2027: too soon" in said(typical)


@pytest.mark.parametrize("width", [60, 80])
@pytest.mark.parametrize("system", ["metric", "us"])
def test_it_fits_and_says_only_numbers(typical: Study, width: int, system: str) -> None:
    text = printed(typical, width, system)
    assert too_wide(text, width) == [] and not NOT_A_NUMBER.search(text)
    assert ("223 lb/acre" if system == "us" else "250 kg/ha") in " ".join(text.split())  # 250 / 1.1209


def test_named_limits_tests_and_metals_are_told() -> None:
    made = study(
        "limits: [{nitrogen: 900 kg/ha, of: compost, within: 24 months}, metals_us, leaf_nitrate_eu]\n"
        "materials:\n  garden compost: {metals: {lead: 60 mg/kg}}\n",
        soil=TESTS,
    )
    text = said(made)
    assert "The limits are those that the plan names" in text
    assert "Your limit on nitrogen in compost: 900 kg/ha in any 24 months." in text
    assert "phosphorus by Olsen: 60 mg/l now" in text and "from 1 October 2026 (in all worlds)" in text
    assert "Soil salt 0.9 dS/m by 1:2 is over 0.81 dS/m" in text
    assert "The metals measured in garden compost are under the limits held: metals in compost, United States." in text
    assert "nitrate in leaves sold as food: cannot be worked out from a plan" in text


def test_limits_kept_in_every_world_are_listed() -> None:
    made = study("limits: [{nitrogen: 9 t/ha}]\n")
    assert "Not passed in any world: your limit on nitrogen in all that is spread (deep; thin; manure)." in said(made)


def test_machines_get_dates_units_and_parts(typical: Study) -> None:
    told = json.loads(json.dumps(comparison(typical), allow_nan=False))["limits"]
    first = told["loads"][0]
    assert first["strategy"] == "deep" and first["passed"] and first["since"] == "2027-05-20"
    assert first["unit"] == "kg/m2 of ground" and 0.0 < first["parts"][0]["middle"] < first["parts"][0]["typed"]
    assert told["raw_manure"][0]["verdict"] == "too soon"
    assert told["levels"] == [] and told["salt"] is None
