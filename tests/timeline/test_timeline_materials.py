"""Heaps of one's own: what went on and what is left, nutrient by nutrient; and the way from bed to heap to bed."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from worked_plans import COMPOST, COVER, plan_text, run, setting_of

from somsim.errors import InputError
from somsim.library import read_library
from somsim.timeline.materials import carbon_per_volume, material

LIBRARY = read_library()
# Composting, as the library has it: carbon lost 50 (40-65) % and nitrogen 25 (10-40) %, Wortmann & Shapiro, NebGuide
# G1315, in part from memory; dry matter 45 (30-60) % from memory; potassium 6.5 % (more than, read there).
LOST = {name: LIBRARY.tables["composting"][f"{name}_loss"].value("value").best for name in ("carbon", "dry_matter")}
LOST |= {name: LIBRARY.tables["composting"][f"{name}_loss"].value("value").best for name in ("nitrogen", "potassium")}
# Figures of our own, one number each, so that a heap can be worked out by hand.
FEED = (
    "  green: {like: garden compost, residue: soft green, bulk_density: 500 kg/m3, dry_matter: 20 %, carbon: 44 %,"
    " nitrogen: 3 %, phosphorus: 0.4 %, potassium: 3 %}\n"
    "  chaff: {like: garden compost, residue: straw, bulk_density: 50 kg/m3, dry_matter: 90 %, carbon: 45 %,"
    " nitrogen: 0.5 %, phosphorus: 0.1 %, potassium: 1 %}\n"
)


def heap(*parts, more=""):
    listed = ", ".join(f"{{feedstock: {name}, {amount}}}" for name, amount in parts)
    return f"materials:\n{FEED}  our heap: {{heap: [{listed}]{more}}}\n"


def made_of(*parts, draws=None, more="", extra=""):
    action = "spread: {material: our heap, depth: 5 mm, on: 2027-04-20, then: dug in}"
    shared = setting_of(plan_text(action, extra=heap(*parts, more=more) + extra), draws=draws)
    return material(shared.world, "our heap", shared.figures.plan)


def best(amount):
    return float(amount[0])


def test_a_heap_of_two_things_by_hand():
    # 1000 kg of green hold 200 kg dry, 88 kg C and 6 kg N; 100 kg of chaff 90 kg dry, 40.5 kg C and 0.45 kg N.
    made = made_of(("green", "mass: 1000 kg"), ("chaff", "mass: 100 kg"))
    left = 290 * 0.55
    assert best(made.carbon) == pytest.approx(128.5 * 0.50 / left, rel=1e-12)
    assert best(made.nitrogen) == pytest.approx(6.45 * 0.75 / left, rel=1e-12)
    assert best(made.potassium) == pytest.approx((6.0 + 0.9) * 0.935 / left, rel=1e-12)
    assert best(made.phosphorus) == pytest.approx((0.8 + 0.09) * 0.98 / left, rel=1e-12)


@settings(max_examples=30, deadline=None)
@given(green=st.floats(1.0, 1e5), chaff=st.floats(0.0, 1e5))
def test_what_went_on_is_what_is_left_and_what_was_lost(green, chaff):
    parts = [("green", f"mass: {green:.6f} kg")] + ([("chaff", f"mass: {chaff:.6f} kg")] if chaff > 1e-3 else [])
    made = made_of(*parts)
    chaff = chaff if chaff > 1e-3 else 0.0
    dry = 0.2 * green + 0.9 * chaff
    finished = dry * (1.0 - LOST["dry_matter"])
    for share, went_on, lost in (
        (made.carbon, 0.2 * 0.44 * green + 0.9 * 0.45 * chaff, LOST["carbon"]),
        (made.nitrogen, 0.2 * 0.03 * green + 0.9 * 0.005 * chaff, LOST["nitrogen"]),
        (made.potassium, 0.2 * 0.03 * green + 0.9 * 0.01 * chaff, LOST["potassium"]),
    ):
        # 1e-6: six decimals are written.
        assert finished * best(share) + lost * went_on == pytest.approx(went_on, rel=1e-6)
    assert best(made.organic) <= 1.0


def test_carbon_over_nitrogen_falls_and_is_what_the_losses_make_of_it():
    made = made_of(("green", "mass: 1000 kg"), ("chaff", "mass: 300 kg"))
    before = (88 + 0.9 * 0.45 * 300) / (6 + 0.9 * 0.005 * 300)
    after = best(made.carbon) / best(made.nitrogen)
    assert after == pytest.approx(before * 0.50 / 0.75, rel=1e-12)
    # In nearly every draw too: only where little carbon and much nitrogen was lost does it stay or rise.
    drawn = made_of(("green", "mass: 1000 kg"), ("chaff", "mass: 300 kg"), draws=256)
    assert np.mean(drawn.carbon / drawn.nitrogen < before) > 0.9


def test_how_much_of_a_single_thing_is_no_matter_for_what_it_becomes():
    small, large = (made_of(("green", f"mass: {amount}")) for amount in ("10 kg", "40 t"))
    for quantity in ("carbon", "nitrogen", "phosphorus", "potassium", "organic"):
        assert best(getattr(small, quantity)) == pytest.approx(best(getattr(large, quantity)), rel=1e-12)


def test_volume_and_mass_of_a_feedstock_say_the_same():
    # 2 m3 at 500 kg/m3 are 1 t; 1 m3 of chaff 50 kg.
    by_mass = made_of(("green", "mass: 1 t"), ("chaff", "mass: 50 kg"))
    by_volume = made_of(("green", "volume: 2 m3"), ("chaff", "volume: 1 m3"))
    assert best(by_volume.carbon) == pytest.approx(best(by_mass.carbon), rel=1e-12)
    # Exact by definition: a short ton is 2000 lb of 0.45359237 kg, a cubic yard 0.764554857984 m3.
    american = made_of(("green", "mass: 1 short ton"), ("chaff", "volume: 1 yd3"))
    metric = made_of(("green", "mass: 907.18474 kg"), ("chaff", "volume: 0.764554857984 m3"))
    for quantity in ("carbon", "nitrogen", "potassium"):
        assert best(getattr(american, quantity)) == pytest.approx(best(getattr(metric, quantity)), rel=1e-12)


def test_a_range_of_what_went_on_is_drawn():
    # Nothing typed is ignored: the middle of the range is 1 t, and the losses are drawn alike in both.
    fixed = made_of(("green", "mass: 1 t"), ("chaff", "mass: 500 kg"), draws=64)
    guessed = made_of(("green", "mass: 0.4 to 1.6 t"), ("chaff", "mass: 500 kg"), draws=64)
    ratio = (guessed.nitrogen / guessed.carbon) / (fixed.nitrogen / fixed.carbon)
    assert ratio.min() < 0.9 and ratio.max() > 1.1


def test_a_cover_and_a_material_on_one_heap():
    # Rye and vetch in leaf: 16 % dry matter, 44 % C and 3 % N of it (library, from memory).
    made = made_of(("rye and vetch", "mass: 1000 kg"), ("chaff", "mass: 100 kg"))
    left = (160 + 90) * 0.55
    assert best(made.carbon) == pytest.approx((160 * 0.44 + 40.5) * 0.5 / left, rel=1e-12)
    assert best(made.nitrogen) == pytest.approx((160 * 0.03 + 0.45) * 0.75 / left, rel=1e-12)


def test_what_the_library_does_not_know_is_unknown_and_not_nought():
    # Of rye and vetch it has neither phosphorus nor potassium.
    made = made_of(("rye and vetch", "mass: 1000 kg"), ("chaff", "mass: 100 kg"))
    assert made.phosphorus is None and made.potassium is None
    action = "spread: {material: our heap, depth: 5 mm, on: 2027-04-20, then: dug in}"
    extra = heap(("rye and vetch", "mass: 1000 kg"))
    (load,) = run(plan_text(action, extra=extra)).timeline.arrivals.loads
    assert load.phosphorus is None and load.potassium is None and load.nitrogen is not None


def test_clover_on_a_heap_brings_its_phosphorus():
    # A fresh cut of clover or ley: 0.3 % P and 2.5 % K of dry matter; 2 % and 6.5 % are lost (all from memory).
    made = made_of(("red clover", "mass: 1000 kg"))
    assert best(made.phosphorus) == pytest.approx(0.003 * 0.98 / 0.55, rel=1e-12)
    assert best(made.potassium) == pytest.approx(0.025 * 0.935 / 0.55, rel=1e-12)


def test_an_own_analysis_of_the_finished_heap_counts_instead_of_the_sum():
    assert best(made_of(("green", "mass: 1 t"), more=", carbon: 18 %").carbon) == 0.18
    typed = made_of(("green", "mass: 1 t"), more=", dry_matter: 50 %, bulk_density: 700 kg/m3")
    assert (best(typed.dry_matter), best(typed.bulk_density)) == (0.5, 700.0)
    assert best(typed.carbon) == pytest.approx(0.44 * 0.5 / 0.55, rel=1e-12)


def test_a_heap_is_otherwise_like_garden_compost():
    shared = setting_of(
        plan_text(
            "spread: {material: our heap, depth: 5 mm, on: 2027-04-20, then: dug in}",
            extra=heap(("green", "mass: 1 t")),
        )
    )
    made = material(shared.world, "our heap", shared.figures.plan)
    usual = LIBRARY.tables["materials"]["garden_compost"]
    assert best(made.dry_matter) == usual.value("dry_matter").best
    expected = usual.value("bulk_density").best * usual.value("dry_matter").best * 0.44 * 0.5 / 0.55
    found = carbon_per_volume(shared.world, "our heap", shared.figures.plan)
    assert best(found) == pytest.approx(expected, rel=1e-12)
    for quantity in ("decay", "humified"):
        assert shared.figures.decay("materials", "our heap", quantity) == f"materials/garden_compost/{quantity}"


def test_a_feedstock_without_a_density_cannot_come_by_volume():
    action = "spread: {material: our heap, depth: 5 mm, on: 2027-04-20, then: dug in}"
    with pytest.raises(InputError, match="no published figure: bulk density of rye and vetch"):
        run(plan_text(action, extra=heap(("rye and vetch", "volume: 2 m3"))))


# From bed to heap to bed. 4 t/ha of ley with 45 % C is 0.18 kg C/m2; half of it is left when the heap is done.
CARTED = 0.4 * 0.45
OURS = heap(("green", "mass: 1 t"))


def ley(sow="1 Mar", cut="1 Aug", more="", then="to the heap"):
    return f"cover: {{name: ley, sow: {sow}, cut: {cut}, every: year, then: {then}{more}}}"


def back(on="1 Oct", share="100 %", more="", name="our heap"):
    return f"spread: {{material: {name}, heap_share: {share}, on: {on}, every: year, then: left on surface{more}}}"


def brought(*actions, source="our heap", draws=None, **site):
    """Carbon of each spreading from the heap, kg C for each m2 of all beds, by year."""
    made = run(plan_text(*actions, extra=OURS + COVER, **site), draws=draws)
    found = {}
    for load in made.timeline.arrivals.loads:
        if load.name == source:
            found[load.date.year] = found.get(load.date.year, 0.0) + load.carbon * load.share
    return {year: amount if draws else float(amount[0]) for year, amount in found.items()}


def test_what_was_carted_comes_back_once_less_what_the_heap_loses():
    assert brought(ley(), back()) == pytest.approx(dict.fromkeys((2027, 2028, 2029), CARTED * 0.5), rel=1e-12)


def test_half_a_share_is_half():
    assert brought(ley(), back(share="50 %")) == pytest.approx(
        dict.fromkeys((2027, 2028, 2029), CARTED * 0.25), rel=1e-12
    )


def test_two_halves_in_a_year_are_the_whole():
    twice = brought(ley(), back(share="50 %"), back("1 Nov", "50 %"))
    assert twice == pytest.approx(brought(ley(), back()), rel=1e-12)


def test_more_than_the_whole_heap_is_refused():
    with pytest.raises(InputError, match=r"160 % of the ley carted to the heap on 2027-08-01"):
        brought(ley(), back(), back("1 Nov", "60 %"))


def test_two_spreadings_of_all_of_it_are_two_heaps_when_each_thing_is_spread_once():
    # Every cut lies in the twelve months before one spreading of the two alone: in even and in odd years.
    alternating = [back(more=", last_year: 1"), back(more=", first_year: 2")]
    assert brought(ley(), *alternating) == pytest.approx(brought(ley(), back()), rel=1e-12)


def test_the_first_spreading_has_only_what_was_carted_since_the_start():
    # Spread in April, cut in August: nothing is there in the first April, and nobody knows of an older heap.
    found = brought(ley(), back("20 Apr"))
    assert found == pytest.approx({2027: 0.0, 2028: CARTED * 0.5, 2029: CARTED * 0.5}, rel=1e-12)


@pytest.mark.parametrize("cut", ["19 Apr", "20 Apr", "21 Apr", "28 Feb"])
def test_no_cut_falls_between_two_spreadings_in_a_leap_year(cut):
    # From one 20 April to the next are 366 days when 29 February 2028 lies between.
    found = brought(ley("1 Sep", cut), back("20 Apr"), horizon="6 years")
    carted = sum(found.values()) / (CARTED * 0.5)
    assert carted == pytest.approx(5.0 if cut == "21 Apr" else 6.0, rel=1e-12)
    assert all(amount == pytest.approx(CARTED * 0.5) for year, amount in found.items() if year > 2027)


def test_what_is_carted_from_half_of_the_beds_is_spread_on_a_quarter():
    # In kg for each m2 of all beds nothing changes; on the quarter it lies four times as thick.
    whole, half = brought(ley(), back()), brought(ley(more=", share: 50 %"), back(more=", share: 25 %"))
    assert {year: 2.0 * amount for year, amount in half.items()} == pytest.approx(whole, rel=1e-12)
    made = run(plan_text(ley(more=", share: 50 %"), back(more=", share: 25 %"), extra=OURS + COVER))
    (first, *_) = [load for load in made.timeline.arrivals.loads if load.name == "our heap"]
    assert float(first.carbon[0]) == pytest.approx(CARTED * 0.5 * 0.5 / 0.25, rel=1e-12)


def test_haulm_of_a_crop_goes_the_same_way():
    # Library: cucumber leaves 0.28 kg/m2 of leaves and stems, 44 % C.
    crop = "crop: {name: cucumber, from: 1 May, to: 30 Sep, every: year, then: to the heap}"
    found = brought(crop, back("15 Oct"))
    assert found == pytest.approx(dict.fromkeys((2027, 2028, 2029), 0.28 * 0.44 * 0.5), rel=1e-9)


def test_what_is_carted_off_or_left_feeds_no_heap():
    for then in ("carted off", "left on surface"):
        assert set(brought(ley(then=then), back()).values()) == {0.0}


def test_several_things_on_the_heap_are_one_heap():
    crop = "crop: {name: cucumber, from: 15 Aug, to: 15 Sep, every: year, then: to the heap}"
    expected = (CARTED + 0.28 * 0.44) * 0.5
    assert brought(ley(), crop, back())[2027] == pytest.approx(expected, rel=1e-9)


def test_nitrogen_comes_back_too_and_what_is_not_known_stays_unknown():
    # Ley of 4 t/ha with 2.5 % N: 0.01 kg/m2, of which a quarter is lost; cut on half of the beds, spread on a quarter.
    extra = OURS + COVER.replace("carbon: 45 %, root", "carbon: 45 %, nitrogen: 2.5 %, root")
    made = run(plan_text(ley(more=", share: 50 %"), back(more=", share: 25 %"), extra=extra))
    (first, *_) = [load for load in made.timeline.arrivals.loads if load.name == "our heap"]
    assert float(first.nitrogen[0]) == pytest.approx(0.01 * 0.75 * 0.5 / 0.25, rel=1e-12)
    assert first.phosphorus is None and first.potassium is None


def test_of_each_kg_of_plant_carbon_the_same_share_comes_back_in_every_draw():
    found = brought(ley(), back(), draws=64)
    lost = 1.0 - found[2027] / CARTED
    assert len(np.unique(lost.round(9))) == 64
    # The library's range of carbon lost, 40 to 65 %, is the middle 90 % of the draws.
    low, high = np.quantile(lost, [0.05, 0.95])
    assert (low, high) == pytest.approx((0.40, 0.65), abs=0.02)
    assert np.all((lost > 0.0) & (lost <= 0.95))


def test_dry_mass_of_what_comes_back_is_its_carbon_at_the_heap_s_own_share():
    made = run(plan_text(ley(), back(), extra=OURS + COVER))
    (first, *_) = [load for load in made.timeline.arrivals.loads if load.name == "our heap"]
    assert float(first.carbon[0] / first.dry[0]) == pytest.approx(0.44 * 0.5 / 0.55, rel=1e-12)


@settings(max_examples=15, deadline=None)
@given(area=st.floats(1.0, 1e5), times=st.floats(0.1, 50.0))
def test_carbon_for_each_square_metre_does_not_know_how_large_the_beds_are(area, times):
    one, other = (brought(ley(), back(), beds=f"{{area: {size:.6f} m2}}") for size in (area, area * times))
    assert one == pytest.approx(other, rel=1e-12)


def test_the_loop_in_american_units_is_the_loop():
    # Exact by definition: 4 t/ha in short tons an acre (907.18474 kg, 4046.8564224 m2).
    american = f"{4 * 4046.8564224 / 10 / 907.18474:.12f} short ton/acre"
    one = brought(ley(more=", dry_tops: 4 t/ha"), back())
    other = brought(ley(more=f", dry_tops: {american}"), back())
    assert one == pytest.approx(other, rel=1e-10)  # twelve decimals are written


def test_a_bought_compost_can_be_what_the_heap_is_taken_to_be():
    made = run(plan_text(ley(), back(name="plain compost"), extra=COMPOST + COVER))
    (first, *_) = [load for load in made.timeline.arrivals.loads if load.name == "plain compost"]
    assert float(first.carbon[0]) == pytest.approx(CARTED * 0.5, rel=1e-12)
    assert float(first.dry[0]) == pytest.approx(CARTED * 0.5 / 0.20, rel=1e-12)


def test_a_lot_of_ones_own_is_wet_and_heavy_together_whatever_it_is_called():
    # Half of the variance of each is the wetness that both have in common (0.5, judged): correlated by -0.5, within
    # three standard errors of 512 draws.
    text = "materials:\n  a/b heap: {like: garden compost, bulk_density: 500 to 700 kg/m3, dry_matter: 45 to 65 %}\n"
    shared = setting_of(plan_text("idle: {as: bare}", extra=text), draws=512)
    pair = [shared.draws.joint_score(f"plan/materials/a/b heap/{one}") for one in ("bulk_density", "dry_matter")]
    assert np.corrcoef(*pair)[0, 1] == pytest.approx(-0.5, abs=0.1)
