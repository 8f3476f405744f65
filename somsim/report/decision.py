"""What each strategy costs and brings, in the terminal: sentences, the table to decide by, and what it rests on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from rich.table import Table
from rich.text import Text

from somsim.report.columns import cell, side_by_side, table_of
from somsim.report.words import Scale, System, date_in_words, in_hundred, months_in_words, scale, short
from somsim.study.breakeven import BreakEven
from somsim.study.compare import Study
from somsim.study.decision import Choice, Decision, MoneyPair
from somsim.study.fit import Fit
from somsim.units import factor

TIE = (0.3, 0.7)  # a chance between these says that the two cannot be told apart
MOST_PRICES = 6  # break-even prices told; all of them are in summary.csv
MOST_STRETCHES = 3
HECTARE = 1e4  # m2
Row = tuple[str, Sequence[str]]


def sentences_of(study: Study, system: System = "metric") -> list[str]:
    """What money, hours and food say, in sentences."""
    found = study.decision
    lines = [_pair(pair, study) for pair in found.pairs]
    lines += [_even(one, str(found.currency), system) for one in found.break_evens[:MOST_PRICES]]
    more = len(found.break_evens) - MOST_PRICES
    if more > 0:
        lines.append(f"All {len(found.break_evens)} such prices are in summary.csv.")
    lines += [_full(one.strategy, one.fit) for one in found.choices if one.fit is not None and not one.fit.fits]
    for one in found.choices:
        lines += [
            f'"{one.strategy}" is beaten on everything by "{other}" {in_hundred(share)} worlds.'
            for other, share in one.beaten_by
        ]
    return lines


def _pair(pair: MoneyPair, study: Study) -> str:
    money, spread = Scale(str(study.decision.currency), 1.0), pair.difference
    over = months_in_words(round(study.plan.horizon.best * 12))
    if abs(spread.p10) < 0.005 and abs(spread.p90) < 0.005:
        return f'"{pair.more}" and "{pair.less}" have the same money left over.'
    if TIE[0] <= pair.chance <= TIE[1]:
        return (
            f'In money "{pair.more}" and "{pair.less}" cannot be told apart: over {over} the first may leave '
            f"{money.number(-spread.p10)} {money.unit} less or {money.number(spread.p90)} more."
        )
    return (
        f'"{pair.more}" has {money.one(spread.p50)} more left over than "{pair.less}" in {over} '
        f"({money.outer(spread)}); "
        f"it leaves more {in_hundred(pair.chance)} worlds."
    )


def _even(one: BreakEven, currency: str, system: System) -> str:
    unit, mine, other = _per(one, currency, system), f'"{one.strategy}"', f'"{one.other}"'
    if one.table == "materials":
        if one.price.p50 <= 0.0:
            return f"Even if {one.thing} were a gift, {mine} would have less left over than {other}."
        price = f"{unit.range(one.price)} {unit.unit}"
        return f"{one.thing} may cost up to {price} before {mine} has no more left over than {other}."
    if one.price.p50 <= 0.0:
        return f"Even if {one.thing} brought nothing, {mine} would have more left over than {other}."
    area = scale_of_area(system)
    a_year = "" if one.per_area is None else f", {short(one.per_area.p50 * area.times)} {currency}/{area.unit} a year,"
    price = f"{unit.range(one.price)} {unit.unit}"
    return f"{one.thing} must bring {price}{a_year} for {mine} to have as much left over as {other}."


def _per(one: BreakEven, currency: str, system: System) -> Scale:
    """The unit of a price: for a m3 or kg, or a yd3 or lb."""
    word = one.per if system == "metric" else {"m3": "yd3", "kg": "lb"}[one.per]
    return Scale(f"{currency}/{word}", factor(word, {"m3": "volume", "kg": "mass"}[one.per]))


def scale_of_area(system: System) -> Scale:
    """What is told for each m2, or each ft2."""
    word = "m2" if system == "metric" else "ft2"
    return Scale(word, factor(word, "area"))


def _full(strategy: str, found: Fit) -> str:
    worst = max(found.full, key=lambda week: week.hours.p50 - week.available)
    told = [
        f"{date_in_words(row[0].monday)}" + (f" and the {len(row) - 1} after it" if len(row) > 1 else "")
        for row in found.stretches[:MOST_STRETCHES]
    ]
    rest = f"; {len(found.stretches)} such times in all" if len(found.stretches) > MOST_STRETCHES else ""
    hours = Scale("h", 1.0)
    return (
        f'"{strategy}" DOES NOT FIT into your hours: {len(found.full)} of {found.weeks} weeks are too full, those of '
        f"{', '.join(told)}{rest}. The fullest, of {date_in_words(worst.monday)}, has {hours.range(worst.hours)} hours "
        f"of work; there are {short(worst.available)}."
    )


def notes_of(found: Decision) -> Iterator[str]:
    """What the money and the hours rest on, and what is not in them."""
    choices = found.choices
    costs = [one.cost.ledger for one in choices if one.cost is not None]
    for book in costs:
        if book.unpriced:
            yield f"{book.strategy} costs more than shown: no price is given for {', '.join(book.unpriced)}."
    if guessed := _each(book.guessed for book in costs):
        yield f"Old guesses of the library, for want of a price in the plan: {', '.join(guessed)}."
    if unsold := _each(book.unsold for book in costs):
        yield f"Not counted as sold, because the plan has no price: {', '.join(unsold)}."
    if unknown := _each(one.unknown_hours for one in choices):
        yield f"No published figure for the hours of: {', '.join(unknown)}. They count as nothing."
    if unknown := _each(one.unknown_yields for one in choices):
        yield f"No figure for the harvest of: {', '.join(unknown)}. It counts as nothing."
    if unknown := _each(one.unknown_phosphorus for one in choices):
        yield f"No published phosphorus of: {', '.join(unknown)}. It is not known, which is not nought."
    if found.tools:
        tools = ", ".join(f"{tool} ({kind})" for kind, tool in found.tools.items())
        yield f"Hours are reckoned with the usual tools, {tools}; name yours under tools."
    if any(one.harvest.p90 > 0.0 or "grow" in one.by_month for one in choices):
        yield "The work and the harvest of a crop are spread evenly over the time that it stands."


def _each(lists: Iterable[Iterable[str]]) -> list[str]:
    return list(dict.fromkeys(name for names in lists for name in names))


def decision_rows(found: Decision, choices: Sequence[Choice], system: System = "metric") -> Iterator[Row]:
    """One row for each thing to decide by, and a cell for each strategy."""
    mass, ground, weight = scale("mass_per_area", system), scale("ground_load", system), _weight(system)
    hectare = Scale(ground.unit, ground.times / HECTARE)
    yield f"organic matter, {mass.unit}", [cell(mass, one.organic_matter) for one in choices]
    yield "  most of all", [in_hundred(one.chance_of_most) for one in choices]
    if found.currency is not None:
        yield from _money_rows(found, choices, system)
    plain = Scale("", 1.0)
    yield "own hours a year", [cell(plain, one.hours) for one in choices]
    if any(one.hired.p90 > 0.0 for one in found.choices):
        yield "hired hours a year", [cell(plain, one.hired) for one in choices]
    if any(one.fit is not None for one in found.choices):
        yield "fits your hours", [_fits(one.fit) for one in choices]
    yield f"harvest a year, {weight.unit}", [cell(weight, one.harvest) for one in choices]
    yield "  in portions of 80 g", [cell(plain, one.portions) for one in choices]
    yield f"nitrogen spread in a year, at most, {hectare.unit}", [cell(hectare, one.nitrogen) for one in choices]
    yield f"phosphorus spread a year, {hectare.unit}", [_phosphorus(hectare, one) for one in choices]
    yield "salt: years of compost without rain", [_salt(one.salt_years) for one in choices]
    yield "beaten on everything by", ["; ".join(name for name, _ in one.beaten_by) or "none" for one in choices]


def _money_rows(found: Decision, choices: Sequence[Choice], system: System) -> Iterator[Row]:
    money, area, weight = found.currency, scale_of_area(system), _weight(system)
    plain, costs = Scale("", 1.0), [one.cost for one in choices if one.cost is not None]
    yield f"costs a year, {money}", [_least(cell(plain, one.costs), one.ledger.complete) for one in costs]
    for line in ("material", "delivery", "seed", "hired work", "own hours"):
        if any(one.cost is not None and one.cost.lines[line].p90 > 0.0 for one in found.choices):
            yield f"  {line}", [cell(plain, one.lines[line]) for one in costs]
    yield f"  for each {area.unit} of bed", [cell(area, one.per_area) for one in costs]
    per_kg = Scale("", 1.0 / weight.times)
    yield f"  to feed the soil, for each {weight.unit} of carbon that lasts", [
        cell(per_kg, one.per_lasting) for one in costs
    ]
    if any(one.cost is not None and one.cost.lines["sales"].p90 > 0.0 for one in found.choices):
        yield f"sales a year, {money}", [cell(plain, one.lines["sales"]) for one in costs]
    yield f"left over a year, {money}", [cell(plain, one.result) for one in costs]
    if all(one.chance_of_most is not None for one in costs):
        yield "  most of all", [in_hundred(one.chance_of_most or 0.0) for one in costs]
    if any(one.ledger.worth[-1] < 1.0 for one in costs):
        yield f"left over in all, later years for less, {money}", [cell(plain, one.present) for one in costs]


def _weight(system: System) -> Scale:
    word = "kg" if system == "metric" else "lb"
    return Scale(word, 1.0 / factor(word, "mass"))


def _least(cell: str, complete: bool) -> str:
    return cell if complete else f"over {cell}"


def _fits(found: Fit | None) -> str:
    if found is None:
        return "-"
    return "yes" if found.fits else f"NO, {len(found.full)} of {found.weeks} weeks"


def _phosphorus(hectare: Scale, one: Choice) -> str:
    """What is spread; or that it is not known, or known only in part."""
    if not one.unknown_phosphorus:
        return cell(hectare, one.phosphorus)
    return "not known" if one.phosphorus.p90 <= 0.0 else f"over {cell(hectare, one.phosphorus)}"


def _salt(years: float) -> str:
    return "none" if years <= 0.0 else short(years)


def tables(found: Decision, width: int, system: System = "metric") -> Iterator[Table]:
    """What to decide by, as many strategies side by side as the width holds."""
    for choices in side_by_side(found.choices, width):
        table = table_of([one.strategy for one in choices])
        for label, cells in decision_rows(found, choices, system):
            table.add_row(Text(label), *(Text(text) for text in cells))
        yield table
