"""Which round of the plan a recorded one was: the same thing, begun at about the same time."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from somsim.plan.actions import Cover, Crop, Dig, Input, Spread
from somsim.plan.model import Plan
from somsim.plan.occurrences import Occurrence, occurrences
from somsim.record.events import Dug, Event, SpreadDone
from somsim.record.rounds import Round

NEAR = datetime.timedelta(days=75)  # a round begun further from its planned day than this is another one


@dataclass(frozen=True)
class Matched:
    """The rounds of a plan that the record has, by what is done and the planned first day."""

    rounds: frozenset[tuple[str, str, datetime.date]]

    def is_done(self, action: Any, one: Occurrence) -> bool:
        """Whether the record has this round."""
        return (*_what(action), one.first) in self.rounds


def _what(action: Any) -> tuple[str, str]:
    """What an action is, so that the same thing in two strategies is one."""
    return action.action, str(getattr(action, "material", getattr(action, "name", "")))


def _what_was(event: Event) -> tuple[str, str] | None:
    verbs = {"sown": "cover", "planted": "crop", "spread": "spread", "dug": "dig", "film off": "uncover"}
    verb = verbs.get(event.what)
    return None if verb is None else (verb, str(getattr(event, "name", "")))


def matched(
    events: Sequence[Event], found: Sequence[Round], plan: Plan, followed: str, until: datetime.date
) -> Matched:
    """Hold every recorded beginning against the nearest planned one of the same thing, each used once.

    The pairs that lie nearest to each other are made first.  Rounds of all strategies count: what was begun is begun,
    whichever strategy goes on from there.
    """
    done: dict[tuple[str, str], set[datetime.date]] = {}
    for event in [*(one.begun for one in found), *(e for e in events if isinstance(e, SpreadDone | Dug))]:
        what = _what_was(event)
        if what is not None:
            done.setdefault(what, set()).add(event.date)
    rounds = set()
    for what, dates in done.items():
        planned = sorted({one.first for one in _planned(what, plan, until)})
        rounds |= {(*what, day) for _, day in nearest_pairs(sorted(dates), planned)}
    return Matched(frozenset(rounds))


def nearest_pairs(
    done: Sequence[datetime.date], planned: Sequence[datetime.date]
) -> list[tuple[datetime.date, datetime.date]]:
    """Pairs (done, planned) in order of their distance, each day used once.

    >>> day = datetime.date(2027, 4, 1).replace
    >>> [(a.day, b.day) for a, b in nearest_pairs([day(day=9), day(day=20)], [day(day=10), day(day=25)])]
    [(9, 10), (20, 25)]
    """
    near = sorted((abs(a - b), a, b) for a in done for b in planned if abs(a - b) <= NEAR)
    pairs, left, right = [], set(done), set(planned)
    for _, one, other in near:
        if one in left and other in right:
            pairs.append((one, other))
            left.discard(one)
            right.discard(other)
    return sorted(pairs)


def _planned(what: tuple[str, str], plan: Plan, until: datetime.date) -> Iterable[Occurrence]:
    for action in _all_actions(plan):
        if not isinstance(action, Input) and action.anchor is not None and _what(action) == what:
            for one in occurrences(action, plan.start, plan.end):
                if one.first <= until + NEAR:
                    yield one


def _all_actions(plan: Plan) -> list[Any]:
    listed = [action for strategy in plan.strategies for action in plan.actions(strategy)]
    return list({id(action): action for action in listed}.values())


def begun_by(one: Round, plan: Plan, followed: str) -> tuple[Any, Occurrence | None]:
    """The action of the plan that a recorded round carries out, and its planned round: the nearest in time.

    The followed strategy is asked first, then the others; (None, None) when nobody plans such a thing.
    """
    what = _what_was(one.begun)
    others = [name for name in plan.strategies if name != followed]
    for strategy in (followed, *others):
        near = [
            (abs(planned.first - one.begun.date), number, action, planned)
            for number, action in enumerate(plan.actions(strategy))
            if isinstance(action, Cover | Crop | Spread | Dig) and _what(action) == what
            for planned in occurrences(action, plan.start, plan.end)
        ]
        if near:
            distance, _, action, planned = min(near, key=lambda found: found[:2])
            return action, planned if distance <= NEAR else None
    return None, None
