"""How a level is reached and held: in sentences for people, in nested dictionaries for machines."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from rich.console import Console

from somsim.report.sentences import limit_in_words
from somsim.report.terminal import heading, say
from somsim.report.words import Scale, System, date_in_words, in_hundred, months_in_words, scale, short
from somsim.study.drift import Drift
from somsim.study.equivalence import Spread
from somsim.study.reach import HOLDING, Reach, Reaches, Yearly
from somsim.study.room import Room
from somsim.version import VERSION

KINDS = {"depth": "length", "dry_mass": "mass_per_area"}
NEAR_ALL = 0.9  # more than this chance leaves P90 a real amount


def show_reaches(found: Reaches, console: Console, system: System = "metric") -> None:
    """Print the answers, a strategy after the other."""
    say(console, found.plan.title, style="bold")
    first = found.answers[0]
    say(
        console,
        f"{first.material} spread every year, to be at {first.aim.text} by {date_in_words(first.date)}, "
        f"{months_in_words(12 * first.years)} from the start; {found.draws} possible worlds. Each figure is the middle "
        "one; in brackets, where 8 of 10 worlds fall.",
    )
    for one in found.answers:
        heading(console, one.strategy)
        for line in sentences(one, system):
            say(console, line)


def sentences(one: Reach, system: System = "metric") -> list[str]:
    """The answer for one strategy."""
    lines = [_reached(one, system)]
    if one.reachable and one.to_reach.none < 0.5:
        lines += _limits(one, system)
        lines.append(_families(one.to_reach, system))
    elif one.rooms and one.to_reach.none < 0.5:
        lines.append(_room(one, one.rooms[0], system))
    if one.reachable:
        lines.append(_held(one, system))
        lines += _stopped(one) if one.to_reach.none < 0.5 else []
    return [*lines, *_today(one.today, system)]


def _level(one: Reach, system: System) -> Scale:
    return Scale("%", 1.0) if one.aim.percent else scale("mass_per_area", system)


def _shown(unit: Scale, spread: Spread) -> str:
    """The middle with its unit and its range."""
    middle = unit.one(spread.p50)
    ends = unit.outer(spread)
    return middle if len(set(ends.split(" to "))) == 1 else f"{middle} ({ends})"


def _needed(chance: float) -> str:
    """In how many worlds some is needed after all; nothing where it never is."""
    return f" Some is needed {in_hundred(chance)} worlds." if chance > 0.0 else ""


def _target(one: Reach, system: System) -> str:
    """The target as the grower wrote it; today's level with its number."""
    if one.aim.value is not None:
        return one.aim.text
    return f"today's {_shown(_level(one, system), one.target)}"


def _amount(yearly: Yearly, system: System) -> str:
    """The yearly amount with its range, and in how many worlds none does it."""
    unit = scale(KINDS[yearly.key], system)
    if yearly.possible >= NEAR_ALL:
        return f"{unit.one(yearly.amount.p50)} a year ({unit.outer(yearly.amount)})"
    low = f"{unit.number(yearly.amount.p10)} or more"
    return f"{unit.one(yearly.amount.p50)} a year ({low}; {in_hundred(1.0 - yearly.possible)} worlds no amount does it)"


def _reached(one: Reach, system: System) -> str:
    level, target = _level(one, system), _target(one, system)
    where = "in place of what this strategy spreads of it" if one.instead else "beside what this strategy does"
    if one.to_reach.none >= 0.5:
        return (
            f"Nothing is needed for {target}: with no {one.material} at all it comes to {_shown(level, one.without)} "
            f"by then.{_needed(1.0 - one.to_reach.none)}"
        )
    if one.reachable:
        verb = "is held" if one.aim.value is None else "is reached"
        return (
            f"{target[0].upper()}{target[1:]} {verb} with {_amount(one.to_reach, system)} of {one.material}, {where}. "
            f"With none of it the soil would be at {_shown(level, one.without)} by then."
        )
    most = scale(KINDS[one.to_reach.key], system).one(one.to_reach.most, 3)
    why = f"even {most} a year would not do it"
    if one.ceiling is not None and one.ceiling.p50 <= one.target.p50:
        why = (
            f"{one.material} brings its own ash, so no amount of it passes {_shown(level, one.ceiling)} by then, "
            "however much is spread"
        )
    return f"{target[0].upper()}{target[1:]} cannot be reached by then with {one.material}: {why}."


def _limits(one: Reach, system: System) -> list[str]:
    """What limits the amount: each nutrient's tightest limit, those that are passed first; salt; and what it costs."""
    over = [room for room in one.rooms if room.amount.p50 < one.to_reach.amount.p50]
    lines = [f"OVER A LIMIT: {_brings(room, one, system)} {_room(one, room, system)}" for room in over]
    lines += [_brings(room, one, system) for room in one.rooms if room not in over]
    lines += [
        f"How much {nutrient} {one.material} brings is not known: ask for an analysis." for nutrient in one.unknown
    ]
    if one.salt_years > 0.0:
        lines.append(
            f"Salt: by then compost has lain for {short(one.salt_years)} years where no rain reaches the soil. No safe "
            "amount is published: have the soil tested every year."
        )
    if one.payments is not None:
        money = Scale(str(one.answer.money.currency if one.answer.money else ""), 1.0)
        missing = f", without {', '.join(one.unpriced)}, which has no price" if one.unpriced else ""
        lines.append(f"Material and delivery come to {_shown(money, one.payments)} a year until then{missing}.")
    return lines


def _brings(room: Room, one: Reach, system: System) -> str:
    """What the answer brings beside a limit."""
    if room.rule is None or room.held is None:
        return f"By then an Olsen test is to stay under {room.test_level:g} mg/l of phosphorus."
    unit, most = scale("ground_load", system), room.held.most
    perhaps = f" It is passed {in_hundred(room.held.chance)} worlds." if room.held.chance > 0.0 else ""
    limit = limit_in_words(room.rule)
    return (
        f"That spreads {unit.number(most.p50, 3)} {unit.unit} of {room.rule.nutrient} in any {room.rule.months} months "
        f"({unit.outer(most, 3)}), all that is spread and the paths counted; {limit} is "
        f"{unit.one(room.rule.level, 3)}.{'' if room.held.passed else perhaps}"
    )


def _room(one: Reach, room: Room, system: System) -> str:
    unit, level = scale(KINDS[one.to_reach.key], system), _level(one, system)
    limit = "the test under that level" if room.rule is None else f"to {limit_in_words(room.rule)}"
    most = f"{unit.one(room.amount.p50)} a year ({unit.outer(room.amount)})"
    return (
        f"The most that keeps {limit} is {most}, which comes to {_shown(level, room.level)}: that is the ceiling "
        "within the limit. Your own country's rules decide."
    )


def _families(yearly: Yearly, system: System) -> str:
    unit = scale(KINDS[yearly.key], system)
    said = ", ".join(
        f"{name} rates {'no amount does it' if value >= yearly.most else unit.one(value) + ' a year'}"
        for name, value in yearly.by_family.items()
    )
    return f"By family of long-run rates: {said}."


def _held(one: Reach, system: System) -> str:
    after = months_in_words(12 * HOLDING)
    if one.to_hold.none >= 0.5:
        return (
            f"After that nothing more is needed for {after}: what was spread before goes on turning into humus, or the "
            f"rest of the strategy holds it.{_needed(1.0 - one.to_hold.none)}"
        )
    return (
        f"After that {_amount(one.to_hold, system)} holds it: {after} later it is the same again. "
        f"{_families(one.to_hold, system)}"
    )


def _years(spread: Spread, longest: int) -> str:
    low, middle, high = (
        f"over {longest}" if value >= longest else f"{value:.0f}" for value in (spread.p10, spread.p50, spread.p90)
    )
    return f"{middle} years" + ("" if spread.exact else f" ({low} to {high})")


def _stopped(one: Reach) -> list[str]:
    stop, said = one.after_stop, []
    if stop.half is not None:
        said.append(f"half of what was gained takes {_years(stop.half, stop.longest)} to go")
    if stop.back is not None and one.aim.value is not None:
        said.append(f"it takes {_years(stop.back, stop.longest)} until the soil is back where it is today")
    return [f"If it is then spread no more, {', and '.join(said)}."] if said else []


def _today(today: Drift, system: System) -> list[str]:
    percent, mass = Scale("%", 1.0), scale("mass_per_area", system)
    levels = "; ".join(f"{_shown(percent, one.percent)} after {one.years} years" for one in today.levels)
    lines = [f"As it is planned now it leads to {levels}."]
    last = today.levels[-1]
    families = ", ".join(f"{name} {mass.one(value)}" for name, value in last.by_family.items())
    lines.append(f"After {last.years} years by family of rates, organic matter in the soil: {families}.")
    if today.steady is not None:
        lines.append(
            f"It would come to rest at {_shown(mass, today.steady.mass)} of organic matter, but half of the way there "
            f"takes {_years(today.steady.half_way, 1000)}."
        )
        half = today.steady.half_way_by_family
        levels = "; ".join(
            f"{name} {mass.one(value)}" + (f", half of the way in {half[name]:.0f} years" if name in half else "")
            for name, value in today.steady.by_family.items()
        )
        lines.append(f"By family of rates: {levels}.")
    return lines


def as_json(found: Reaches) -> dict[str, Any]:
    """The answers as nested dictionaries, in base units."""
    return {
        "somsim": VERSION,
        "title": found.plan.title,
        "start": found.plan.start.isoformat(),
        "draws": found.draws,
        "seed": found.seed,
        "answers": [_as_json(one) for one in found.answers],
    }


def _as_json(one: Reach) -> dict[str, Any]:
    unit = "percent" if one.aim.percent else "kg/m2"
    return {
        "strategy": one.strategy,
        "material": one.material,
        "target": {"text": one.aim.text, **asdict(one.target), "unit": unit},
        "by": one.date.isoformat(),
        "years": one.years,
        "reachable": one.reachable,
        "in_place_of_its_own": one.instead,
        "start": {**asdict(one.start), "unit": unit},
        "without": {**asdict(one.without), "unit": unit},
        "to_reach": _yearly(one.to_reach),
        "to_hold": {**_yearly(one.to_hold), "for_years": HOLDING},
        "ceiling": None if one.ceiling is None else {**asdict(one.ceiling), "unit": unit},
        "limits": [_room_as_json(room, one, unit) for room in one.rooms],
        "over_limit": one.over_limit,
        "not_known": list(one.unknown),
        "material_and_delivery": None
        if one.payments is None or one.answer.money is None
        else {**asdict(one.payments), "unit": f"{one.answer.money.currency}/yr", "without_price": list(one.unpriced)},
        "years_of_compost_without_rain": one.salt_years,
        "today": [
            {
                "years": level.years,
                "percent": {**asdict(level.percent), "unit": "percent"},
                "organic_matter": {**asdict(level.mass), "unit": "kg/m2"},
                "organic_matter_by_family": level.by_family,
            }
            for level in one.today.levels
        ],
        "steady": None
        if one.today.steady is None
        else {
            "organic_matter": {**asdict(one.today.steady.mass), "unit": "kg/m2"},
            "by_family": one.today.steady.by_family,
            "half_way": {**asdict(one.today.steady.half_way), "unit": "years"},
            "half_way_by_family": one.today.steady.half_way_by_family,
        },
        "after_stop": {
            name: None if years is None else {**asdict(years), "unit": "years", "counted_to": one.after_stop.longest}
            for name, years in (("half_gone", one.after_stop.half), ("back_at_start", one.after_stop.back))
        },
        "checked": {**asdict(one.checked), "unit": unit},
    }


def _room_as_json(room: Room, one: Reach, unit: str) -> dict[str, Any]:
    held = room.held
    return {
        "nutrient": room.nutrient,
        "limit": {"value": room.test_level, "unit": "mg/l"}
        if room.rule is None
        else {"name": room.rule.name, "value": room.rule.level, "unit": "kg/m2 of ground", "months": room.rule.months},
        "at_the_answer": None
        if held is None
        else {**asdict(held.most), "unit": "kg/m2 of ground", "chance_over": held.chance},
        "most_within": {**asdict(room.amount), "unit": _unit(one.to_reach.key)},
        "level_within": {**asdict(room.level), "unit": unit},
    }


def _unit(key: str) -> str:
    return "m a year" if key == "depth" else "kg/m2 dry a year"


def _yearly(yearly: Yearly) -> dict[str, Any]:
    return {
        **asdict(yearly.amount),
        "unit": _unit(yearly.key),
        "by_family": yearly.by_family,
        "chance_possible": yearly.possible,
        "chance_none_needed": yearly.none,
        "most_that_can_be_spread": yearly.most,
    }
