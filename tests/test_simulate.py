"""From a plan to its trajectory: two engines agree, nothing is lost, and what should make no difference makes none."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from somsim.decay.balance import imbalance
from somsim.draws import Draws, best_values
from somsim.library import Library, read_library
from somsim.plan import parse_plan, read_plan
from somsim.simulate import simulate
from somsim.timeline import figures, setting

DEMO = Path(__file__).parent.parent / "configs" / "hillside.yaml"
STOCKS = ("surface", "residue", "humus", "decomposed", "humus_respired", "added")
LONG = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def shared_of(plan, *, draws=None, seed=1, library=None):
    library = library or read_library()
    made = figures(plan, library)
    return setting(made, Draws(draws, seed, made.unknowns) if draws else best_values(made.unknowns))


def plan_text(
    strategies, *, climate="netherlands", shelter="open ground", horizon="3 years", start="2027-01-01"
):
    written = "".join(
        f"  {name}:\n" + "".join(f"    - {action}\n" for action in actions)
        for name, actions in strategies.items()
    )
    return (
        f"title: a test\nstart: {start}\nhorizon: {horizon}\nsite:\n  climate: {climate}\n  shelter: {shelter}\n"
        "  beds: {count: 4, length: 10 m, width: 1 m}\n"
        "  soil: {organic_matter: 3 %, method: unknown, bulk_density: 1.3 g/cm3, texture: loam}\n"
        f"strategies:\n{written}"
    )


def run(actions, *, draws=None, engine="exact", **site):
    return simulate(shared_of(parse_plan(plan_text({"a": actions}, **site)), draws=draws), "a", engine=engine)


def kg(made):
    """Every stock of every group: (stock, time, group, draw)."""
    return np.stack([made.by_group(getattr(made.stocks, name)) for name in STOCKS])


# --- plans made at random, of actions that can stand side by side in any combination -------------------------

FATE = st.sampled_from(["left on surface", "dug in"])
TAKEN = st.sampled_from(["left on surface", "dug in", "carted off"])
MONTHS = ["Jan", "Apr", "Jul", "Dec"]
TENTHS = st.integers(1, 80).map(lambda tenth: f"{tenth / 10:g}")
EVERY = st.sampled_from(
    ["every: year", "every: 2 years", "every: year, first_year: 2", "every: year, last_year: 1"]
)
WHERE = st.sampled_from(["", ", beds: [1, 2]", ", beds: 4", ", share: 30 %"])

SPREAD = "spread: {{material: {}, depth: {} mm, on: {} {}, {}, then: {}{}}}".format
MATERIALS = st.sampled_from(["garden compost", "cattle manure", "wood chips", "straw"])
DAYS = st.integers(1, 28)
# Digging is for April, when nothing stands; on the surface a material may come at any time.
SPREADS = st.one_of(
    st.builds(
        SPREAD, MATERIALS, TENTHS, DAYS, st.sampled_from(MONTHS), EVERY, st.just("left on surface"), WHERE
    ),
    st.builds(SPREAD, MATERIALS, TENTHS, DAYS, st.just("Apr"), EVERY, st.just("dug in"), WHERE),
)
COVERS = st.builds(
    "cover: {{name: {}, sow: {} Oct, cut: {} Mar, {}, then: {}, dry_tops: {} t/ha{}}}".format,
    st.sampled_from(["rye and vetch", "cereal rye", "hairy vetch"]),
    st.integers(5, 28),
    st.integers(1, 28),
    EVERY,
    TAKEN,
    TENTHS,
    WHERE,
)
CROPS = st.builds(
    "crop: {{name: {}, from: {} May, to: {} Sep, {}, then: {}{}}}".format,
    st.sampled_from(["lettuce", "tomato", "cucumber"]),
    st.integers(5, 28),
    st.integers(1, 28),
    EVERY,
    TAKEN,
    WHERE,
)
DIGS = st.builds("dig: {{on: {} Apr, {}{}}}".format, DAYS, EVERY, WHERE)
INPUTS = st.builds("input: {{name: litter, residue: straw, carbon: {} t C/ha/yr{}}}".format, TENTHS, WHERE)
IDLE = st.sampled_from(["idle: {as: bare}", "idle: {as: weeds, dry_tops: 2 t/ha}", "idle: {as: sheet}"])
ACTIONS = st.tuples(
    st.lists(SPREADS, max_size=3), st.lists(COVERS, max_size=1), st.lists(CROPS, max_size=1),
    st.lists(DIGS, max_size=2), st.lists(INPUTS, max_size=1), IDLE,
).map(lambda parts: [*(action for part in parts[:-1] for action in part), parts[-1]])  # fmt: skip
SITES = st.fixed_dictionaries(
    {
        "climate": st.sampled_from(["netherlands", "wisconsin", "canterbury-nz", "{factor: 1.2 ratio}"]),
        "shelter": st.sampled_from(["open ground", "unheated tunnel"]),
        "start": st.sampled_from(["2027-01-01", "2027-07-13", "2028-02-29"]),
    }
)


@settings(LONG, max_examples=12)
@given(ACTIONS, SITES)
def test_both_engines_agree_on_random_plans(actions, site):
    exact = run(actions, draws=2, **site)
    stepwise = run(actions, draws=2, engine="ivp", **site)
    # 1e-8 of the carbon handled: what the stepwise integrator's own tolerances (1e-10) leave over some 60 restarts.
    handled = exact.by_group(exact.stocks.start.sum(axis=0) + exact.stocks.added)
    assert np.max(np.abs(kg(exact) - kg(stepwise)) / handled) < 1e-8
    assert imbalance(exact.stocks) <= 1e-12 and imbalance(stepwise.stocks) <= 1e-12


@LONG
@given(ACTIONS, SITES)
def test_what_is_there_is_the_sum_of_where_it_came_from(actions, site):
    made = run(actions, draws=2, **site)
    total = made.by_group(made.stocks.total)
    assert made.by_source(made.stocks.total).sum(axis=0) == pytest.approx(total, rel=1e-13)
    assert np.all(total >= 0.0) and np.all(np.isfinite(total))


@LONG
@given(ACTIONS, SITES, st.randoms(use_true_random=False))
def test_the_order_of_actions_in_the_file_changes_nothing(actions, site, shuffler):
    mixed = list(actions)
    shuffler.shuffle(mixed)
    one, other = (run(each, draws=2, **site) for each in (actions, mixed))
    # Sums over lanes come in another order, so the last digits may differ.
    assert kg(one) == pytest.approx(kg(other), rel=1e-13, abs=1e-14)
    assert set(one.sources) == set(other.sources)


@LONG
@given(ACTIONS, SITES)
def test_beds_treated_alike_fare_alike_however_they_are_grouped(actions, site):
    everywhere = [action.split(", beds:")[0].split(", share:")[0].rstrip("}") + "}" for action in actions]
    whole = kg(run(everywhere, draws=2, **site))
    other = {"a": everywhere, "b": ["dig: {on: 3 Apr, every: year, beds: [2, 3]}", "idle: {as: bare}"]}
    plan = parse_plan(plan_text(other, **site))
    split = kg(simulate(shared_of(plan, draws=2), "a"))
    assert split.shape[2] == 3
    assert split == pytest.approx(np.repeat(whole, 3, axis=2), rel=1e-13, abs=1e-14)


@LONG
@given(st.lists(CROPS, max_size=1), SITES, TENTHS, FATE)
def test_twice_as_much_spread_is_twice_as_much_in_its_lane_and_the_same_in_all_others(
    crops, site, depth, fate
):
    def of(millimetres):
        spread = f"spread: {{material: garden compost, depth: {millimetres} mm, on: 20 Apr, every: year, then: {fate}}}"
        made = run([*crops, spread], draws=2, **site)
        return made, made.by_source(made.stocks.total), made.sources.index("garden compost")

    _, once, number = of(depth)
    _, twice, _ = of(f"{2 * float(depth):g}")
    assert twice[number] == pytest.approx(2.0 * once[number], rel=1e-13)
    others = [source for source in range(len(once)) if source != number]
    assert np.array_equal(twice[others], once[others])


def test_the_mean_of_a_rotation_is_the_mean_of_its_beds():
    compost = "spread: {material: garden compost, depth: 5 mm, on: 20 Apr, every: 2 years, then: dug in"
    cover = "cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Mar, every: 2 years, then: dug in"
    rotation = [f"{compost}, beds: [1, 2]}}", f"{cover}, beds: [3, 4]}}"]
    made = run(rotation, draws=4)
    shares = np.array([group.share for group in made.timeline.groups])[:, np.newaxis]
    mean = (kg(made) * shares).sum(axis=2)
    alone = [kg(run([action + "}"], draws=4))[:, :, 0] for action in (compost, cover)]
    assert shares.ravel() == pytest.approx([0.5, 0.5])
    assert mean == pytest.approx((alone[0] + alone[1]) / 2.0, rel=1e-12)


# --- the demo -----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def demo():
    return read_plan(DEMO)


def test_both_engines_agree_on_the_demo(demo):
    shared = shared_of(demo, draws=3)
    for name in demo.strategies:
        exact, stepwise = (simulate(shared, name, engine=engine) for engine in ("exact", "ivp"))
        handled = exact.by_group(exact.stocks.start.sum(axis=0) + exact.stocks.added)
        assert np.max(np.abs(kg(exact) - kg(stepwise)) / handled) < 1e-8, name
        assert imbalance(exact.stocks) <= 1e-12 and imbalance(stepwise.stocks) <= 1e-12


def test_another_strategy_changes_no_bit_of_the_others(demo):
    text = DEMO.read_text(encoding="utf-8")
    more = text.rstrip("\n") + (
        "\n\n  one more:\n"
        "    - spread: {material: cattle manure, depth: 2 to 6 mm, on: 3 Apr, every: year, then: dug in}\n"
    )
    before, after = shared_of(demo, draws=64), shared_of(parse_plan(more), draws=64)
    assert set(after.figures.plan.strategies) - set(demo.strategies) == {"one more"}
    for name in demo.strategies:
        assert kg(simulate(before, name)).tobytes() == kg(simulate(after, name)).tobytes(), name


def test_one_seed_is_one_answer_and_another_seed_another(demo):
    answers = [kg(simulate(shared_of(demo, draws=16, seed=seed), "bought compost")) for seed in (3, 3, 4)]
    assert answers[0].tobytes() == answers[1].tobytes() != answers[2].tobytes()


def test_a_single_draw_of_best_values_stands_in_the_first_family(demo):
    made = simulate(shared_of(demo), "bought compost")
    assert not made.timeline.isohumic.any()
    assert made.stocks.total.shape[-1] == 1


def test_both_families_are_in_the_draws_and_differ_in_how_long_humus_lasts(demo):
    made = simulate(shared_of(demo, draws=256), "bought compost")
    isohumic = made.timeline.isohumic
    assert isohumic.sum() == 128
    rate = made.timeline.problem.humus_rate.mean(axis=(0, 1))
    # 0.006 x the climate factor against one rate for all humus, some 0.01 to 0.03 a year in the field.
    assert np.median(rate[isohumic]) > 1.5 * np.median(rate[~isohumic])


def test_months_recorded_pass_through_the_years_recorded(demo):
    shared = shared_of(demo, draws=2)
    years, months = (simulate(shared, "winter green manure", record=record) for record in ("years", "months"))
    places = [months.timeline.times.index(day) for day in years.timeline.times]
    assert kg(months)[:, places] == pytest.approx(kg(years), rel=1e-13, abs=1e-15)


# --- every number of the library that should reach the answer does ------------------------------------------


def changed(table, thing, quantity, by):
    """The library with one value times a factor."""
    library = read_library()
    entry = library.tables[table][thing]
    value = entry.values[quantity]
    moved = replace(value, best=value.best * by, low=value.low * by, high=value.high * by)
    entry = replace(entry, values={**entry.values, quantity: moved})
    tables = {**library.tables, table: {**library.tables[table], thing: entry}}
    return Library(tables, library.sources)


EVERYTHING = [
    "spread: {material: garden compost, depth: 5 mm, on: 20 Apr, every: year, then: left on surface}",
    "cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Mar, every: year, then: dug in}",
    "crop: {name: lettuce, from: 1 May, to: 1 Sep, every: year, then: left on surface}",
]
REACHES = [
    # Faster decay, less humus formed or faster humus loss leaves less; more carbon brought leaves more.
    ("residues", "straw", "decay", "soil at the start", -1),
    ("residues", "compost", "decay", "garden compost", -1),
    ("residues", "compost", "humified", "garden compost", +1),
    ("residues", "soft_green", "humified", "lettuce: leaves and stems", +1),
    ("residues", "soft_green", "decay", "rye and vetch: tops", -1),
    ("residues", "roots", "humified", "rye and vetch: roots", +1),
    ("constants", "humus_rate", "value", "soil at the start", -1),
    ("constants", "dug_once_factor", "value", "rye and vetch: tops", -1),
    ("constants", "surface_factor", "value", "garden compost", -1),
    ("constants", "bare_factor", "value", "soil at the start", -1),
    ("constants", "moisture_error", "value", "soil at the start", -1),
    ("materials", "garden_compost", "carbon", "garden compost", +1),
    ("materials", "garden_compost", "dry_matter", "garden compost", +1),
    ("materials", "garden_compost", "bulk_density", "garden compost", +1),
    ("covers", "rye_and_vetch", "carbon", "rye and vetch: tops", +1),
    ("covers", "rye_and_vetch", "dry_tops", "rye and vetch: tops", +1),
    ("covers", "rye_and_vetch", "root_ratio", "rye and vetch: roots", +1),
    # The same carbon in all, but more of it comes while the cover stands, as it does at the end of this plan.
    ("constants", "exudates_per_root", "value", "rye and vetch: roots", +1),
    ("constants", "roots_in_topsoil", "value", "rye and vetch: roots", +1),
    ("constants", "plant_carbon", "value", "lettuce: leaves and stems", +1),
    ("crops", "lettuce", "residue", "lettuce: leaves and stems", +1),
    ("crops", "lettuce", "fibrous_roots", "lettuce: roots", +1),
]


@pytest.mark.parametrize(("table", "thing", "quantity", "source", "way"), REACHES)
def test_a_number_of_the_library_reaches_the_answer_and_moves_it_the_right_way(
    table, thing, quantity, source, way
):
    plan = parse_plan(plan_text({"a": EVERYTHING}))

    def left(library):
        made = simulate(shared_of(plan, library=library), "a")
        return float(made.by_source(made.stocks.total)[made.sources.index(source), -1].sum())

    before, after = left(read_library()), left(changed(table, thing, quantity, 1.1))
    assert (after - before) * way > 1e-6 * before


@pytest.mark.parametrize(("months", "way"), [("temperature", -1), ("rain", -1)])
def test_the_weather_reaches_the_answer(months, way):
    # Warmer, and in a dry summer also wetter: more is decomposed and less is left.
    library = read_library()
    entry = library.tables["climates"]["california-coast"]
    row = entry.months[months]
    row = replace(row, values=tuple(value * 1.1 for value in row.values))
    entry = replace(entry, months={**entry.months, months: row})
    climates = {**library.tables["climates"], "california-coast": entry}
    moved = Library({**library.tables, "climates": climates}, library.sources)
    plan = parse_plan(plan_text({"a": EVERYTHING}, climate="california-coast"))
    before, after = (
        float(simulate(shared_of(plan, library=each), "a").stocks.total[-1].sum())
        for each in (library, moved)
    )
    assert (after - before) * way > 1e-6 * before
