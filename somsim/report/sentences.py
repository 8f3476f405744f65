"""The answer in sentences: only computed numbers, plain words, a range with every one."""

from __future__ import annotations

import numpy as np

from somsim.draws import chance, quantile
from somsim.report.words import Scale, System, date_in_words, in_hundred, months_in_words, scale, short
from somsim.study.compare import Answered, Pair, Study
from somsim.study.equivalence import Equivalence, Spread
from somsim.study.limits import NitrogenLoad
from somsim.study.loop import Loop

PERHAPS = 0.1  # a limit passed in fewer worlds than this is not worth a sentence
SAME = 1e-6  # kg/m2: a smaller difference is rounding
LEAST_WORTH = 1e-9  # mm of compost: what a crop that leaves nothing counts as, to divide by
DAILY = 365.0  # crops a year: more than one a day is no number to print
TIE = (0.3, 0.7)  # a chance between these says that the two cannot be told apart


def opening(study: Answered) -> str:
    """What was looked at, and how the ranges are meant."""
    plan = study.plan
    months = round(plan.horizon.best * 12.0)
    return (
        f"{months_in_words(months)} from {date_in_words(plan.start)}, in {study.draws} possible worlds. "
        "Each figure is the middle one; in brackets, where 8 of 10 worlds fall."
    )


def limit_passed(study: Answered, system: System = "metric") -> list[str]:
    """Said first: strategies that spread more nitrogen than the usual limit, and what would not."""
    return [_over(one.nitrogen, system) for one in study.answers if one.nitrogen.passed]


def limit_perhaps_passed(study: Answered, system: System = "metric") -> list[str]:
    """Said last: strategies that pass the limit in some of the worlds."""
    loads = [one.nitrogen for one in study.answers]
    return [_perhaps_over(load, system) for load in loads if not load.passed and load.chance >= PERHAPS]


def _over(load: NitrogenLoad, system: System) -> str:
    unit = _per_ground(system)
    since = f" from {date_in_words(load.since)}" if load.since else ""
    return (
        f'OVER A LIMIT: "{load.strategy}" spreads {unit.number(load.most.p50, 3)} {unit.unit} of nitrogen in twelve '
        f"months ({unit.outer(load.most, 3)}){since}, paths counted. The usual limit is {unit.one(load.limit, 3)}; "
        f"{short(100 * load.limit / load.most.p50)} % of that amount would keep to it. "
        "Your own country's rules decide."
    )


def _perhaps_over(load: NitrogenLoad, system: System) -> str:
    unit = _per_ground(system)
    return (
        f'"{load.strategy}" may pass the usual nitrogen limit of {unit.one(load.limit, 3)}: it does '
        f"{in_hundred(load.chance)} worlds. An analysis of the material would tell."
    )


def _per_ground(system: System) -> Scale:
    """Nitrogen loads are kept in kg per hectare."""
    unit = scale("ground_load", system)
    return Scale(unit.unit, unit.times / 1e4)


def pair_sentence(pair: Pair, system: System = "metric") -> str:
    """Which of two leaves more, how much, and in how many worlds."""
    unit = scale("mass_per_area", system)
    if max(abs(pair.difference.p10), abs(pair.difference.p90)) < SAME:
        return f'"{pair.more}" and "{pair.less}" leave the same.'
    if TIE[0] <= pair.chance <= TIE[1]:
        return (
            f'"{pair.more}" and "{pair.less}" cannot be told apart: the first may leave '
            f"{unit.number(-pair.difference.p10)} {unit.unit} less or {unit.number(pair.difference.p90)} more."
        )
    more, less, spread, odds = pair.more, pair.less, pair.difference, pair.chance
    if spread.p50 < 0.0:
        more, less, odds = less, more, 1.0 - odds
        spread = Spread(-spread.best, -spread.p90, -spread.p50, -spread.p10)
    mass, area = unit.unit.split("/")
    how_sure = "in none of the" if odds <= 0.0 else in_hundred(odds)
    return (
        f'"{more}" leaves {unit.number(spread.p50)} {mass} more organic matter in each {area} of bed than "{less}" '
        f"({unit.outer(spread)}); it leaves more {how_sure} worlds."
    )


def worth(one: Equivalence, study: Study, system: System = "metric") -> list[str]:
    """What one green manure is worth in compost, three ways, and how many would match the compost spread."""
    unit = scale("length", system)
    millimetres = _Millimetres(system)
    lines = [
        f'One crop of {one.cover} (in "{one.strategy}") is worth, in {one.compost}:',
        f"  by what lasts {months_in_words(one.horizon)}: {millimetres.range(one.at_horizon)}",
        f"  by carbon on the day: {millimetres.range(one.on_the_day)}",
    ]
    if not one.tops_kept:
        lines.append("  by volume: nothing, its tops are taken off the beds; what is counted above are its roots")
    elif one.volume is None:
        lines.append("  by volume: not measured (press the cut into a bucket and give pressed_volume)")
    else:
        lines.append(f"  by volume: {millimetres.range(one.volume)}")
    others = [
        f"{months_in_words(month)} {millimetres.number(spread.p50)}"
        for month, spread in one.lasting.items()
        if month != one.horizon
    ]
    lines.append(f"  by what lasts other times ({unit.unit}): {', '.join(others)}")
    return lines


class _Millimetres:
    """mm of compost as people read them."""

    def __init__(self, system: System) -> None:
        self.unit = scale("length", system)

    def number(self, value: float) -> str:
        return self.unit.number(value / 1000.0)

    def range(self, spread: Spread) -> str:
        return f"{self.number(spread.p50)} {self.unit.unit} ({self.number(spread.p10)} to {self.number(spread.p90)})"


def heap_or_place(one: Loop) -> str:
    """Is plant carbon worth more by way of the heap, or left where it grew?"""
    unit = Scale("g", 1000.0)
    told = (
        f'Of each kg of carbon in {one.plant} (in "{one.strategy}"), {unit.range(one.heaped)} g is still there after '
        f"{months_in_words(one.months)} by way of {one.material}, what the heap itself loses counted, and "
        f"{unit.range(one.left)} g if it is left where it grew."
    )
    return f"{told} The coefficients themselves make this gap: no trial that set the two side by side is known here."


def match(one: Equivalence, study: Study, system: System = "metric") -> list[str]:
    """How many such green manures a year would leave as much as each strategy's compost, and whether they fit."""
    lines = []
    millimetres = _Millimetres(system)
    for answer in study.answers:
        depth = answer.spread_depth.get(one.compost)
        if depth is None or depth <= 0.0 or answer.name == one.strategy:
            continue
        yearly = f"{millimetres.number(1000.0 * depth)} {millimetres.unit.unit} a year"
        leave = f'To leave as much as the {yearly} of {one.compost} in "{answer.name}"'
        needed = depth * 1000.0 / np.maximum(one.draws, LEAST_WORTH)
        low, middle, high = (float(value) for value in quantile(needed, (0.1, 0.5, 0.9), study.weights))
        if middle > DAILY:
            lines.append(f"{leave} is not possible: a crop of {one.cover} leaves next to nothing.")
            continue
        ends = f"{short(low)} or more" if high > DAILY else f"{short(low)} to {short(high)}"
        fits = chance(needed <= one.rounds_a_year, study.weights)
        most = _at_most(one.rounds_a_year)
        verdict = "that fits into a year" if fits > 0.9 else f"not possible, {most}"
        if 0.1 <= fits <= 0.9:
            verdict = f"{most}, which is enough {in_hundred(fits)} worlds"
        lines.append(f"{leave} would take {short(middle)} crops of {one.cover} a year ({ends}): {verdict}.")
    return lines


def _at_most(rounds: float) -> str:
    """How many rounds of a cover fit, in words.

    >>> _at_most(0.5)
    'at most 1 in 2 years fits between the other crops'
    >>> _at_most(2.1)
    'at most 2 a year fit between the other crops'
    """
    if rounds < 0.95:
        return f"at most 1 in {short(1.0 / max(rounds, 0.01), 1)} years fits between the other crops"
    whole = int(rounds + 0.05)
    return f"at most {whole} a year fit{'s' if whole == 1 else ''} between the other crops"


def support(study: Study) -> list[str]:
    """What the model was not made for, or leans on that is only remembered or judged."""
    return [note for _, note in study.notes]


def answer(study: Answered, system: System = "metric") -> list[str]:
    """All sentences of the answer, in the order they are to be read."""
    lines = limit_passed(study, system)
    lines += [pair_sentence(pair, system) for pair in study.pairs]
    if len(study.answers) == 1:
        only = study.answers[0]
        unit = scale("mass_per_area", system)
        lines.append(
            f"{only.name} changes the soil's organic matter by {unit.range(only.change)} {unit.unit} of bed; "
            "name a second strategy to compare it with."
        )
    return lines + limit_perhaps_passed(study, system)
