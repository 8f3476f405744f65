"""Covers whose cuts nobody weighed on the day: hardly worth cutting, killed by frost, in seed, or past their best."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence

from somsim.library import Entry
from somsim.plan.days import Day
from somsim.simulate import Trajectory
from somsim.timeline import Figures
from somsim.timeline.cuts import ESTIMATED, GIVEN, plants_of
from somsim.timeline.growing import Growth, frost_day, growth
from somsim.timeline.weather import latitude_of
from somsim.timeline.world import DAYS_A_YEAR, Load

Note = tuple[str, str]
WEEK = 7.0  # days


def thin_cuts(runs: Sequence[Trajectory], least: float) -> tuple[tuple[str, str], ...]:
    """Cuts that nobody weighed and that would hardly be worth cutting, by the best values; ``least`` in kg/m2."""
    found: dict[tuple[str, str], str] = {}
    for run in runs:
        strategy = run.timeline.strategy
        grown: dict[tuple[datetime.date, str, int], float] = {}
        for load in run.timeline.arrivals.loads:
            if load.basis in ESTIMATED:  # the plants of a mix are cut together
                cut = (load.date, load.name, id(load.happening))
                grown[cut] = grown.get(cut, 0.0) + float(load.dry[0])
        for (date, name, _), mass in grown.items():
            if mass < least:
                found.setdefault(
                    (strategy, name),
                    f"{name} ({strategy}): on {date} only some {10 * mass:.2g} t/ha would "
                    f"stand, less than the {10 * least:.2g} t/ha worth cutting; weigh a sample.",
                )
    return tuple(("thin cut", text) for text in found.values())


def season_notes(runs: Sequence[Trajectory], known: Figures) -> tuple[Note, ...]:
    """Covers that nobody weighed and that stand into frost, past their flowering or past their cut, each once."""
    found: dict[tuple[str, str, bool], str] = {}
    covered = known.plan.site.shelter != "open ground"
    for run in runs:
        for load in run.timeline.arrivals.loads:
            if load.kind != "tops" or load.basis == GIVEN:
                continue
            dates = load.happening.occurrence.dates
            for name in plants_of(load.happening.action):
                entry = known.entry("covers", name)
                season = growth(known, entry, dates, covered=covered) if entry is not None else None
                if entry is None or season is None:
                    continue
                for kind, text in _notes(known, entry, name, season, load):
                    found.setdefault((kind, name, load.kept), text)
    return tuple(dict.fromkeys((kind, text) for (kind, _, _), text in found.items()))


def _notes(known: Figures, entry: Entry, name: str, season: Growth, load: Load) -> Iterator[Note]:
    dates = load.happening.occurrence.dates
    if load.basis in ESTIMATED:
        yield from _frost(known, entry, name, season, load)
    # What is cut and grows again flowers anew: of such a plant only the first cut is dated from its sowing.
    stages = season.stages if season.since is None else season.stages[:1]
    if "flower" in stages:
        date = dates[1 + stages.index("flower")]
        date = date if season.died is None else min(date, season.died)
        yield "seed", f"{name} would be in flower, or past it, by {date}: cut before seed sets."
    yield from _late(entry, name, season, dates)
    yield from _soft(known, entry, name, dates)
    yield from _heavy(entry, name, load)


def _frost(known: Figures, entry: Entry, name: str, season: Growth, load: Load) -> Iterator[Note]:
    """A plant that frost kills before it is cut; or that it may, where the plan does not say when frost comes."""
    first, last = load.happening.occurrence.first, load.happening.occurrence.last
    if season.died is not None:
        fate = (
            "from then on it lies as dead litter on its bed"
            if load.kept
            else "what is carted then is dead and dry, and is counted as it stood: weigh it"
        )
        yield "frost", f"{name} is killed by the frost of {season.died}, before it is cut on {last}: {fate}."
        return
    south = (latitude_of(known) or 0.0) < 0.0
    winter = Day(21, 6 if south else 12).on_or_after(first) < last
    if not winter or frost_day(known, entry) is not None or not entry.about.get("frost_kill", "").startswith("killed"):
        return
    kills = entry.values.get("frost_kill_temperature")
    by = "of frost" if kills is None else f"when its leaves reach {kills.best:g} deg C"
    yield (
        "frost",
        f"{name} dies {by}, and monthly means show no single night: say under site when frost comes "
        "(frost: {hard: 25 Nov}), or weigh what is left.",
    )


def _late(entry: Entry, name: str, season: Growth, dates: tuple[datetime.date, ...]) -> Iterator[Note]:
    """A cut that comes after more growth than there is between two cuts by the published interval."""
    interval = entry.values.get("cut_interval")
    if interval is None or season.since is None or len(dates) < 3:
        return
    for number, gone in enumerate(season.since[1:], start=2):
        days = (dates[number] - dates[number - 1]).days
        if gone * interval.best > interval.high and days > interval.high * DAYS_A_YEAR + WEEK / 2.0:
            low, high = (end * DAYS_A_YEAR / WEEK for end in (interval.low, interval.high))
            yield (
                "late cut",
                f"{name}: cut {number} ({dates[number]}) comes after more growth than {low:.0f} to {high:.0f} weeks, "
                "usual between cuts, bring: by then it is stemmy and may seed.",
            )
            return


def _heavy(entry: Entry, name: str, load: Load) -> Iterator[Note]:
    """A sample weighed before the cut and carried on to more than was ever published."""
    most, made = entry.values.get("dry_tops"), float(load.dry[0])
    if load.basis not in ESTIMATED and " on " in load.basis and load.plant == name and most and made > most.high:
        yield (
            "heavy",
            f"{name}: the sample carried on to {load.date} comes to {10.0 * made:.2g} t/ha, more than the "
            f"{10.0 * most.high:.2g} t/ha that is the most in print: weigh again nearer to the cut.",
        )


def _soft(known: Figures, entry: Entry, name: str, dates: tuple[datetime.date, ...]) -> Iterator[Note]:
    """A stand that is to live through winter, cut too shortly before it."""
    wait, frost = entry.values.get("last_cut_before_frost"), known.plan.site.frost
    if wait is None or frost is None or frost.first is None:
        return
    for day in dates[1:-1]:
        comes = frost.first.on_or_after(day)
        if (comes - day).days < wait.low * DAYS_A_YEAR - WEEK / 2.0:
            low, high = (end * DAYS_A_YEAR / WEEK for end in (wait.low, wait.high))
            yield (
                "cut before frost",
                f"{name}: the cut of {day} comes {(comes - day).days} days before the first frost ({comes}); "
                f"leave {low:.0f} to {high:.0f} weeks, or it goes into winter weak.",
            )
            return
