"""The figures of a comparison as tables, for a spreadsheet."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np

from somsim.draws import quantile
from somsim.report.costs import summary_rows
from somsim.report.series import DAYS_A_YEAR, SHARES, over_beds, span_text
from somsim.study.equivalence import Equivalence, Spread
from somsim.study.held import LoadHeld
from somsim.study.limits import HECTARE

if TYPE_CHECKING:
    import pandas
    import xarray

    from somsim.study.compare import StrategyAnswer, Study

NUMBERS = ("best", "p10", "p50", "p90")
ALL_BEDS = "all beds"
ALL_SOURCES = "all sources"
Row = tuple[str, str, str, Spread]


def summary_table(study: Study) -> pandas.DataFrame:
    """The figures at the horizon, one row for each strategy and quantity.

    Columns strategy, quantity, unit, best, p10, p50, p90.  A quantity without doubt has the same number in all four;
    one that does not exist (a volume that was not measured) has no row.
    """
    import pandas

    rows = [row for answer in study.answers for row in _answer_rows(answer)]
    rows += [row for one in study.equivalences for row in _equivalence_rows(one)]
    for pair in study.pairs:
        rows.append((pair.more, f"organic matter in the layer, more than in {pair.less}", "kg/m2", pair.difference))
        rows.append((pair.more, f"chance of more organic matter than in {pair.less}", "share", _sure(pair.chance)))
    rows += [row for one in study.limits.loads for row in _limit_rows(one)]
    rows += summary_rows(study.decision)
    table = [
        (strategy, quantity, unit, *(getattr(values, name) for name in NUMBERS))
        for strategy, quantity, unit, values in rows
        if all(math.isfinite(getattr(values, name)) for name in NUMBERS)
    ]
    return pandas.DataFrame(table, columns=["strategy", "quantity", "unit", *NUMBERS])


def _sure(value: float) -> Spread:
    return Spread(value, value, value, value)


def _answer_rows(answer: StrategyAnswer) -> Iterator[Row]:
    name = answer.name
    yield name, "organic matter in the layer, share of dry mass", "%", answer.percent
    yield name, "organic matter in the layer", "kg/m2", answer.organic_matter
    yield name, "organic matter on the surface", "kg/m2", answer.surface
    yield name, "change of organic matter in the layer since the start", "kg/m2", answer.change
    yield name, "carbon added since the start", "kg C/m2", answer.added
    if answer.kept is not None:
        yield name, "share of the added carbon that is still there", "share", answer.kept
    yield name, "food for soil life, mean of all years", "kg C/m2/year", answer.food
    for source, values in answer.from_source.items():
        yield name, f"carbon that is there from {source}", "kg C/m2", values
    yield name, "chance of most organic matter of all strategies", "share", _sure(answer.chance_of_most)
    yield name, "most nitrogen spread in twelve months, by ground with paths", "kg/ha", answer.nitrogen.most


def _limit_rows(one: LoadHeld) -> Iterator[Row]:
    """What is spread in the time of a limit beside the limit, and how often it is passed."""
    name, times = one.rule.name, HECTARE  # kept by the m2
    most = Spread(*(times * getattr(one.most, each) for each in NUMBERS))
    yield one.strategy, f"spread in any {one.rule.months} months, held against: {name}", "kg/ha", most
    yield one.strategy, f"limit: {name}", "kg/ha", _sure(times * one.rule.level)
    yield one.strategy, f"chance that the limit is passed: {name}", "share", _sure(one.chance)


def _equivalence_rows(one: Equivalence) -> Iterator[Row]:
    start = f"one crop of {one.cover} in {one.compost}"
    yield one.strategy, f"carbon that one crop of {one.cover} adds", "kg C/m2", one.carbon
    if one.volume is not None:
        yield one.strategy, f"{start}, by volume", "mm", one.volume
    yield one.strategy, f"{start}, by carbon on the day", "mm", one.on_the_day
    for month, values in one.lasting.items():
        yield one.strategy, f"{start}, by what lasts {span_text(month / 12.0)}", "mm", values
    yield one.strategy, f"crops of {one.cover} that could follow each other in a year", "1", _sure(one.rounds_a_year)


def yearly_table(study: Study) -> pandas.DataFrame:
    """Every outcome through the years.

    Columns strategy, beds, source, date, year, variable, unit, best, p10, p50, p90.  ``beds`` is "all beds" for the
    mean over the beds, weighted by their area; where beds are treated in different ways, each group has rows as well.
    ``source`` is "all sources" for outcomes that are not split.  A rate has no row at the start, and a strategy has
    none for a source it does not use.
    """
    import pandas

    tables = [_variable_table(study, str(name)) for name in study.drawn.data_vars]
    return pandas.concat(tables, ignore_index=True)


def _variable_table(study: Study, name: str) -> pandas.DataFrame:
    import pandas

    first = 1 if is_rate(study.drawn[name]) else 0
    drawn, best = _by_beds(study.drawn[name]), _by_beds(yearly_best(study, name))
    low, middle, high = quantile(drawn.values, SHARES, study.weights)
    sizes = dict(zip(drawn.dims[:-1], low.shape, strict=True))
    places = [axis.ravel() for axis in np.meshgrid(*(np.arange(size) for size in sizes.values()), indexing="ij")]
    at: dict[Any, Any] = dict(zip(sizes, places, strict=True))
    keep = at["time"] >= first
    sources = np.array([ALL_SOURCES], dtype=object)
    if "source" in at:
        sources = np.array([str(one) for one in study.drawn["source"].values], dtype=object)
        used = np.array([[one in answer.from_source for one in sources] for answer in study.answers])
        keep &= used[at["strategy"], at["source"]]
    dates = study.drawn["time"].values.astype("datetime64[D]")
    strategies = np.array([answer.name for answer in study.answers], dtype=object)
    elapsed = (dates - dates[0]).astype(int) / DAYS_A_YEAR
    table = {
        "strategy": strategies[at["strategy"]],
        "beds": np.array([str(one) for one in drawn["group"].values], dtype=object)[at["group"]],
        "source": sources[at["source"]] if "source" in at else np.full(keep.shape, ALL_SOURCES, dtype=object),
        "date": dates.astype(str).astype(object)[at["time"]],
        "year": np.round(elapsed, 2)[at["time"]],
        "variable": name,
        "unit": plain_unit(study.drawn[name].attrs["units"]),
        "best": best.values[..., 0].ravel(),
        "p10": low.ravel(),
        "p50": middle.ravel(),
        "p90": high.ravel(),
    }
    made: pandas.DataFrame = pandas.DataFrame(table).loc[keep]
    return made


def is_rate(values: xarray.DataArray) -> bool:
    """Whether an outcome is an amount a year, which has no value before the first year is over."""
    return str(values.attrs["units"]).endswith("year-1")


def yearly_best(study: Study, name: str) -> xarray.DataArray:
    """The best-value run at the dates of the draws; a rate as the mean of the months since the date before."""
    monthly, times = study.best[name], study.drawn["time"]
    picked = monthly.sel(time=times)
    if not is_rate(monthly):
        return picked
    axis = monthly.get_axis_num("time")
    day = np.timedelta64(1, "D")
    rates = np.moveaxis(monthly.values, axis, -1)
    passed = np.cumsum(rates * np.diff(monthly["time"].values, prepend=monthly["time"].values[:1]) / day, axis=-1)
    ends = passed[..., monthly.indexes["time"].get_indexer(picked.indexes["time"])]
    made = np.zeros(ends.shape)
    made[..., 1:] = np.diff(ends, axis=-1) / (np.diff(times.values) / day)
    return picked.copy(data=np.moveaxis(made, -1, axis))


def _by_beds(values: xarray.DataArray) -> xarray.DataArray:
    """Outcomes with the mean over all beds first along ``group``, then each group where there are several."""
    import xarray

    whole = over_beds(values).expand_dims(group=[ALL_BEDS], axis=-1)
    parts = [whole] if values.sizes["group"] == 1 else [whole, values.drop_vars("bed_share")]
    joined = xarray.concat(parts, dim="group", coords="minimal", compat="override", join="exact")
    return joined.transpose(*(dim for dim in values.dims if dim not in ("group", "draw")), "group", "draw")


def plain_unit(unit: str) -> str:
    """A unit of the results file as people write it.

    >>> plain_unit("kg m-2 year-1"), plain_unit("percent")
    ('kg/m2/year', '%')
    """
    if unit == "percent":
        return "%"
    first, *rest = unit.split()
    return first + "".join(f"/{part.removesuffix('-1').replace('-', '')}" for part in rest)


def csv_bytes(table: pandas.DataFrame) -> bytes:
    """A table as CSV: UTF-8, a line feed after each row, six digits that mean something."""
    rounded = table.copy()
    for column in NUMBERS:
        rounded[column] = [_six(value) for value in table[column]]
    text: str = rounded.to_csv(index=False, lineterminator="\n")
    return text.encode()


def _six(value: float) -> str:
    if not math.isfinite(value):
        raise ValueError(f"{value} is not a number that can be in a table")
    return f"{value + 0.0:.6g}"  # + 0.0 makes a nought of a negative nought
