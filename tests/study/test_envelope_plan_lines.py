"""Every estimate's lines can be pasted into a plan where they say, and mean there what was estimated."""

from textwrap import indent

import pytest

from somsim.plan import parse_plan
from somsim.study.envelope_heap import HeapTyped, heap_study, read_part
from somsim.study.envelope_land import LandTyped, land_study
from somsim.study.envelope_layer import DIMENSIONS, LayerTyped, layer_study
from somsim.study.envelope_roots import RootsTyped, roots_study
from somsim.study.envelope_sample import SampleTyped, sample_study
from somsim.study.envelope_worth import WorthTyped, worth_study
from somsim.units import parse_amount

TOP = """title: pasted
start: 2027-01-01
horizon: 3 years
site:
  climate: reference
  shelter: open ground
  beds: {area: 108 m2}
  soil: {carbon: 2 %, bulk_density: 1.3 g/cm3}
"""
COVER = "- cover:\n    name: oats\n    sow: 15 Aug\n    cut: 15 Dec\n    every: year\n    then: dug in\n"
SPREAD = "- spread:\n    material: garden compost\n    on: 20 Apr\n    every: year\n    then: dug in\n"
WITHIN = {"inside a cover": COVER, "inside a spread": SPREAD}


def pasted(answer):
    """The one action of a plan into which all lines of an answer were pasted."""
    top, actions = TOP, []
    for lines in answer.plan_lines:
        if lines.where == "at the top":
            top += lines.text
        elif lines.where in WITHIN:
            actions.append(WITHIN[lines.where] + indent(lines.text, "    "))
        else:
            actions.append(lines.text)
    strategies = "".join(f"  number {n}:\n{indent(text, '    ')}" for n, text in enumerate(actions))
    plan = parse_plan(f"{top}strategies:\n{strategies}")
    return plan, plan.actions("number 0")[0]


def sample(crop, *fresh):
    masses = tuple(parse_amount(text, "mass") for text in fresh)
    dry = parse_amount("17 %", "share")
    return SampleTyped(masses, (parse_amount("0.5 m2", "area"),), dry_matter=dry, crop=crop)


@pytest.mark.parametrize("crop", ["rye and vetch", "cereal rye, autumn only", "white clover", "comfrey", None])
def test_a_sample(crop):
    found = sample_study(sample(crop, "1.9 kg", "2.3 kg", "2.6 kg"))
    _, cover = pasted(found)
    # Three digits are written: half a unit of the third.
    assert cover.dry_tops.best == pytest.approx(found.dry.per_area, rel=0.005)
    assert cover.dry_tops.high == pytest.approx(found.for_plan.high, rel=0.005)


def test_the_sample_itself_may_stand_instead():
    lines = sample_study(sample("oats", "1.9 kg", "2.3 kg")).plan_lines[0].text.splitlines()
    kept = [line.replace("# instead of dry_tops: ", "") for line in lines if not line.strip().startswith("dry_tops")]
    text = indent("\n".join(kept), "    ")
    cover = parse_plan(f"{TOP}strategies:\n  one:\n{text}\n").actions("one")[0]
    assert [amount.best for amount in cover.sample.fresh] == [1.9, 2.3]
    assert cover.sample.dry_matter.best == pytest.approx(0.17)


def test_a_sample_that_varies_beyond_its_mean_keeps_its_middle():
    found = sample_study(sample("oats", "0.2 kg", "4 kg"))
    _, cover = pasted(found)
    assert cover.dry_tops.best == pytest.approx(found.dry.per_area, rel=0.005)
    assert cover.dry_tops.low > 0


def test_worth():
    typed = WorthTyped(sample("rye and vetch", "2 kg", "2.2 kg"), pressed_volume=parse_amount("8 l", "volume"))
    plan, cover = pasted(worth_study(typed, draws=2))
    assert plan.compare_with == "garden compost"
    assert cover.pressed_volume.best == pytest.approx(0.008)


def test_roots():
    found = roots_study(RootsTyped(parse_amount("4 t/ha", "mass_per_area"), crop="oats"))
    _, cover = pasted(found)
    # A plan takes washed roots; the answer counts 0.65 of them more that they give off.
    assert (1.65 * cover.root_ratio.low, 1.65 * cover.root_ratio.high) == pytest.approx(
        (found.in_layer.low, found.in_layer.high), rel=0.05
    )


@pytest.mark.parametrize(
    ("given", "material", "key", "value"),
    [
        ({"depth": "25 mm", "area": "108 m2"}, "garden compost", "depth", 0.025),
        ({"volume": "2 yd3", "area": "108 m2"}, "garden compost", "volume", 1.529),
        ({"mass": "900 kg", "density": "700 kg/m3", "carbon_share": "20 to 24 %"}, "leaf mould", "mass", 900),
        ({"depth": "25 mm", "area": "108 m2", "density": "600 kg/m3"}, None, "depth", 0.025),
    ],
)
def test_a_layer(given, material, key, value):
    amounts = {name: parse_amount(text, DIMENSIONS[name]) for name, text in given.items()}
    plan, spread = pasted(layer_study(LayerTyped(amounts, material)))
    assert getattr(spread, key).best == pytest.approx(value, rel=1e-3)
    if "carbon_share" in given:
        assert plan.materials["leaf mould"].bulk_density.best == pytest.approx(700)
        assert plan.materials["leaf mould"].carbon.high == pytest.approx(0.24)


def test_a_heap():
    found = heap_study(HeapTyped((read_part("clover cuttings = 1 m3"), read_part("straw = 20 kg"))))
    plan, spread = pasted(found)
    assert spread.volume.high == pytest.approx(found.made_volume.high, rel=0.005)
    assert plan.materials["my heap"].nitrogen.low == pytest.approx(found.made_nitrogen.low, rel=0.005)


@pytest.mark.parametrize("cover", ["white clover", "lucerne", "phacelia"])
def test_land(cover):
    found = land_study(LandTyped(parse_amount("25 mm", "length"), parse_amount("108 m2", "area"), cover))
    plan, spread = pasted(found)
    assert spread.depth.best == pytest.approx(0.025)
    assert plan.actions("number 1")[0].then == "carted off"
