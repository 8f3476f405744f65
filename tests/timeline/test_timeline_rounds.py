"""Each round of a cover on its own, and the days on which another one could begin."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest
from worked_plans import COVER, plan_text, setting_of

from somsim.decay import solve
from somsim.simulate import simulate
from somsim.study.pairing import cover_sources, left_from
from somsim.timeline.pulse import covers_of
from somsim.timeline.rounds import free_starts, free_until, round_by_round

LEY = "cover: {name: ley, sow: 1 Mar, cut: 1 Jun, every: year, then: left on surface}"
TOMATO = "crop: {name: tomato, from: 20 Jun, to: 10 Oct, every: year, then: carted off}"


@pytest.mark.parametrize("where", ["", ", share: 30 %"])
def test_the_rounds_add_up_to_what_the_strategy_leaves(where: str) -> None:
    """The model is linear, so this is an invariant: only rounding is allowed."""
    text = plan_text(LEY.replace(", then", f"{where}, then"), TOMATO, extra=COVER)
    shared = setting_of(text, draws=4)
    found = round_by_round(shared, "a", "ley", partial(solve, engine="exact"))
    whole = left_from(simulate(shared, "a"), cover_sources("ley"))
    assert len(found.rounds) == 3
    assert np.sum(found.left, axis=0) == pytest.approx(whole, rel=1e-12)
    assert np.all(found.left > 0.0)


def test_days_on_which_another_could_begin_are_counted_by_hand() -> None:
    """92 days a crop.  Beside tomatoes from 20 June to 10 October: on 1 March and on 10 October, until 10 January."""
    for crops, days in (([], ["03-01", "06-01", "09-01"]), ([TOMATO], ["03-01", "10-10"])):
        shared = setting_of(plan_text(LEY, *crops, extra=COVER))
        ley = covers_of(shared, "a")["ley"]
        around = _around(shared)
        assert [f"{day:%m-%d}" for day in free_starts(around, ley)] == days


def test_the_ground_is_free_until_the_next_crop_or_the_next_sowing() -> None:
    for crops, day in (([], "2028-03-01"), ([TOMATO], "2027-06-20")):
        shared = setting_of(plan_text(LEY, *crops, extra=COVER))
        assert free_until(_around(shared), covers_of(shared, "a")["ley"]).isoformat() == day


def _around(shared):
    from somsim.timeline.build import assemble

    plan = shared.figures.plan
    return assemble(shared, plan.actions("a"), plan.start, plan.end, "years").happening
