"""Covers that were weighed: several samples, one, dried or not, cut by cut; and cuts that no season holds."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from worked_plans import COVER, plan_text, run, setting_of

from somsim.errors import InputError
from somsim.plan import parse_plan
from somsim.study.explain import explain_plan
from somsim.study.seasons import thin_cuts

# Quantiles of Student's t, 95 % one-sided (Student 1908; Fisher & Yates 1963, table III; from memory): with one
# degree of freedom 6.314, with two 2.920, with three 2.353.
T95 = {2: 6.314, 3: 2.920, 4: 2.353}


def rye_and_vetch(keys, then="left on surface"):
    season = "sow: 2027-10-05, cut: 2028-04-20"
    return f"cover: {{name: rye and vetch, {season}, then: {then}, sample: {{area: 0.5 m2, {keys}}}}}"


def loads_of(action, *, draws=None, **site):
    return run(plan_text(action, **site), draws=draws).timeline.arrivals.loads


def unknown_of(action, ending):
    unknowns = setting_of(plan_text(action)).figures.unknowns
    (found,) = [one for name, one in unknowns.items() if name.startswith("plan/") and name.endswith(ending)]
    return found


def test_three_samples_by_hand():
    # 0.9, 1.2 and 1.5 kg from half a square metre each: 1.8, 2.4 and 3.0 kg/m2; mean 2.4, standard deviation 0.6,
    # standard error 0.6 / sqrt(3) = 0.34641, times 2.920 = 1.0115.
    one = unknown_of(rye_and_vetch("fresh: [0.9 kg, 1.2 kg, 1.5 kg]"), "fresh_per_area")
    assert one.best == pytest.approx(2.4, rel=1e-12)
    # 2e-4: the quantile is printed with four digits.
    assert (one.low, one.high) == pytest.approx((2.4 - 1.0115, 2.4 + 1.0115), rel=2e-4)
    assert one.source == "3 samples of 0.5 m2"


@pytest.mark.parametrize("count", T95)
def test_the_range_is_students_t_times_the_standard_error(count):
    weights = [1.0 + 0.1 * number for number in range(count)]
    one = unknown_of(rye_and_vetch(f"fresh: [{', '.join(f'{weight} kg' for weight in weights)}]"), "fresh_per_area")
    error = np.std([weight / 0.5 for weight in weights], ddof=1) / np.sqrt(count)
    assert (one.high - one.best) / error == pytest.approx(T95[count], rel=2e-4)


def test_two_samples_far_apart_never_weigh_less_than_nothing():
    one = unknown_of(rye_and_vetch("fresh: [0.2 kg, 2.0 kg]"), "fresh_per_area")
    assert one.low == 0.0 < one.best < one.high
    (load,) = loads_of(rye_and_vetch("fresh: [0.2 kg, 2.0 kg]"), draws=128)
    assert np.all(load.dry >= 0.0)


def test_one_sample_takes_the_published_spread_of_its_crop_and_says_that_it_is_one():
    # Rye and vetch: 4.1 t/ha (2.5 to 7.0), Lawson et al. (2015), ends from memory: half of 4.5 over 4.1 either way.
    spread = 0.5 * 4.5 / 4.1
    one = unknown_of(rye_and_vetch("fresh: 1.2 kg"), "fresh_per_area")
    assert (one.low, one.best, one.high) == pytest.approx(
        ((1 - spread) * 2.4, 2.4, (1 + spread) * 2.4), rel=1e-12
    )
    assert one.source == "1 sample of 0.5 m2"
    (load,) = loads_of(rye_and_vetch("fresh: 1.2 kg"))
    assert load.basis == "1 sample of 0.5 m2"


def test_one_sample_of_a_plant_that_nobody_published_takes_what_fresh_weight_is_worth():
    # 30 % either way, from memory. Of a mix the plant that varies most: barley, 4.5 (2.2 to 11.2) t/ha
    # (from memory), more than rye.
    season = "sow: 2027-10-05, cut: 2028-04-20, then: dug in"
    sample = "sample: {fresh: 1.2 kg, area: 0.5 m2, dry_matter: 20 %}"
    own = "covers:\n  weeds of ours: {residue: soft_green, dry_tops: 2 t/ha, carbon: 45 %, root_ratio: 0.4 ratio}\n"
    shared = setting_of(plan_text(f"cover: {{name: weeds of ours, {season}, {sample}}}", extra=own))
    (one,) = [unknown for name, unknown in shared.figures.unknowns.items() if name.endswith("fresh_per_area")]
    assert one.high == pytest.approx(1.3 * 2.4, rel=1e-12)
    mixed = unknown_of(
        f"cover: {{name: our mix, mix: {{cereal rye: 50 %, barley: 50 %}}, {season}, {sample}}}", "fresh_per_area"
    )
    barley, rye = 0.5 * (11.2 - 2.2) / 4.5, 0.5 * 4.5 / 5.1
    assert mixed.high == pytest.approx((1.0 + max(barley, rye)) * 2.4, rel=1e-12)


def test_alike_samples_leave_no_doubt_about_the_fresh_weight():
    (load,) = loads_of(rye_and_vetch("fresh: [1.2 kg, 1.2 kg], wet: 200 g, dry: 30 g"), draws=16)
    assert load.dry == pytest.approx(np.full(16, 0.36), rel=1e-12)


def test_a_dried_part_counts_and_the_library_does_not():
    # 1.2 kg on 0.5 m2 is 2.4 kg/m2; 34 g of 200 g is 17 %; the library has 16 % for rye and vetch in leaf.
    ways = {"wet: 200 g, dry: 34 g": 0.408, "dry_matter: 25 %": 0.6, "": 2.4 * 0.16}
    for keys, dry in ways.items():
        (load,) = loads_of(rye_and_vetch(f"fresh: 1.2 kg{', ' if keys else ''}{keys}"))
        assert float(load.dry[0]) == pytest.approx(dry, rel=1e-12), keys
        assert float(load.carbon[0]) == pytest.approx(dry * 0.44, rel=1e-12)


def test_drying_a_part_leaves_less_doubt_than_the_library():
    dried, guessed = (
        loads_of(rye_and_vetch(f"fresh: [1.2 kg, 1.3 kg, 1.25 kg]{keys}"), draws=512)[0].dry
        for keys in (", wet: 200 g, dry: 32 g", "")
    )
    spread = [np.subtract(*np.quantile(dry, [0.9, 0.1])) / np.median(dry) for dry in (dried, guessed)]
    assert spread[0] < 0.7 * spread[1]


def test_the_fresh_weight_of_the_library_dry_matter_is_what_was_weighed():
    (load,) = loads_of(rye_and_vetch("fresh: 1.2 kg"))
    assert float(load.fresh[0]) == pytest.approx(2.4, rel=1e-12)


def test_roots_follow_the_mass_that_was_weighed():
    roots = []
    for fresh in ("1.2 kg", "2.4 kg"):
        made = run(plan_text(rye_and_vetch(f"fresh: {fresh}, dry_matter: 20 %", then="carted off")))
        roots.append(float(made.by_source(made.stocks.added)[made.sources.index("rye and vetch: roots"), -1].sum()))
    assert roots[1] == pytest.approx(2.0 * roots[0], rel=1e-12)


TWO = (
    "cover: {name: ley, sow: 2027-03-01, then: left on surface, cut: ["
    "{on: 2027-06-01, sample: {fresh: [2 kg, 3 kg], area: 1 m2, dry_matter: 20 %}},"
    " {on: 2027-08-01, sample: {fresh: 0.8 kg, area: 0.5 m2, wet: 100 g, dry: 25 g}, then: carted off}]}"
)


def test_two_cuts_with_samples_of_their_own():
    # 2.5 kg/m2 of 20 %, and 1.6 kg/m2 of 25 %.
    loads = loads_of(TWO, extra=COVER)
    assert [float(load.dry[0]) for load in loads] == pytest.approx([0.5, 0.4], rel=1e-12)
    assert [load.basis for load in loads] == ["2 samples of 1 m2", "1 sample of 0.5 m2"]
    assert [load.kept for load in loads] == [True, False]


def test_samples_of_two_cuts_err_each_on_its_own():
    one, other = (load.dry for load in loads_of(TWO, extra=COVER, draws=256))
    assert abs(np.corrcoef(one, other)[0, 1]) < 0.25  # four standard errors of 1/16


def test_the_same_sample_in_two_strategies_is_off_by_the_same_amount():
    action = rye_and_vetch("fresh: [0.9 kg, 1.2 kg, 1.5 kg]")
    text = plan_text(strategies={"a": [action], "b": ["dig: {on: 2027-02-01}", action]})
    one, other = (run(text, name, draws=32).timeline.arrivals.loads[0].dry for name in ("a", "b"))
    assert np.array_equal(one, other)


def test_a_cut_weighed_and_a_cut_not_weighed_stand_side_by_side():
    cuts = "[{on: 2028-04-20, sample: {fresh: 2 kg, area: 1 m2, dry_matter: 20 %}}, 2028-06-20]"
    action = f"cover: {{name: rye and vetch, sow: 2027-09-15, cut: {cuts}, then: left on surface}}"
    first, second = loads_of(action, climate="oregon-valley")
    assert float(first.dry[0]) == pytest.approx(0.4, rel=1e-12)
    assert first.basis == "1 sample of 1 m2"
    assert 0.0 < float(second.dry[0]) <= 0.85 * 0.42
    assert second.basis.startswith("the library's")


def test_a_sample_of_a_mix_is_shared_out_by_its_plants():
    mix = (
        "cover: {name: own mix, mix: {ley: 60 %, herbs: 40 %}, sow: 2027-04-01, cut: 2027-08-01, then: dug in,"
        " sample: {fresh: 2 kg, area: 1 m2, dry_matter: 20 %}}"
    )
    assert [float(load.dry[0]) for load in loads_of(mix, extra=COVER)] == pytest.approx([0.24, 0.16], rel=1e-12)


@settings(max_examples=25, deadline=None)
@given(
    weights=st.lists(st.floats(0.1, 5.0), min_size=2, max_size=5),
    area=st.floats(0.1, 4.0),
    times=st.floats(0.2, 20.0),
)
def test_a_sample_is_linear_in_weight_and_the_size_of_the_square_is_no_matter(weights, area, times):
    def bounds(kilograms, square):
        listed = ", ".join(f"{weight:.9f} kg" for weight in kilograms)
        text = rye_and_vetch(f"fresh: [{listed}]").replace("area: 0.5 m2", f"area: {square:.9f} m2")
        one = unknown_of(text, "fresh_per_area")
        return np.array([one.low, one.best, one.high])

    # 1e-6: nine decimals are written.
    heavier = bounds([times * weight for weight in weights], area)
    assert heavier == pytest.approx(times * bounds(weights, area), rel=1e-6, abs=1e-6)
    bigger = bounds([times * weight for weight in weights], times * area)
    assert bigger == pytest.approx(bounds(weights, area), rel=1e-6, abs=1e-6)


def test_pounds_and_square_feet_are_the_same_sample():
    # Exact by definition: 0.45359237 kg and 0.09290304 m2.
    metric = rye_and_vetch("fresh: [0.45359237 kg, 0.90718474 kg], wet: 100 g, dry: 20 g")
    american = metric.replace("0.45359237 kg, 0.90718474 kg", "1 lb, 2 lb")
    one, other = (action.replace("0.5 m2", area) for action, area in ((metric, "0.09290304 m2"), (american, "1 ft2")))
    for kilograms, pounds in zip(loads_of(one, draws=8), loads_of(other, draws=8), strict=True):
        assert kilograms.dry == pytest.approx(pounds.dry, rel=1e-12)


def refused(action, **site):
    with pytest.raises(InputError) as caught:
        run(plan_text(action, **site))
    (problem,) = caught.value.problems
    return problem


def cut_of(name, sow, cuts):
    return f"cover: {{name: {name}, sow: {sow}, cut: {cuts}, then: left on surface}}"


def test_more_cuts_than_the_plant_bears_point_at_the_first_too_many():
    action = cut_of("crimson clover", "2027-09-01", "[2028-05-01, 2028-06-20]")
    problem = refused(action)
    assert problem.message == "2 cuts: crimson clover bears at most 1 in a season"
    assert problem.source_line is not None and problem.place is not None
    assert problem.source_line[problem.place.column - 1 :].startswith("2028-06-20")


def test_red_clover_bears_four_cuts_and_not_five():
    # From memory, as the library says: 3 (2 to 4) cuts, 6 to 8 weeks apart.
    dates = ["2027-05-10", "2027-06-25", "2027-08-10", "2027-09-25", "2027-11-10"]
    assert len(loads_of(cut_of("red clover", "2027-03-01", f"[{', '.join(dates[:4])}]"))) == 4
    message = refused(cut_of("red clover", "2027-03-01", f"[{', '.join(dates)}]")).message
    assert message == "5 cuts: red clover bears at most 4 in a season"


def test_a_cut_too_soon_after_the_last_is_refused_to_the_half_week():
    # Six weeks are 42 days; a week has seven days, and nobody counts to less than half of one.
    assert len(loads_of(cut_of("red clover", "2027-03-01", "[2027-06-01, 2027-07-10]"))) == 2  # 39 days
    problem = refused(cut_of("red clover", "2027-03-01", "[2027-06-01, 2027-07-09]"))
    assert problem.message == "cut 2 comes 5.4 weeks after cut 1: red clover needs 6 to grow again"


def test_cuts_that_were_weighed_are_not_refused():
    cuts = "[{on: 2028-05-01, dry_tops: 3 t/ha}, {on: 2028-05-20, dry_tops: 1 t/ha}]"
    assert len(loads_of(cut_of("crimson clover", "2027-09-01", cuts))) == 2


def test_next_to_nothing_is_refused_unless_the_best_of_crops_would_do():
    # 0.5 t/ha (judged) is the least worth cutting; the library's high end is 7.0 / 4.1 of its best value.
    problem = refused(cut_of("rye and vetch", "2027-10-20", "2028-01-02"), climate="netherlands")
    assert problem.message.startswith("too early: on 2028-01-02 only some 0.13 t/ha of rye and vetch would stand")
    action = cut_of("rye and vetch", "2027-10-08", "2028-03-25")
    (load,) = loads_of(action, climate="netherlands")
    assert 0.05 * 4.1 / 7.0 < float(load.dry[0]) < 0.05


def test_a_thin_cut_is_noted_with_its_strategy_and_day():
    text = plan_text(cut_of("rye and vetch", "2027-10-08", "2028-03-25"), climate="netherlands")
    notes = [note for name, note in explain_plan(parse_plan(text)).notes if name == "thin cut"]
    assert len(notes) == 1
    assert notes[0].startswith("rye and vetch (a): on 2028-03-25 only some 0.")
    assert notes[0].endswith("less than the 0.5 t/ha worth cutting; weigh a sample.")
    made = run(text)
    assert thin_cuts([made], 0.0) == ()
    assert len(thin_cuts([made, made], 0.05)) == 1
    weighed = text.replace("then: left on surface", "then: left on surface, dry_tops: 0.3 t/ha")
    assert thin_cuts([run(weighed)], 0.05) == ()


def test_the_plants_of_a_mix_are_one_cut():
    # Each alone would be thin, together they are not: 5.1 and 2.3 t/ha in the usual season, half of each.
    mix = "cover: {name: half and half, mix: {cereal rye: 50 %, hairy vetch: 50 %}, sow: 2027-10-05, cut: 2028-04-10,"
    made = run(plan_text(f"{mix} then: left on surface}}", climate="netherlands"))
    each = [float(load.dry[0]) for load in made.timeline.arrivals.loads]
    least = (max(each) + sum(each)) / 2.0
    assert thin_cuts([made], least) == ()
    ((_, note),) = thin_cuts([made], 1.01 * sum(each))
    assert f"only some {10 * sum(each):.2g} t/ha would stand" in note
