"""From single days to rounds: which sowing a cut belongs to, which planting a clearing, bed by bed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from somsim.plan.site import Beds
from somsim.record.events import Cleared, CutDone, Event, Film, Planted, Sheet, Sown

FILM, SHEET = "film", "sheet"


@dataclass(frozen=True)
class Round:
    """Something that stood on some beds: how it began, what was done to it, and whether that ended it.

    ``beds`` are places in the row of beds, from 0.
    """

    begun: Event
    further: tuple[Event, ...]
    ended: bool
    beds: tuple[int, ...]

    @property
    def name(self) -> str:
        """The cover or crop; "film" or "sheet" for those."""
        return _name(self.begun)


@dataclass(frozen=True)
class Disorder:
    """An event that does not follow from those before it."""

    event: Event
    message: str
    hint: str | None = None


@dataclass
class _Open:
    begun: Event
    further: list[Event] = field(default_factory=list)


def beds_of(event: Event, beds: Beds) -> tuple[int, ...]:
    """The places in the row of beds, from 0, that a line speaks of: all when it names none.

    Raises
    ------
    KeyError
        with the word, for a bed that does not exist.
    """
    if event.beds is None:
        return tuple(range(beds.number))
    return tuple(sorted({place for word in event.beds for place in beds.row(word)}))


def in_order(events: Iterable[Event]) -> list[Event]:
    """By day, and on one day by line."""
    return sorted(events, key=lambda event: (event.date, event.line))


def rounds(events: Iterable[Event], beds: Beds) -> tuple[list[Round], list[Disorder]]:
    """Every round, beds with the same story together, and what does not fit together.

    Ends come before beginnings on one day: a bed that is cleared in the morning is planted in the afternoon.
    """
    told: dict[int, Disorder] = {}
    found: dict[tuple[int, tuple[int, ...], bool], tuple[_Open, list[int]]] = {}

    def keep(one: _Open, ended: bool, bed: int) -> None:
        key = (one.begun.line, tuple(event.line for event in one.further), ended)
        found.setdefault(key, (one, []))[1].append(bed)

    by_day = sorted(in_order(events), key=lambda event: (event.date, _begins(event)))
    for bed in range(beds.number):
        here = [event for event in by_day if bed in beds_of(event, beds)]
        _walk(here, lambda one, ended, bed=bed: keep(one, ended, bed), told)  # type: ignore[misc]  # bed is bound
    made = [
        Round(one.begun, tuple(one.further), ended, tuple(places))
        for (_, _, ended), (one, places) in found.items()
    ]
    return sorted(made, key=lambda one: (one.begun.date, one.begun.line, one.beds)), list(told.values())


def _begins(event: Event) -> bool:
    return isinstance(event, Sown | Planted) or event.what in ("film off", "sheet laid")


def _ends(event: Event) -> bool:
    return isinstance(event, CutDone | Cleared) or event.what in ("film on", "sheet lifted")


def _name(event: Event) -> str:
    if isinstance(event, Film):
        return FILM
    if isinstance(event, Sheet):
        return SHEET
    return str(getattr(event, "name", ""))


def _kind(event: Event) -> str:
    return "crop" if isinstance(event, Planted | Cleared) else "cover" if isinstance(event, Sown | CutDone) else ""


def _walk(here: Sequence[Event], keep: Callable[[_Open, bool], None], told: dict[int, Disorder]) -> None:
    """Follow one bed through its events."""
    standing: dict[tuple[str, str], _Open] = {}
    for event in here:
        key = (_kind(event), _name(event))
        if _begins(event):
            if key in standing:
                told.setdefault(event.line, _twice(event, standing[key].begun))
                continue
            standing[key] = _Open(event)
        elif _ends(event):
            if key not in standing:
                told.setdefault(event.line, _nothing_there(event, standing))
                continue
            standing[key].further.append(event)
            if not (isinstance(event, CutDone) and event.grows_on == "yes"):
                keep(standing.pop(key), True)
    for one in standing.values():
        keep(one, False)


def _twice(event: Event, earlier: Event) -> Disorder:
    verb = {"sown": "cut", "planted": "cleared", "film off": "put on again"}.get(event.what, "lifted")
    said = f"{_name(event)} stands there since {earlier.date} (line {earlier.line}) and was not {verb} since"
    return Disorder(event, said, f"record first when it was {verb}; corrections: corrects")


def _nothing_there(event: Event, standing: dict[tuple[str, str], _Open]) -> Disorder:
    begun = {"cut": "sown", "cleared": "planted", "film on": "taken off"}.get(event.what, "laid")
    names = [name for kind, name in standing if kind == _kind(event)]
    hint = f"there stands: {', '.join(names)}" if names else f"record first when it was {begun}"
    return Disorder(event, f"no {_name(event)} was {begun} there before {event.date}", hint)
