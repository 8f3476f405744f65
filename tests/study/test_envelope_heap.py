"""Heaps through the study: mass balance, windows, own figures."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from somsim.errors import InputError
from somsim.study.envelope_heap import HeapTyped, heap_study, read_part

GREENS = "greens = 1 m3; density 500 kg/m3; dry matter 20 %; carbon 44 %; nitrogen 3 %"


def of(*parts, compost=None):
    return heap_study(HeapTyped(tuple(read_part(part) for part in parts), compost))


@settings(deadline=None, max_examples=40)
@given(st.floats(1, 1000), st.floats(1, 1000))
def test_the_mass_balance_closes(wet, dry):
    found = of(f"clover cuttings = {wet:.6f} kg", f"straw = {dry:.6f} kg")
    assert found.mass.best == pytest.approx(wet + dry, rel=1e-5)
    lost = found.losses["dry_matter"].best
    assert found.made_dry.best == pytest.approx(found.dry.best * (1 - lost))
    carbon = found.made_carbon.best * found.made_dry.best
    assert carbon == pytest.approx(_heaped_carbon(wet, dry) * (1 - found.losses["carbon"].best), rel=1e-4)
    nitrogen = found.made_nitrogen.best * found.made_dry.best
    assert nitrogen + found.nitrogen_lost.best == pytest.approx(
        _heaped_carbon(wet, dry) / found.carbon_to_nitrogen.best, rel=1e-4
    )


def _heaped_carbon(wet, dry):
    """Worked arithmetic on the library's best values: clover cuttings 17 % and 44 %, straw 86 % and 45 %."""
    return wet * 0.17 * 0.44 + dry * 0.86 * 0.45


@settings(deadline=None, max_examples=40)
@given(st.floats(0.1, 100), st.floats(1.5, 10))
def test_twice_the_heap_is_twice_the_compost(volume, times):
    one, many = (of(f"clover cuttings = {size:.6f} m3") for size in (volume, volume * times))
    assert many.made_volume.best == pytest.approx(times * one.made_volume.best, rel=1e-4)
    assert many.fresh_for_one.high == pytest.approx(one.fresh_for_one.high, rel=1e-4)


def test_both_handbooks_are_named_and_may_disagree():
    found = of("clover cuttings = 100 kg", "straw = 45 kg")
    older, newer = (one for one in found.windows if one.what == "carbon_to_nitrogen")
    assert (older.best.low, older.best.high, newer.best.high) == (25, 30, 40)
    assert 30 < found.carbon_to_nitrogen.best < 40
    assert (older.lies, newer.lies) == ("above", "within")


def test_the_range_of_the_losses_is_carried():
    # Worked arithmetic: 100 kg of dry matter, of which 45 % (30 to 60) is lost in one fire; nothing else is uncertain.
    found = of(GREENS, compost="reference compost")
    assert (found.made_dry.low, found.made_dry.best, found.made_dry.high) == pytest.approx((40, 55, 70), rel=0.002)
    assert found.made_volume.high == pytest.approx(70 / 0.6 / 600, rel=0.002)


def test_own_figures_stand_above_the_library():
    found = of("straw = 100 kg; dry matter 50 %; C:N 40")
    assert found.dry.best == pytest.approx(50)
    assert found.carbon_to_nitrogen.best == pytest.approx(40)
    assert of("straw = 100 kg; C:N 60 to 100").carbon_to_nitrogen.is_range


def test_a_cover_is_taken_at_its_stage():
    young, old = (of(f"cereal rye @ {stage} = 100 kg") for stage in ("vegetative", "mature"))
    assert young.carbon_to_nitrogen.best < 20 < 80 < old.carbon_to_nitrogen.best
    assert "cut at vegetative" in young.assumed[0]


def test_cautions_of_the_heap_and_of_what_is_in_it():
    plain = {one.id for one in of(GREENS).watch}
    manure = {one.id for one in of("fresh horse manure = 1 m3").watch}
    assert {"spores", "heap_place", "lifting"} <= plain
    assert {"raw_manure", "hot_heap"} <= manure - plain


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("straw = 20 kg; C:N 0", '--add, C:N "0 ratio": a ratio must be more than 0'),
        ("straw = -20 kg", '--add "-20 kg": a mass cannot be negative'),
        ("straw = 20 m2", "m2 is an area; here a mass is needed"),
        ("straw", '--add "straw": what, and how much?'),
        ("= 20 kg", "what, and how much?"),
        ("strow = 20 kg", "neither a material nor a cover of the library: strow"),
        ("haulm = 20 kg; dry matter 20 %", "density, carbon, nitrogen of haulm not known"),
        ("straw = 20 kg; colour 3 %", '"colour 3 %" is no figure of a material'),
        ("straw = 20 kg; dry matter 120 %", "a share of a whole is at most 100 %"),
        ("cereal rye @ ripe = 20 kg", '"ripe" is no stage'),
        ("rye and vetch @ mature = 20 kg", "dry matter, nitrogen of rye and vetch not known"),
        ("haulm = 1 kg; dry matter 20 %; carbon 80 %; nitrogen 30 %; density 300 kg/m3", "more than the dry mass"),
    ],
)
def test_nonsense_is_refused_in_one_clear_line(text, said):
    with pytest.raises(InputError) as caught:
        of(text)
    assert said in str(caught.value).splitlines()[0]


def test_an_empty_heap_is_refused():
    with pytest.raises(InputError, match="nothing is in the heap"):
        of()
