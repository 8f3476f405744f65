"""Small plans for the tests of this folder, as text and as comparisons."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import cache

from somsim.plan import Plan, parse_plan
from somsim.study.compare import Study, compare_study

BEDS = "{count: 4, length: 15 m, width: 1.2 m, paths: 0.4 m}"  # three quarters of the ground are bed
SOIL = "{texture: sandy loam, organic_matter: 2.6 %, method: loss on ignition, bulk_density: 1.35 g/cm3, depth: 20 cm}"
SPREAD = "spread: {material: garden compost, depth: 5 mm, on: 20 Apr, every: year, then: left on surface}"
COVER = "cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: left on surface}"
# Every figure is one number: such a plan has one answer in all worlds, which can be worked out by hand.
PLAIN = """
materials:
  plain compost: {like: garden compost, bulk_density: 600 kg/m3, dry_matter: 60 %, organic_matter: 40 %,
    carbon: 20 %, nitrogen: 1.25 %, phosphorus: 0.2 %, potassium: 0.5 %, decay: 0.4 per year, humified: 45 %}
covers:
  ley: {residue: soft_green, dry_tops: 4 t/ha, carbon: 45 %, root_ratio: 0 ratio, decay: 2 per year, humified: 12 %}
"""


def plan_text(
    strategies: Mapping[str, Sequence[str]],
    *,
    climate: str = "south-east-england",
    shelter: str = "open ground",
    beds: str = BEDS,
    soil: str = SOIL,
    start: str = "2026-10-01",
    horizon: str = "3 years",
    site: str = "",
    extra: str = "",
) -> str:
    """A plan of some strategies, each a list of actions."""
    written = "".join(
        f"  {json.dumps(name, ensure_ascii=False)}:\n" + "".join(f"    - {action}\n" for action in actions)
        for name, actions in strategies.items()
    )
    more = f"  {site}\n" if site else ""
    return (
        f"title: a test\nstart: {start}\nhorizon: {horizon}\nsite:\n  climate: {climate}\n  shelter: {shelter}\n"
        f"  beds: {beds}\n  soil: {soil}\n{more}{extra}strategies:\n{written}"
    )


def plan(strategies: Mapping[str, Sequence[str]], **site: str) -> Plan:
    return parse_plan(plan_text(strategies, **site))


@cache
def _study(text: str, draws: int, seed: int, engine: str) -> Study:
    return compare_study(parse_plan(text), draws=draws, seed=seed, engine=engine)


def study(
    strategies: Mapping[str, Sequence[str]], draws: int = 16, seed: int = 1, engine: str = "exact", **site: str
) -> Study:
    return _study(plan_text(strategies, **site), draws, seed, engine)
