"""The whole folder of a comparison."""

import datetime
import io
from pathlib import Path

import pandas as pd
from PIL import Image

from somsim.plan import parse_plan
from somsim.report.page.write import Telling
from somsim.report.save import save
from somsim.study.compare import Study

ALWAYS = {"carbon.png", "carbon.svg", "organic-matter.png", "organic-matter.svg"}
ALWAYS |= {"report.html", "summary.csv", "yearly.csv", "hours.csv", "results.nc", "plan.yaml", ".somsim"}
TOLD = Telling(datetime.date(2026, 11, 27))
DIFFERENCE = {"difference.png", "difference.svg"}
COVERS = {"equivalence.png", "equivalence.svg"}


def test_the_folder_is_whole_and_the_same_twice(hostile: Study, tmp_path: Path) -> None:
    first, second = (save(hostile, tmp_path / name, TOLD) for name in ("one", "two"))
    names = {item.name for item in first.iterdir()}
    assert names == ALWAYS | DIFFERENCE | COVERS
    for name in names:
        assert (first / name).read_bytes() == (second / name).read_bytes(), name
    for name in names:
        if name.endswith(".png"):
            Image.open(io.BytesIO((first / name).read_bytes())).verify()
    assert parse_plan((first / "plan.yaml").read_text(encoding="utf-8")) == hostile.plan
    assert (first / "plan.yaml").read_text(encoding="utf-8") == "\n".join(hostile.plan.source.lines)
    assert len(pd.read_csv(first / "yearly.csv", keep_default_na=False)) > 100


def test_pictures_of_an_earlier_plan_do_not_stay(hostile: Study, crowd: Study, tmp_path: Path) -> None:
    save(hostile, tmp_path / "results", TOLD)
    save(crowd, tmp_path / "results", TOLD)
    assert {item.name for item in (tmp_path / "results").iterdir()} == ALWAYS | DIFFERENCE
