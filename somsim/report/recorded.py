"""A record for people and for machines: its lines, and what was done beside what was intended."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from somsim.plan.actions import called
from somsim.plan.fields import Placed
from somsim.record import Facts
from somsim.record.events import Event
from somsim.report.terminal import say
from somsim.report.words import Scale, System, date_in_words, scale, short
from somsim.study.equivalence import Spread
from somsim.study.hindsight import Foretold
from somsim.study.review import CutSide, Review, YearSide
from somsim.units import Amount
from somsim.version import VERSION

HIDDEN = ("line", "date", "what", "name", "beds", "corrects")
FEW_TESTS = 5
SHOWN_LINES = 40  # the last ones; --json has all
DONE = {"spread": "spreading", "cover": "sowing", "crop": "planting", "dig": "digging", "uncover": "taking film off"}


def said_of(event: Event) -> str:
    """One line of a record in words."""
    name = getattr(event, "name", None)
    words = [event.date.isoformat(), event.what, *([str(name)] if name else [])]
    if event.beds is not None:
        words.append("beds " + ", ".join(event.beds))
    rest = [f"{key} {value}" for key, value in _cells(event)]
    corrected = [f"instead of line {event.corrects}"] if event.corrects is not None else []
    return ": ".join([" ".join(words), ", ".join([*rest, *corrected])]) if rest or corrected else " ".join(words)


def _cells(part: Placed) -> Iterator[tuple[str, str]]:
    for key in type(part).model_fields:
        value = getattr(part, key)
        default = type(part).model_fields[key].default
        if key in HIDDEN or value is None or value == default:
            continue
        if isinstance(value, Placed):
            yield from _cells(value)
        else:
            yield key.replace("_", " "), _plain(value)


def _plain(value: Any) -> str:
    if isinstance(value, Amount):
        return value.text
    if isinstance(value, tuple):
        return "; ".join(_plain(part) for part in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def facts_in_words(facts: Facts) -> list[str]:
    """How a record was taken into a plan, in sentences."""
    said = [
        f"Up to {date_in_words(facts.until)} as recorded in {facts.record.path.name} ({len(facts.events)} lines); "
        "from then on as each strategy intends."
    ]
    if facts.record.damaged:
        lines = ", ".join(str(number) for number in facts.record.damaged)
        said.append(f"Lines of that file that could not be read and were left out: {lines}.")
    if facts.missed:
        few = [f"{DONE.get(one.action.action, 'doing')} {called(one.action)} ({one.date})" for one in facts.missed[:4]]
        more = f" and {len(facts.missed) - 4} more" if len(facts.missed) > 4 else ""
        said.append(f'Intended by "{facts.followed}", not recorded, taken as not done: {", ".join(few)}{more}.')
    return said + [note[0].upper() + note[1:] + "." for note in facts.notes[:4]]


def show_review(found: Review, console: Console, system: System = "metric") -> None:
    """Print a record beside its plan."""
    facts = found.facts
    say(console, f"{facts.intended.title}: the record", style="bold")
    lines = facts.events[-SHOWN_LINES:]
    if len(lines) < len(facts.events):
        say(console, f"The last {len(lines)} of {len(facts.events)} lines; --json has all.")
    for event in lines:
        say(console, f"{event.line:>4}  {said_of(event)}")
    console.print()
    for sentence in facts_in_words(facts):
        say(console, sentence)
    if found.cuts:
        _cuts(found.cuts, console, scale("mass_per_area", system))
    if found.foretold:
        _hindsight(found.foretold, console)
    _years(found, console)


def _hindsight(foretold: tuple[Foretold, ...], console: Console) -> None:
    """What was foretold a year before each soil test, and what was found."""
    unit = Scale("%", 100.0)
    console.print()
    say(console, "Soil tests, and what was foretold for them a year before", style="bold")
    for one in foretold:
        what = "carbon" if one.test.carbon is not None else "organic matter"
        where = "inside" if one.inside else "outside"
        say(
            console,
            f"{one.test.date} {what}: foretold {unit.range(one.foretold)} %, found {unit.number(one.found, 3)} %, "
            f"{where} the range that 8 of 10 results should keep to.",
        )
    inside = sum(one.inside for one in foretold)
    said = f"{inside} of {len(foretold)} inside; 8 of 10 should be."
    few = " So few tests judge nobody." if len(foretold) < FEW_TESTS else ""
    say(console, said + few)


def _cuts(cuts: tuple[CutSide, ...], console: Console, unit: Scale) -> None:
    console.print()
    say(console, f"Dry mass of what was cut, {unit.unit} of bed: hoped for, and weighed", style="bold")
    for cut in cuts:
        said = f"{cut.date} {cut.name}: hoped {unit.range(cut.hoped)}, weighed {unit.range(cut.weighed)}"
        say(console, said + (". No weight fits both: check the line, or the plan." if cut.surprising else ""))


def _years(found: Review, console: Console) -> None:
    console.print()
    say(console, f'Intended by "{found.facts.followed}", and recorded', style="bold")
    money = found.facts.intended.money
    currency = f", {money.currency}" if money is not None else ""
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1, 0, 0))
    priced = (f"paid{currency}", "recorded", f"sold{currency}", "recorded")
    unpriced = ("paid, recorded", "sold, recorded")
    for name in ("year", "until", "hours", "recorded", *(priced if money is not None else unpriced)):
        table.add_column(name, justify="left", overflow="fold")
    for year in found.years:
        table.add_row(*(Text(cell) for cell in _row(year)))
    console.print(table)
    if money is None:
        say(console, "Money: paid and sold as recorded; the plan has no prices to hold them against.")
    if not found.years[-1].whole:
        say(console, "Hours go to the day of the record; intended money of the last year is that of the whole year.")


def _row(year: YearSide) -> list[str]:
    def side(spread: Spread | None) -> list[str]:
        return [] if spread is None else [Scale("", 1.0).range(spread)]

    return [
        str(year.number),
        year.until.isoformat(),
        *side(year.hours),
        short(year.hours_recorded, 3),
        *side(year.paid),
        f"{year.paid_recorded:.2f}",
        *side(year.sold),
        f"{year.sold_recorded:.2f}",
    ]


def as_json(event: Event) -> dict[str, Any]:
    """One line of a record, what was typed by column."""
    cells = {key.replace(" ", "_"): value for key, value in _cells(event)}
    name = getattr(event, "name", None)
    named = {"name": name} if name else {}
    where = {"beds": list(event.beds)} if event.beds is not None else {}
    corrected = {"corrects": event.corrects} if event.corrects is not None else {}
    return {
        "line": event.line,
        "date": event.date.isoformat(),
        "what": event.what,
        **named,
        **where,
        **cells,
        **corrected,
    }


def facts_json(facts: Facts) -> dict[str, Any]:
    """How a record was taken into a plan."""
    return {
        "record": str(facts.record.path),
        "until": facts.until.isoformat(),
        "followed": facts.followed,
        "lines": len(facts.events),
        "damaged": list(facts.record.damaged),
        "missed": [{"date": one.date.isoformat(), "what": called(one.action).strip('"')} for one in facts.missed],
        "notes": list(facts.notes),
    }


def review_json(found: Review) -> dict[str, Any]:
    """A record beside its plan; masses in kg/m2, hours, money in the plan's currency."""
    return {
        "somsim": VERSION,
        **facts_json(found.facts),
        "events": [as_json(event) for event in found.facts.events],
        "cuts": [
            {"name": cut.name, "date": cut.date.isoformat(), "line": cut.line}
            | {"hoped": asdict(cut.hoped), "weighed": asdict(cut.weighed)}
            for cut in found.cuts
        ],
        "foretold": [
            {"date": one.test.date.isoformat(), "line": one.line, "as_of": one.as_of.isoformat(), "found": one.found}
            | {"foretold": asdict(one.foretold), "rank": one.rank, "score": one.score, "inside": one.inside}
            for one in found.foretold
        ],
        "years": [asdict(year) | {"until": year.until.isoformat()} for year in found.years],
    }
