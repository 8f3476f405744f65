"""Money: worked arithmetic on the prices of the plan, whole cents that add up, and nothing where nothing was said."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from money_plans import COVER, CROP, SPREAD, run

from somsim.outcomes.money import LINES, SALES, Ledger, ledger, worth_of_years, year_ends
from somsim.outcomes.work import work
from somsim.timeline.build import Date


def book(*actions: str, money: str = "currency: EUR", **how: object) -> Ledger:
    extra = f"money: {{{money}}}\n" + str(how.pop("extra", ""))
    found = ledger(run(*actions, extra=extra, **how))  # type: ignore[arg-type]  # the words of run
    assert found is not None
    return found


def total(found: Ledger, line: str) -> float:
    """Money of one line over all years."""
    return float(found.cents[LINES.index(line)].sum(axis=0)[0]) / 100


def test_without_prices_there_is_no_money() -> None:
    assert ledger(run(SPREAD, CROP)) is None


def test_material_is_paid_by_volume_or_by_weight() -> None:
    # 40 m2 x 5 mm x 4 years = 0.8 m3 at 35; the library's 600 kg/m3 make it 480 kg, at 0.10 a kg 48.00.
    by_volume = book(SPREAD, money="currency: EUR, prices: {garden compost: 35 per m3}")
    by_weight = book(SPREAD, money="currency: EUR, prices: {garden compost: 0.1 per kg}")
    assert (total(by_volume, "material"), total(by_weight, "material")) == (28.0, 48.0)
    assert by_volume.complete and by_volume.guessed == ()


def test_another_name_of_the_library_is_the_same_thing() -> None:
    prices = "currency: EUR, prices: {yard waste compost: 35 per m3}"
    assert total(book(SPREAD, money=prices), "material") == 28.0


@pytest.mark.parametrize(("load", "loads"), [("8 m3", 1), ("0.2 m3", 1), ("0.1 m3", 2), ("0.15 m3", 2), ("60 l", 4)])
def test_delivery_is_by_whole_loads_for_each_day(load: str, loads: int) -> None:
    # 0.2 m3 on each of four days.
    money = f"currency: EUR, prices: {{garden compost: 35 per m3}}, delivery: 60 per load, load: {load}"
    assert total(book(SPREAD, money=money), "delivery") == 4 * loads * 60.0


def test_two_spreadings_of_a_day_come_in_one_load() -> None:
    half = [SPREAD.replace("every: year", f"every: year, beds: {beds}") for beds in ("1 to 2", "3 to 4")]
    money = "currency: EUR, prices: {garden compost: 35 per m3}, delivery: 60 per load, load: 8 m3"
    assert total(book(*half, money=money), "delivery") == 4 * 60.0


def test_seed_is_paid_by_area_and_sowing_rate() -> None:
    # 40 m2 x 14 g/m2 (library) x 4 = 2.24 kg at 6.
    assert total(book(COVER, money="currency: EUR, prices: {rye and vetch seed: 6 per kg}"), "seed") == 13.44


def test_seed_of_a_mix_goes_by_its_plants_or_by_its_own_price() -> None:
    # A plant has its rate times its share: rye 15 g/m2 x 60 % = 9 g/m2, hairy vetch 4 x 40 % = 1.6 g/m2; 160 m2 sown.
    mix = COVER.replace("name: rye and vetch", "name: mine, mix: {cereal rye: 60 %, hairy vetch: 40 %}")
    plants = "currency: EUR, prices: {cereal rye seed: 2 per kg, hairy vetch seed: 6 per kg}"
    assert total(book(mix, money=plants), "seed") == pytest.approx(0.16 * (9 * 2 + 1.6 * 6), abs=0.021)
    assert total(book(mix, money="currency: EUR, prices: {mine seed: 5 per kg}"), "seed") == pytest.approx(
        0.16 * 10.6 * 5, abs=0.021
    )


def test_a_cover_sown_before_the_plan_has_its_seed_already() -> None:
    found = book(COVER, start="2027-01-01", horizon="9 months", money="currency: EUR")
    assert found.unpriced == () and total(found, "seed") == 0.0


def test_hours_are_hired_or_own_and_own_ones_cost_their_wage() -> None:
    # Sown 0.8 h, cut 0.64 h in all (see the tests of work).
    assert total(book(COVER, money="currency: EUR"), "own hours") == 0.0
    own = book(COVER, money="currency: EUR, wage: 15 per hour")
    hired = book(COVER, money="currency: EUR, wage: 15 per hour, hired: {cut: 40 per hour}")
    assert total(own, "own hours") == pytest.approx(1.44 * 15, abs=0.02)
    assert total(hired, "own hours") == pytest.approx(0.8 * 15, abs=0.02)
    assert total(hired, "hired work") == pytest.approx(0.64 * 40, abs=0.02)


def test_feeding_the_soil_is_all_but_the_work_on_crops() -> None:
    prices = "currency: EUR, wage: 15 per hour, prices: {garden compost: 35 per m3, cucumber: 1.5 per kg}"
    with_crop, alone = book(SPREAD, CROP, money=prices), book(SPREAD, money=prices)
    assert with_crop.feeding.tolist() == alone.feeding.tolist() == alone.costs.tolist()


def test_crops_are_sold_only_at_a_price_of_the_plan() -> None:
    # 40 m2 x 12 kg/m2 (library) x 4 = 1,920 kg.
    sold = book(CROP, money="currency: EUR, prices: {cucumber: 1.5 per kg}")
    assert (total(sold, "sales"), sold.unsold) == (2880.0, ())
    kept = book(CROP, money="currency: GBP")
    assert (total(kept, "sales"), kept.unsold, kept.complete) == (0.0, ("cucumber",), True)


def test_old_guesses_stand_in_only_in_their_own_money_and_are_delivered() -> None:
    # The library has garden compost at 35 GBP/m3 and rye and vetch seed at 3.5 GBP/kg.
    pounds = book(SPREAD, COVER, money="currency: GBP, delivery: 60 per load, load: 8 m3")
    assert (total(pounds, "material"), total(pounds, "seed"), total(pounds, "delivery")) == (28.0, 7.84, 0.0)
    assert pounds.guessed == ("garden compost", "seed of rye and vetch") and pounds.complete
    euros = book(SPREAD, COVER, money="currency: EUR")
    assert euros.unpriced == ("garden compost", "seed of rye and vetch") and not euros.complete
    assert not euros.cents.any()


def test_what_is_made_at_home_is_not_bought() -> None:
    heap = "materials: {mine: {like: garden compost, heap: [{feedstock: straw, mass: 300 kg}]}}\n"
    made = book(SPREAD.replace("garden compost", "mine"), money="currency: EUR", extra=heap)
    assert made.complete and not made.cents.any()
    prices = "currency: EUR, prices: {mine: 10 per m3}"
    priced = book(SPREAD.replace("garden compost", "mine"), money=prices, extra=heap)
    assert total(priced, "material") == pytest.approx(8.0)


def test_later_money_counts_for_less_as_in_any_textbook() -> None:
    # Worked by hand: 100 + 100 / 1.03 + 100 / 1.0609 = 100 + 97.0874 + 94.2596 = 291.3470.
    assert 100 * worth_of_years(0.03, 3).sum() == pytest.approx(291.3470, abs=5e-5)
    # 720.00 a year for four years at 5 %: 720.00 + 685.71 + 653.06 + 621.96, each to the cent.
    found = book(CROP, money="currency: EUR, discount: 5 %/yr, prices: {cucumber: 1.5 per kg}")
    assert found.result[:, 0].tolist() == [72000.0] * 4
    assert found.present.tolist() == [72000 + 68571 + 65306 + 62196]


def test_without_a_discount_present_and_sum_are_one() -> None:
    found = book(CROP, SPREAD, money="currency: GBP, wage: 13.33 per hour, prices: {cucumber: 1.37 per kg}", draws=8)
    assert found.present.tolist() == found.result.sum(axis=0).tolist()


def test_years_begin_at_the_start_and_the_last_may_be_short() -> None:
    assert year_ends(Date(2028, 2, 29), Date(2029, 8, 29)) == (
        Date(2028, 2, 29), Date(2029, 2, 28), Date(2029, 8, 29),
    )  # fmt: skip
    assert book(CROP, horizon="18 months").begins == (Date(2026, 10, 1), Date(2027, 10, 1))


ACTIONS = [
    SPREAD,
    SPREAD.replace("5 mm", "2 to 7 mm").replace("every: year", "every: year, beds: 1 to 2").replace("20 Apr", "1 Mar"),
    SPREAD.replace("garden compost", "straw").replace("20 Apr", "2 Apr"),
    COVER,
    CROP,
    "idle: {as: weeds}",
]
money = st.decimals("0", "99.99", places=2)


@settings(max_examples=20, deadline=None)
@given(
    actions=st.lists(st.sampled_from(ACTIONS), min_size=1, unique=True),
    prices=st.dictionaries(st.sampled_from(["garden compost", "straw", "cucumber", "rye and vetch seed"]), money),
    wage=st.none() | money,
    rate=st.decimals("0", "20", places=1),
    horizon=st.integers(12, 60),
    draws=st.sampled_from([0, 4]),
)
def test_all_sums_tie_to_the_cent_and_nothing_is_not_a_number(
    actions: list[str], prices: dict[str, object], wage: object, rate: object, horizon: int, draws: int
) -> None:
    listed = ", ".join(f"{name}: {price} per kg" for name, price in prices.items())
    said = f"currency: EUR, discount: {rate} %/yr, prices: {{{listed}}}"
    said += "" if wage is None else f", wage: {wage} per hour"
    found = book(*actions, money=said, horizon=f"{horizon} months", draws=draws)
    assert np.all(np.isfinite(found.cents)) and np.all(found.cents >= 0.0)
    assert np.array_equal(found.cents, np.rint(found.cents))
    lines = [found.cents[number].sum(axis=0) for number in range(len(LINES))]
    assert np.array_equal(lines[SALES] - sum(lines[:SALES]), found.result.sum(axis=0))
    assert np.array_equal(found.costs + found.result, found.cents[SALES])
    assert np.array_equal(found.present, np.rint(found.present)) and np.all(np.isfinite(found.present))
    assert np.all(found.feeding <= found.costs + 0.5) and np.all(found.feeding >= -1.0)
    for thing in found.things.values():
        assert np.all(thing.quantity >= 0.0) and np.all(np.isfinite(thing.cents))


def test_the_ledger_knows_every_hour_of_the_work() -> None:
    made = run(COVER, CROP, SPREAD, extra="money: {currency: EUR, wage: 1 per hour}\n", draws=4)
    found = ledger(made)
    assert found is not None
    hours = sum(job.hours * job.share * 40.0 for job in work(made).jobs)
    assert found.cents[LINES.index("own hours")].sum(axis=0) / 100 == pytest.approx(hours, abs=0.03)
