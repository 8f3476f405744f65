"""Rates of decay in each span: what multiplies residue, what lies on top, and humus in both families."""

import numpy as np
import pytest
from worked_plans import COMPOST, plan_text, run

MULCH = "spread: {material: plain compost, depth: 5 mm, on: 2027-01-02, then: left on surface}"


def rates_of(*actions, **site):
    """Yearly surface, residue and humus rates of the compost in the first span, 1/yr."""
    made = run(plan_text(MULCH, *actions, extra=COMPOST, **site)).timeline
    lane = [each.source for each in made.lanes].index("plain compost")
    problem = made.problem
    first = problem.pattern[0]
    every = (problem.surface_rate, problem.residue_rate, problem.humus_rate)
    return [float(rate[first, min(lane, rate.shape[1] - 1), 0]) for rate in every]


@pytest.mark.parametrize(
    ("actions", "site", "surface", "residue"),
    [
        # 0.4 a year is typed.  On the surface 0.6 of it, under a sheet 0.8; in the layer 0.85 without digging,
        # 1.2 with much.
        ([], {}, 0.6, 0.85),
        (["idle: {as: sheet}"], {}, 0.8, 0.85),
        (["dig: {on: 1 Apr, every: year}"], {}, 0.6, 1.0),
        ([], {"site": "tillage: tilled repeatedly"}, 0.6, 1.2),
        (["idle: {as: sheet}"], {"climate": "{factor: 1.5 ratio}"}, 1.2, 1.275),
    ],
)
def test_residue_decays_by_tillage_and_what_lies_on_top_by_its_cover(actions, site, surface, residue):
    found = rates_of(*actions, **site)
    assert found[:2] == pytest.approx([0.4 * surface, 0.4 * residue], rel=1e-12)


def test_tillage_does_not_reach_humus():
    humus = {
        rates_of(site=f"tillage: {said}")[2] for said in ("no-dig", "dug once a year", "tilled repeatedly")
    }
    assert humus == {0.006}


def year_of_humus(made):
    """Mean rate of humus loss over all spans, 1/yr (draw,)."""
    problem = made.timeline.problem
    rate = problem.humus_rate[problem.pattern][:, 0]
    return (problem.years[:, np.newaxis] * rate).sum(axis=0) / problem.years.sum()


ELEVEN = '{temperature: "' + "11 " * 12 + 'deg C", rain: "' + "60 " * 12 + 'mm", latitude: 48 N}'
CLAYEY = "{carbon_stock: 40 t C/ha, bulk_density: 1.3 g/cm3, clay: 15 %}"


def test_the_isohumic_family_loses_humus_at_the_printed_rate():
    # 0.0206 a year at 11 deg C with 150 g/kg of clay and no lime: INRAE's page on its long-term compost trial, after
    # Mary & Guerif (1994).  Printed to four decimals, so half of the last.
    made = run(plan_text("idle: {as: bare}", climate=ELEVEN, soil=CLAYEY), draws=32)
    isohumic = made.timeline.isohumic
    assert year_of_humus(made)[isohumic] == pytest.approx(0.0206, abs=0.00005)
    assert np.ptp(year_of_humus(made)[~isohumic]) > 0.001


def test_the_isohumic_rate_follows_the_seasons_and_not_the_height_of_the_climate_factor():
    weather = {"climate": "netherlands", "soil": CLAYEY}
    dry, wet = (
        run(plan_text("idle: {as: bare}", **weather, site=site), draws=32)
        for site in ("", "irrigation: {from: 1 May, to: 1 Oct}")
    )
    isohumic = dry.timeline.isohumic
    assert year_of_humus(dry)[isohumic] == pytest.approx(year_of_humus(wet)[isohumic], rel=1e-12)
    assert np.all(year_of_humus(dry)[~isohumic] <= year_of_humus(wet)[~isohumic])
    rate = dry.timeline.problem.humus_rate[dry.timeline.problem.pattern][:, 0]
    assert np.all(rate[6] > 2.0 * rate[0])  # July against January


def test_a_humus_rate_typed_in_the_plan_holds_in_both_families():
    soil = "{carbon_stock: 40 t C/ha, bulk_density: 1.3 g/cm3, humus_decay: 0.01 per year}"
    made = run(plan_text("idle: {as: bare}", soil=soil), draws=16)
    assert made.timeline.isohumic.any()
    assert year_of_humus(made) == pytest.approx(0.01, rel=1e-12)
