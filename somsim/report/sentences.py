"""The answer in sentences: only computed numbers, plain words, a range with every one."""

from __future__ import annotations

import numpy as np

from somsim.draws import chance, quantile
from somsim.report.words import Scale, System, date_in_words, in_hundred, months_in_words, scale, short
from somsim.study.compare import Answered, Pair, Study
from somsim.study.equivalence import Equivalence, Spread
from somsim.study.held import LoadHeld
from somsim.study.limits import Rule
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
    """Said first: each strategy that spreads more than a limit in the middle world, and what would not pass."""
    return [_over(one, system) for one in _worst(study) if one.passed]


def limit_perhaps_passed(study: Answered, system: System = "metric") -> list[str]:
    """Said last: strategies that pass a limit in some of the worlds."""
    return [_perhaps_over(one, system) for one in _worst(study) if not one.passed and one.chance >= PERHAPS]


def _worst(study: Answered) -> list[LoadHeld]:
    """Of each strategy the limit that it is furthest over, or nearest to; the first of those that are alike."""
    return [max(one.held, key=_passing) for one in study.answers if one.held]


def _passing(one: LoadHeld) -> tuple[bool, float]:
    """How bad it is: a limit that nothing may stand in for goes before one that an option allows."""
    return one.passed and one.option is None, round(one.most.p50 / one.rule.level, 6)


def _over(one: LoadHeld, system: System) -> str:
    unit = scale("ground_load", system)
    since = f", first on {date_in_words(one.since)}" if one.since else ""
    told = (
        f'OVER A LIMIT: "{one.strategy}" spreads {unit.number(one.most.p50, 3)} {unit.unit} of {one.rule.nutrient} in '
        f"any {one.rule.months} months ({unit.outer(one.most, 3)}){since}, paths counted. "
        f"{limit_in_words(one.rule).capitalize()} is {unit.one(one.rule.level, 3)}; "
        f"{short(100 * one.rule.level / one.most.p50)} % of that amount would keep to it in the middle world, "
        f"{short(100 * min(one.rule.level / one.most.p90, 1.0))} % in 9 of 10. "
    )
    if one.option is not None:
        told += "It keeps to the two-year option for compost, where that is open to you. "
    return f"{told}Your own country's rules decide."


def _perhaps_over(one: LoadHeld, system: System) -> str:
    unit = scale("ground_load", system)
    limit = f"{limit_in_words(one.rule)} of {unit.one(one.rule.level, 3)}"
    if one.rule.months != 12:
        limit += f" in {one.rule.months} months"
    return (
        f'"{one.strategy}" may pass {limit}: it does {in_hundred(one.chance)} worlds. '
        "An analysis of the material would tell."
    )


def limit_in_words(rule: Rule) -> str:
    """Whose limit it is, on what."""
    of = {"manure": " from livestock manure", "compost": " from compost", "all": ""}[rule.counts]
    whose = "your own" if rule.known == "plan" else "your plan's" if rule.named else "the usual"
    return f"{whose} limit on {rule.nutrient}{of}"


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
    more, less, spread, odds, short_by = pair.more, pair.less, pair.difference, pair.chance, pair.shortfall
    if spread.p50 < 0.0:
        more, less, odds, short_by = less, more, 1.0 - odds, 0.0
        spread = Spread(-spread.best, -spread.p90, -spread.p50, -spread.p10)
    mass, area = unit.unit.split("/")
    how_sure = "in none of the" if odds <= 0.0 else in_hundred(odds)
    if short_by > SAME:
        return (
            f'"{more}" leaves {unit.number(spread.p50)} {mass} more organic matter in each {area} of bed than "{less}" '
            f"({unit.outer(spread)}); it leaves more {how_sure} worlds, and about {unit.number(short_by)} {mass} less "
            "in the others."
        )
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
