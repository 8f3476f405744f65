"""The results file: opened again with xarray and with h5py alone, the same bytes twice, nothing that is no number."""

import os
import subprocess
import sys
import time
from pathlib import Path

import h5py
import numpy as np
import pytest
import xarray as xr
from conftest import HOSTILE, SPREAD, plan_text

from somsim.plan import parse_plan
from somsim.report.netcdf import results_dataset, write_netcdf
from somsim.study.compare import Study, compare_study


@pytest.fixture(scope="module")
def path(hostile: Study, tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("netcdf") / "results.nc"
    write_netcdf(hostile, made)
    return made


def test_the_file_gives_back_the_dataset(hostile: Study, path: Path) -> None:
    with xr.open_dataset(path, engine="h5netcdf") as there:
        for name in hostile.drawn.data_vars:
            np.testing.assert_array_equal(there[name].values, hostile.drawn[name].values)
            np.testing.assert_array_equal(there[f"{name}_best"].values, hostile.best[name].values[..., 0])
        assert tuple(there["strategy"].values) == HOSTILE
        assert there["time"].values[0] == np.datetime64("2026-10-01")
        assert there["month"].size == 37
        assert there["draw"].size == 16


def test_every_variable_has_a_unit_and_a_long_name(path: Path) -> None:
    with xr.open_dataset(path, engine="h5netcdf", decode_times=False) as there:
        for name, values in there.variables.items():
            assert values.attrs["long_name"], name
            assert values.dtype.kind not in "fiu" or values.attrs["units"], name
            if values.dtype.kind == "f":
                assert np.isfinite(values.values).all(), name


def test_words_are_coordinates_and_every_data_variable_has_a_unit(path: Path) -> None:
    with xr.open_dataset(path, engine="h5netcdf", decode_times=False) as there:
        assert [name for name, values in there.data_vars.items() if not values.attrs.get("units")] == []


def test_no_fill_value_that_is_no_number(path: Path) -> None:
    with h5py.File(path) as file:
        assert file["organic_matter"].dtype == np.float64
        assert [name for name, values in file.items() if "_FillValue" in values.attrs] == []


def test_attributes_tell_how_it_was_made(hostile: Study, path: Path) -> None:
    with h5py.File(path) as file:
        assert file.attrs["Conventions"] == "CF-1.11"
        assert file.attrs["title"] == hostile.plan.title
        assert (file.attrs["draws"], file.attrs["seed"], file.attrs["engine"]) == (16, 1, "exact")
        assert file.attrs["somsim_version"] == "0.1.0"
        assert parse_plan(str(file.attrs["plan"])) == hostile.plan


def test_covers_are_in_it(hostile: Study, path: Path, crowd: Study) -> None:
    with xr.open_dataset(path, engine="h5netcdf") as there:
        for number, one in enumerate(hostile.equivalences):
            lasting = there["equivalence_lasting"].isel(cover=number).sel(lasting_month=one.horizon)
            assert float(lasting.sel(quantile="p50")) == one.at_horizon.p50
            draws = there["equivalence_at_horizon"].isel(cover=number)
            assert float(draws.quantile(0.9)) == pytest.approx(one.at_horizon.p90, rel=1e-12)
        assert there["measured_cover"].size == 1
        for name, words in (("cover_name", "cover"), ("cover_strategy", "strategy"), ("cover_compost", "compost")):
            assert there.coords[name].values.tolist() == [getattr(one, words) for one in hostile.equivalences]
    assert "cover" not in results_dataset(crowd).dims


def test_two_writes_at_other_times_are_the_same_bytes(hostile: Study, path: Path, tmp_path: Path) -> None:
    time.sleep(1.1)  # dates in such files are in whole seconds
    write_netcdf(hostile, tmp_path / "again.nc")
    assert (tmp_path / "again.nc").read_bytes() == path.read_bytes()


def test_another_process_writes_the_same_bytes(tmp_path: Path) -> None:
    plan = tmp_path / "plan.yaml"
    plan.write_text(plan_text({"a": SPREAD.format(depth=5), "b": SPREAD.format(depth=2)}, "1 year"), encoding="utf-8")
    code = (
        "import sys; from pathlib import Path; from somsim.plan import read_plan\n"
        "from somsim.study.compare import compare_study; from somsim.report.netcdf import write_netcdf\n"
        "write_netcdf(compare_study(read_plan(sys.argv[1]), draws=4), Path(sys.argv[2]))"
    )
    for seed in ("1", "2"):
        out = str(tmp_path / f"{seed}.nc")
        command = [sys.executable, "-W", "error", "-c", code, str(plan), out]
        subprocess.run(command, check=True, env={**os.environ, "PYTHONHASHSEED": seed})
    assert (tmp_path / "1.nc").read_bytes() == (tmp_path / "2.nc").read_bytes()


def test_a_plan_longer_than_an_hdf5_header_goes_in(tmp_path: Path) -> None:
    text = plan_text({"a": SPREAD.format(depth=5)}, "1 year") + "# a long remark\n" * 6000
    assert len(text) > 65_536  # an attribute in an HDF5 object header holds 64 kB
    study = compare_study(parse_plan(text), draws=2)
    write_netcdf(study, tmp_path / "long.nc")
    with h5py.File(tmp_path / "long.nc") as file:
        assert str(file.attrs["plan"]).count("a long remark") == 6000
