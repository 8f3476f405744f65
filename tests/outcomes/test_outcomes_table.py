"""What a trajectory means: percent, ash, food for soil life, nutrients, and the table of all outcomes."""

import re

import numpy as np
import pytest

from somsim.draws import Draws, best_values
from somsim.library import read_library
from somsim.outcomes import dataset, variables
from somsim.outcomes.carbon import (
    carbon_added,
    carbon_added_by_source,
    carbon_below_layer,
    carbon_by_source,
    carbon_in_layer,
    carbon_respired,
    organic_matter,
    organic_matter_percent,
    organic_matter_with_surface,
    surface_carbon,
)
from somsim.outcomes.nutrients import nitrogen_brought, phosphorus_brought, potassium_brought
from somsim.outcomes.soil_life import food_by_month, soil_life_food
from somsim.outcomes.table import of
from somsim.plan import parse_plan
from somsim.simulate import simulate
from somsim.timeline import figures, setting

PLAN = """
title: a test
start: 2027-03-01
horizon: {horizon}
site:
  climate: south-east-england
  shelter: {shelter}
  beds: {{count: 4, length: 10 m, width: 1 m}}
  soil: {{organic_matter: 2.6 %, method: loss on ignition, bulk_density: 1.35 g/cm3, texture: sandy loam}}
strategies:
  compost:
    - spread: {{material: garden compost, depth: 15 mm, on: 20 Apr, every: year, then: left on surface}}
    - crop: {{name: cucumber, from: 1 May, to: 30 Sep, every: year, then: carted off}}
  cover on half:
    - cover: {{name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: left on surface,
              dry_tops: 4.1 t/ha, beds: [1, 2]}}
    - crop: {{name: cucumber, from: 1 May, to: 30 Sep, every: year, then: dug in}}
"""


def run(strategy, *, draws=None, horizon="12 years", shelter="unheated tunnel", **how):
    library = read_library()
    made = figures(parse_plan(PLAN.format(horizon=horizon, shelter=shelter)), library)
    shared = setting(made, Draws(draws, 1, made.unknowns) if draws else best_values(made.unknowns))
    return simulate(shared, strategy, **how)


def test_year_0_reads_as_typed():
    assert organic_matter_percent(run("compost", draws=8))[0] == pytest.approx(2.6, rel=1e-12)


def test_twelve_years_of_compost_put_39_kg_of_ash_on_each_square_metre():
    # Worked arithmetic: 12 x 15 mm x 600 kg/m3 x 60 % dry x (1 - 40 % organic) = 38.88 kg/m2.  The soil is 0.2 m of
    # 1350 kg/m3, less its 2.6 % of organic matter: 262.98 kg/m2.
    mineral = run("compost").timeline.mineral[:, 0, 0]
    assert mineral[0] == pytest.approx(270.0 * 0.974, rel=1e-12)
    assert mineral[-1] - mineral[0] == pytest.approx(38.88, rel=1e-12)
    assert mineral[1] - mineral[0] == pytest.approx(38.88 / 12, rel=1e-12)


def test_percent_is_organic_matter_over_all_dry_mass():
    made = run("compost")
    organic, mineral = organic_matter(made)[-1, 0, 0], made.timeline.mineral[-1, 0, 0]
    assert organic_matter_percent(made)[-1, 0, 0] == pytest.approx(
        100 * organic / (organic + mineral), rel=1e-12
    )
    # Had the ash been forgotten, the test would read a seventh higher.
    assert organic / (organic + 270.0 * 0.974) > 1.1 * organic / (organic + mineral)


def test_residue_turns_into_organic_matter_by_its_own_carbon():
    made = run("cover on half")
    sources = {
        lane.source: float(per)
        for lane, (per, *_) in zip(made.timeline.lanes, made.organic_per_carbon, strict=True)
    }
    # Plants: 90 % organic matter, 44 % carbon; the soil by 1.9 (Pribyl 2010).
    assert sources["rye and vetch: tops"] == pytest.approx(90 / 44)
    assert sources["soil at the start"] == pytest.approx(1.9)
    compost = run("compost")
    number = [lane.source for lane in compost.timeline.lanes].index("garden compost")
    assert float(compost.organic_per_carbon[number, 0]) == pytest.approx(40 / 22)


def test_what_lies_on_the_surface_is_apart():
    made = run("compost", record="months")
    on_top = organic_matter_with_surface(made) - organic_matter(made)
    assert np.max(on_top) > 0.1
    # Nothing but compost lies there, which is 40 parts organic matter to 22 of carbon.
    assert on_top == pytest.approx(surface_carbon(made) * 40 / 22, abs=1e-12)


@pytest.mark.parametrize("strategy", ["compost", "cover on half"])
def test_carbon_is_accounted_for(strategy):
    made = run(strategy, draws=4)
    start = carbon_in_layer(made)[0] + surface_carbon(made)[0]
    there = carbon_in_layer(made) + surface_carbon(made)
    assert start + carbon_added(made) == pytest.approx(there + carbon_respired(made), rel=1e-12)
    assert carbon_by_source(made).sum(axis=0) == pytest.approx(there, rel=1e-12)
    assert carbon_added_by_source(made).sum(axis=0) == pytest.approx(carbon_added(made), rel=1e-12, abs=1e-15)


@pytest.mark.parametrize("record", ["years", "months"])
def test_food_for_soil_life_adds_up_to_all_that_was_decomposed(record):
    made = run("cover on half", draws=3, record=record)
    times = np.array(made.timeline.times, dtype="datetime64[D]")
    years = np.diff(times).astype(float) / 365.25
    eaten = np.einsum("t,tgd->gd", years, soil_life_food(made)[1:])
    stocks = made.stocks
    assert eaten == pytest.approx(made.by_group(stocks.decomposed + stocks.humus_respired)[-1], rel=1e-12)
    assert np.all(soil_life_food(made)[0] == 0.0)


def test_food_by_month_is_the_mean_year():
    made = run("cover on half", record="months")
    food = food_by_month(made)
    assert food.shape == (12, len(made.sources))
    shares = np.array([group.share for group in made.timeline.groups])
    stocks = made.stocks
    eaten = made.by_source(stocks.decomposed + stocks.humus_respired)[:, -1, :, 0] @ shares
    # Twelve years of the calendar are 4383 days, 12 x 365.25.
    assert food.sum(axis=0) * 12 == pytest.approx(eaten, rel=1e-9)


def test_soil_life_eats_most_in_the_warm_months():
    food = food_by_month(run("compost", record="months", shelter="open ground")).sum(axis=1)
    assert food[[5, 6, 7]].min() > food[[11, 0, 1]].max()


def test_nutrients_of_spread_material_by_hand():
    made = run("compost")
    dry = 0.015 * 600 * 0.60  # kg/m2 a year
    # Library: 1.3 % N, 0.22 % P, 0.95 % K of dry matter.
    for outcome, share in (
        (nitrogen_brought, 0.013),
        (phosphorus_brought, 0.0022),
        (potassium_brought, 0.0095),
    ):
        assert outcome(made)[:, 0, 0] == pytest.approx(dry * share * np.arange(13), rel=1e-12, abs=1e-15)


def test_roots_below_the_layer_come_only_where_the_cover_stands():
    below = carbon_below_layer(run("cover on half"))[..., 0]
    # Worked: 4.1 t/ha as given x 44 % x 0.325 for the top 30 cm, which hold 1 - 0.3^1.5 of all roots; 30 % lie
    # under 20 cm.
    # The cover standing on the first of March was sown before: every year of the plan sees one cut.
    each = 0.41 * 0.44 * 0.325 / (1 - 0.3**1.5) * 0.30
    assert below[:, 0] == pytest.approx(each * np.arange(13), rel=1e-12, abs=1e-15)
    assert np.all(below[:, 1] == 0.0)


def test_what_happens_on_a_recorded_day_is_in_the_next_record():
    # The plan's years begin on the first of March, and so here does the cut.
    plan = PLAN.replace("cut: 20 Apr", "cut: 1 Mar").format(horizon="3 years", shelter="open ground")
    made = figures(parse_plan(plan), read_library())
    cut = simulate(setting(made, best_values(made.unknowns)), "cover on half")
    below = carbon_below_layer(cut)[:, 0, 0]
    tops = carbon_added_by_source(cut)[cut.sources.index("rye and vetch: tops"), :, 0, 0]
    # The first whole round is cut on 1 March 2028, the second record.
    for found in (below, tops):
        assert found[2] > 0.0
        assert found / found[2] == pytest.approx([0.0, 0.0, 1.0, 2.0], rel=1e-12)


UNIT = re.compile(r"^(?:(?:kg|h|m|year|percent)(?:-?[1-9])?)(?: (?:kg|h|m|year|percent)(?:-?[1-9])?)*$")


@pytest.mark.parametrize("variable", variables(), ids=lambda variable: variable.name)
def test_every_row_of_the_table_can_be_worked_out(variable):
    made = run("cover on half", draws=4, horizon="3 years")
    values = of(variable, made)
    sizes = {"source": len(made.sources), "time": 4, "group": 2, "draw": 4}
    assert values.shape == tuple(sizes[dim] for dim in variable.dims)
    signed = {"nitrogen_in_humus", "nitrogen_surplus", "phosphorus_left", "potassium_left"}  # balances
    assert np.all(np.isfinite(values)) and (variable.name in signed or np.all(values >= -1e-15))
    assert UNIT.match(variable.unit)
    assert variable.long_name and variable.meaning and variable.better in ("higher", "lower", "")


def test_the_unit_pattern_refuses_what_the_climate_and_forecast_conventions_do():
    # Exponents are written behind the unit: "kg m-2", never "kg/m2" or "kg m^-2".
    assert not any(UNIT.match(text) for text in ("kg/m2", "kg m^-2", "kg m-2 yr-1", "kg  m-2", ""))


def test_the_dataset_has_every_outcome_with_its_unit_and_pads_sources_with_nothing():
    trajectories = [run(name, draws=4, horizon="3 years") for name in ("compost", "cover on half")]
    made = dataset(trajectories)
    assert dict(made.sizes) == {"strategy": 2, "source": 6, "time": 4, "group": 2, "draw": 4}
    assert list(made.data_vars) == [variable.name for variable in variables()]
    for name, one in made.data_vars.items():
        assert one.attrs["units"] and one.attrs["long_name"], name
        assert np.all(np.isfinite(one.values)), name
    assert float(made["bed_share"].sum()) == 1.0
    by_source = made["carbon_by_source"]
    assert np.all(by_source.sel(strategy="cover on half", source="garden compost") == 0.0)
    for number, each in enumerate(trajectories):
        total = by_source.isel(strategy=number).sum("source").values
        assert total == pytest.approx(each.by_group(each.stocks.total), rel=1e-12)
    assert str(made["time"].values[0])[:10] == "2027-03-01"
