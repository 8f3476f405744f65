"""The answer for machines: JSON with the numbers of the study, in base units, and nothing that is not a number."""

from __future__ import annotations

import json

import pytest

from somsim.report.explanation import as_json as explanation_json
from somsim.report.machine import comparison
from somsim.report.projection import as_json as projection_json
from somsim.study.compare import Study
from somsim.study.explain import explain_plan
from somsim.study.project import project_study


def test_it_is_json_and_says_what_the_study_says(hostile: Study) -> None:
    made = json.loads(json.dumps(comparison(hostile), allow_nan=False))
    assert [one["name"] for one in made["strategies"]] == [one.name for one in hostile.answers]
    for told, answer in zip(made["strategies"], hostile.answers, strict=True):
        assert told["organic_matter"] == {
            "best": answer.organic_matter.best,
            "p10": answer.organic_matter.p10,
            "p50": answer.organic_matter.p50,
            "p90": answer.organic_matter.p90,
            "unit": "kg/m2",
        }
        assert told["nitrogen_in_a_year"]["p50"] == answer.nitrogen.most.p50
        assert (told["kept"] is None) == (answer.kept is None)
    assert [one["chance"] for one in made["pairs"]] == [one.chance for one in hostile.pairs]
    assert (made["draws"], made["seed"], made["engine"]) == (16, 1, "exact")


def test_a_volume_that_was_not_measured_is_null(hostile: Study) -> None:
    measured, unmeasured = comparison(hostile)["equivalences"]
    assert measured["volume"]["unit"] == "mm"
    assert unmeasured["volume"] is None
    assert measured["lasting"]["36"]["p50"] == hostile.equivalences[0].at_horizon.p50
    assert measured["tops_kept"]
    assert measured["carbon"]["p50"] == hostile.equivalences[0].carbon.p50


def test_a_projection_and_an_explanation_are_json_too(hostile: Study) -> None:
    name = hostile.answers[1].name
    years = json.loads(json.dumps(projection_json(project_study(hostile.plan, name, draws=16)), allow_nan=False))
    assert years["strategy"] == name
    assert years["years"][-1]["organic_matter"]["p50"] == pytest.approx(hostile.answers[1].organic_matter.p50)
    told = json.loads(json.dumps(explanation_json(explain_plan(hostile.plan)), allow_nan=False))
    assert [one["name"] for one in told["strategies"]] == [one.name for one in hostile.answers]
