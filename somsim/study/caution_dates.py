"""What the dates of a strategy call up: crops that follow too soon, ground that lies open to winter rain."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator

from somsim.plan.actions import Cover, Crop, Idle, Uncover
from somsim.plan.days import Day
from somsim.plan.occurrences import meet
from somsim.timeline import Figures
from somsim.timeline.ground import Happening, happenings
from somsim.timeline.weather import latitude_of

DAYS_A_YEAR = 365.25  # the library keeps days as years
WHOLE = 1e-9  # share of the beds under which none is left
HALF_A_YEAR = datetime.timedelta(days=183)
Called = Iterator[tuple[str, str]]
SOON = (  # cautions with a wait before small seed, the tags of what calls for it, and the tag they are called by
    ("tied_nitrogen", ("dug high carbon", "dug late cereal"), "nitrogen tied up"),
    ("held_seedlings", ("cereal cover", "buckwheat", "sorghum"), "seedlings held back"),
)


def date_tags(
    figures: Figures, actions: tuple[object, ...], tags_of: Callable[[object], dict[str, str]]
) -> dict[str, dict[str, None]]:
    """Tags that hold because of when things are done, each with what calls it.

    ``tags_of`` gives the tags of an action by what it is, such as a late cereal, and the name that calls each.
    """
    plan = figures.plan
    rounds = happenings(plan, actions, plan.start, plan.end)
    found: dict[str, dict[str, None]] = {}
    for one in rounds:
        tags = tags_of(one.action)
        for tag, name in (*_soon(figures, one, rounds, tags), *_winter(figures, one, rounds, tags)):
            found.setdefault(tag, {})[name] = None
    return found


def midwinter(figures: Figures) -> Day:
    """The shortest day; of the north, where nothing is known of the place but a factor."""
    south = (latitude_of(figures) or 0.0) < 0.0
    return Day(21, 6 if south else 12)


def _soon(figures: Figures, one: Happening, rounds: tuple[Happening, ...], tags: dict[str, str]) -> Called:
    """Residues that hold back or starve what is sown or planted within the caution's wait."""
    for row, asked, told in SOON:
        wait = round(figures.library.tables["cautions"][row].value("wait").best * DAYS_A_YEAR)
        names = [tags[tag] for tag in asked if tag in tags]
        following = [later for later in rounds if _follows(one, later, wait)]
        for name in names if following else ():
            yield told, name


def _follows(one: Happening, later: Happening, days: int) -> bool:
    """Whether a crop or cover begins on the same beds within some days of the end of a round."""
    after = (later.occurrence.first - one.occurrence.last).days
    grows = isinstance(later.action, Crop | Cover) and later is not one
    return grows and 0 <= after <= days and meet(one.where, later.where)


def _winter(figures: Figures, one: Happening, rounds: tuple[Happening, ...], tags: dict[str, str]) -> Called:
    """Rich residues, or bare ground, on which rain falls and nothing grows on midwinter's day."""
    first, last, day = one.occurrence.first, one.occurrence.last, midwinter(figures)
    if isinstance(one.action, Idle) and one.action.as_ == "bare":
        nights = [day.in_year(year) for year in range(first.year, last.year + 1)]
        if any(first <= night < last and _open(figures, one, rounds, night) for night in nights):
            yield "bare winter", "bare ground"
        return
    names = [tags[tag] for tag in ("legume dug in", "brassica residue") if tag in tags]
    night = day.on_or_after(last)
    if names and night - last <= HALF_A_YEAR and _open(figures, one, rounds, night):
        yield "winter rain on residue", names[0]


def _open(figures: Figures, one: Happening, rounds: tuple[Happening, ...], night: datetime.date) -> bool:
    """Whether, on a day of the plan, rain reaches the soil and some of the beds of a round carry no crop or cover."""
    if night >= figures.plan.end:
        return False
    ground = sum(high - low for low, high in one.where)
    taken = sum(
        max(min(high, top) - max(low, bottom), 0.0)
        for other in rounds
        if isinstance(other.action, Crop | Cover) and other.occurrence.first <= night < other.occurrence.last
        for low, high in one.where
        for bottom, top in other.where
    )
    return taken < ground - WHOLE and _rained_on(figures, one, rounds, night)


def _rained_on(figures: Figures, one: Happening, rounds: tuple[Happening, ...], night: datetime.date) -> bool:
    """Whether rain reaches the soil of some beds on a day."""
    if figures.plan.site.shelter == "open ground":
        return True
    return any(
        isinstance(other.action, Uncover)
        and other.occurrence.first <= night < other.occurrence.last
        and meet(one.where, other.where)
        for other in rounds
    )
