"""What `reach` is asked for: a level, a year, a material; read from words, with a message for each that cannot be."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from dataclasses import dataclass

from somsim.errors import InputError, Problem, nearest
from somsim.library import read_library
from somsim.plan.actions import Spread
from somsim.plan.days import Day
from somsim.plan.fields import quoted
from somsim.plan.model import Plan, shift
from somsim.units import UnitError, parse_amount

MOST_YEARS = 190  # of a date to reach something by: a century is looked at beyond it, and a plan spans 300 years
EXAMPLES = "--target 4%, --target '5 kg/m2' of organic matter, or --target today"


@dataclass(frozen=True)
class Aim:
    """A level of organic matter: percent or kg/m2; ``value`` None stands for today's."""

    text: str
    percent: bool
    value: float | None


def read_aim(text: str) -> Aim:
    """Read "4 %", "5 kg/m2" or "today".

    Raises
    ------
    InputError
        when it is none of them, or no level a soil can have.

    >>> read_aim("4 %").value
    4.0
    """
    words = " ".join(text.split())
    if words.casefold() == "today":
        return Aim("today's level", True, None)
    percent = "%" in words
    try:
        amount = parse_amount(words, "share" if percent else "mass_per_area")
    except UnitError as error:
        raise _mistake(f"--target {quoted(text)}: {error.message}", EXAMPLES) from None
    if amount.is_range:
        raise _mistake(f"--target {quoted(text)} is a range; give one level", EXAMPLES)
    value = 100.0 * amount.best if percent else amount.best
    if not 0.0 < value < (100.0 if percent else 600.0):
        raise _mistake(f"--target {quoted(text)} is no level that a soil can have", EXAMPLES)
    return Aim(words, percent, value)


def read_by(plan: Plan, text: str | None) -> int:
    """The years of the plan until a year or a date; its horizon when nothing is said.  Whole years, at least one.

    Raises
    ------
    InputError
        for what is no year, or one that is not within 1 to 190 years of the start.
    """
    if text is None:
        return min(max(int(plan.horizon.best + 1e-9), 1), MOST_YEARS)
    example = f"a year such as {plan.start.year + 10}"
    words = text.strip()
    if re.fullmatch(r"[0-9]{4}", words):
        years = int(words) - plan.start.year
    else:
        try:
            date = datetime.date.fromisoformat(words)
        except ValueError:
            raise _mistake(f"--by {quoted(text)} is no year or date", f"{example}, or 2035-10-01") from None
        years = date.year - plan.start.year
        years -= date < shift(plan.start, 12 * years)
    if not 1 <= years <= MOST_YEARS:
        said = f"--by {quoted(text)} is not within 1 to {MOST_YEARS} years of the start, {plan.start}"
        raise _mistake(said, example)
    return years


def read_material(plan: Plan, name: str) -> str:
    """A material of the plan or the library, by the name the plan gives it.

    Raises
    ------
    InputError
        when nobody knows it.
    """
    words = name.strip()
    known = read_library()
    if words in plan.materials:
        return words
    found = known.find("materials", words) if words else None
    if found is None:
        names = [*plan.materials, *known.names("materials")]
        near = nearest(words, names)
        hint = (f"nearest: {', '.join(near)}; " if near else "") + f"all {len(names)}: `somsim library materials`"
        raise _mistake(f"no material {quoted(name)} in this plan or the library", hint)
    for own in plan.materials:
        if known.find("materials", own) is found:
            return own  # the plan's own numbers are used
    return found.name


def spreadings(plan: Plan, strategy: str, material: str) -> Iterator[Spread]:
    """When and how a material may be spread, the likeliest first.

    As the strategy spreads it; as it spreads something else; as another strategy does; on the day of the year on
    which the plan starts.
    """
    others = [name for name in plan.strategies if name != strategy]
    for name in (strategy, *others):
        yearly = [
            one for one in plan.actions(name) if isinstance(one, Spread) and one.every == 1 and one.anchor.year is None
        ]
        yield from sorted(yearly, key=lambda one: not same_material(one.material, material))
    yield Spread(
        material=material, on=Day(plan.start.day, plan.start.month), every=1, then="left on surface", heap_share="1 %"
    )


def same_material(one: str, other: str) -> bool:
    """Whether two names are one material."""
    if one == other:
        return True
    found = [read_library().find("materials", name) for name in (one, other)]
    return found[0] is not None and found[0] is found[1]


def _mistake(message: str, hint: str | None = None) -> InputError:
    return InputError([Problem(message, hint=hint)])
