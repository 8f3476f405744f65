"""What would settle it: words for every unknown, readings with their cost, and the whole answer on a small plan."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from study_plans import COVER, PLAIN, SPREAD, plan, study

from somsim.draws import Draws
from somsim.library import read_library
from somsim.plan import read_plan
from somsim.study.doubts import doubt_of, measurements, subject_of
from somsim.study.questions import Question, ask
from somsim.study.readings import readings
from somsim.study.settle import prospect_of, settle
from somsim.timeline import figures, setting

CONFIGS = sorted(Path(__file__).parents[2].joinpath("configs").glob("*.yaml"))
PAIR = {"bought compost": [SPREAD], "winter cover": [COVER]}
SAMPLE = COVER.removesuffix("}") + ", sample: {fresh: [1.9 kg, 2.3 kg, 2.6 kg], area: 0.5 m2, dry_matter: 15 to 20 %}}"


@pytest.fixture(scope="module")
def small():
    return settle(plan(PAIR), points=64, draws=512)


@pytest.fixture(scope="module")
def asked():
    known = figures(plan(PAIR), read_library())
    draws = Draws(512, 1, known.unknowns)
    made = ask(setting(known, draws))
    return known, draws, made


@pytest.mark.parametrize("path", CONFIGS, ids=lambda path: path.stem)
def test_every_unknown_of_the_example_plans_has_words_of_its_own(path):
    known = figures(read_plan(path), read_library())
    draws = Draws(2, 1, known.unknowns)
    ask(setting(known, draws))
    said = [doubt_of(known, score).words for score in draws.scores()]
    wordless = [
        s for s, words in zip(draws.scores(), said, strict=True) if "/" in words or "{" in words or "_" in words
    ]
    assert wordless == []
    rows = {row.name.split("{")[0] for row in known.library.tables["doubts"].values()}
    assert all(any(words.startswith(row) for row in rows) for words in said)


def test_every_library_figure_that_decides_carbon_has_words():
    known = figures(plan(PAIR), read_library())
    kinds = ("dry_matter", "carbon", "bulk_density", "dry_tops", "root_ratio", "harvest_index", "decay", "humified")
    scores = {
        score
        for name, unknown in known.unknowns.items()
        if name.split("/")[0] in ("materials", "covers", "crops", "residues") and name.split("/")[-1].startswith(kinds)
        for score in unknown.scores
    }
    assert len(scores) > 300
    labels = {one.label for one in known.unknowns.values()}
    assert [score for score in scores if doubt_of(known, score).words in labels] == []


def test_an_unknown_is_told_in_a_growers_words():
    known = figures(plan({"a": [SAMPLE], "b": [SPREAD]}), read_library())
    for score, words in {
        "plan/cover rye and vetch/sample/dry_matter": "the dry matter of cut rye and vetch",
        "plan/cover rye and vetch 2/dry_tops": "the yield of rye and vetch (your range)",
        "covers/rye_and_vetch/humified_roots": "the share of rye and vetch roots that becomes humus",
        "shared/materials/garden_compost/wetness": "the wetness of garden compost",
        "shared/compost/humified": "the share of all compost that becomes humus",
        "family": "which family of decay rates holds",
    }.items():
        assert doubt_of(known, score).words == words


def test_what_a_measurement_takes_is_what_the_library_says():
    # Judged, in the library: a soil test 30 (15 to 60) of money, an analysis 90 (40 to 200), a thermometer 15 and 1 h,
    # drying 0.5 h, one frame 0.4 h, washing roots 3 h.  Three frames and drying: 3 x 0.4 + 0.5 = 1.7 h.
    known = measurements(figures(plan(PAIR), read_library()))
    assert [known["soil_test"].money.best, known["soil_test"].money.low, known["soil_test"].money.high] == [30, 15, 60]
    assert known["compost_analysis"].money.best == 90
    assert known["soil_thermometer"].hours.best == pytest.approx(1.0)
    assert known["dried_cut"].hours.best == pytest.approx(0.5)
    assert known["root_sample"].hours.best == pytest.approx(3.0)
    assert known["weighed_cut"].hours.best == pytest.approx(1.7)
    # No figure for a bucket is published: it is not nought but missing.
    assert known["weighed_bucket"].money is None and known["weighed_bucket"].hours is None
    # 3 % in the laboratory and 12 % between cores, 15 of them in a sample (judged): sqrt(0.03^2 + 0.12^2 / 15).
    assert known["soil_test"].error == pytest.approx(np.sqrt(0.03**2 + 0.12**2 / 15))


def test_doubts_name_measurements_that_there_are():
    library = read_library()
    named = {
        one.strip()
        for row in library.tables["doubts"].values()
        for one in row.about["measured_by"].split(";")
        if one.strip()
    }
    assert named == set(library.tables["measurements"])


def test_a_plant_has_one_name_however_the_plan_calls_it():
    known = figures(plan(PAIR), read_library())
    assert subject_of(known, "covers", "rye") == subject_of(known, "covers", "cereal rye") == "cereal rye"
    assert subject_of(known, "covers", "nobody's plant") == "nobody's plant"


def test_readings_are_the_values_with_their_error_and_one_for_each_subject(asked):
    known, draws, made = asked
    found = {(one.measurement.id, one.subject): one for one in readings(known, draws, made.cuts)}
    analysis = found["compost_analysis", "garden compost"]
    assert "materials/garden_compost/carbon" in analysis.tells_of
    assert np.array_equal(
        analysis.values[analysis.tells_of.index("materials/garden_compost/carbon")],
        draws.of("materials/garden_compost/carbon"),
    )
    # A frame of half a square metre is 18.2 % off (one standard deviation), three of them 10.5 %.
    weighed = np.log(found["weighed_cut", "rye and vetch"].values[0] / made.cuts["rye and vetch"])
    assert weighed.std() == pytest.approx(0.182 / np.sqrt(3.0), rel=0.05)
    assert ("soil_test", "") in found


def test_the_prospect_of_a_comparison_is_made_of_the_same_worlds():
    shown = study(PAIR, draws=512)
    known = shown.figures
    draws = Draws(512, 1, known.unknowns, known.unknowns["constants/like_materials_correlation/value"].best)
    made = ask(setting(known, draws))
    alone = prospect_of(made, readings(known, draws, made.cuts))
    assert shown.prospect.chosen == alone.chosen
    assert shown.prospect.regret == pytest.approx(alone.regret, rel=1e-12)
    # A comparison asks for nutrients and money too, which can be read but tell nothing of organic matter here.
    told = {gain.name: gain.saved for gain in shown.prospect.gains}
    assert all(told[gain.name] == pytest.approx(gain.saved, abs=1e-12) for gain in alone.gains)


def test_regret_is_the_chance_of_less_times_how_much_less():
    shown = study(PAIR, draws=64)
    (pair,) = shown.pairs
    levels = dict.fromkeys((pair.more, pair.less), shown.drawn["organic_matter"])
    level = [
        (values.sel(strategy=name).isel(time=-1) * shown.drawn["bed_share"]).sum("group").values
        for name, values in levels.items()
    ]
    lost = np.maximum(level[1] - level[0], 0.0)
    assert pair.regret == pytest.approx(lost.mean(), abs=1e-12)
    assert pair.shortfall == pytest.approx(lost[lost > 0].mean() if (lost > 0).any() else 0.0)


def test_what_decides_is_sorted_and_whole(small):
    kinds = [one.question.kind for one in small.decided]
    assert kinds == ["difference", "worth", "level"]
    for one in small.decided:
        named = [driver for driver in one.drivers if driver.doubt is not None]
        assert [driver.total.share for driver in named] == sorted(
            (driver.total.share for driver in named), reverse=True
        )
        assert one.drivers[-1].doubt is None  # what matters little counts as one, last
        # First orders of all groups together are no more than the whole: 64 points leave some 0.3 of error.
        assert sum(driver.first.share for driver in one.drivers) < 1.3
    difference = small.decided[0]
    assert difference.question == small.prospect.closest
    assert difference.spread.p10 < difference.spread.p50 < difference.spread.p90


def test_the_best_measurement_comes_first(small):
    gains = small.prospect.gains
    assert small.prospect.best is gains[0]
    assert gains[0].narrows(small.prospect.closest) > 0.05
    steps = [gain.saved for gain in gains]
    assert steps[0] >= max(steps) - max(0.01 * small.prospect.regret, 1e-6)


def test_one_seed_is_one_answer_and_another_seed_another(small):
    again, other = (settle(plan(PAIR), points=64, draws=512, seed=seed) for seed in (1, 2))
    assert again.decided == small.decided and again.prospect == small.prospect
    assert other.decided != small.decided


def test_a_plan_of_single_numbers_has_nothing_to_settle():
    spread = SPREAD.replace("garden compost", "plain compost")
    soil = "{carbon_stock: 40 t C/ha, bulk_density: 1.3 g/cm3}"
    exact = figures(plan({"a": [spread], "b": ["idle: {as: bare}"]}, extra=PLAIN, soil=soil), read_library())
    draws = Draws(64, 1, exact.unknowns)
    made = ask(setting(exact, draws))
    found = prospect_of(made, readings(exact, draws, made.cuts))
    assert found.chosen == "a" and found.wrong == 0.0 and found.regret == 0.0
    assert all(gain.changes == 0.0 for gain in found.gains)


def test_a_single_strategy_has_a_level_to_know():
    found = settle(plan({"alone": [SPREAD]}), points=64, draws=128)
    assert found.prospect.closest is None
    assert [one.question for one in found.decided] == [Question("level", "alone")]
