"""Pictures in README and docs say what the command draws today; `bash docs/pictures.sh` makes them anew."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

import somsim
from somsim.report.pictures import svg

ROOT = Path(__file__).parent.parent
PICTURES = sorted((ROOT / "docs" / "pictures").glob("*.svg"))
DOCUMENTS = [ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md"))]


@pytest.fixture(scope="module")
def answer() -> somsim.Comparison:
    return somsim.compare(somsim.read_plan(ROOT / "configs" / "hillside.yaml"))


def words(drawing: str) -> list[str]:
    """Every word and number in a picture, in order: what would be false if it were stale."""
    texts = ElementTree.fromstring(drawing).iter("{http://www.w3.org/2000/svg}text")
    return [" ".join(text.itertext()) for text in texts]


@pytest.mark.parametrize("path", PICTURES, ids=lambda path: path.stem)
def test_a_picture_is_what_the_command_draws(path: Path, answer: somsim.Comparison) -> None:
    plan, _, name = path.stem.partition("-")
    assert plan == "hillside"
    drawn = words(svg(answer.chart(name.replace("-", " "))).decode())
    assert len(drawn) > 10
    assert words(path.read_text(encoding="utf-8")) == drawn, "stale: run bash docs/pictures.sh"


def test_every_picture_is_shown_and_every_shown_one_is_there_with_words() -> None:
    shown = {}
    for document in DOCUMENTS:
        for alternative, target in re.findall(r"!\[([^\]]*)\]\(([^)]+)\)", document.read_text(encoding="utf-8")):
            shown[(document.parent / target).resolve()] = alternative
    measured = ROOT / "docs" / "draws.png"  # drawn by benchmarks/draws.py, minutes long
    assert set(shown) == {path.resolve() for path in [*PICTURES, measured]}
    assert PICTURES
    assert all(len(alternative) > 20 for alternative in shown.values())
