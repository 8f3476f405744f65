"""Draws: paired, repeatable, and each unknown on its own dimension."""

from statistics import NormalDist

import numpy as np
import pytest
from scipy.special import ndtr

from somsim.draws import Draws, Unknown, best_values
from somsim.draws.draws import FAMILY, _scores
from somsim.draws.unknowns import registry
from somsim.library import read_library
from somsim.timeline.figures import LibraryKey, library_unknowns

COMPOST, MANURE = "materials/garden_compost/humified", "materials/cattle_manure/humified"


@pytest.fixture(scope="module")
def library():
    found = read_library()
    return library_unknowns(LibraryKey(found, id(found)))


def made_up(name, low=0.5, best=1.0, high=2.0):
    return Unknown(name, name, low, best, high, "ratio", "judged", "judgement")


def composts(library):
    shared = library[COMPOST].shared
    return sorted(
        name for name, one in library.items() if one.shared == shared and name.endswith("/humified")
    )


def test_one_seed_gives_the_same_bits_and_another_gives_others(library):
    again = [Draws(256, seed, library).of(COMPOST) for seed in (1, 1, 2)]
    _scores.cache_clear()
    again.append(Draws(256, 1, library).of(COMPOST))
    assert again[0].tobytes() == again[1].tobytes() == again[3].tobytes()
    assert again[0].tobytes() != again[2].tobytes()


def test_another_unknown_leaves_every_other_value_as_it_was(library):
    few = {COMPOST: library[COMPOST], "plan/a": made_up("plan/a")}
    more = library | few | {"plan/0": made_up("plan/0"), "plan/b": made_up("plan/b")}
    for name in few:
        assert Draws(64, 5, few).of(name).tobytes() == Draws(64, 5, more).of(name).tobytes(), name


def test_fewer_draws_are_the_first_of_more(library):
    assert np.array_equal(Draws(200, 3, library).of(COMPOST), Draws(256, 3, library).of(COMPOST)[:200])


def test_every_dimension_has_one_draw_in_each_of_256_equal_parts():
    # A scrambled Sobol' sequence is balanced in each dimension (Sobol' 1967; Owen 1995): 2^m points fall one into
    # each of 2^m equal parts.  Random numbers do that about once in 10^110.
    parts = np.floor(256 * ndtr(_scores(256, 1))).astype(int)
    assert np.array_equal(np.sort(parts, axis=0), np.tile(np.arange(256)[:, np.newaxis], parts.shape[1]))


def test_draws_have_their_published_range_as_their_middle_ninety_per_cent(library):
    one = library["constants/humus_rate/value"]
    found = Draws(1024, 2, library).of("constants/humus_rate/value")
    # 1024 balanced draws stand 0.1 % apart in rank; near the tails that is about 1 % of the value.
    assert np.quantile(found, [0.05, 0.5, 0.95]) == pytest.approx([one.low, one.best, one.high], rel=0.02)
    inside = np.mean((found >= one.low) & (found <= one.high))
    assert inside == pytest.approx(0.90, abs=0.005)


def test_the_mean_of_an_even_range_is_its_best_value():
    even = {"plan/even": made_up("plan/even", -1.0, 0.0, 1.0)}
    even["plan/even"] = Unknown(
        "plan/even", "", -1.0, 0.0, 1.0, "", "judged", "judgement", lowest=-float("inf")
    )
    # Each of 256 equal parts holds one draw, so the mean is off by at most the span of the scores over 256.
    assert float(Draws(256, 4, even).of("plan/even").mean()) == pytest.approx(0.0, abs=6.0 / 256 / 1.645)


def test_errors_of_like_materials_are_correlated_by_a_half_and_of_unlike_ones_not_at_all(library):
    like = composts(library)
    assert len(like) >= 3
    drawn = Draws(2048, 6, library)
    normal = NormalDist()

    def ranks(name):
        order = np.argsort(np.argsort(drawn.of(name)))
        return [normal.inv_cdf((rank + 0.5) / 2048) for rank in order]

    first, second, other = ranks(like[0]), ranks(like[1]), ranks(MANURE)
    # The standard error of a correlation of 2048 random pairs is 0.017 (at 0.5) to 0.022 (at 0): three of them.
    assert np.corrcoef(first, second)[0, 1] == pytest.approx(0.5, abs=0.05)
    assert np.corrcoef(first, other)[0, 1] == pytest.approx(0.0, abs=0.066)


def test_the_correlation_is_the_librarys(library):
    assert Draws(1, 1, library).correlation == library["constants/like_materials_correlation/value"].best


def test_a_material_has_one_error_told_in_both_families(library):
    drawn = Draws(512, 7, library)
    for name in (COMPOST, MANURE):
        own, other = drawn.of(name), drawn.of(f"{name}_isohumic")
        assert np.array_equal(np.argsort(own, kind="stable"), np.argsort(other, kind="stable")), name


def test_decay_and_humification_of_one_material_have_errors_apart(library):
    drawn = Draws(2048, 7, library)
    pair = [np.log(drawn.of(f"materials/garden_compost/{quantity}")) for quantity in ("decay", "humified")]
    assert abs(np.corrcoef(*pair)[0, 1]) < 0.066


def test_no_draw_keeps_more_than_95_per_cent_or_less_than_nothing(library):
    drawn = Draws(1024, 8, library)
    names = [name for name in library if name.split("/")[-1].startswith("humified")]
    assert len(names) > 200
    for name in names:
        values = drawn.of(name)
        assert values.min() >= 0.0 and values.max() <= 0.95, name


def test_no_draw_of_a_share_leaves_0_to_1(library):
    drawn = Draws(256, 9, library)
    shares = [name for name, one in library.items() if one.unit == "share" and one.is_range and one.low >= 0]
    assert len(shares) > 200
    for name in shares:
        values = drawn.of(name)
        assert values.min() >= 0.0 and values.max() <= 1.0, name


def test_best_values_are_the_best_values_and_the_first_family(library):
    best = best_values(library)
    assert best.count == 1 and not best.isohumic(0.5).any()
    for name in (COMPOST, "constants/humus_rate/value", "climates/netherlands/temperature"):
        assert best.of(name).tolist() == [library[name].best]


def test_families_are_shared_out_by_their_weight(library):
    drawn = Draws(256, 1, library)
    # Balanced: exactly half of 256 draws lie below one half.
    assert int(drawn.isohumic(0.5).sum()) == 128
    assert not drawn.isohumic(0.0).any() and drawn.isohumic(1.0).all()


def test_what_was_asked_for_is_kept_and_a_strange_name_is_refused(library):
    drawn = Draws(4, 1, library)
    drawn.of(COMPOST)
    assert drawn.asked == {COMPOST}
    with pytest.raises(KeyError):
        drawn.of("materials/moon dust/humified")


def test_shared_scores_are_registered(library):
    shared = {one.shared for one in library.values() if one.shared and one.is_range}
    assert shared and shared <= set(registry())


def test_the_wetter_a_material_the_heavier_it_is_and_the_less_of_it_is_dry(library):
    # Water added to one lot raises its weight by volume and lowers its dry share: half of the variance of each is the
    # wetness that they have in common (0.5, judged), so scores are correlated by -0.5 within three standard errors.
    drawn = Draws(2048, 6, library)
    for name in ("garden_compost", "cattle_manure"):
        pair = [drawn.joint_score(f"materials/{name}/{quantity}") for quantity in ("bulk_density", "dry_matter")]
        assert np.corrcoef(*pair)[0, 1] == pytest.approx(-0.5, abs=0.05), name
        assert abs(np.corrcoef(pair[0], drawn.joint_score(f"materials/{name}/carbon"))[0, 1]) < 0.066


def test_scores_that_are_given_take_the_place_of_the_sequence(library):
    one = library["constants/humus_rate/value"]
    given = {one.name: np.array([NormalDist().inv_cdf(share) for share in (0.05, 0.5, 0.95)])}
    drawn = Draws(3, 1, library, given=given)
    assert drawn.of(one.name) == pytest.approx([one.low, one.best, one.high], rel=1e-12)
    plain = Draws(3, 1, library)
    assert np.array_equal(drawn.of(COMPOST), plain.of(COMPOST))


def test_the_scores_behind_a_result_are_independent_ones_each_named_once(library):
    drawn = Draws(4, 1, library)
    for name in (COMPOST, f"{COMPOST}_isohumic", "constants/dug_once_factor/value"):
        drawn.of(name)
    # One error of the compost's own told in both families, one that it shares with its like; the last is exact.
    assert drawn.scores() == (FAMILY, COMPOST, "shared/compost/humified")
