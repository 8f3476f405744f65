"""What soil tests say of the possible worlds, and what they could see, for people and for machines."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from somsim.report.terminal import heading, say
from somsim.report.words import Scale, System, date_in_words, fixed, in_hundred, scale
from somsim.study.calibrate import Calibration, Learned, Seen
from somsim.study.detect import Detection, Need, PairSeen, Visible
from somsim.study.equivalence import Spread
from somsim.version import VERSION

PERCENT = Scale("%", 100.0)
SHOWN = 8  # unknowns of which something was learned; --json has all
SAMPLING = (
    "Take all cores on one day, in the same month each time, before anything is spread, when the soil is moist and not "
    "frozen.",
    "Spread the cores over all beds of a strategy in a zigzag, not at their edges, all to the same depth as the plan's "
    "layer; brush litter and compost off the top first.",
    "Weigh one core of known volume dry on the same day (bulk density), and write down how deep the cores went.",
    "Send every test of every year to the same laboratory, for the same method; ask for carbon by combustion, which "
    "repeats better than loss on ignition.",
)


def show_calibration(found: Calibration, console: Console, system: System = "metric") -> None:
    """Print what was expected, what was found, and what was learned."""
    say(console, f"{found.plan.title}: by the soil tests", style="bold")
    count = len(found.seen)
    tests = "one soil test leaves" if count == 1 else f"{count} soil tests leave"
    say(
        console,
        f'"{found.strategy}" was followed. Of {found.worlds:,} possible worlds, {tests} the belief of '
        f"{found.believed:,.0f}.",
    )
    for sentence in warnings(found):
        say(console, sentence)
    console.print()
    for seen in found.seen:
        say(console, _seen(seen))
    heading(console, "Organic matter at the end of the plan, before and after the tests")
    unit = scale("mass_per_area", system)
    for level in found.levels:
        before, after = unit.range(level.before), unit.range(level.after)
        say(console, f'"{level.strategy}": {before} {unit.unit} before, {after} after.')
    heading(console, "What was learned")
    before, after = (in_hundred(share) for share in found.uppsala)
    say(console, f"The slower, uppsala rates of long-run decay hold {before} worlds before, {after} after.")
    for learned in found.learned[:SHOWN]:
        say(console, _learned(learned))
    if not found.learned:
        say(console, "Of no single figure anything that stands out from chance.")
    console.print()
    say(console, "The answer with this taken in: somsim compare PLAN --calibrated")


def warnings(found: Calibration) -> list[str]:
    """What is wrong with trusting the result, in sentences."""
    said = []
    for seen in found.seen:
        if not seen.squared:
            said.append(
                f"The test of {date_in_words(seen.expected.test.date)} and the model cannot both be right: a result as "
                f"far off was expected in {100.0 * seen.surprise:.1g} of 100 cases. Test again, look for a slip "
                "(depth, method, beds), or for something that the plan leaves out, before you believe either."
            )
    if found.contradict:
        said.append(
            "Each test could be right, but not all of them together with the model: results that fit together so badly "
            f"were expected in {100.0 * found.together:.1g} of 100 cases. Look for a slip (depth, method, beds), or "
            "test again, before you believe what follows."
        )
    if found.scarce:
        said.append(
            "So few worlds agree with the tests that the ranges below are too narrow or by chance: more worlds with "
            "--most, or a wider range for what you typed."
        )
    first = found.plan.site.soil.organic_matter or found.plan.site.soil.carbon
    if first is not None and not first.is_range:
        said.append(f"The soil at the start ({first.text}) is taken as exact: give it as a range if it was one test.")
    return said


def _seen(seen: Seen) -> str:
    test = seen.expected.test
    what = "carbon" if test.carbon is not None else "organic matter"
    before, after = PERCENT.range(seen.before), PERCENT.range(seen.after)
    found = PERCENT.number(seen.expected.found, 3)
    return f"{date_in_words(test.date)}, {what}: {found} % found, {before} % expected before, {after} % after."


def _learned(learned: Learned) -> str:
    unknown = learned.unknown
    share = unknown.unit in ("share", "%") or unknown.highest == 1.0
    unit = PERCENT if share else Scale("", 1.0)
    sign = " %" if share else ""
    return f"{unknown.label}: {unit.range(learned.before)}{sign} before, {unit.range(learned.after)}{sign} after."


def calibration_json(found: Calibration) -> dict[str, Any]:
    """What was expected, found and learned; shares of the dry soil, kg/m2."""
    return {
        "somsim": VERSION,
        "title": found.plan.title,
        "strategy": found.strategy,
        "draws": found.draws,
        "seed": found.seed,
        "worlds": found.worlds,
        "believed": found.believed,
        "together": found.together,
        "warnings": warnings(found),
        "uppsala": {"before": found.uppsala[0], "after": found.uppsala[1]},
        "tests": [
            {
                "date": seen.expected.test.date.isoformat(),
                "found": seen.expected.found,
                "before": asdict(seen.before),
                "after": asdict(seen.after),
                "surprise": seen.surprise,
            }
            for seen in found.seen
        ],
        "levels": [asdict(level) for level in found.levels],
        "learned": [
            {"name": one.unknown.name, "label": one.unknown.label, "information": one.information}
            | {"before": asdict(one.before), "after": asdict(one.after)}
            for one in found.learned
        ],
    }


def show_detection(found: Detection, console: Console) -> None:
    """Print for each pair whether tests could see the difference, and how to sample."""
    say(console, f"{found.plan.title}: could a soil test see it?", style="bold")
    samples = "one sample" if found.tests == 1 else f"{found.tests} samples"
    what = "carbon" if found.method == "carbon" else f"organic matter ({found.method})"
    say(
        console,
        f"{found.cores} cores pooled to {samples} for each strategy, tested for {what}. A result is then off by some "
        f"{100.0 * found.error:.0f} % of its value. Below: percentage points of organic matter, the middle world and "
        "where 8 of 10 fall.",
    )
    for pair in found.pairs:
        heading(console, f'"{pair.first}" beside "{pair.second}"')
        console.print(_pair_table(pair.visible))
        say(console, _needed(pair, found))
    heading(console, "How to sample so that two years can be compared")
    for sentence in SAMPLING:
        say(console, f"- {sentence}")


def _pair_table(visible: tuple[Visible, ...]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 2, 0, 0))
    for name in ("after years", "difference", "smallest that is seen", "seen"):
        table.add_column(name)
    for one in visible:
        cells = (str(one.years), _points(one.difference), _points(one.smallest), in_hundred(one.chance))
        table.add_row(*(Text(cell) for cell in cells))
    return table


def _points(spread: Spread) -> str:
    """Percentage points with two decimals: a third would mean nothing."""
    low, middle, high = (fixed(value, 2) for value in (spread.p10, spread.p50, spread.p90))
    return f"{middle} ({low} to {high})"


def _needed(pair: PairSeen, found: Detection) -> str:
    asked = next(need for need in pair.needs if (need.cores, need.tests) == (found.cores, found.tests))
    soonest = pair.soonest
    if soonest is None:
        return "Up to 100 cores would not show it within 50 years: weigh what you spread and cut instead of testing."
    if asked.years is None:
        usual = f"With {_size(asked)} you would not see it within 50 years. "
    else:
        usual = f"With {_size(asked)} you would see it after {asked.years} years, in 8 of 10 worlds. "
    least = pair.least_within(found.patience)
    if least is not None and least != asked:
        within = f"The least that shows it within {found.patience} years"
        return f"{usual}{within}: {_size(least)}, after {least.years} years."
    if least is not None or soonest == asked:
        return usual.strip()
    return f"{usual}Soonest: with {_size(soonest)}, after {soonest.years} years."


def _size(need: Need) -> str:
    return f"{need.cores} cores in {need.tests} sample{'s' if need.tests > 1 else ''}"


def detection_json(found: Detection) -> dict[str, Any]:
    """All pairs, in percentage points of organic matter."""
    return {
        "somsim": VERSION,
        "title": found.plan.title,
        "draws": found.draws,
        "seed": found.seed,
        "cores": found.cores,
        "tests": found.tests,
        "method": found.method,
        "error": found.error,
        "pairs": [asdict(pair) for pair in found.pairs],
        "sampling": list(SAMPLING),
    }
