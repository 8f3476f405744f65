"""Every key of a plan as the types have it: none missing, none twice, each explained."""

from __future__ import annotations

from pydantic import BaseModel

from somsim.plan.actions import Cover, Spread
from somsim.plan.fields import Placed
from somsim.plan.keys import EVERY_ACTION, KeyGroup, key_groups
from somsim.plan.site import Climate, Site
from somsim.plan.verbs import KINDS

GROUPS = {one.title: one for one in key_groups()}


def names(group: KeyGroup) -> list[str]:
    return [key.name for key in group.keys]


def all_parts() -> set[type[BaseModel]]:
    found, waiting = set(), [Placed]
    while waiting:
        for one in waiting.pop().__subclasses__():
            waiting.append(one)
            if one.__module__.startswith("somsim.plan"):  # lines of a record are parts of no plan
                found.add(one)
    return found


def test_no_key_of_any_part_is_left_out() -> None:
    # the other way round from how the keys are gathered: from all types that there are
    told = {key.name for one in GROUPS.values() for key in one.keys}
    for part in all_parts():
        for name, field in part.model_fields.items():
            assert (field.alias or name) in told | {"action"}, (part, name)


def test_each_key_is_explained() -> None:
    for one in GROUPS.values():
        assert one.about, one.title
        assert all(key.says for key in one.keys), one.title
        assert len(names(one)) == len(set(names(one)))


def test_what_is_needed_and_what_is_not() -> None:
    soil = {key.name: key for key in GROUPS["site: soil"].keys}
    assert soil["bulk_density"].needed and not soil["depth"].needed
    assert soil["method"].words == ("carbon", "carbon x 1.724", "loss on ignition", "unknown")


def test_verbs_have_their_own_keys_and_an_example() -> None:
    assert {title for title in GROUPS if title.startswith("- ") and ": " not in title} == {
        f"- {verb}" for verb in KINDS
    }
    spread = GROUPS["- spread"]
    assert set(names(spread)) == set(Spread.model_fields) - set(names(GROUPS[EVERY_ACTION])) - {"action"}
    assert spread.example.startswith("- spread: {material: ")
    assert names(GROUPS["- cover: cut: sample"]) == names(GROUPS["- cover: sample"])
    assert "mix" in names(GROUPS["- cover"]) and "mix" in Cover.model_fields


def test_a_climate_is_told_in_all_its_ways() -> None:
    told = [set(names(one)) for title, one in GROUPS.items() if title.startswith("site: climate")]
    assert told == [{"temperature", "rain", "latitude"}, {"series", "latitude"}, {"factor"}]
    assert "climate" in Site.model_fields and Climate is not None
