"""From Python: read, compare, look, save; and nothing is loaded before it is asked for."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import somsim
from somsim.api import Comparison

CONFIGS = Path(__file__).parent.parent / "configs"


@pytest.fixture(scope="module")
def made() -> Comparison:
    return somsim.compare(somsim.read_plan(CONFIGS / "hillside.yaml"), draws=8, seed=2)


def test_the_public_names_are_there() -> None:
    for name in somsim.__all__:
        assert getattr(somsim, name) is not None
    with pytest.raises(AttributeError, match="nothing_of_the_kind"):
        _ = somsim.nothing_of_the_kind


def test_a_comparison_is_of_the_draws_and_the_seed_asked_for(made: Comparison) -> None:
    assert (made.study.draws, made.study.seed, made.study.engine) == (8, 2, "exact")


def test_the_dataset_has_a_unit_for_everything(made: Comparison) -> None:
    assert made.dataset.sizes["strategy"] == 4
    numbers = [values for values in made.dataset.data_vars.values() if values.dtype.kind == "f"]
    assert len(numbers) > 5
    assert all(values.attrs["units"] and values.attrs["long_name"] for values in numbers)
    assert all(np.isfinite(values).all() for values in numbers)


def test_the_table_has_the_figures_of_the_study(made: Comparison) -> None:
    table = made.table
    for answer in made.study.answers:
        rows = table[(table.strategy == answer.name) & (table.quantity == "organic matter in the layer")]
        assert rows[["best", "p10", "p50", "p90"]].to_numpy().tolist() == [
            [getattr(answer.organic_matter, name) for name in ("best", "p10", "p50", "p90")]
        ]


def test_the_text_is_the_answer_in_sentences(made: Comparison) -> None:
    assert "more organic matter in each m2 of bed than" in made.text


def test_there_are_four_charts_and_no_others(made: Comparison) -> None:
    for name in ("organic matter", "carbon", "difference", "equivalence"):
        assert made.chart(name).to_dict()["$schema"]
    with pytest.raises(ValueError, match='there are: organic matter, carbon, difference, equivalence'):
        made.chart("money")


def test_without_a_cover_there_is_no_chart_of_worth() -> None:
    text = (CONFIGS / "hillside.yaml").read_text(encoding="utf-8").split("strategies:")[0]
    bare = somsim.parse_plan(text + "strategies:\n  alone:\n    - idle: {as: weeds}\n")
    assert somsim.compare(bare, draws=4).chart("equivalence") is None


def test_each_step_is_told_through(made: Comparison) -> None:
    steps: list[int] = []
    somsim.compare(made.study.plan, draws=2, step=lambda: steps.append(1))
    assert len(steps) == 9


def test_to_import_it_costs_nothing() -> None:
    code = "import sys, somsim; print(sorted({'numpy', 'pydantic', 'typer', 'xarray'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
