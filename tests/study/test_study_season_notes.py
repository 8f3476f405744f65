"""Covers that nobody weighed and that stand into frost or past flowering are told of, with the day."""

import pytest

from somsim.plan import parse_plan
from somsim.study.compare import compare_study

PLAN = """\
title: a season
start: 2027-08-01
horizon: 2 years
site:
  climate: {climate}
  shelter: open ground
  beds: {{area: 50 m2}}
  soil: {{texture: loam, organic_matter: 3 %, method: unknown, bulk_density: 1.3 g/cm3}}
strategies:
  green manure:
    - cover: {{name: {cover}, sow: {sow}, cut: {cut}, every: year, then: left on surface{more}}}
"""


def notes(cover, sow, cut, more="", climate="netherlands"):
    plan = parse_plan(PLAN.format(cover=cover, sow=sow, cut=cut, more=more, climate=climate))
    return [text for kind, text in compare_study(plan, draws=2).notes if kind in ("frost", "seed")]


@pytest.mark.parametrize(
    ("cover", "sow", "cut", "said"),
    [
        ("white mustard", "15 Aug", "15 Mar", "white mustard dies when its leaves reach -5 deg C"),
        ("cereal rye", "15 Sep", "20 Jun", "cereal rye would be in flower, or past it, by 2028-06-20"),
    ],
)
def test_what_stands_too_long_is_told(cover, sow, cut, said):
    assert any(text.startswith(said) for text in notes(cover, sow, cut))


def test_a_cover_cut_in_time_or_weighed_is_left_in_peace():
    assert notes("cereal rye", "15 Sep", "20 Apr") == []
    assert notes("white mustard", "15 Aug", "15 Mar", ", dry_tops: 2 t/ha") == []


def test_southern_winters_are_in_june():
    plan = notes("white mustard", "15 Feb", "15 Sep", climate="canterbury-nz")
    assert any("dies when its leaves reach" in text for text in plan)


def test_growth_ends_when_the_mean_of_a_day_kills():
    # Wisconsin's normals fall under the -5 deg C that kill mustard in December: what is cut later weighs no more.
    def mass(cut):
        plan = parse_plan(PLAN.format(cover="white mustard", sow="15 Aug", cut=cut, more="", climate="wisconsin"))
        return compare_study(plan, draws=2).answers[0].added.best

    assert mass("10 May") == pytest.approx(mass("25 Dec"), rel=0.02)
