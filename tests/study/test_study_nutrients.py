"""Nutrients of a strategy: yearly means, ranges, tests, salt."""

from __future__ import annotations

import datetime
import math

import pytest
from study_plans import COVER, PLAIN, SPREAD, study

from somsim.study.nutrients import Nutrients

PLAIN_SPREAD = "spread: {material: plain compost, depth: 10 mm, on: 20 Apr, every: year, then: left on surface}"
LETTUCE = "crop: {name: lettuce, from: 1 Jun, to: 1 Aug, every: year, then: %s}"
UNCOVER = "uncover: {from: 1 Nov, to: 1 Mar, every: year}"


def fed(*actions: str, draws: int = 16, **site: str) -> Nutrients:
    return study({"a": list(actions)}, extra=PLAIN, draws=draws, **site).nutrients[0]


def test_accounts_are_means_a_year_over_all_beds() -> None:
    """Worked: 10 mm x 600 kg/m3 x 60 % x 1.25 % N, 0.2 % P, 0.5 % K, on one bed of four."""
    dry = 0.010 * 600 * 0.60
    whole, quarter = fed(PLAIN_SPREAD), fed(PLAIN_SPREAD.replace("every: year", "every: year, beds: 1"))
    years = (datetime.date(2029, 10, 1) - datetime.date(2026, 10, 1)).days / 365.25
    assert whole.nitrogen["brought"].best == pytest.approx(3 / years * dry * 0.0125, rel=1e-12)
    assert quarter.nitrogen["brought"].best == pytest.approx(whole.nitrogen["brought"].best / 4, rel=1e-12)
    assert whole.phosphorus.left.best == pytest.approx(3 / years * dry * 0.002, rel=1e-12)
    assert whole.potassium.left.best == pytest.approx(3 / years * dry * 0.005, rel=1e-12)


def test_the_olsen_test_rises_by_the_remembered_figure_and_never_falls_by_it() -> None:
    """RB209, from memory: 400 kg P2O5/ha for 10 mg/l.  Worked: 3 x 0.0072 kg P/m2 = 216 kg P/ha = 495 kg P2O5/ha."""
    made = fed(PLAIN_SPREAD)
    assert made.olsen_rise.best == pytest.approx(3 * 72 / 0.4364 / 40, rel=1e-3)
    assert made.olsen_rise.p10 < made.olsen_rise.p50 < made.olsen_rise.p90
    assert fed(LETTUCE % "carted off").olsen_rise.p90 == 0.0


def test_a_cover_frees_or_ties_up_in_its_first_weeks_with_a_range() -> None:
    vetch = fed(COVER.replace("rye and vetch", "hairy vetch").replace("left on surface", "dug in"))
    late = fed(
        "cover: {name: cereal rye, sow: 5 Oct, cut: 10 Jun, every: year, then: dug in, stage: mature, dry_tops: 8 t/ha}"
    )
    assert vetch.first_weeks["hairy vetch"].p10 > 0.0
    assert late.first_weeks["cereal rye"].p50 < 0.0
    assert "rye and vetch" not in fed(COVER.replace("left on surface", "carted off")).first_weeks


def test_a_crop_without_a_published_harvest_has_no_need_but_its_release() -> None:
    salad = "crop: {name: winter salad leaf, from: 5 Oct, to: 10 Apr, every: year, then: left on surface}"
    (one,) = fed(salad).needs
    assert one.need is None and one.released.p50 > 0.0
    assert "the harvest of winter salad leaf" in fed(salad).unknown
    assert "the harvest of winter salad leaf" in fed(salad).phosphorus.unknown
    own = PLAIN + "crops:\n  winter salad leaf: {nitrogen: 4 g/kg}\n"
    (told,) = study({"a": [salad]}, extra=own).nutrients[0].needs
    assert told.need is not None
    assert told.need.best > 2.0 * 4e-3  # 2 kg/m2 of harvest, and the leaves left over


def test_what_leaves_with_plants_is_named_for_want_of_a_figure() -> None:
    assert fed(LETTUCE % "carted off").phosphorus.unknown == ("leaves and stems of lettuce carted off",)
    assert fed(LETTUCE % "to the heap").phosphorus.unknown == ("leaves and stems of lettuce taken to the heap",)
    assert fed(LETTUCE % "left on surface").phosphorus.unknown == ()


def test_salt_counts_years_without_rain() -> None:
    assert fed(SPREAD).salt is None
    dry = fed(SPREAD, shelter="unheated tunnel").salt
    assert dry is not None
    assert dry.years == pytest.approx(3.0, abs=0.01)
    assert (dry.rounds, dry.materials, dry.uncovered) == (3, ("garden compost",), False)
    washed = fed(SPREAD, UNCOVER, shelter="unheated tunnel").salt
    assert washed is not None and washed.uncovered
    assert (washed.first, washed.last) == (datetime.date(2027, 3, 1), datetime.date(2027, 11, 1))
    assert washed.rounds == 1
    mulched = fed(SPREAD.replace("garden compost", "straw"), shelter="unheated tunnel").salt
    assert mulched is not None and mulched.rounds == 0


def test_every_figure_has_its_range_in_order() -> None:
    made = fed(SPREAD, COVER, LETTUCE % "dug in", draws=64)
    spreads = [*made.nitrogen.values(), *made.months, *made.first_weeks.values(), made.phosphorus.left]
    assert len(made.months) == 12
    for one in spreads:
        assert one.p10 <= one.p50 <= one.p90
        assert all(math.isfinite(value) for value in (one.best, one.p10, one.p90))
