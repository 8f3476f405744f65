"""What each strategy costs and brings, for a spreadsheet and for machines: rows, costs.csv, hours.csv, dictionaries."""

from __future__ import annotations

import calendar
from collections.abc import Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import numpy as np

from somsim.draws import quantile
from somsim.outcomes.money import CENTS, LINES, Ledger
from somsim.simulate import Array
from somsim.study.decision import Choice, Cost, Decision
from somsim.study.equivalence import SHARES, Spread
from somsim.study.fit import Fit

if TYPE_CHECKING:
    import pandas

NUMBERS = ("best", "p10", "p50", "p90")
ALL_YEARS = "all years"
COSTS, RESULT, PRESENT = "costs", "left over", "left over, later years for less"
Row = tuple[str, str, str, Spread]


def summary_rows(found: Decision) -> Iterator[Row]:
    """Strategy, quantity, unit and value of what is decided by."""
    for one in found.choices:
        name, money = one.strategy, found.currency
        if one.cost is not None:
            yield name, "costs, mean of all years", f"{money}/year", one.cost.costs
            yield name, "left over, mean of all years", f"{money}/year", one.cost.result
            yield name, "left over in all, later years for less", f"{money}", one.cost.present
            yield name, "costs for the area of bed", f"{money}/m2/year", one.cost.per_area
            lasting = one.cost.per_lasting
            most = one.cost.chance_of_most
            if most is not None:
                yield name, "chance of most money left over", "share", Spread(most, most, most, most)
            if lasting is not None:
                yield name, "feeding the soil, for its carbon that is still there", f"{money}/kg C", lasting
        yield name, "own hours, mean of all years", "h/year", one.hours
        yield name, "hired hours, mean of all years", "h/year", one.hired
        yield name, "harvest, mean of all years", "kg/year", one.harvest
        yield name, "phosphorus spread, mean of all years, by ground with paths", "kg/ha/year", one.phosphorus
    for pair in found.pairs:
        quantity = f"left over in all, later years for less, more than in {pair.less}"
        yield pair.more, quantity, str(found.currency), pair.difference
    for even in found.break_evens:
        quantity = f"price of {even.thing} to have as much left over as {even.other}"
        yield even.strategy, quantity, f"{found.currency}/{even.per}", even.price


def costs_table(found: Decision) -> pandas.DataFrame:
    """Money by year and line, and over all years.

    Columns strategy, year (its first day), line, currency, best, p10, p50, p90.  Costs and sales are positive.  In the
    column best the lines of a year add up to the cent, and so do the years, and the differences between strategies;
    middles and ends of ranges don't add up, as none do.
    """
    import pandas

    books = {one.strategy: one.cost for one in found.choices if one.cost is not None}
    rows = [row for cost in books.values() for row in _ledger_rows(cost)]
    for pair in found.pairs:
        more, less = books[pair.more], books[pair.less]
        for name, (best, many) in _years(more).items():
            other_best, other = _years(less)[name]
            line = f"left over, more than in {pair.less}"
            rows.append((pair.more, name, line, found.currency, *_four(best - other_best, many - other)))
    table = [(*row[:4], *(f"{value / CENTS + 0.0:.2f}" for value in row[4:])) for row in rows]
    return pandas.DataFrame(table, columns=["strategy", "year", "line", "currency", *NUMBERS])


def _years(cost: Cost) -> dict[str, tuple[Array, Array]]:
    """What is left over in each year and in all years, best (1,) and drawn (draw,), cents."""
    best, many = cost.likely.result, cost.ledger.result
    found = {day.isoformat(): (best[year], many[year]) for year, day in enumerate(cost.ledger.begins)}
    return {**found, ALL_YEARS: (best.sum(axis=0), many.sum(axis=0))}


def _ledger_rows(cost: Cost) -> Iterator[tuple[Any, ...]]:
    likely, many = cost.likely, cost.ledger
    lines = {line: (likely.cents[number], many.cents[number]) for number, line in enumerate(LINES)}
    lines |= {COSTS: (likely.costs, many.costs), RESULT: (likely.result, many.result)}
    lines[PRESENT] = (_later(likely), _later(many))
    years = [day.isoformat() for day in many.begins]
    for line, (best, drawn) in lines.items():
        for year, name in enumerate(years):
            yield many.strategy, name, line, many.currency, *_four(best[year], drawn[year])
        yield many.strategy, ALL_YEARS, line, many.currency, *_four(best.sum(axis=0), drawn.sum(axis=0))


def _later(book: Ledger) -> Array:
    """What is left over in each year as it counts (year, draw), in whole cents."""
    return np.asarray(np.rint(book.result * book.worth[:, np.newaxis]))


def _four(best: Array, drawn: Array) -> tuple[float, float, float, float]:
    low, middle, high = (float(value) for value in quantile(drawn, SHARES))
    return float(best[0]), low, middle, high


def hours_table(found: Decision) -> pandas.DataFrame:
    """Own hours by job and month, means of the years.

    Columns strategy, job, month, unit, best, p10, p50, p90.
    """
    import pandas

    rows = [
        (one.strategy, kind, calendar.month_name[month], "h/year", *(getattr(spread, name) for name in NUMBERS))
        for one in found.choices
        for kind, months in one.by_month.items()
        for month, spread in enumerate(months, start=1)
    ]
    return pandas.DataFrame(rows, columns=["strategy", "job", "month", "unit", *NUMBERS])


def as_json(found: Decision) -> dict[str, Any]:
    """The decision as nested dictionaries in base units; money in the currency of the plan."""
    return {
        "currency": found.currency,
        "usual_tools": found.tools,
        "strategies": [_choice(one, found.currency) for one in found.choices],
        "money_pairs": [
            {
                "more": pair.more,
                "less": pair.less,
                "difference": _spread(pair.difference, str(found.currency)),
                "chance": pair.chance,
            }
            for pair in found.pairs
        ],
        "break_even_prices": [
            {
                "strategy": one.strategy,
                "other": one.other,
                "thing": one.thing,
                "table": one.table,
                "price": _spread(one.price, f"{found.currency}/{one.per}"),
                "price_for_area": _spread(one.per_area, f"{found.currency}/m2/yr"),
            }
            for one in found.break_evens
        ],
    }


def _spread(spread: Spread | None, unit: str) -> dict[str, Any] | None:
    return None if spread is None else {**asdict(spread), "unit": unit}


def _choice(one: Choice, currency: str | None) -> dict[str, Any]:
    return {
        "name": one.strategy,
        "organic_matter": _spread(one.organic_matter, "kg/m2"),
        "chance_of_most": one.chance_of_most,
        "money": None if one.cost is None else _money(one.cost, str(currency)),
        "own_hours": _spread(one.hours, "h/yr"),
        "hired_hours": _spread(one.hired, "h/yr"),
        "own_hours_by_job_and_month": {
            kind: [_spread(spread, "h/yr") for spread in months] for kind, months in one.by_month.items()
        },
        "harvest": _spread(one.harvest, "kg/yr"),
        "portions": _spread(one.portions, "1/yr"),
        "nitrogen_in_a_year": _spread(one.nitrogen, "kg/ha"),
        "phosphorus": _spread(one.phosphorus, "kg/ha/yr"),
        "years_of_compost_without_rain": one.salt_years,
        "hours_available": None if one.fit is None else _fit(one.fit),
        "hours_without_figure": list(one.unknown_hours),
        "harvests_without_figure": list(one.unknown_yields),
        "beaten_by": [{"name": name, "chance": share} for name, share in one.beaten_by],
    }


def _money(cost: Cost, currency: str) -> dict[str, Any]:
    return {
        "lines": {line: _spread(spread, f"{currency}/yr") for line, spread in cost.lines.items()},
        "costs": _spread(cost.costs, f"{currency}/yr"),
        "left_over": _spread(cost.result, f"{currency}/yr"),
        "left_over_in_all_later_years_for_less": _spread(cost.present, currency),
        "costs_for_area": _spread(cost.per_area, f"{currency}/m2/yr"),
        "feeding_the_soil_for_lasting_carbon": _spread(cost.per_lasting, f"{currency}/kg C"),
        "chance_of_most": cost.chance_of_most,
        "without_price": list(cost.ledger.unpriced),
        "old_guesses": list(cost.ledger.guessed),
        "not_sold": list(cost.ledger.unsold),
    }


def _fit(found: Fit) -> dict[str, Any]:
    return {
        "fits": found.fits,
        "weeks": found.weeks,
        "too_full": [
            {
                "monday": week.monday.isoformat(),
                "hours": _spread(week.hours, "h"),
                "available": week.available,
                "chance": week.chance,
            }
            for week in found.full
        ],
    }
