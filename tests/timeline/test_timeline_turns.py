"""Beds in turn against the plans they are made of: each part of the beds is a plan of its own, some years later.

Worked arithmetic: what is done on one third of the beds each year in turn is, bed for bed, what is done on all of them
every third year, beginning in year 1, 2 or 3.  So every figure of the whole is the mean of those three, to rounding.
"""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from somsim.draws import Draws
from somsim.library import read_library
from somsim.outcomes import carbon, nitrogen
from somsim.outcomes.work import hours_of_work
from somsim.plan import parse_plan
from somsim.simulate import Trajectory, simulate
from somsim.timeline import figures, setting

ROUNDING = 1e-12  # relative, as both sides add up the same numbers in another order

PLAN = """title: turns
start: {start}
horizon: {years} years
site:
  climate: south-east-england
  shelter: {shelter}
  beds: {{count: 12, length: 10 m, width: 1.2 m}}
  soil: {{bulk_density: 1.3 g/cm3, carbon: 2 %}}
strategies:
  one:
    - cover: {{name: rye and vetch, sow: 20 Sep, cut: {cut}, {often}, then: {fate}, dry_tops: 2 to 4 t/ha}}
    - spread: {{material: garden compost, depth: {depth} mm, on: 20 Aug, {often}, then: left on surface}}
    - idle: {{as: bare, from: 1 Jun, to: 1 Aug, {often}}}
"""


def run(often: str, **said: object) -> Trajectory:
    known = figures(parse_plan(PLAN.format(often=often, **said)), read_library())
    return simulate(setting(known, Draws(4, 1, known.unknowns, 0.5)), "one")


def whole(one: Trajectory) -> list[np.ndarray]:
    """Stocks, flows, nitrogen and hours of all beds together (time, draw)."""
    share = np.array([[group.share] for group in one.timeline.groups])
    found = [one.by_group(getattr(one.stocks, name)) for name in ("surface", "residue", "humus", "added", "respired")]
    found += [carbon.organic_matter(one), hours_of_work(one), nitrogen.nitrogen_surplus(one)]
    return [(values * share).sum(axis=1) for values in found]


@settings(max_examples=8, deadline=None)
@given(
    parts=st.sampled_from([2, 3, 4, 6]),
    further=st.integers(0, 4),
    cut=st.sampled_from(["20 Mar", "5 May"]),
    fate=st.sampled_from(["dug in", "left on surface", "carted off"]),
    shelter=st.sampled_from(["open ground", "unheated tunnel"]),
    depth=st.floats(0.5, 20.0).map(lambda value: round(value, 2)),
    start=st.sampled_from(["2026-09-01", "2028-02-29", "2026-01-01"]),
)
def test_turns_are_the_mean_of_the_separate_plans(parts: int, further: int, **said: object) -> None:
    years = parts + further
    turns = whole(run(f"every: year, first_year: 1, in_turn: 1 of {parts}", years=years, **said))
    begins = [f"every: {parts} years, first_year: {first + 1}" for first in range(parts)]
    separate = [whole(run(often, years=years, **said)) for often in begins]
    for number, values in enumerate(turns):
        mean = np.mean([one[number] for one in separate], axis=0)
        np.testing.assert_allclose(values, mean, rtol=ROUNDING, atol=ROUNDING * np.abs(mean).max())


def test_two_thirds_in_turn_are_all_beds_less_the_third() -> None:
    said = {"years": 6, "cut": "5 May", "fate": "dug in", "shelter": "open ground", "depth": 5, "start": "2026-09-01"}
    one, two, everywhere = (
        run(f"every: year{turn}", **said) for turn in (", in_turn: 1 of 3", ", in_turn: 2 to 3 of 3", "")
    )
    for part in (3, 6):
        put_in = [whole(ran)[part][-1] for ran in (one, two, everywhere)]
        np.testing.assert_allclose(put_in[0] + put_in[1], put_in[2], rtol=ROUNDING)
