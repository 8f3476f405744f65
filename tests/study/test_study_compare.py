"""Strategies beside each other: the same worlds for all, ties shared, nothing that is not a number."""

from __future__ import annotations

import json

import numpy as np
import pytest
from study_plans import COVER, PLAIN, SPREAD, plan, study

from somsim.errors import InputError
from somsim.report.machine import comparison
from somsim.study.compare import Study, compare_study

PAIR = {"compost": [SPREAD], "green": [COVER]}


def names(made: Study) -> list[str]:
    return [one.name for one in made.answers]


def test_the_answers_come_in_the_order_of_the_plan() -> None:
    assert names(study(PAIR)) == ["compost", "green"]


def test_the_first_of_a_pair_leaves_more_in_the_middle() -> None:
    made = study({"a little": [SPREAD.replace("5 mm", "1 mm")], "more": [SPREAD], "most": [SPREAD.replace("5", "9")]})
    assert [(pair.more, pair.less) for pair in made.pairs] == [("most", "more"), ("most", "a little")]
    assert all(pair.difference.p50 > 0.0 for pair in made.pairs)
    assert all(pair.chance == 1.0 for pair in made.pairs)
    assert made.pairs[1].difference.p50 > made.pairs[0].difference.p50


def test_a_pair_is_compared_world_by_world() -> None:
    """Twice the same material: its doubt moves both, so the difference is surer than either level."""
    made = study({"some": [SPREAD], "more": [SPREAD.replace("5 mm", "6 mm")]})
    level, difference = made.answers[0].organic_matter, made.pairs[0].difference
    assert 0.0 < difference.p90 - difference.p10 < 0.2 * (level.p90 - level.p10)


def test_the_same_twice_shares_its_worlds() -> None:
    made = study({"one": [SPREAD], "other": [SPREAD]})
    assert [one.chance_of_most for one in made.answers] == [0.5, 0.5]
    assert made.pairs[0].difference.p90 == pytest.approx(0.0, abs=1e-12)
    assert made.pairs[0].chance == 0.0


def test_chances_of_most_add_up() -> None:
    made = study(PAIR | {"fallow": ["idle: {as: weeds}"]})
    assert sum(one.chance_of_most for one in made.answers) == pytest.approx(1.0)


def test_another_strategy_leaves_the_others_as_they_were() -> None:
    one, other = study(PAIR), study(PAIR | {"fallow": ["idle: {as: weeds}"]})
    assert [answer.organic_matter for answer in one.answers] == [
        answer.organic_matter for answer in other.answers[:2]
    ]


def test_the_change_is_the_level_less_the_start() -> None:
    """Worked arithmetic: 2.6 % by loss on ignition of 270 kg of soil in 20 cm is 7.02 kg/m2 in every world."""
    answer = study(PAIR).answers[0]
    assert answer.organic_matter.best - answer.change.best == pytest.approx(0.026 * 270.0, rel=1e-9)


def test_the_sources_add_up_to_what_is_kept_and_the_old() -> None:
    answer = study(PAIR).answers[0]
    assert answer.kept is not None
    new = sum(part.best for source, part in answer.from_source.items() if source != "soil at the start")
    assert answer.kept.best == pytest.approx(new / answer.added.best, rel=1e-9)


def test_depth_spread_is_that_of_a_mean_year() -> None:
    third = {"a": [SPREAD.replace("every: year", "every: 3 years")]}
    assert study({"a": [SPREAD]}).answers[0].spread_depth["garden compost"] == pytest.approx(0.005, rel=0.01)
    assert study(third).answers[0].spread_depth["garden compost"] == pytest.approx(0.005 / 3, rel=0.01)


def test_where_nothing_is_added_no_share_is_kept() -> None:
    assert study({"a": ["idle: {as: bare}"]}).answers[0].kept is None


@pytest.mark.parametrize("amount", ["0 t/ha", "0 to 3 t/ha"])
def test_a_cover_of_nothing_gives_numbers_or_none(amount: str) -> None:
    made = study({"a": [SPREAD], "b": [COVER.replace("surface}", f"surface, dry_tops: {amount}}}")]})
    json.dumps(comparison(made), allow_nan=False)


@pytest.mark.parametrize("depth", ["0 mm", "0 to 5 mm"])
def test_a_compost_of_nothing_gives_numbers_or_none(depth: str) -> None:
    json.dumps(comparison(study({"a": [SPREAD.replace("5 mm", depth)], "b": [COVER]})), allow_nan=False)


def test_a_seed_makes_its_worlds_again_and_another_makes_others() -> None:
    made = plan(PAIR)
    one, again, other = (compare_study(made, draws=8, seed=seed) for seed in (1, 1, 2))
    assert one.answers == again.answers
    assert one.pairs == again.pairs
    assert one.answers[0].organic_matter.p50 != other.answers[0].organic_matter.p50
    assert one.answers[0].organic_matter.best == other.answers[0].organic_matter.best


@pytest.mark.parametrize("draws", [-1, 0, 1, 65_537])
def test_a_number_of_worlds_that_cannot_be_is_refused(draws: int) -> None:
    with pytest.raises(ValueError, match="draws"):
        compare_study(plan(PAIR), draws=draws)


def test_an_engine_that_is_not_there_is_refused() -> None:
    with pytest.raises(ValueError, match="engine"):
        compare_study(plan(PAIR), draws=4, engine="steam")


def test_each_step_is_told() -> None:
    steps: list[int] = []
    compare_study(plan(PAIR), draws=4, step=lambda: steps.append(1))
    assert len(steps) == 2 * 2 + 1


def test_a_missing_figure_is_bad_input_with_its_place() -> None:
    own = "materials:\n  pond mud: {decay: 1 per year, humified: 20 %}\n"
    with pytest.raises(InputError) as caught:
        compare_study(plan({"a": [SPREAD.replace("garden compost", "pond mud")]}, extra=own), draws=4)
    assert "pond mud" in str(caught.value)
    assert all(problem.place is not None for problem in caught.value.problems)


def test_every_outcome_is_a_number() -> None:
    made = study(PAIR | {"fallow": ["idle: {as: weeds}"]}, extra=PLAIN)
    for name, values in made.drawn.data_vars.items():
        assert np.isfinite(values.values).all(), name
