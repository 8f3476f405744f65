"""What many tests share: a small comparison with names chosen to break pictures, tables and files; a real browser."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

from somsim.plan import parse_plan
from somsim.study.compare import Study, compare_study

if TYPE_CHECKING:
    from playwright.sync_api import Browser

HOSTILE = (
    "</script><b>&amp; \"x\" 'y'",
    "زراعة الغطاء الشتوي",
    '=1+1, a "quoted" 🌱 name that goes on until nobody reads it, first',
    "NA",
)
HEAD = """
title: Hostile <names> & "quotes"
start: 2026-10-01
horizon: {horizon}
site:
  climate: south-east-england
  shelter: unheated tunnel
  beds: {{count: 4, length: 15 m, width: 1.2 m, paths: 0.4 m}}
  soil: {{texture: sandy loam, organic_matter: 2.6 %, method: loss on ignition, bulk_density: 1.35 g/cm3, depth: 20 cm}}
strategies:
"""
SPREAD = (
    "    - spread: {{material: garden compost, depth: {depth} mm, on: 20 May, every: year, then: left on surface}}\n"
)
ONE_BED = SPREAD.replace("every: year", "every: year, beds: 1")
COVER = (
    "    - cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: left on surface,"
    " dry_tops: 3.2 to 4.4 t/ha"
)


def plan_text(bodies: dict[str, str], horizon: str = "3 years") -> str:
    named = "".join(f"  {json.dumps(name, ensure_ascii=False)}:\n{body}" for name, body in bodies.items())
    return HEAD.format(horizon=horizon).lstrip() + named


def study_of(bodies: dict[str, str], horizon: str = "3 years", draws: int = 16) -> Study:
    return compare_study(parse_plan(plan_text(bodies, horizon)), draws=draws)


@pytest.fixture(scope="session")
def hostile() -> Study:
    """Four strategies, two groups of beds, one cover with its volume measured and one without."""
    return study_of(
        {
            HOSTILE[0]: SPREAD.format(depth=5),
            HOSTILE[1]: COVER + ", pressed_volume: 5 to 7 l/m2}\n",
            HOSTILE[2]: COVER + "}\n" + ONE_BED.format(depth=3),
            HOSTILE[3]: "    - idle: {as: weeds}\n",
        }
    )


@pytest.fixture(scope="session")
def crowd() -> Study:
    """Thirty strategies for a year and a half, without covers."""
    return study_of(
        {f"compost {number / 2:g} mm": SPREAD.format(depth=number / 2) for number in range(1, 31)}, "18 months", 8
    )


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """Debian's Chromium, for one file of tests: while it runs there is an event loop in this thread."""
    from browser import browsing

    with browsing() as made:
        yield made
