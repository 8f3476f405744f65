"""Where a result leaves the ground it stands on, that is said."""

from __future__ import annotations

import pytest
from study_plans import COVER, SPREAD, study

MONTHS = (
    "{temperature: 3.6 3.9 6.5 9.9 13.4 16.2 18.3 17.9 14.7 10.9 7.0 4.2 deg C, "
    "rain: 71 63 58 42 59 70 85 84 78 81 80 84 mm, latitude: 52.1 N}"
)
WEEDS = "idle: {as: weeds}"


def notes(*actions: str, **site: str) -> dict[str, str]:
    return dict(study({"a": list(actions or (SPREAD,)), "b": [COVER]}, draws=4, **site).notes)


def test_a_row_from_memory_is_called_that() -> None:
    assert "south-east-england" in notes()["climate row"]
    assert "climate row" not in notes(climate=MONTHS)


def test_a_horizon_beyond_the_longest_trial_is_a_guess() -> None:
    """The frame trial at Uppsala began in 1956 and was sampled in 1998: Sessitsch et al. (2001), Appl. Environ.
    Microbiol. 67:4215, Table 1.
    """
    assert "horizon" not in notes(horizon="42 years")
    assert "42 years" in notes(horizon="43 years")["horizon"]


def test_much_organic_matter_is_named_with_its_strategy() -> None:
    rich = notes(soil="{texture: sandy loam, organic_matter: 20 %, method: unknown, bulk_density: 0.8 g/cm3}")
    assert rich["rich soil"].startswith("a and b:")
    assert "rich soil" not in notes()


@pytest.mark.parametrize("shelter", ["unheated tunnel", "heated glasshouse"])
def test_under_cover_the_ratio_to_open_ground_is_told(shelter: str) -> None:
    assert "times as fast as open ground" in notes(shelter=shelter)["tunnel"]
    assert "tunnel" not in notes()


def test_a_factor_has_no_open_ground_to_compare_with() -> None:
    assert "tunnel" not in notes(shelter="unheated tunnel", climate="{factor: 1.5}")


def test_weeds_without_a_figure_count_as_nothing_and_that_is_said() -> None:
    assert "weeds" in notes(WEEDS)
    assert "weeds" not in notes("idle: {as: weeds, dry_tops: 1 t/ha}")
    assert "weeds" not in notes()
