"""Weights on the draws reach every summary: a world of weight nothing is not there."""

import numpy as np
import pytest

from somsim.plan import read_plan
from somsim.study.compare import compare_study


@pytest.fixture(scope="module")
def plan():
    return read_plan("configs/hillside.yaml")


def figures(study):
    for answer in study.answers:
        yield from (answer.percent, answer.organic_matter, answer.change, answer.added, answer.kept, answer.food)
        yield from answer.from_source.values()
        yield answer.nitrogen.most
    for pair in study.pairs:
        yield pair.difference
    for one in study.equivalences:
        yield from one.lasting.values()
        yield one.on_the_day


def test_equal_weights_change_nothing(plan):
    plain = compare_study(plan, draws=32)
    weighed = compare_study(plan, draws=32, weights=np.full(32, 0.5))
    for one, other in zip(figures(plain), figures(weighed), strict=True):
        assert (one.p10, one.p50, one.p90) == pytest.approx((other.p10, other.p50, other.p90), rel=1e-9)
    for one, other in zip(plain.answers, weighed.answers, strict=True):
        assert one.chance_of_most == pytest.approx(other.chance_of_most)


def test_a_world_that_has_all_the_weight_is_the_answer(plan):
    weights = np.zeros(32)
    weights[7] = 1.0
    study = compare_study(plan, draws=32, weights=weights)
    alone = study.drawn["organic_matter"].isel(draw=7, time=-1, group=0)
    for answer in study.answers:
        level = float(alone.sel(strategy=answer.name))
        assert (answer.organic_matter.p10, answer.organic_matter.p90) == pytest.approx((level, level), rel=1e-12)
    assert {answer.chance_of_most for answer in study.answers} <= {0.0, 1.0}
    assert {pair.chance for pair in study.pairs} <= {0.0, 1.0}
