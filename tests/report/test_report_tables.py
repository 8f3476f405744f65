"""Tables against the dataset they are made from, recomputed here with xarray and read back with csv and pandas."""

import csv
import io
import math

import numpy as np
import pandas as pd
import pytest
from conftest import HOSTILE

from somsim.report.tables import csv_bytes, plain_unit, summary_table, yearly_table
from somsim.study.compare import Study


def read(table: pd.DataFrame) -> pd.DataFrame:
    return pd.read_csv(io.BytesIO(csv_bytes(table)), keep_default_na=False)


def one_row(table: pd.DataFrame, **wanted: str) -> pd.Series:
    found = table
    for column, value in wanted.items():
        found = found[found[column] == value]
    assert len(found) == 1
    return found.iloc[0]


def test_no_cell_is_empty_or_not_a_number(hostile: Study, crowd: Study) -> None:
    for study in (hostile, crowd):
        for table in (summary_table(study), yearly_table(study)):
            rows = list(csv.reader(io.StringIO(csv_bytes(table).decode())))
            assert len(rows) == len(table) + 1
            assert all(cell and cell.lower() not in ("nan", "inf", "-inf", "-0") for row in rows for cell in row)


def test_a_number_that_is_none_is_refused(crowd: Study) -> None:
    with pytest.raises(ValueError, match="nan"):
        csv_bytes(summary_table(crowd).assign(p50=math.nan))


def test_csv_is_utf8_with_line_feeds_and_six_digits(hostile: Study) -> None:
    made = csv_bytes(summary_table(hostile))
    assert b"\r" not in made and made.endswith(b"\n")
    numbers = [cell for row in list(csv.reader(io.StringIO(made.decode())))[1:] for cell in row[3:]]
    digits = [len(n.split("e")[0].replace(".", "").replace("-", "").lstrip("0")) for n in numbers]
    assert max(digits) == 6


def test_names_come_back_as_typed(hostile: Study) -> None:
    assert tuple(dict.fromkeys(read(yearly_table(hostile))["strategy"])) == HOSTILE
    assert set(read(summary_table(hostile))["strategy"]) == set(HOSTILE)


@pytest.mark.parametrize("variable", ["organic_matter_percent", "carbon_respired", "surface_carbon"])
def test_yearly_rows_are_the_dataset_weighted_by_beds(hostile: Study, variable: str) -> None:
    table = read(yearly_table(hostile))
    drawn = hostile.drawn[variable].weighted(hostile.drawn["bed_share"]).mean("group")
    best = hostile.best[variable].isel(draw=0).weighted(hostile.best["bed_share"]).mean("group")
    for strategy in HOSTILE:
        for time in hostile.drawn["time"].values:
            row = one_row(table, strategy=strategy, beds="all beds", date=str(time)[:10], variable=variable)
            here = drawn.sel(strategy=strategy, time=time)
            # 1e-5: six digits in the file
            for column, share in (("p10", 0.1), ("p50", 0.5), ("p90", 0.9)):
                assert row[column] == pytest.approx(float(here.quantile(share)), rel=1e-5, abs=1e-12)
            assert row["best"] == pytest.approx(float(best.sel(strategy=strategy, time=time)), rel=1e-5, abs=1e-12)


def test_groups_of_beds_have_rows_of_their_own(hostile: Study, crowd: Study) -> None:
    table = read(yearly_table(hostile))
    assert set(table["beds"]) == {"all beds", "bed 1", "beds 2 to 4"}
    end, name = str(hostile.drawn["time"].values[-1])[:10], HOSTILE[2]
    wanted = {"strategy": name, "date": end, "variable": "organic_matter"}
    rows = {beds: one_row(table, beds=beds, **wanted)["best"] for beds in set(table["beds"])}
    assert rows["all beds"] == pytest.approx(0.25 * rows["bed 1"] + 0.75 * rows["beds 2 to 4"], rel=1e-5)
    assert rows["bed 1"] > rows["beds 2 to 4"]
    assert set(read(yearly_table(crowd))["beds"]) == {"all beds"}


def test_the_best_rate_is_the_mean_of_the_year_and_not_of_its_last_month(hostile: Study) -> None:
    table = read(yearly_table(hostile))
    rows = table[(table["variable"] == "soil_life_food") & (table["beds"] == "all beds")]
    assert (rows["year"] > 0).all() and (rows["unit"] == "kg/m2/year").all()
    answer = hostile.answers[0]
    # 2e-3: years here are of 365 or 366 days, the mean is over the whole horizon
    assert rows[rows["strategy"] == answer.name]["best"].mean() == pytest.approx(answer.food.best, rel=2e-3)
    assert rows[rows["strategy"] == answer.name]["p50"].mean() == pytest.approx(answer.food.p50, rel=0.1)


def test_sources_a_strategy_does_not_use_have_no_row(hostile: Study) -> None:
    table = read(yearly_table(hostile))
    rows = table[table["variable"] == "carbon_by_source"]
    for answer in hostile.answers:
        assert set(rows[rows["strategy"] == answer.name]["source"]) == set(answer.from_source)
    end = rows[(rows["beds"] == "all beds") & (rows["date"] == str(hostile.drawn["time"].values[-1])[:10])]
    for answer in hostile.answers:
        for source, values in answer.from_source.items():
            row = one_row(end, strategy=answer.name, source=source)
            assert row["p50"] == pytest.approx(values.p50, rel=1e-5)
            assert row["best"] == pytest.approx(values.best, rel=1e-5)


def test_summary_rows_are_the_answers(hostile: Study) -> None:
    table = read(summary_table(hostile))
    end = hostile.drawn["organic_matter"].isel(time=-1).weighted(hostile.drawn["bed_share"]).mean("group")
    for answer in hostile.answers:
        row = one_row(table, strategy=answer.name, quantity="organic matter in the layer")
        assert row["p90"] == pytest.approx(float(end.sel(strategy=answer.name).quantile(0.9)), rel=1e-5)
    assert not table.duplicated(["strategy", "quantity"]).any()
    volumes = table[table["quantity"].str.endswith("by volume")]
    assert list(volumes["strategy"]) == [HOSTILE[1]]  # the other cover's volume was not measured: no row


@pytest.mark.parametrize(("unit", "plain"), [("kg m-2", "kg/m2"), ("percent", "%"), ("1", "1")])
def test_units_as_people_write_them(unit: str, plain: str) -> None:
    assert plain_unit(unit) == plain


def test_tables_in_memory_keep_all_digits(hostile: Study) -> None:
    row = one_row(summary_table(hostile), strategy=HOSTILE[0], quantity="organic matter in the layer")
    assert row["p50"] == hostile.answers[0].organic_matter.p50
    assert np.isfinite(summary_table(hostile)[["best", "p10", "p50", "p90"]].to_numpy()).all()
