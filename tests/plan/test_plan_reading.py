"""Plans read, written back, made in Python, and mutilated."""

import datetime
import pickle
import random
import re
from pathlib import Path
from typing import Any

import pydantic
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from somsim.errors import InputError
from somsim.plan import Plan, parse_plan, read_plan, write_plan
from somsim.plan.actions import Cover, Crop, Spread
from somsim.plan.mistakes import TOLD_IN_ONE
from somsim.plan.verbs import KINDS
from somsim.units import Amount

DEMO = Path(__file__).parent.parent.parent / "configs" / "hillside.yaml"
TEXT = DEMO.read_text(encoding="utf-8")


def test_the_demo_says_what_it_says() -> None:
    plan = read_plan(DEMO)
    assert next(iter(plan.strategies)) == "bought compost"
    spread = plan.strategies["bought compost"][0]
    assert isinstance(spread, Spread)
    assert spread.depth == Amount(0.005, 0.005, 0.005, "5 mm")
    cover = plan.strategies["winter green manure"][0]
    assert isinstance(cover, Cover)
    assert cover.dry_tops is not None
    assert (cover.dry_tops.low, cover.dry_tops.high) == pytest.approx((0.32, 0.44))
    assert plan.site.beds.ground_area == pytest.approx(6 * 15 * 1.6)
    assert str(plan.end) == "2038-10-01"
    assert plan.actions("left alone in winter")[0] is (plan.always or ())[0]


def test_places_are_kept() -> None:
    plan = read_plan(DEMO)
    for part, key, word in (
        (plan.strategies["bought compost"][0], "depth", "5 mm"),
        (plan.strategies["winter green manure"][0], "cut", "20 Apr"),
        (plan.site.soil, "bulk_density", "1.35 g/cm3"),
    ):
        place = part.place_of(key)
        assert plan.source.line_at(place)[place.column - 1 :].startswith(word)
        assert place.file == str(DEMO)
    cut = plan.strategies["winter green manure"][0].cut[0]
    assert plan.source.line_at(cut.place)[cut.place.column - 1 :].startswith("20 Apr")


def test_plans_that_say_the_same_are_equal_wherever_it_stands() -> None:
    plan = parse_plan(TEXT)
    assert plan == parse_plan("# a note\n\n" + TEXT, "another name")
    assert plan != parse_plan(TEXT.replace("depth: 5 mm", "depth: 6 mm"))
    assert pickle.loads(pickle.dumps(plan)) == plan


def test_a_plan_cannot_be_changed() -> None:
    plan = parse_plan(TEXT)
    with pytest.raises(pydantic.ValidationError):
        plan.title = "another"  # type: ignore[misc]  # that it is refused is what is tested
    with pytest.raises(pydantic.ValidationError):
        plan.site.soil.depth = plan.site.soil.bulk_density  # type: ignore[misc]  # as above


MADE: dict[str, Any] = {
    "title": "Made in Python",
    "start": "2026-10-01",
    "horizon": "3 years",
    "site": {
        "climate": {"factor": "1.1"},
        "shelter": "open ground",
        "beds": {"area": "100 m2"},
        "soil": {"bulk_density": "1.3 g/cm3", "humus": "40 t C/ha", "residue": "2 to 4 t C/ha"},
    },
    "strategies": {"straw": [{"input": {"name": "straw", "residue": "straw", "carbon": "2 t C/ha/yr"}}]},
}


def test_a_plan_made_in_python_reads_back() -> None:
    plan = Plan.model_validate(MADE)
    assert plan.place.line == 0
    assert parse_plan(write_plan(plan)) == plan
    crop = Crop.model_validate({"name": "leek", "from": "1 May", "to": "1 Sep", "then": "dug in", "every": 1})
    assert Plan.model_validate(MADE | {"strategies": {"one": [crop]}}).strategies["one"] == (crop,)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("horizon", Amount(9.0, 9.0, 9.0, "3 years")),
        ("horizon", 3),
        ("start", "tomorrow"),
        ("title", "two\nlines"),
        ("strategies", {" spaces ": [{"idle": {"as": "bare"}}]}),
        ("strategies", {"one": [{"dig": {"on": "1 Apr", "every": 0}}]}),
        ("strategies", {"one": [{"dig": {"on": "1 Apr", "every": True}}]}),
        ("strategies", {"one": [{"dig": {"on": "1 Apr", "every": "year", "first_year": 301}}]}),
    ],
)
def test_what_is_made_in_python_is_checked_too(key: str, value: object) -> None:
    with pytest.raises(pydantic.ValidationError):
        Plan.model_validate(MADE | {key: value})


def test_metric_and_us_plans_hold_the_same_amounts() -> None:
    metric = {"length": "15.24 m", "width": "1.2192 m", "depth": "12.7 mm", "tops": "4.483 t/ha"}
    us = {"length": "50 ft", "width": "4 ft", "depth": "0.5 in", "tops": "4000 lb/acre"}
    plans = []
    for words in (metric, us):
        text = TEXT.replace("15 m", words["length"]).replace("1.2 m", words["width"])
        text = text.replace("depth: 5 mm", "depth: " + words["depth"]).replace(
            "3.2 to 4.4 t/ha", words["tops"]
        )
        plans.append(parse_plan(text))
    for get in (
        lambda plan: plan.site.beds.bed_area,
        lambda plan: plan.strategies["bought compost"][0].depth.best,
        lambda plan: plan.strategies["winter green manure"][0].dry_tops.best,
    ):
        # 1 ft = 0.3048 m and 1 in = 25.4 mm exactly; 4000 lb/acre rounds to 4.483 t/ha in its fourth digit
        assert get(plans[0]) == pytest.approx(get(plans[1]), rel=1e-4)


def test_every_key_of_a_plan_is_described() -> None:
    def parts(kind: type[pydantic.BaseModel]) -> set[type[pydantic.BaseModel]]:
        found = {kind}
        for field in kind.model_fields.values():
            for name in re.findall(r"somsim\.plan\.\w+\.(\w+)", str(field.annotation)):
                below = BY_NAME.get(name)
                found |= parts(below) if below is not None else set()
        return found

    from somsim.plan import actions, model, site

    BY_NAME = {
        name: kind
        for module in (actions, model, site)
        for name, kind in vars(module).items()
        if isinstance(kind, type) and issubclass(kind, pydantic.BaseModel)
    }
    everything = parts(Plan) | set(KINDS.values())
    assert {"Soil", "Watering", "OwnCrop", "Cut", "SeriesClimate"} <= {kind.__name__ for kind in everything}
    bare = [
        f"{kind.__name__}.{name}"
        for kind in everything
        for name, field in kind.model_fields.items()
        if name != "action" and not field.description
    ]
    assert bare == []


WORD = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S")), min_size=1, max_size=12)
NAMES = st.lists(WORD, min_size=1, max_size=4).map(" ".join)
NUMBERS = st.integers(1, 900).map(lambda number: f"{number / 10:g}")
RANGES = st.tuples(st.integers(1, 40), st.integers(0, 40)).map(
    lambda ends: f"{ends[0]} to {ends[0] + ends[1]}"
)
DAYS = st.tuples(st.integers(1, 28), st.sampled_from(["Jan", "Feb", "Apr", "Jun", "Sep", "Dec"]))
DAY = DAYS.map(lambda day: f"{day[0]} {day[1]}")
OFTEN = st.sampled_from(["year", "2 years", "3 years"])
WHERE = st.sampled_from([{}, {"share": "25 %"}, {"beds": "1 to 2"}, {"beds": ["2", "east"]}])


@st.composite
def spreads(draw: st.DrawFn) -> dict[str, Any]:
    amount = draw(
        st.sampled_from(["depth mm", "mass kg", "mass_per_area t/ha", "dry_mass lb/acre", "volume l"])
    )
    key, unit = amount.split()
    body = {
        "material": draw(st.sampled_from(["garden compost", "straw", "own stuff"])),
        "on": draw(DAY),
        "every": draw(OFTEN),
        "then": draw(st.sampled_from(["left on surface", "dug in"])),
        key: f"{draw(NUMBERS | RANGES)} {unit}",
    }
    return {"spread": body | draw(WHERE)}


@st.composite
def months(draw: st.DrawFn) -> dict[str, Any]:
    unit = draw(st.sampled_from(["deg C", "deg F"]))
    warm = [str(draw(st.integers(-300, 500)) / 10) for _ in range(12)]
    wet = [str(draw(st.integers(0, 300)) / 10) for _ in range(12)]
    rain = draw(st.sampled_from(["mm", "in", "cm"]))
    return {
        "temperature": " ".join(warm) + " " + unit,
        "rain": " ".join(wet) + " " + rain,
        "latitude": draw(st.sampled_from(["51.8 N", "37 S", "-12 deg"])),
    }


@st.composite
def plans(draw: st.DrawFn) -> dict[str, Any]:
    soil = draw(
        st.sampled_from(
            [
                {"organic_matter": "2 to 3 %", "method": "unknown"},
                {"carbon": "1.5 %", "texture": "sandy loam"},
                {"residue": "2 t C/ha", "humus": "40 t C/ha", "humus_decay": "0.006 per year"},
            ]
        )
    )
    climate = draw(st.one_of(st.just("reference"), months(), st.just({"factor": "0.9 to 1.2"})))
    idle = st.sampled_from([[], [{"idle": {"as": "weeds"}}]])
    actions = st.tuples(st.lists(spreads(), min_size=1, max_size=3), idle).map(
        lambda parts: parts[0] + parts[1]
    )
    return {
        "title": draw(NAMES),
        "start": draw(st.dates(datetime.date(1900, 1, 1), datetime.date(2300, 12, 31))).isoformat(),
        "horizon": draw(st.sampled_from(["3 years", "4.5 years", "50 months"])),
        "site": {
            "climate": climate,
            "shelter": draw(st.sampled_from(["open ground", "unheated tunnel"])),
            "beds": {"count": "2", "length": "30 m", "width": "2 m", "names": ["west", "east"]},
            "soil": soil | {"bulk_density": "1.3 g/cm3"},
        },
        "materials": {"own stuff": {"like": "straw", "carbon": f"{draw(RANGES)} %"}},
        "strategies": draw(st.dictionaries(NAMES, actions, min_size=1, max_size=3)),
    }


@settings(max_examples=60, deadline=None)
@given(plans())
def test_a_plan_written_and_read_again_is_the_same(made: dict[str, Any]) -> None:
    plan = Plan.model_validate(made)
    text = write_plan(plan)
    again = parse_plan(text)
    assert again.model_dump() == plan.model_dump()
    assert again == plan
    assert write_plan(again) == text


WORDS = ["{", "}", "[", ":", ",", "- ", "\n  ", "year 2", "29 Feb", "0", "-1", "1e9", "%", "²", "٣", "'", '"']
WORDS += [
    "first_year: 300",
    "beds: 1 to 9",
    "share: 50 %",
    "undersown: yes",
    "series: x",
    "factor: 1",
    "9" * 5000,
]


def mutilated(chance: random.Random) -> str:
    """The demo with one or two small things torn out, put in, exchanged or doubled."""
    text = TEXT
    for _ in range(chance.randint(1, 2)):
        begin = chance.randrange(len(text))
        end = begin + chance.randint(1, 25)
        other = chance.randrange(len(text))
        piece = chance.choice(["", chance.choice(WORDS), text[other : other + chance.randint(1, 40)]])
        text = text[:begin] + piece + text[chance.choice([begin, end]) :]
    return text


def test_whatever_is_typed_gives_a_plan_or_a_message() -> None:
    chance, read, refused = random.Random(20261001), 0, 0
    for _ in range(300):
        try:
            assert isinstance(parse_plan(mutilated(chance)), Plan)
            read += 1
        except InputError:
            refused += 1
    assert read >= 5
    assert refused >= 200


def test_of_very_many_mistakes_the_first_are_told() -> None:
    line = "    - spread: {material: garden compost, dept: 5 mm, on: 20 Apr, every: year, then: dug in}\n"
    with pytest.raises(InputError) as caught:
        parse_plan(TEXT + "".join(f"  s{n}:\n{line}" for n in range(TOLD_IN_ONE + 50)))
    assert len(caught.value.problems) == TOLD_IN_ONE
    lines = [problem.place.line for problem in caught.value.problems if problem.place]
    assert lines == sorted(lines)
    assert str(caught.value).endswith("200 mistakes; more were found, these are the first; nothing was run.")
