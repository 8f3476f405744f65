"""A plan as it really went: what is recorded up to a day, and from the next day on what each strategy intends."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from somsim.plan import Plan, parse_plan, write_plan
from somsim.plan.actions import Cover, Crop, Dig, Idle, Input, Repeated, Spread, Uncover, called
from somsim.plan.occurrences import Occurrence, ground_of, grounds_of, intervals, meet, occurrences
from somsim.record.events import SPREAD_AMOUNTS, CutDone, Dug, Event, Followed, SoilTested, SpreadDone
from somsim.record.matching import Matched, begun_by, matched
from somsim.record.reading import Record
from somsim.record.rounds import FILM, SHEET, Round, beds_of, in_order, rounds

DAY = datetime.timedelta(days=1)


@dataclass(frozen=True)
class Missed:
    """A round that the followed strategy intended and the record does not have: taken as not done."""

    action: Any
    date: datetime.date


@dataclass(frozen=True)
class Facts:
    """A plan with the record taken in.

    ``plan`` is a plan like any other: dated actions up to ``until``, the same in all strategies, then each strategy's
    own.  ``followed`` is the strategy that the beds were worked by.  ``notes`` are sentences on what was taken for
    granted.
    """

    plan: Plan
    intended: Plan
    record: Record
    until: datetime.date
    followed: str
    events: tuple[Event, ...]
    missed: tuple[Missed, ...]
    notes: tuple[str, ...]


def as_recorded(plan: Plan, record: Record, as_of: datetime.date | None = None) -> Facts:
    """Take a record into its plan.

    Parameters
    ----------
    plan : Plan, as it was intended
    record : Record, of that plan
    as_of : date, the last day that the record is taken to be complete for; the last recorded day when None.
        What is recorded for later days is left out.

    Raises
    ------
    InputError
        when what was done and what is intended from then on clash.
    """
    until = as_of or record.last or plan.start - DAY
    events = tuple(in_order(event for event in record.events if event.date <= until))
    followed = _followed(events, plan)
    found, _ = rounds(events, plan.site.beds)
    pairs = matched(events, found, plan, followed, until)
    done, notes = _done(events, found, plan, followed, until)
    taken = [action for action in done if takes_ground(action) and _last_day(action) > until]
    ahead, skipped = {}, []
    for name in plan.strategies:
        ahead[name], waited = _ahead(plan.strategies[name], plan, until, pairs, taken)
        skipped += [f'{said}, in "{name}"' for said in waited]
    always, waited = _ahead(plan.always or (), plan, until, pairs, taken)
    always, notes = [*done, *always], [*notes, *waited, *skipped]
    change: dict[str, Any] = {
        "always": (*_idle_before(plan, followed, until), *always) or None,
        "strategies": {name: tuple(actions) or (_nothing(),) for name, actions in ahead.items()},
    }
    if plan.site.weather is not None:
        came = plan.site.weather.model_copy(update={"until": min(plan.site.weather.until or until, until)})
        change["site"] = plan.site.model_copy(update={"weather": came})
    tests = tuple(event.measured for event in events if isinstance(event, SoilTested))
    if tests:
        change["measured"] = (*(plan.measured or ()), *tests)
    known_as = f"{plan.source.name or 'the plan'}, as recorded up to {until}"
    made = parse_plan(write_plan(plan.model_copy(update=change)), known_as).with_record_until(until)
    return Facts(made, plan, record, until, followed, events, _missed(plan, followed, until, pairs), tuple(notes))


def _followed(events: Sequence[Event], plan: Plan) -> str:
    """The strategy followed last; without a word about it the first of the plan."""
    said = [event.name for event in events if isinstance(event, Followed)]
    return said[-1] if said else next(iter(plan.strategies))


def _nothing() -> Repeated:
    """What stands for a strategy of which nothing is left to do: bare ground between what is recorded."""
    return Idle.model_validate({"as": "bare"})


def _idle_before(plan: Plan, followed: str, until: datetime.date) -> list[Idle]:
    """What ground was on which nothing stood, up to a day: in all strategies as the followed one has it."""
    idle = [action for action in plan.strategies[followed] if isinstance(action, Idle) and action.anchor is None]
    before = [one for one in idle if (one.since or plan.start) <= until]
    return [one.model_copy(update={"until": min(one.until or until, until)}) for one in before if until >= plan.start]


def _idle_after(action: Idle, until: datetime.date) -> list[Idle]:
    """The same from the next day on."""
    if action.until is not None and action.until <= until:
        return []
    return [action.model_copy(update={"since": max(action.since or until + DAY, until + DAY)})]


def takes_ground(action: Any) -> bool:
    """Whether nothing else can stand where an action stands.

    >>> takes_ground(Dig.model_validate({"on": "1 Apr", "every": "year"}))
    False
    """
    if isinstance(action, Cover):
        return action.undersown == "no"
    return isinstance(action, Crop) or (isinstance(action, Idle) and action.from_ is not None)


def _last_day(action: Any) -> datetime.date:
    end = action.cut[-1].on if isinstance(action, Cover) else action.to
    last: datetime.date = end.in_year(end.year or 0)
    return last


def _ahead(
    actions: Iterable[Any], plan: Plan, until: datetime.date, pairs: Matched, taken: Sequence[Any]
) -> tuple[list[Any], list[str]]:
    """What is left of actions after a day, and sentences on rounds that cannot be.

    Left are rounds that begin later, were not begun early, and find their ground free of what still stands.
    """
    left: list[Any] = []
    said: list[str] = []
    for action in actions:
        if isinstance(action, Input):
            left.append(action)
            continue
        if action.anchor is None:
            left += _idle_after(action, until)
            continue
        coming = []
        for one in occurrences(action, plan.start, plan.end):
            if one.first <= until or pairs.is_done(action, one):
                continue
            there = _in_the_way(action, one, taken, plan)
            if there is None:
                coming.append(one)
            else:
                said.append(f"{called(action)} of {one.first} is left out: {called(there)} still stands then")
        if coming and action.anchor.year is None:
            left.append(action.model_copy(update={"first_year": coming[0].year}))
        elif coming:
            left.append(action)
    return left, said


def _in_the_way(action: Any, one: Occurrence, taken: Sequence[Any], plan: Plan) -> Any | None:
    """What still stands on some of the ground of a coming round when it is to begin."""
    if not takes_ground(action):
        return None
    where = ground_of(one, grounds_of(action, plan.site.beds))
    for other in taken:
        if one.first < _last_day(other) and meet(where, intervals(other, plan.site.beds)):
            return other
    return None


def _missed(plan: Plan, followed: str, until: datetime.date, pairs: Matched) -> tuple[Missed, ...]:
    found = []
    for action in plan.actions(followed):
        if isinstance(action, Input) or action.anchor is None or isinstance(action, Idle):
            continue
        for one in occurrences(action, plan.start, plan.end):
            if plan.start <= one.first <= until and not pairs.is_done(action, one):
                found.append(Missed(action, one.first))
    return tuple(sorted(found, key=lambda one: one.date))


def _done(
    events: Sequence[Event], found: Sequence[Round], plan: Plan, followed: str, until: datetime.date
) -> tuple[list[Any], list[str]]:
    """The recorded days as dated actions of a plan."""
    notes: list[str] = []
    made: list[Any] = []
    for one in found:
        action, note = _action_of(one, plan, followed, until)
        made.append(action)
        notes += [note] if note else []
    for event in events:
        if isinstance(event, SpreadDone):
            made.append(_spread(event, plan))
        elif isinstance(event, Dug):
            where = _where(beds_of(event, plan.site.beds), plan)
            made.append(Dig.model_validate({"on": event.date.isoformat(), **where}))
    return made, notes


def _where(beds: Sequence[int], plan: Plan) -> dict[str, Any]:
    """The beds of an action, by number; nothing when it is all of them."""
    if len(beds) == plan.site.beds.number:
        return {}
    return {"beds": tuple(str(bed + 1) for bed in beds)}


def _spread(event: SpreadDone, plan: Plan) -> Spread:
    key = next(key for key in SPREAD_AMOUNTS if getattr(event, key) is not None)
    return Spread.model_validate(
        {
            "material": event.name,
            "on": event.date.isoformat(),
            "then": event.then,
            key: getattr(event, key),
            **_where(beds_of(event, plan.site.beds), plan),
        }
    )


def _action_of(one: Round, plan: Plan, followed: str, until: datetime.date) -> tuple[Any, str | None]:
    where = _where(one.beds, plan)
    begun = one.begun.date.isoformat()
    if one.name in (FILM, SHEET) and one.begun.what in ("film off", "sheet laid"):
        end = one.further[-1].date if one.further else until + DAY
        note = None if one.further else f"{one.begun.what} on {begun}: taken to end on {end}, as no end is recorded"
        span = {"from": begun, "to": end.isoformat()}
        if one.name == FILM:
            return Uncover.model_validate(span), note
        return Idle.model_validate({"as": "sheet", **span, **where}), note
    template, planned = begun_by(one, plan, followed)
    if one.begun.what == "planted":
        return _crop(one, begun, template, planned, until, where)
    return _cover(one, begun, template, planned, until, where)


def _crop(
    one: Round, begun: str, template: Any, planned: Occurrence | None, until: datetime.date, where: dict[str, Any]
) -> tuple[Crop, str | None]:
    note, body = None, {"name": one.name, "from": begun, **where}
    if one.ended:
        end: Any = one.further[-1]
        body |= {"to": end.date.isoformat(), "then": end.then}
        body |= {"residue": end.residue} if end.residue is not None else {}
    else:
        date, note = _expected_end(one, planned, until, "cleared")
        body |= {"to": date.isoformat(), "then": template.then if template is not None else "carted off"}
        if template is None:
            note = f"{note}; its leaves and stems are taken to be carted off"
    if template is not None and template.residue is not None:
        body.setdefault("residue", template.residue)
    return Crop.model_validate(body), note


def _expected_end(
    one: Round, planned: Occurrence | None, until: datetime.date, verb: str
) -> tuple[datetime.date, str]:
    """When something that still stands will end: as planned, but not before tomorrow."""
    date = max(planned.last if planned is not None else until + DAY, until + DAY)
    why = "as planned" if planned is not None and date == planned.last else "as no end is planned or recorded"
    if planned is not None and date != planned.last:
        why = f"it was planned for {planned.last}, and is not recorded"
    return date, f"{one.name} of {one.begun.date} still stands: taken to be {verb} on {date}, {why}"


def _cover(
    one: Round, begun: str, template: Any, planned: Occurrence | None, until: datetime.date, where: dict[str, Any]
) -> tuple[Cover, str | None]:
    cuts = [_cut(event) for event in one.further if isinstance(event, CutDone)]
    note = None
    if not one.ended:
        rest, note = _cuts_to_come(one, template, planned, until)
        cuts += rest
    body: dict[str, Any] = {"name": one.name, "sow": begun, "then": cuts[-1]["then"], **where}
    if template is not None:
        kept = ("mix", "undersown", "stage", "root_ratio", "stubble", "pressed_volume")
        body |= {key: getattr(template, key) for key in kept if getattr(template, key) is not None}
        _planned_weights(cuts, body, template)
    if len(cuts) == 1:  # of a cover cut once, what was weighed stands with the cover, as in a plan
        body |= {key: cuts[0].pop(key) for key in ("dry_tops", "sample") if key in cuts[0]}
    body["cut"] = cuts
    return Cover.model_validate(body), note


def _cut(event: CutDone) -> dict[str, Any]:
    cut: dict[str, Any] = {"on": event.date.isoformat(), "then": event.then}
    if event.dry_tops is not None:
        cut["dry_tops"] = event.dry_tops
    if event.sample is not None:
        cut["sample"] = event.sample
    return cut


def _cuts_to_come(
    one: Round, template: Any, planned: Occurrence | None, until: datetime.date
) -> tuple[list[dict[str, Any]], str]:
    date, note = _expected_end(one, planned, until, "cut")
    if planned is None:
        return [{"on": date.isoformat(), "then": "left on surface"}], f"{note}, and left on the surface"
    numbered = list(enumerate(planned.dates[1:]))[len(one.further) :]
    later = [{"on": day.isoformat(), "then": template.fate(n)} for n, day in numbered if day > until]
    return later or [{"on": date.isoformat(), "then": template.fate(len(template.cut) - 1)}], note


def _planned_weights(cuts: list[dict[str, Any]], body: dict[str, Any], template: Cover) -> None:
    """What the plan says a cut weighs, where the record does not say it."""
    if any("dry_tops" in cut or "sample" in cut for cut in cuts) or len(cuts) != len(template.cut):
        return
    for key in ("dry_tops", "sample"):
        if getattr(template, key) is not None:
            body[key] = getattr(template, key)
    for cut, intended in zip(cuts, template.cut, strict=True):
        for key in ("dry_tops", "sample"):
            if getattr(intended, key) is not None:
                cut[key] = getattr(intended, key)
