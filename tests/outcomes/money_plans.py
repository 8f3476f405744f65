"""One small plan for the tests of work, food and money, and a way to run it with the best values or in draws."""

from somsim.draws import Draws, best_values
from somsim.library import read_library
from somsim.plan import parse_plan
from somsim.simulate import Trajectory, simulate
from somsim.timeline import figures, setting

# 40 m2 of beds: 4 of 10 m x 1 m.
PLAN = """
title: a test
start: {start}
horizon: {horizon}
site:
  climate: south-east-england
  shelter: {shelter}
  beds: {{count: 4, length: 10 m, width: 1 m}}
  soil: {{organic_matter: 2.6 %, method: loss on ignition, bulk_density: 1.35 g/cm3, texture: sandy loam}}
{extra}strategies:
  one:
{actions}"""
SPREAD = "spread: {material: garden compost, depth: 5 mm, on: 20 Apr, every: year, then: left on surface}"
COVER = "cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: left on surface, dry_tops: 4 t/ha}"
CROP = "crop: {name: cucumber, from: 1 May, to: 30 Sep, every: year, then: carted off}"


def run(
    *actions: str,
    start: str = "2026-10-01",
    horizon: str = "4 years",
    shelter: str = "open ground",
    extra: str = "",
    draws: int = 0,
) -> Trajectory:
    """One strategy; ``extra`` are lines on top of the plan."""
    listed = "".join(f"    - {action}\n" for action in actions)
    text = PLAN.format(start=start, horizon=horizon, shelter=shelter, extra=extra, actions=listed)
    made = figures(parse_plan(text), read_library())
    return simulate(setting(made, Draws(draws, 1, made.unknowns) if draws else best_values(made.unknowns)), "one")
