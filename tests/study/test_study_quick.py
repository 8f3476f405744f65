"""The quick answer is the whole answer's own, whatever was changed before it, and runs only what changed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from somsim.plan import parse_plan
from somsim.report.sentences import answer
from somsim.report.series import spread
from somsim.study.compare import compare_study
from somsim.study.quick import Kept, quick_study

TEXT = (Path(__file__).parent.parent.parent / "configs" / "hillside.yaml").read_text(encoding="utf-8")
CHANGES = [
    (TEXT, 4),
    (TEXT, 0),
    (TEXT.replace("depth: 5 mm", "depth: 9 mm"), 1),
    (TEXT.replace("depth: 5 mm", "depth: 9 mm").replace("20 Mar", "28 Mar"), 1),
    (TEXT.replace("title: Six", "title: Seven"), 2),
    (TEXT.replace("bought compost:", "compost:"), 1),
    (TEXT.replace("every: year, then: left on surface}\n\n", "every: year, then: left on surface, beds: 1}\n\n", 1), 4),
    (TEXT.replace("horizon: 12 years", "horizon: 5 years"), 4),
]


def test_the_quick_answer_is_that_of_compare_after_any_change() -> None:
    kept = Kept()
    for text, again in CHANGES:
        plan = parse_plan(text)
        quick, whole = quick_study(plan, kept, draws=32), compare_study(plan, draws=32)
        assert quick.again == again
        assert answer(quick) == answer(whole)
        assert quick.pairs == whole.pairs
        assert [replace(one, nitrogen=None) for one in quick.answers] == [  # type: ignore[arg-type]  # held by text above
            replace(one, nitrogen=None) for one in whole.answers  # type: ignore[arg-type]
        ]
        np.testing.assert_array_equal(
            np.stack(list(quick.percent.values()), axis=1), spread(whole, "organic_matter_percent")
        )


def test_nothing_is_kept_of_strategies_that_are_gone() -> None:
    kept = Kept()
    quick_study(parse_plan(TEXT), kept, draws=4)
    one = TEXT[: TEXT.index("  winter green manure:")]
    assert len(quick_study(parse_plan(one), kept, draws=4).answers) == len(kept.ran) == 1


def test_the_number_of_worlds_counts() -> None:
    kept = Kept()
    plan = parse_plan(TEXT)
    few, many = (quick_study(plan, kept, draws=count) for count in (4, 8))
    assert few.draws == 4 and many.draws == 8 and many.again == 4
    with pytest.raises(AssertionError):
        assert few.pairs == many.pairs
