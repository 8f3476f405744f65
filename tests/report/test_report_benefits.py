"""Benefits on a screen and for machines."""

from __future__ import annotations

import json

import pytest
from test_report_terminal import NOT_A_NUMBER, printed, too_wide

from somsim.report.benefits import benefit_lines
from somsim.report.machine import comparison
from somsim.study.compare import Study


@pytest.mark.parametrize("system", ["metric", "us"])
def test_each_is_told_once_with_its_evidence_and_every_strategy(hostile: Study, system: str) -> None:
    lines = list(benefit_lines(hostile, system))  # type: ignore[arg-type]  # one of the two systems
    heads = [line for line in lines if line.startswith("- ")]
    assert len(heads) == len({one.id for one in hostile.benefits}) == 7
    assert all("(" in line and line.endswith(")") for line in heads)
    for name in (answer.name for answer in hostile.answers):
        assert sum(name in line for line in lines) == 7, name
    assert any(("lb/acre" if system == "us" else "kg/ha") in line for line in lines)
    assert not any(NOT_A_NUMBER.search(line) for line in lines)


def test_it_fits_the_screen(hostile: Study) -> None:
    text = printed(hostile, 60)
    assert "not added to any score" in " ".join(text.split())
    assert too_wide(text, 60) == []


def test_machines_get_every_verdict(hostile: Study) -> None:
    told = json.loads(json.dumps(comparison(hostile), allow_nan=False))["benefits"]
    assert len(told) == 7 * len(hostile.answers)
    assert {one["applies"] for one in told} == {True, False}
