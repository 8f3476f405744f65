"""A weighed cut moves the coming ones towards itself, and the answer ten years on is surer for it."""

import datetime

import numpy as np
import pytest

from somsim.draws import quantile
from somsim.outcomes import carbon
from somsim.plan import parse_plan
from somsim.record.cells import columns, join
from somsim.record.facts import as_recorded
from somsim.record.reading import Path, parse_record
from somsim.simulate import simulate
from somsim.study.garden import tops_of, with_garden
from somsim.study.rewriting import worlds

PLAN = """
title: A bed
start: 2026-08-01
horizon: 10 years
site:
  climate: ireland-east
  shelter: open ground
  beds: {count: 4, length: 10 m, width: 1.2 m}
  soil: {texture: loam, organic_matter: 4 %, method: loss on ignition, bulk_density: 1.2 g/cm3, depth: 20 cm}
strategies:
  cover:
    - cover: {name: rye and vetch, sow: 15 Sep, cut: 5 May, every: year, then: left on surface}
    - crop: {name: cabbage, from: 20 May, to: 10 Sep, every: year, then: carted off}
"""
BEDS = parse_plan(PLAN.lstrip(), "bed.yaml")


def facts_with(years: int, fresh: str, *, plan=BEDS):
    lines = []
    for year in range(years):
        lines.append({"date": f"{2026 + year}-09-15", "what": "sown", "name": "rye and vetch"})
        lines.append(
            {"date": f"{2027 + year}-05-05", "what": "cut", "name": "rye and vetch", "then": "left on surface"}
            | {"fresh": fresh, "area": "0.5 m2", "dry_matter": "16 %"}
        )
        lines.append({"date": f"{2027 + year}-05-20", "what": "planted", "name": "cabbage"})
        lines.append({"date": f"{2027 + year}-09-10", "what": "cleared", "name": "cabbage", "then": "carted off"})
    rows = [{**line, "line": str(n)} for n, line in enumerate(lines, start=1)]
    text = "\n".join([join(columns()), *(join(row.get(name, "") for name in columns()) for row in rows)])
    return as_recorded(plan, parse_record(text, Path("r.csv"), plan))


def coming_mass(plan) -> np.ndarray:
    _, many = worlds(plan, 256, 1)
    tops = tops_of(simulate(many, "cover"))
    return tops["rye and vetch", datetime.date(2034, 5, 5)]


def middle(values: np.ndarray) -> float:
    return float(np.median(values))


def test_heavy_cuts_raise_the_coming_ones_and_light_ones_lower_them():
    usual = middle(coming_mass(BEDS))
    heavy, light = (middle(coming_mass(with_garden(facts_with(2, fresh)).plan)) for fresh in ("5 kg", "0.6 kg"))
    assert light < 0.9 * usual
    assert heavy > 1.1 * usual


def test_each_year_weighed_narrows_the_coming_cut_and_the_level_at_the_horizon():
    fresh = "2.4 kg; 2.6 kg; 2.2 kg; 2.5 kg"
    widths = []
    for years in (0, 1, 4):
        plan = with_garden(facts_with(years, fresh)).plan if years else BEDS
        low, high = quantile(np.log(coming_mass(plan)), (0.1, 0.9))
        widths.append(high - low)
    assert widths[2] < widths[1] < widths[0]


def test_the_source_band_of_the_cover_at_the_horizon_narrows():
    def band(plan) -> float:
        _, many = worlds(plan, 256, 1)
        ran = simulate(many, "cover")
        tops = ran.sources.index("rye and vetch: tops")
        kept = carbon.carbon_by_source(ran)[tops, -1].sum(axis=0)
        low, high = quantile(np.log(kept), (0.1, 0.9))
        return high - low

    facts = facts_with(4, "2.4 kg; 2.6 kg; 2.2 kg; 2.5 kg")
    assert band(with_garden(facts).plan) < band(BEDS)


def test_nothing_weighed_changes_nothing():
    facts = facts_with(1, "2 kg")
    unweighed = [event.model_copy(update={"sample": None}) if event.what == "cut" else event for event in facts.events]
    bare = as_recorded(BEDS, type(facts.record)(facts.record.path, tuple(unweighed), tuple(unweighed)))
    assert with_garden(bare) is bare


def test_a_mass_given_as_one_number_is_taken_at_its_word():
    typed = parse_plan(PLAN.replace("then: left on surface}", "then: left on surface, dry_tops: 4 t/ha}").lstrip(), "b")
    facts = facts_with(1, "5 kg", plan=typed)
    assert middle(coming_mass(with_garden(facts).plan)) == pytest.approx(0.4, rel=1e-9)
