"""Samples and heaps as a plan writes them; what is refused stands in configs/bad."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from somsim.errors import InputError
from somsim.plan import Plan, parse_plan, write_plan
from somsim.plan.actions import Cover, Spread
from somsim.plan.samples import MOST_SAMPLES, HeapPart, Sample

HEAD = (
    "title: a test\nstart: 2027-01-01\nhorizon: 3 years\nsite:\n  climate: netherlands\n  shelter: open ground\n"
    "  beds: {area: 100 m2}\n  soil: {carbon_stock: 40 t C/ha, bulk_density: 1.3 g/cm3}\n"
)


def plan_of(*actions: str, extra: str = "") -> Plan:
    written = "".join(f"    - {action}\n" for action in actions)
    return parse_plan(f"{HEAD}{extra}strategies:\n  a:\n{written}")


def sampled(keys: str) -> Sample:
    (made,) = plan_of(
        f"cover: {{name: rye and vetch, sow: 15 Sep, cut: 25 Apr, every: year, then: dug in, sample: {{{keys}}}}}"
    ).strategies["a"]
    assert isinstance(made, Cover) and made.sample is not None
    return made.sample


def test_one_weight_and_a_list_of_one_are_the_same() -> None:
    one, listed = sampled("fresh: 1.2 kg, area: 0.5 m2"), sampled("fresh: [1.2 kg], area: 0.5 m2")
    assert one == listed
    assert [amount.best for amount in one.fresh] == [1.2]


def test_weights_keep_their_order_and_come_in_kg_and_square_metres() -> None:
    made = sampled("fresh: [2 lb, 900 g, 1.1 kg], area: 2500 cm2, wet: 200 g, dry: 34 g")
    # Exact by definition: the international pound of 1959 is 0.45359237 kg.
    assert [amount.best for amount in made.fresh] == pytest.approx([0.90718474, 0.9, 1.1])
    assert made.area.best == pytest.approx(0.25)
    assert made.wet is not None and made.dry is not None
    assert made.dry.best / made.wet.best == pytest.approx(0.17)


def test_a_sample_may_be_empty_among_others_that_are_not() -> None:
    assert [amount.best for amount in sampled("fresh: [0 kg, 1.5 kg], area: 1 m2").fresh] == [0.0, 1.5]


def test_the_dry_share_may_be_a_range_because_it_may_be_guessed() -> None:
    made = sampled("fresh: 1.2 kg, area: 0.5 m2, dry_matter: 14 to 18 %")
    assert made.dry_matter is not None and made.dry_matter.is_range


def test_more_samples_than_a_person_weighs_are_refused() -> None:
    weights = ", ".join(["1 kg"] * (MOST_SAMPLES + 1))
    with pytest.raises(InputError, match="1,001 samples are more than a person weighs"):
        sampled(f"fresh: [{weights}], area: 1 m2")


def test_each_cut_may_have_a_sample_of_its_own_at_its_own_place() -> None:
    text = (
        "cover: {name: red clover, sow: 15 Mar, then: left on surface, every: year,\n"
        "        cut: [{on: 10 Jun, sample: {fresh: 2 kg, area: 1 m2}},\n"
        "              {on: 20 Aug, sample: {fresh: 1 kg, area: 1 m2}}]}"
    )
    (made,) = plan_of(text).strategies["a"]
    assert isinstance(made, Cover)
    weights = [cut.sample.fresh[0].best for cut in made.cut if cut.sample is not None]
    assert weights == [2.0, 1.0]
    lines = [cut.sample.place_of("fresh").line for cut in made.cut if cut.sample is not None]
    assert lines[1] == lines[0] + 1


HEAP = (
    "materials:\n  our heap:\n    heap:\n      - {feedstock: horse manure, volume: 2 m3}\n"
    "      - {feedstock: rye and vetch, mass: 300 to 400 kg}\n"
)
SPREAD = "spread: {material: our heap, heap_share: 80 %, on: 20 Apr, every: year, then: left on surface}"


def test_a_heap_takes_materials_by_volume_and_covers_by_mass() -> None:
    plan = plan_of(SPREAD, extra=HEAP)
    parts = plan.materials["our heap"].heap
    assert parts is not None
    assert [part.feedstock for part in parts] == ["horse manure", "rye and vetch"]
    assert parts[0].volume is not None and parts[0].volume.best == pytest.approx(2.0)
    assert parts[1].mass is not None and (parts[1].mass.low, parts[1].mass.high) == (300.0, 400.0)
    (made,) = plan.strategies["a"]
    assert isinstance(made, Spread) and made.heap_share is not None
    assert made.heap_share.best == pytest.approx(0.8)


def test_every_feedstock_that_nobody_knows_is_named_in_one_message() -> None:
    extra = HEAP.replace("horse manure", "unicorn dung").replace("rye and vetch", "moon grass")
    with pytest.raises(InputError) as caught:
        plan_of(SPREAD, extra=extra)
    assert ["unicorn dung" in one.message or "moon grass" in one.message for one in caught.value.problems] == [True] * 2


def test_a_plan_with_samples_and_a_heap_comes_back_as_it_was() -> None:
    cover = (
        "cover: {name: rye and vetch, sow: 15 Sep, cut: 25 Apr, every: year, then: to the heap,"
        " sample: {fresh: [1.9 kg, 2.3 kg], area: 0.5 m2, wet: 200 g, dry: 34 g}}"
    )
    plan = plan_of(cover, SPREAD, extra=HEAP)
    assert parse_plan(write_plan(plan)) == plan


@settings(max_examples=30)
@given(
    weights=st.lists(st.integers(1, 9000), min_size=1, max_size=6),
    area=st.integers(1, 40),
    dry=st.none() | st.integers(1, 99),
)
def test_any_sample_that_could_be_weighed_is_read_and_written_back(
    weights: list[int], area: int, dry: int | None
) -> None:
    keys = f"fresh: [{', '.join(f'{weight} g' for weight in weights)}], area: {area / 10} m2"
    cover = "cover: {name: rye and vetch, sow: 15 Sep, cut: 25 Apr, every: year, then: dug in, sample: {%s}}"
    plan = plan_of(cover % (keys if dry is None else f"{keys}, dry_matter: {dry} %"))
    assert parse_plan(write_plan(plan)) == plan


def test_made_in_python_a_heap_is_the_same_as_read() -> None:
    made = HeapPart(feedstock="horse manure", volume="2 m3")  # type: ignore[arg-type]  # words, as in a file
    parts = plan_of(SPREAD, extra=HEAP).materials["our heap"].heap
    assert parts is not None and parts[0] == made
