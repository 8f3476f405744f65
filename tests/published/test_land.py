"""Land that feeds compost: the published shares of land beside worked arithmetic on published yields."""

import pytest

from somsim.estimate.land import (
    area_ratio,
    feed_land,
    layer_content,
    layer_from_land,
    ratio_from_share,
    share_from_ratio,
    yield_to_compost,
)

# AHDB Nutrient Management Guide RB209, section 2 (from memory) and CalRecycle: 600 kg/m3, 60 % dry matter,
# 40 % organic matter and 7.5 kg N per fresh tonne.
COMPOST = {"density": 600.0, "dry_matter": 0.60}
ORGANIC, NITROGEN = 0.40, 0.0075 / 0.60

# Stopes, Millington & Woodward (1996), Agric. Ecosyst. Environ. 57:189: white clover 12.2 t/ha in a year
# (read).
CLOVER, ORDINARY = 1.22, 0.60


def ratio(millimetres, dry_yield):
    brought = yield_to_compost(dry_yield, content=0.90, loss=0.50)
    return float(area_ratio(layer_content(millimetres / 1000, **COMPOST, content=ORGANIC), brought))


@pytest.mark.parametrize(
    ("millimetres", "dry_yield", "expected"),
    [
        (25, CLOVER, 6.6),
        (25, ORDINARY, 13.3),
        (10, CLOVER, 2.6),
        (6, CLOVER, 1.6),
        (9, CLOVER, 2.4),
        (12, CLOVER, 3.1),
    ],
)
def test_clover_for_a_layer(millimetres, dry_yield, expected):
    # Worked arithmetic on the published yield: 3.6 / (1.22 x 0.90 x 0.5) for 25 mm. One decimal, so 0.05.
    assert ratio(millimetres, dry_yield) == pytest.approx(expected, abs=0.051)


def test_share_of_land_in_compost_crops():
    # Jeavons, How to Grow More Vegetables (read): 60 % (50 to 70) of the growing area, which is 1.5 m2 for
    # each m2.
    assert float(ratio_from_share(0.60)) == pytest.approx(1.5, rel=1e-12)
    assert ratio_from_share([0.5, 0.7]).tolist() == pytest.approx([1.0, 7 / 3])


def test_feed_land_behind_steer_manure():
    # Jeavons (read): 500 square feet of feed land behind an inch of manure on 100 square feet, so 5 in 6 of
    # the land.
    assert float(share_from_ratio(500 / 100)) == pytest.approx(5 / 6, rel=1e-12)


def test_jeavons_land_feeds_about_his_layer():
    # His rate without soil in the heap is 6.1 mm where half of the cured heap is soil (worked arithmetic);
    # 1.5 m2 of the best clover read feeds 5.7 mm. A loose check: the soil share is not known, so 10 %.
    brought = yield_to_compost(CLOVER, content=0.90, loss=0.50)
    depth = layer_from_land(ratio_from_share(0.60), brought=brought, **COMPOST, content=ORGANIC)
    assert 1000 * float(depth) == pytest.approx(6.1, rel=0.10)


def test_nitrogen_asks_for_less_land_than_organic_matter():
    # Wortmann & Shapiro, NebGuide G1315: up to 40 % of N lost (read); clover of 3 % N (from memory): 25 mm
    # of compost hold 1,125 kg N/ha, and 1.22 x 0.03 x 0.6 kg/m2 make 5.1 m2/m2 (worked arithmetic) against
    # 6.6.
    both = feed_land(
        layer_content(0.025, **COMPOST, content=ORGANIC),
        layer_content(0.025, **COMPOST, content=NITROGEN),
        brought_organic=yield_to_compost(CLOVER, content=0.90, loss=0.50),
        brought_nitrogen=yield_to_compost(CLOVER, content=0.03, loss=0.40),
    )
    assert float(both.by_nitrogen) == pytest.approx(5.1, abs=0.05)
    assert float(both.larger) == float(both.by_organic_matter)
