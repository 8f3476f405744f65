"""Do the actions of a plan fit its beds: beds that exist, amounts that they can hold."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from somsim.errors import Place
from somsim.plan.actions import Spread
from somsim.plan.occurrences import Interval, UnevenTurns, grounds_of
from somsim.plan.site import Beds

THICKEST = 0.5  # m, a layer of material; also the limit of a spread given by depth
HEAVIEST = 600.0  # kg/m2, as for a spread given by mass per area


@dataclass(frozen=True)
class Finding:
    """Something that cannot be: where, what, what would do."""

    place: Place
    message: str
    hint: str | None = None


def bed_findings(actions: list[Any], beds: Beds) -> Iterator[Finding]:
    """Beds that do not exist, and volumes and masses that the beds they are put on cannot hold."""
    for action in actions:
        try:
            grounds = grounds_of(action, beds)
        except UnevenTurns as error:
            yield _uneven(action, error.beds)
            continue
        except KeyError as error:
            yield _no_bed(error, beds, action)
            continue
        if isinstance(action, Spread):
            yield from _too_much(action, beds.bed_area * sum(high - low for low, high in grounds[0]))


def _uneven(action: Any, count: int) -> Finding:
    parts = action.in_turn.parts
    beds = "1 bed does" if count == 1 else f"{count} beds do"
    least = f"leave out {count % parts} with beds:, or " if count > parts else ""
    hint = f"{least}give each bed its own turn: in_turn: 1 of {count}" if count > 1 else "name more beds"
    return Finding(action.place_of("in_turn"), f"{beds} not make {parts} equal parts of whole beds", hint)


def _no_bed(error: KeyError, beds: Beds, part: Any) -> Finding:
    known = "there is 1 bed" if beds.number == 1 else f"beds are numbered 1 to {beds.number}"
    named = f", or named {', '.join(beds.names[:12])}" if beds.names else ""
    return Finding(part.place_of("beds"), f'no bed "{error.args[0]}"', known + named)


def measured_findings(tests: Iterable[Any], beds: Beds, start: date, end: date) -> Iterator[Finding]:
    """Soil tests on beds that do not exist, or on days outside the plan."""
    for test in tests:
        try:
            for word in test.beds or ():
                beds.row(word)
        except KeyError as error:
            yield _no_bed(error, beds, test)
        if not start <= test.date <= end:
            said = f"{test.date} is outside the plan, which lasts from {start} to {end}"
            hint = "what was found before the start is where the soil stands: site: soil:"
            yield Finding(test.place_of("date"), said, hint)


def _too_much(action: Spread, area: float) -> Iterator[Finding]:
    hint = "a volume or mass is for all the beds it is spread on together"
    if action.volume is not None and action.volume.high / area > THICKEST:
        deep = f"{action.volume.high / area:,.1f} m deep on {area:,.3g} m2 of beds"
        yield Finding(action.place_of("volume"), f'"{action.volume.text}" would lie {deep}', hint)
    if action.mass is not None and action.mass.high / area > HEAVIEST:
        heavy = f"{action.mass.high / area:,.0f} kg on each of {area:,.3g} m2 of beds"
        yield Finding(action.place_of("mass"), f'"{action.mass.text}" is {heavy}', hint)


def where_is(action: Any, beds: Beds) -> tuple[tuple[Interval, ...], ...]:
    """Where the rounds of an action happen, in turn; nowhere when its beds cannot be, which is told elsewhere."""
    try:
        return grounds_of(action, beds)
    except (KeyError, UnevenTurns):
        return ((),)
