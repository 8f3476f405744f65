"""All results of a comparison as one labelled dataset, and as a NetCDF file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from somsim.plan import write_plan
from somsim.report.tables import is_rate
from somsim.study.equivalence import Equivalence, Spread
from somsim.version import VERSION

if TYPE_CHECKING:
    import xarray

    from somsim.study.compare import Study

QUANTILES = ("best", "p10", "p50", "p90")
EPOCH = "days since 1970-01-01"
MM = {"units": "mm", "comment": "depth of compost; one crop of the cover"}


def results_dataset(study: Study) -> xarray.Dataset:
    """Everything that a comparison worked out, with units and names on every variable.

    Outcomes with all draws (dims strategy, source, time, group, draw), the best-value run month by month under the same
    names with ``_best`` (dim ``month`` in place of ``time`` and ``draw``), and what the covers are worth in mm of
    compost (dims cover, lasting_month, quantile); a volume only for covers whose volume was measured.
    """
    made = study.drawn.copy()
    made["draw"] = ("draw", np.arange(study.draws, dtype=np.int32), {"units": "1", "long_name": "possible world"})
    months = study.best["time"].values
    made["month"] = ("month", months, {"long_name": "date of the best-value run"})
    for name, values in study.best.data_vars.items():
        one = values.isel(draw=0).rename({"time": "month"}).drop_vars("month")
        since = "; a rate since the date before, nought at the start" if is_rate(values) else ""
        one.attrs = {**values.attrs, "long_name": f"{values.attrs['long_name']}, by the best values{since}"}
        made[f"{name}_best"] = one
    if study.equivalences:
        made = made.merge(_equivalences(study.equivalences), join="exact")
    labels = {"strategy": "strategy", "source": "where the carbon came from", "group": "group of beds", "time": "date"}
    for name, text in labels.items():
        made[name].attrs["long_name"] = text
    made.attrs = _attributes(study)
    return made


def _attributes(study: Study) -> dict[str, Any]:
    lines = study.plan.source.lines
    return {
        "Conventions": "CF-1.11",
        "title": study.plan.title,
        "source": f"somsim {VERSION}",
        "somsim_version": VERSION,
        "draws": np.int32(study.draws),
        "seed": np.int64(study.seed),
        "engine": study.engine,
        "plan": "\n".join(lines) if lines else write_plan(study.plan),
    }


def _equivalences(covers: tuple[Equivalence, ...]) -> xarray.Dataset:
    """What the covers are worth, with what they are called as coordinates."""
    import xarray

    months = covers[0].months
    found = xarray.Dataset(_worth(covers, months), _cover_axes(covers, months))
    measured = [(one, one.volume) for one in covers if one.volume is not None]
    if measured:
        names = [_cover_and_strategy(one) for one, _ in measured]
        found = found.assign_coords(measured_cover=("measured_cover", names, {"long_name": "cover and strategy"}))
        found["equivalence_by_volume"] = (
            ("measured_cover", "quantile"),
            np.array([_four(volume) for _, volume in measured]),
            {**MM, "long_name": "compost of the same volume"},
        )
    return found


def _cover_axes(covers: tuple[Equivalence, ...], months: tuple[int, ...]) -> dict[str, Any]:
    """The coordinates: words beside the covers, months and quantiles."""
    return {
        "cover": ("cover", [_cover_and_strategy(one) for one in covers], {"long_name": "cover and strategy"}),
        "cover_name": ("cover", [one.cover for one in covers], {"long_name": "cover"}),
        "cover_strategy": ("cover", [one.strategy for one in covers], {"long_name": "strategy of the cover"}),
        "cover_compost": ("cover", [one.compost for one in covers], {"long_name": "compost it is held against"}),
        "lasting_month": (
            "lasting_month",
            np.array(months, dtype=np.int32),
            {"units": "1", "long_name": "months after the last cut"},
        ),
        "quantile": ("quantile", list(QUANTILES), {"long_name": "best value, and P10, P50 and P90 of the draws"}),
    }


def _worth(covers: tuple[Equivalence, ...], months: tuple[int, ...]) -> dict[str, Any]:
    """The figures of every cover; a volume is not among them, for not every cover has one."""
    quantiles = ("cover", "quantile")
    return {
        "equivalence_lasting": (
            ("cover", "lasting_month", "quantile"),
            np.array([[_four(one.lasting[month]) for month in months] for one in covers]),
            {**MM, "long_name": "compost that leaves as much"},
        ),
        "equivalence_at_horizon": (
            ("cover", "draw"),
            np.array([one.draws for one in covers]),
            {**MM, "long_name": "compost that leaves as much at the horizon of the plan"},
        ),
        "equivalence_on_the_day": (
            quantiles,
            np.array([_four(one.on_the_day) for one in covers]),
            {**MM, "long_name": "compost that brings as much carbon"},
        ),
        "cover_carbon": (
            quantiles,
            np.array([_four(one.carbon) for one in covers]),
            {"units": "kg m-2", "long_name": "carbon that one crop of the cover adds"},
        ),
    }


def _cover_and_strategy(one: Equivalence) -> str:
    return f"{one.cover} in {one.strategy}"


def _four(values: Spread) -> list[float]:
    return [values.best, values.p10, values.p50, values.p90]


def write_netcdf(study: Study, path: Path) -> None:
    """Write all results to a NetCDF file; the same study gives the same bytes."""
    results = results_dataset(study)
    coding: dict[Any, dict[str, Any]] = {}
    for name, values in results.variables.items():
        if values.dtype.kind == "f":
            coding[name] = {"_FillValue": None, "zlib": True, "complevel": 1, "shuffle": True}
        elif values.dtype.kind == "M":
            coding[name] = {"_FillValue": None, "units": EPOCH, "calendar": "proleptic_gregorian", "dtype": "int32"}
    results.to_netcdf(path, engine="h5netcdf", format="NETCDF4", encoding=coding)
