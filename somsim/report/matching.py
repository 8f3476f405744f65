"""How much of a cover equals a compost: in sentences for people, in nested dictionaries for machines."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from rich.console import Console

from somsim.report.terminal import say
from somsim.report.words import Scale, System, date_in_words, fixed, in_hundred, months_in_words, scale, short
from somsim.study.equivalence import Spread
from somsim.study.match import Depth, Match, Number
from somsim.study.pairing import MOST
from somsim.version import VERSION

NAMES = {"cuts": ("cut", "cuts"), "crops": ("crop", "crops"), "years": ("year", "years"), "area": ("m2", "m2")}
WHOLE = ("cuts", "years")  # counted one by one, where crops and area are worked out as shares
SQUARE_FEET = 10.763910416709722  # in a m2, exact: 0.3048 m to the foot


def show_match(found: Match, console: Console, system: System = "metric") -> None:
    """Print the answer."""
    say(console, found.plan.title, style="bold")
    months = round(found.plan.horizon.best * 12.0)
    say(
        console,
        f"{months_in_words(months)} from {date_in_words(found.plan.start)}, in {found.draws} possible worlds. Each "
        "figure is the middle one; in brackets, where 8 of 10 worlds fall.",
    )
    console.print()
    for line in sentences(found, system):
        say(console, line)


def sentences(found: Match, system: System = "metric") -> list[str]:
    """The answer: what is matched, how many, whether that can be, and the other way round."""
    return [
        _matched(found, system),
        *_number(found, system),
        _chances(found.number, system),
        *_other_counts(found),
        *_other_way(found, system),
    ]


def _range(unit: Scale, spread: Spread) -> str:
    middle = unit.one(spread.p50)
    ends = unit.outer(spread)
    return middle if len(set(ends.split(" to "))) == 1 else f"{middle} ({ends})"


def _yearly(found: Match, spread: Spread, system: System) -> str:
    unit = scale("length" if found.by_depth else "mass_per_area", system)
    return _range(Scale(unit.unit + ("" if found.by_depth else " dry"), unit.times), spread)


def _matched(found: Match, system: System) -> str:
    carbon = scale("carbon_per_area", system)
    return (
        f'"{found.compost_strategy}" spreads {_yearly(found, found.spread_yearly, system)} of {found.compost} a year. '
        f"By {date_in_words(found.plan.end)} {_range(carbon, found.left_of_compost)} of its carbon is still there; "
        f'of the {found.cover} in "{found.cover_strategy}", {_range(carbon, found.left_of_cover)}'
        + ("." if found.tops_kept else ", from its roots: the tops are carted off.")
    )


def _counted(number: Number, value: float, system: System, places: int | None = None) -> str:
    """So many of what is counted: "4 crops"."""
    if value >= MOST:
        return "no number"
    times = SQUARE_FEET if number.by == "area" and system == "us" else 1.0
    shown = value * times
    text = fixed(shown, places) if places is not None else short(shown)
    one, many = NAMES[number.by]
    word = ("ft2" if system == "us" else "m2") if number.by == "area" else one if text == "1" else many
    return f"{text} {word}"


def _needed(number: Number, system: System) -> str:
    """The middle number needed and its range."""
    places = 0 if number.by in WHOLE else None
    values = (number.needed.p50, number.needed.p10, number.needed.p90)
    middle, low, high = (_counted(number, value, system, places) for value in values)
    high = "no end" if number.needed.p90 >= MOST else high.split(" ")[0]
    return f"{middle} ({low.split(' ')[0]} to {high})"


OF_WHAT = {
    "cuts": "of each crop, every further cut smaller than the one before",
    "crops": "for each one that the plan has",
    "years": "of the cover as it is grown, from the first year on",
    "area": "of it, grown as in the plan",
}


def _number(found: Match, system: System) -> list[str]:
    number = found.number
    if number.needed.p50 >= MOST:
        return [f"NOT POSSIBLE: {found.cover} leaves nothing here, so no number of it equals the compost."]
    takes = f"To leave as much takes {_needed(number, system)} {OF_WHAT[number.by]}"
    if number.checked is not None:
        whole, one = _counted(number, number.checked.number, system, 0), number.checked.number == 1
        less = number.checked.chance_of_one_less
        fewer = "" if less is None else f"; with one less, {in_hundred(less)}"
        return [
            f"{takes}. {whole} {'is' if one else 'are'} enough, and that fits. Put into the plan and run, "
            f"{'it is' if one else 'they are'} enough {in_hundred(number.checked.chance)} worlds{fewer}."
        ]
    return [f"{takes}. NOT POSSIBLE: {number.why}."]


def _chances(number: Number, system: System) -> str:
    told = "; ".join(f"{_counted(number, n, system, 0)} {_how_often(share)}" for n, share in number.chances)
    return f"Enough, in so many of 100 worlds: {told}."


def _how_often(share: float) -> str:
    return in_hundred(share) if 0.0 < share < 1.0 else "never" if share <= 0.0 else "always"


def _other_counts(found: Match) -> list[str]:
    """The same by carbon on the day and by volume: never mixed with what lasts."""
    plain = Scale("times", 1.0)
    lines = [
        f"As a multiple of the cover as grown: by what lasts {_range(plain, found.lasting)}, by carbon on the day "
        f"{_range(plain, found.on_the_day)}, by volume "
        + (
            _range(plain, found.volume)
            if found.volume is not None
            else "not measured (press the cut into a bucket and give pressed_volume)"
        )
        + "."
    ]
    return lines


def _other_way(found: Match, system: System) -> list[str]:
    lines = []
    if found.as_grown is not None:
        amount = _yearly(found, found.as_grown.yearly, system)
        lines.append(f"The other way: the {found.cover} as it is grown equals {amount} of {found.compost} a year.")
    if found.number.possible:
        return lines
    if found.beside is None:
        return [*lines, "Nothing nearer can be said: beside the cover, dates clash or the amounts cannot be spread."]
    amount = _yearly(found, found.beside.yearly, system)
    where = ", left on the surface because digging it in clashes with the cover" if found.beside.on_surface else ""
    return [
        *lines,
        f"The nearest thing that can: the {found.cover} as it is grown and, beside it, {amount} of {found.compost} "
        f"a year{where}.",
    ]


def as_json(found: Match) -> dict[str, Any]:
    """The answer as nested dictionaries, in base units."""
    number, amount = found.number, "m a year" if found.by_depth else "kg/m2 dry a year"
    return {
        "somsim": VERSION,
        "title": found.plan.title,
        "end": found.plan.end.isoformat(),
        "draws": found.draws,
        "seed": found.seed,
        "cover": {"strategy": found.cover_strategy, "name": found.cover, "tops_kept": found.tops_kept},
        "compost": {
            "strategy": found.compost_strategy,
            "name": found.compost,
            "yearly": {**asdict(found.spread_yearly), "unit": amount},
        },
        "left_of_cover": {**asdict(found.left_of_cover), "unit": "kg C/m2"},
        "left_of_compost": {**asdict(found.left_of_compost), "unit": "kg C/m2"},
        "times": {
            "lasting": asdict(found.lasting),
            "on_the_day": asdict(found.on_the_day),
            "volume": None if found.volume is None else asdict(found.volume),
        },
        "number": {
            "by": number.by,
            "needed": asdict(number.needed),
            "enough_in_half": number.whole,
            "enough_in_nine_of_ten": number.sure,
            "chances": [{"number": n, "chance": share} for n, share in number.chances],
            "possible": number.possible,
            "fits": number.fits,
            "why": number.why,
            "checked": None
            if number.checked is None
            else {
                "number": number.checked.number,
                "chance": number.checked.chance,
                "chance_of_one_less": number.checked.chance_of_one_less,
            },
        },
        "compost_equal_to_the_cover": _depth(found.as_grown, amount),
        "compost_beside_the_cover": _depth(found.beside, amount),
    }


def _depth(depth: Depth | None, unit: str) -> dict[str, Any] | None:
    if depth is None:
        return None
    return {
        "times": asdict(depth.times),
        "yearly": {**asdict(depth.yearly), "unit": unit},
        "error_when_run": depth.error,
    }
