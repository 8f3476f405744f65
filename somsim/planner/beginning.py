"""From five answers to a plan: the starter, with the grower's own words in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from somsim.planner.changes import refused
from somsim.planner.draft import Draft
from somsim.study.starting import STARTER, starting_plan

WAYS = {
    "compost": "bought compost",
    "cover": "rye in winter",
    "both": "compost and rye",
    "alone": "left alone in winter",
}
OWN = ("compost every spring", "rye in winter")  # what the starter has


@dataclass(frozen=True)
class Answers:
    """What was answered: where, how big, covered or open, what soil, and which ways are weighed up (keys of `WAYS`)."""

    climate: str
    count: str
    length: str
    width: str
    paths: str
    shelter: str
    texture: str
    organic_matter: str
    method: str
    ways: Sequence[str]


def plan_of(answers: Answers) -> str:
    """The plan of five answers, as text with comments; what was typed may still have mistakes, told at its field.

    Raises
    ------
    InputError
        when nothing is to be weighed up.
    """
    ways = [way for way in WAYS if way in answers.ways]
    if not ways:
        raise refused("nothing is chosen to be weighed up", "choose two ways or more")
    draft = Draft(starting_plan(STARTER))
    for path, value in (
        (("site", "climate"), answers.climate),
        (("site", "shelter"), answers.shelter),
        (("site", "beds", "count"), answers.count),
        (("site", "beds", "length"), answers.length),
        (("site", "beds", "width"), answers.width),
        (("site", "beds", "paths"), answers.paths),
        (("site", "soil", "texture"), answers.texture),
        (("site", "soil", "organic_matter"), answers.organic_matter),
        (("site", "soil", "method"), answers.method),
    ):
        if value.strip():
            draft.put(path, value.strip())
    _strategies(draft, ways)
    return draft.text


def _strategies(draft: Draft, ways: list[str]) -> None:
    compost, cover = (draft.says(("strategies", name)) for name in OWN)
    if "both" in ways:
        draft.add_strategy(WAYS["both"], compost[0])
        draft.append(("strategies", WAYS["both"]), cover[0])
    if "alone" in ways:
        draft.add_strategy(WAYS["alone"], {"idle": {"as": "weeds"}})
    for way, name in (("compost", OWN[0]), ("cover", OWN[1])):
        if way not in ways:
            draft.take_out(("strategies", name))
    if "compost" in ways:
        draft.rename(OWN[0], WAYS["compost"])
