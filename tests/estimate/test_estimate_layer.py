import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.estimate.layer import RELATIONS, UNITS, at_rate, depth_at_limit, loads, solve_layer

# A whole layer, every value made from six free ones.
FREE = {
    "depth": 0.025,
    "area": 108.0,
    "density": 600.0,
    "dry_matter": 0.6,
    "organic_share": 0.4,
    "carbon_share": 0.22,
}


def whole(free):
    known = dict(free)
    for product, first, second in RELATIONS:
        known[product] = known[first] * known[second]
    return known


def rank_of(names):
    """Independent check: the relations in logarithms and the given rows, by row reduction in numpy."""
    import numpy as np

    order = list(UNITS)
    rows = []
    for product, first, second in RELATIONS:
        row = np.zeros(len(order))
        row[order.index(product)] = 1
        row[order.index(first)] = row[order.index(second)] = -1
        rows.append(row)
    rows += [np.eye(len(order))[order.index(name)] for name in names]
    return int(np.linalg.matrix_rank(np.array(rows)))


@pytest.mark.parametrize("names", list(itertools.combinations(UNITS, 6)))
def test_any_six_give_the_rest_exactly_when_linear_algebra_says_so(names):
    truth = whole(FREE)
    part = {name: truth[name] for name in names}
    if rank_of(names) == len(UNITS):
        found = solve_layer(part)
        assert {name: found[name] for name in UNITS} == pytest.approx(truth, rel=1e-12)
    else:
        with pytest.raises(ValueError, match="too little is given"):
            solve_layer(part)


@pytest.mark.parametrize(
    "names", [("depth", "area", "density"), ("mass", "density", "area"), ("volume", "mass", "depth")]
)
def test_any_three_give_the_rest_of_depth_area_volume_mass_and_density(names):
    truth = whole(FREE)
    wanted = ("depth", "area", "volume", "mass", "density")
    found = solve_layer({name: truth[name] for name in names}, wanted=wanted)
    assert {name: found[name] for name in wanted} == pytest.approx({name: truth[name] for name in wanted})


@given(st.floats(1e-3, 1e4))
def test_everything_but_depth_and_shares_scales_with_area(times):
    one, many = solve_layer(FREE), solve_layer({**FREE, "area": FREE["area"] * times})
    for name in ("volume", "mass", "dry", "organic", "carbon"):
        assert many[name] == pytest.approx(one[name] * times)


def test_steps_tell_how_each_was_found():
    found = solve_layer({"carbon": 71.28, "dry": 324.0}, wanted=["carbon_share"])
    assert found.steps == ("carbon share = carbon / dry mass",)
    with pytest.raises(LookupError, match="the depth of this layer is not known"):
        found["depth"]


def test_more_than_needed_is_taken_where_it_agrees():
    truth = whole(FREE)
    assert solve_layer(truth).steps == ()


@pytest.mark.parametrize(
    ("given_values", "message"),
    [
        (
            {"depth": 0.025, "area": 100, "volume": 3},
            "depth 0.025 m and area 100 m2 make volume 2.5 m3, "
            "but volume 3 m3 comes from the rest; leave one out",
        ),
        ({"area": -1}, "area must be above 0; -1 is not"),
        ({"dry_matter": 60}, "dry matter is a share of 0 to 1; 60 is not"),
        ({"mass": 10, "dry": 12}, "dry matter would come to 1.2, more than the whole; what is given clashes"),
        ({"depth": 2.0}, "a layer 2 m deep is past 1 m; is the unit right?"),
        ({"volume": 200.0, "area": 100.0}, "a layer 2 m deep is past 1 m; is the unit right?"),
        (
            {"organic_share": 0.2, "carbon_share": 0.4},
            "carbon share 0.4 is more than organic matter share 0.2, and carbon is a part of organic matter",
        ),
        (
            {"volume": 2.5, "density": 600},
            "too little is given to find depth, area; give depth or area as well",
        ),
        (
            {},
            "too little is given to find depth, area, mass; more is needed: start with depth or area or mass",
        ),
    ],
)
def test_nonsense_is_refused_in_one_clear_line(given_values, message):
    wanted = ("depth", "area", "mass")
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole message is compared below
        solve_layer(given_values, wanted=wanted, deepest=1.0)
    assert str(caught.value) == message


def test_an_unknown_name_is_refused_with_those_there_are():
    with pytest.raises(ValueError, match="a layer has no 'weight'; it has depth, area, volume"):
        solve_layer({"weight": 3})


def test_a_full_load_is_not_counted_twice():
    assert loads([2.1, 2.1003, 0.05], 0.3).tolist() == [7, 8, 1]
    assert float(at_rate(2.5, 0)) == 0


@given(
    st.floats(0.005, 0.1),
    st.floats(200, 1000),
    st.floats(0.1, 1.0),
    st.floats(0.001, 0.1),
    st.floats(0.3, 1.0),
)
def test_a_layer_of_that_depth_brings_just_the_limit(limit, density, dry_matter, content, beds):
    depth = depth_at_limit(limit, density=density, dry_matter=dry_matter, content=content, bed_share=beds)
    layer = solve_layer(
        {"depth": float(depth), "area": beds, "density": density, "dry_matter": dry_matter}, wanted=["dry"]
    )
    assert layer["dry"] * content == pytest.approx(limit)
