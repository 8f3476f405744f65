"""Land through the study."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from somsim.errors import InputError
from somsim.study.envelope_land import LandTyped, land_study
from somsim.units import parse_amount


def of(layer="25 mm", area="100 m2", cover="white clover", dry_yield=None, **more):
    given_yield = None if dry_yield is None else parse_amount(dry_yield, "mass_per_area")
    return land_study(LandTyped(parse_amount(layer, "length"), parse_amount(area, "area"), cover, given_yield, **more))


@settings(deadline=None, max_examples=40)
@given(st.floats(1, 50), st.floats(1.2, 5))
def test_land_is_linear_in_the_layer_and_in_the_beds(layer, times):
    one = of(f"{layer:.6f} mm")
    deeper, wider = of(f"{layer * times:.6f} mm"), of(f"{layer:.6f} mm", f"{100 * times:.6f} m2")
    assert deeper.area_by_nitrogen.best == pytest.approx(times * one.area_by_nitrogen.best, rel=1e-4)
    assert wider.area_by_organic_matter.high == pytest.approx(times * one.area_by_organic_matter.high, rel=1e-4)
    assert wider.by_nitrogen.best == pytest.approx(one.by_nitrogen.best, rel=1e-9)


def test_the_larger_area_feeds_the_crop_given_up():
    found = of(crop="cabbage")
    assert found.larger_area.best == max(found.area_by_organic_matter.best, found.area_by_nitrogen.best)
    assert found.instead.best == pytest.approx(4.5 * found.larger_area.best)
    assert found.portions.best == pytest.approx(found.instead.best / 0.080)


def test_each_printed_ratio_stands_beside_in_proportion():
    found = {one.name: one for one in of("12.5 mm").printed}
    clover = found["clover land that matches 25 mm of compost"]
    assert (clover.ratio.best, clover.for_yours.best) == pytest.approx((6.6, 3.3))
    assert len(found) == 5


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"layer": "2 m"}, '--layer "2 m": is past 1 m'),
        ({"cover": "wite clover"}, '--with "wite clover": nothing is called so among the covers'),
        ({"cover": "red clover, autumn"}, "--yield: no dry yield is published for red clover, autumn"),
        ({"crop": "cabage"}, '--crop "cabage": nothing is called so among the crops'),
        ({"compost": "wood biochar"}, "the library has no organic matter for it"),
        ({"area": "100 to 200 m2"}, '--area "100 to 200 m2": is a range'),
    ],
)
def test_nonsense_is_refused_in_one_clear_line(given, said):
    with pytest.raises(InputError) as caught:
        of(**given)
    assert said in str(caught.value).splitlines()[0]
