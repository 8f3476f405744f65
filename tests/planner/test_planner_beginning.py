"""Five answers become a plan that holds, whatever is chosen; fields know what they are from the types of a plan."""

from __future__ import annotations

import itertools

import pytest

from somsim.errors import InputError
from somsim.plan import parse_plan
from somsim.planner.beginning import WAYS, Answers, plan_of
from somsim.planner.kinds import addable, kind_of, names


def answers(*ways: str) -> Answers:
    return Answers(
        "south-east-england", "6", "15 m", "1.2 m", "0.4 m", "unheated tunnel", "sandy loam", "2.6 %", "unknown", ways
    )


@pytest.mark.parametrize("ways", [c for n in range(1, 5) for c in itertools.combinations(WAYS, n)], ids="-".join)
def test_every_choice_of_ways_makes_a_plan_that_holds(ways: tuple[str, ...]) -> None:
    text = plan_of(answers(*ways))
    plan = parse_plan(text)
    assert set(plan.strategies) == {WAYS[way] for way in ways}
    assert (plan.site.shelter, plan.site.soil.method) == ("unheated tunnel", "unknown")
    assert "# what every strategy does" in text


def test_nothing_to_weigh_up_is_told() -> None:
    with pytest.raises(InputError, match="nothing is chosen"):
        plan_of(answers())


def test_fields_know_what_they_may_be() -> None:
    spread = ("strategies", "x", 0, "spread")
    assert kind_of((*spread, "then")).choices == ("left on surface", "dug in")
    assert kind_of((*spread, "material")).table == "materials"
    assert kind_of(("strategies", "x", 0, "cover", "name")).table == "covers"
    assert kind_of(("strategies", "x", 0, "cover", "cut", 1, "on")).day
    assert "open ground" in kind_of(("site", "shelter")).choices
    assert kind_of(("money", "wage")).help.startswith("what an hour")
    assert "last_year" in addable(spread, ("material", "depth"))
    assert "depth" not in addable(spread, ("material", "depth"))
    assert "clay" in addable(("site", "soil"), ("texture",))


@pytest.mark.parametrize("table", ["materials", "covers", "crops", "climates", "soils"])
def test_names_that_are_offered_are_names_of_the_library(table: str) -> None:
    from somsim.library import read_library

    assert names(table) and all(read_library().find(table, name) is not None for name in names(table))
