"""The way in from Python: read a plan, compare its strategies, look, save."""

from __future__ import annotations

import datetime
import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from somsim.plan import Plan, parse_plan, read_plan
from somsim.simulate import Array
from somsim.study.calibrate import Calibration, calibrate_study
from somsim.study.compare import DEFAULT_DRAWS, DEFAULT_SEED, Study, compare_study

if TYPE_CHECKING:
    import pandas
    import xarray

    from somsim.report.season_save import Saved
    from somsim.report.words import System
    from somsim.study.season_types import Season

__all__ = [
    "Calibration",
    "Comparison",
    "Plan",
    "YearOfWork",
    "calibrate",
    "compare",
    "parse_plan",
    "read_plan",
    "season",
]


@dataclass(frozen=True)
class Comparison:
    """The answer to a plan: ``study`` holds all of it, the rest are ways to look at it."""

    study: Study

    @property
    def dataset(self) -> xarray.Dataset:
        """Every outcome with dimensions strategy, source, time, group and draw, and units."""
        from somsim.report.netcdf import results_dataset

        return results_dataset(self.study)

    @property
    def table(self) -> pandas.DataFrame:
        """The figures at the horizon: strategy, quantity, unit, best, p10, p50, p90."""
        from somsim.report.tables import summary_table

        return summary_table(self.study)

    @property
    def text(self) -> str:
        """The answer in sentences."""
        from somsim.report.sentences import answer

        return "\n".join(answer(self.study))

    def chart(self, name: str = "organic matter") -> Any:
        """An Altair chart: "organic matter", "carbon", "difference" or "equivalence".

        The last two are None for a plan with one strategy, or without covers.

        Raises
        ------
        ValueError
            for another name.
        """
        from somsim.report import charts

        known = {
            "organic matter": charts.organic_matter_chart,
            "carbon": charts.carbon_chart,
            "difference": charts.difference_chart,
            "equivalence": charts.equivalence_chart,
        }
        if name not in known:
            raise ValueError(f'no chart "{name}"; there are: {", ".join(known)}')
        return known[name](self.study)

    def report(self, path: str | Path, units: System = "metric") -> Path:
        """Write the report alone: one HTML file that needs no other, in "metric" or "us" units."""
        from somsim.report.page.write import Telling, report

        made = Path(path)
        made.write_text(report(self.study, Telling(_today(), units)), encoding="utf-8")
        return made

    def save(
        self,
        folder: str | Path,
        units: System = "metric",
        printer: str | None = None,
        first: Sequence[str] = (),
        options: Sequence[str] = (),
    ) -> Path:
        """Write report, charts, tables and data to a folder, whole or not at all; an earlier result is replaced.

        Parameters
        ----------
        folder : where to
        units : "metric" or "us", for the report; the other files are metric
        printer : path of a Chromium, to have report.pdf too
        first : sentences that the report begins with, such as what came from a record
        options : further words of the command that makes the result again, as the report tells it
        """
        from somsim.report.page.write import Telling
        from somsim.report.save import save

        telling = Telling(_today(), units, tuple(first), tuple(options))
        return save(self.study, Path(folder), telling, printer)


def _today() -> datetime.date:
    """The day a report is written on; SOURCE_DATE_EPOCH makes two of them alike."""
    from somsim.report.page.write import day_of_writing

    return day_of_writing(os.environ, datetime.datetime.now())


def _nothing() -> None:
    """Do nothing between the parts of the work."""


def compare(
    plan: Plan,
    *,
    draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    engine: str = "exact",
    step: Callable[[], None] = _nothing,
    given: Mapping[str, Array] | None = None,
) -> Comparison:
    """Run every strategy of a plan, with the best values and in many possible worlds.

    Parameters
    ----------
    plan : Plan, from `read_plan`
    draws : int, how many worlds, 2 to 65,536
    seed : int, the same seed gives the same worlds
    engine : "exact" (closed form) or "ivp" (stepwise integration)
    step : called after each part of the work, twice for each strategy and once more
    given : scores (draw,) by name, such as `calibrate(...).given`: the answer is then calibrated

    Raises
    ------
    ValueError
        for draws or an engine that cannot be.
    somsim.errors.InputError
        when a figure is missing in plan and library.
    """
    return Comparison(compare_study(plan, draws=draws, seed=seed, engine=engine, step=step, given=given))


def calibrate(
    plan: Plan,
    strategy: str,
    *,
    draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    step: Callable[[], None] = _nothing,
) -> Calibration:
    """Weigh possible worlds by the soil tests of a plan (``measured``).

    Parameters
    ----------
    plan : Plan, with soil tests
    strategy : str, the one that was followed until the tests
    draws : int, how many equally likely worlds ``given`` stands for
    seed : int, the same seed gives the same worlds
    step : called after each round of the work

    Raises
    ------
    somsim.errors.InputError
        when there is no soil test, or one that cannot be used.
    """
    return calibrate_study(plan, strategy, draws=draws, seed=seed, step=step)


@dataclass(frozen=True)
class YearOfWork:
    """A year of one strategy as work: ``season`` holds orders, tasks, hours and costs; the rest is for paper."""

    season: Season
    units: System

    @property
    def page(self) -> bytes:
        """The page to print, HTML."""
        from somsim.report.season_page import page

        return page(self.season, self.units)

    def save(self, folder: str | Path, *, now: datetime.datetime | None = None) -> Saved:
        """Write the page, tables and calendar to a folder, whole or not at all; ``now`` dates the calendar file."""
        from somsim.report.season_save import save_season

        return save_season(self.season, Path(folder), self.units, now or datetime.datetime.now(datetime.UTC))


def season(
    plan: Plan,
    strategy: str | None = None,
    year: int | None = None,
    *,
    today: datetime.date | None = None,
    ahead: int = 28,
    draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    units: System = "metric",
) -> YearOfWork:
    """Lay out a year of one strategy as work: what to order, what to do when and where, how long it takes.

    Parameters
    ----------
    plan : Plan, from `read_plan`
    strategy : str, not needed when there is only one
    year : int, a calendar year or a year of the plan from 1; by default the one ``today`` falls in, else the first
    today : date
    ahead : int, days between the order of a thing and the day it is wanted
    draws, seed : int, as in a comparison: the same give the same figures
    units : "metric" or "us", for the page

    Raises
    ------
    somsim.errors.InputError
        for a strategy or a year that is not in the plan, or a figure that is missing.
    """
    from somsim.study.season import season_study

    found = season_study(plan, strategy, year, today=today, ahead=ahead, draws=draws, seed=seed)
    return YearOfWork(found, units)
