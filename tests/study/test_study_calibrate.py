"""Soil tests weigh the possible worlds: what they pull, what they cannot, and what is refused."""

import dataclasses

import numpy as np
import pytest

from somsim.draws import Draws, quantile
from somsim.errors import InputError
from somsim.library import read_library
from somsim.plan import parse_plan
from somsim.study.calibrate import _learned, calibrate_study
from somsim.study.compare import compare_study
from somsim.study.soil_tests import expected_tests
from somsim.timeline import figures, setting

PLAN = """
title: A bed
start: 2026-10-01
horizon: 12 years
site:
  climate: south-east-england
  shelter: open ground
  beds: {count: 2, length: 10 m, width: 1.2 m}
  soil: {texture: sandy loam, organic_matter: 2.6 %, method: loss on ignition, bulk_density: 1.35 g/cm3, depth: 20 cm}
strategies:
  compost:
    - spread: {material: garden compost, depth: 8 mm, on: 20 Apr, every: year, then: dug in}
  nothing:
    - idle: {as: bare}
measured:
"""


def plan_with(*tests: str):
    return parse_plan(PLAN.lstrip() + "".join(f"  - {{{test}}}\n" for test in tests), "bed.yaml")


def found_by(*tests: str, **how):
    return calibrate_study(plan_with(*tests), "compost", draws=256, **how)


AFTER_TEN = "date: 2036-10-01, depth: 20 cm, organic_matter: {} %, method: loss on ignition, cores: 20"


def test_a_high_result_raises_the_level_and_what_makes_it_and_a_low_one_lowers_both():
    low, high = (found_by(AFTER_TEN.format(percent)) for percent in ("2.7", "4.6"))
    for calibration, sign in ((low, -1), (high, 1)):
        level = calibration.levels[0]
        assert sign * (level.after.p50 - level.before.p50) > 0.0
        assert level.after.p90 - level.after.p10 < level.before.p90 - level.before.p10
    names = [one.unknown.name for one in high.learned]
    assert any(name.startswith("materials/garden_compost/") for name in names)


def test_the_answer_is_calibrated_when_the_scores_are_handed_on():
    calibration = found_by(AFTER_TEN.format("4.6"))
    study = compare_study(calibration.plan, draws=256, given=calibration.given)
    answer, level = study.answers[0].organic_matter, calibration.levels[0].after
    # 256 systematically resampled worlds against all weighted ones: to the error of the tenth in so many
    assert answer.p50 == pytest.approx(level.p50, rel=0.02)
    assert answer.p10 == pytest.approx(level.p10, rel=0.03)
    assert answer.p90 == pytest.approx(level.p90, rel=0.03)


def test_the_same_seed_gives_the_same_bits():
    first, second = (found_by(AFTER_TEN.format("3.4")) for _ in range(2))
    assert first.levels == second.levels
    assert all(np.array_equal(first.given[name], second.given[name]) for name in first.given)


def test_a_result_that_nothing_explains_is_said_and_few_worlds_are_believed():
    calibration = found_by(AFTER_TEN.format("14"), most=4096)
    assert not calibration.seen[0].squared
    assert calibration.worlds == 4096
    assert calibration.scarce


def test_more_worlds_are_looked_at_until_enough_are_believed():
    calibration = found_by(AFTER_TEN.format("5.4"), AFTER_TEN.format("5.4").replace("2036", "2037"))
    assert calibration.worlds > 2048
    assert calibration.believed >= 200.0


def test_tests_that_contradict_each_other_are_said_to():
    exact = AFTER_TEN.replace("cores: 20", "cores: 50, laboratory_error: 3 %")
    later = exact.replace("2036", "2037")
    agree = found_by(exact.format("3.4"), later.format("3.5"), most=2048)
    contradict = found_by(exact.format("4.0"), later.format("2.8"), most=2048)
    assert all(seen.squared for seen in contradict.seen)
    assert contradict.contradict
    assert not agree.contradict


def test_what_was_learned_of_a_figure_drawn_against_another_counts_its_own_score():
    """A normal score believed in proportion to exp(score) has moved by 1: a divergence of 1/2, a standard result."""
    shared = setting_for(plan_with(AFTER_TEN.format("3.4")), draws=4096)
    names = [f"materials/garden_compost/{quantity}" for quantity in ("bulk_density", "dry_matter")]
    assert [shared.draws.unknowns[name].against for name in names].count(True) == 1
    for name in names:
        weights = np.exp(shared.draws.joint_score(name))
        (learned,) = [one for one in _learned(shared, [name], weights / weights.sum()) if one.unknown.name == name]
        assert learned.information == pytest.approx(0.5, abs=0.02)


def setting_for(plan, draws=64):
    known = figures(plan, read_library())
    return setting(known, Draws(draws, 1, known.unknowns))


def test_the_first_day_reads_as_it_was_typed_by_any_method():
    tests = (
        "date: 2026-10-01, depth: 20 cm, organic_matter: 2.6 %, method: loss on ignition",
        "date: 2026-10-01, depth: 20 cm, carbon: 1.4 %",
        "date: 2026-10-01, depth: 20 cm, organic_matter: 2.4 %, method: carbon x 1.724",
    )
    plan = plan_with(*tests)
    burnt, carbon, rule = expected_tests(setting_for(plan), "compost", plan.measured)
    np.testing.assert_allclose(burnt.expected, 0.026, rtol=5e-3)  # residue is a little richer in carbon than humus
    np.testing.assert_allclose(rule.expected, 1.724 * carbon.expected, rtol=1e-12)
    assert np.ptp(carbon.expected) > 0.001  # the factor from organic matter to carbon is not known


def test_cores_of_a_loosened_bed_are_compared_at_equal_soil_mass():
    tests = (
        f"date: {year}-10-01, depth: 20 cm, carbon: 2 %, bulk_density: {density} g/cm3"
        for year, density in ((2036, 1.25), (2036, 1.35), (2036, 1.45), (2026, 1.35))
    )
    plan = plan_with(*tests)
    light, equal, heavy, begun = (one.expected for one in expected_tests(setting_for(plan), "compost", plan.measured))
    np.testing.assert_array_equal(light, equal)
    # soil from below comes along, as rich as the layer was at first: 270 kg of the layer, 20 kg from below
    np.testing.assert_allclose(heavy, (270.0 * equal + 20.0 * begun) / 290.0, rtol=1e-12)


def test_cores_far_deeper_than_the_layer_are_refused():
    plan = plan_with("date: 2036-10-01, depth: 30 cm, carbon: 2 %")
    with pytest.raises(InputError, match="the cores went to 30 cm; the plan follows the uppermost 20 cm"):
        expected_tests(setting_for(plan), "compost", plan.measured)


def test_without_a_test_there_is_nothing_to_calibrate_by():
    plan = parse_plan(PLAN.split("measured:")[0].lstrip(), "bed.yaml")
    with pytest.raises(InputError, match="no soil test is given"):
        calibrate_study(plan, "compost")


def coverage(plan, target_draws: int, worlds: int, seed: int):
    """Truth drawn from the model, tests read off it with their error: how often 80 % intervals hold it, and ranks."""
    from somsim.outcomes import carbon
    from somsim.simulate import simulate
    from somsim.study.compare import over_beds

    known = figures(plan, read_library())
    correlation = known.unknowns["constants/like_materials_correlation/value"].best

    def ran(count: int, with_seed: int):
        shared = setting(known, Draws(count, with_seed, known.unknowns, correlation))
        seen = expected_tests(shared, "compost", plan.measured)
        level = over_beds(carbon.organic_matter(trajectory := simulate(shared, "compost")), trajectory)[-1]
        return seen, level

    (seen, level), (true_seen, truth) = ran(target_draws, seed), ran(worlds, seed + 1000)
    random = np.random.default_rng(seed)
    results = [one.expected * (1.0 + one.error * random.standard_normal(worlds)) for one in true_seen]
    before = quantile(level, (0.1, 0.9))
    inside, ranks, widths = [], [], []
    for number in range(worlds):
        logs = sum(
            dataclasses.replace(one, found=float(result[number])).log_likelihood
            for one, result in zip(seen, results, strict=True)
        )
        weights = np.exp(logs - logs.max())
        low, high = quantile(level, (0.1, 0.9), weights)
        inside.append(low <= truth[number] <= high)
        widths.append(high - low)
        ranks.append(float(weights[level < truth[number]].sum() / weights.sum()))
    prior_ranks = np.searchsorted(np.sort(level), truth) / len(level)
    plain = np.mean((before[0] <= truth) & (truth <= before[1]))
    return plain, np.mean(inside), (prior_ranks, np.array(ranks)), np.mean(widths) / (before[1] - before[0])


@pytest.mark.slow
def test_eighty_of_a_hundred_intervals_hold_the_truth_before_and_after():
    from scipy import stats

    plan = plan_with(AFTER_TEN.format("3.4"), AFTER_TEN.format("3.2").replace("2036", "2031"))
    plain, after, ranks, width = coverage(plan, 8192, 1000, seed=4)
    assert 0.76 <= plain <= 0.84
    assert 0.76 <= after <= 0.84
    assert width < 0.9
    for one in ranks:  # before and after
        assert stats.kstest(one, "uniform").pvalue > 0.01
