"""Keys explained: the page in docs/ is the one that the program prints, and a word finds its part."""

from __future__ import annotations

from pathlib import Path

import pytest

from somsim.errors import InputError
from somsim.report.keys import as_markdown, chosen_groups

PAGE = Path(__file__).parents[2] / "docs" / "keys.md"


def test_the_page_in_docs_is_what_the_program_prints() -> None:
    assert PAGE.read_text(encoding="utf-8") == as_markdown(), "stale: somsim help plan --markdown > docs/keys.md"


@pytest.mark.parametrize(
    ("word", "titles"),
    [
        ("soil", ["site: soil"]),
        ("- cover:", ["- cover"]),
        ("every action", ["every action"]),
        ("discount", ["money"]),
        ("Depth", ["site: soil", "measured", "- spread"]),
    ],
)
def test_a_word_finds_its_part(word: str, titles: list[str]) -> None:
    assert [one.title for one in chosen_groups(word)] == titles


def test_another_word_is_told_its_nearest() -> None:
    with pytest.raises(InputError, match="nearest: horizon"):
        chosen_groups("horizn")
