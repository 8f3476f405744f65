"""What would settle it, as people and machines read it, and as it is drawn and kept."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from conftest import COVER, HOSTILE, SPREAD, plan_text
from PIL import Image
from rich.console import Console

from somsim.plan import parse_plan
from somsim.report.look import lightness
from somsim.report.pictures import png, svg
from somsim.report.sentences import pair_sentence
from somsim.report.settled_files import save_settled
from somsim.report.settling import as_json, closing, main_figures, next_step, show_settled, takes
from somsim.report.tornado import ALONE, TOGETHER, tornado_chart
from somsim.study.compare import Pair
from somsim.study.doubts import Cost, Measurement
from somsim.study.equivalence import Spread
from somsim.study.questions import Question
from somsim.study.settle import Gain, Prospect, Settled, settle

LEAD = Question("difference", "compost", "rye")
ANALYSIS = Measurement(
    "compost_analysis", "have {name} analysed", "Send it.", Cost(90, 40, 200, "judged"), None, 0.0, False
)
DRYING = Measurement(
    "dried_cut", "dry {name}", "Dry it.", Cost(0, 0, 0, "judged"), Cost(0.5, 0.5, 0.5, "judged"), 0.0, False
)


def prospect(*, narrowed: float, changes: float, wrong: float, measurement: Measurement = ANALYSIS) -> Prospect:
    gain = Gain(measurement, "compost", (), ((LEAD, narrowed),), changes, 0.01)
    return Prospect("compost", wrong, 0.02, LEAD, (gain,))


@pytest.fixture(scope="module")
def hostile_settled() -> Settled:
    bodies = {HOSTILE[0]: SPREAD.format(depth=5), HOSTILE[2]: COVER + "}\n", HOSTILE[3]: "    - idle: {as: weeds}\n"}
    return settle(parse_plan(plan_text(bodies)), points=64, draws=128)


def printed(settled: Settled, width: int, *, more: bool = False) -> str:
    console = Console(width=width, file=io.StringIO(), markup=False, highlight=False)
    show_settled(settled, console, more=more)
    text = console.file.getvalue()  # type: ignore[attr-defined]  # it is the StringIO above
    return str(text)


def test_a_measurement_that_may_change_the_choice_is_told_with_how_often() -> None:
    assert next_step(prospect(narrowed=0.2, changes=0.151, wrong=0.23)) == (
        "Have compost analysed (money: 90, 40 to 200): what it shows would have you choose another strategy in 15 of "
        "100 cases."
    )


def test_where_the_choice_is_clear_the_next_step_says_by_how_much_to_know_more() -> None:
    assert next_step(prospect(narrowed=0.17, changes=0.0, wrong=0.04)) == (
        'Whatever you measure now, "compost" very likely stays ahead. To know more closely by how much, have compost '
        "analysed (money: 90, 40 to 200): the range becomes 17 % narrower."
    )


def test_where_nothing_helps_it_says_so_and_how_sure_it_is() -> None:
    said = next_step(prospect(narrowed=0.01, changes=0.0, wrong=0.4))
    assert said.startswith('Nothing you can measure now would have you choose another than "compost", though another')
    assert "in 40 of 100 worlds" in said
    assert "soil tests over years" in said


def test_a_strategy_alone_has_a_level_to_know() -> None:
    level = Question("level", "compost")
    gain = Gain(DRYING, "rye", (), ((level, 0.1),), 0.0, 0.0)
    said = next_step(Prospect("compost", 0.0, 0.0, None, (gain,)))
    assert (
        said
        == 'To know more closely how much "compost" leaves, dry rye (hours: 0.50): the range becomes 10 % narrower.'
    )
    nothing = next_step(Prospect("compost", 0.0, 0.0, None, ()))
    assert nothing.startswith("Nothing you can measure now tells much more.")


def test_the_last_sentence_of_a_comparison_points_on() -> None:
    assert closing(prospect(narrowed=0.2, changes=0.2, wrong=0.3)).endswith("could be measured: somsim settle")


def test_what_is_not_published_is_said_and_not_nought() -> None:
    assert takes(replace(ANALYSIS, money=None)) == "what it takes: no published figure"
    assert takes(DRYING) == "hours: 0.50"


def test_a_pair_says_what_being_wrong_costs() -> None:
    pair = Pair("a", "b", Spread(2.0, 0.8, 2.0, 3.7), 0.95, 0.3)
    assert pair_sentence(pair) == (
        '"a" leaves 2.0 kg more organic matter in each m2 of bed than "b" (0.8 to 3.7); it leaves more in 95 of 100 '
        "worlds, and about 0.30 kg less in the others."
    )
    assert pair.regret == pytest.approx(0.05 * 0.3)
    assert pair_sentence(replace(pair, chance=1.0, shortfall=0.0)).endswith("it leaves more in all worlds.")
    assert "cannot be told apart" in pair_sentence(replace(pair, chance=0.5))


@pytest.mark.parametrize("width", [60, 80, 120])
def test_the_screen_keeps_its_width_and_says_the_main_things(hostile_settled: Settled, width: int) -> None:
    text = printed(hostile_settled, width)
    assert max(len(line.rstrip()) for line in text.splitlines()) <= width
    for words in ("What would settle it", "What to measure next, best first", "decided by", "alone:", "--more"):
        assert words in text
    assert "nan" not in text.lower()
    assert printed(hostile_settled, width, more=True).count("decided by") == len(hostile_settled.decided)
    assert text.count("decided by") == len(main_figures(hostile_settled)) == 3


def test_a_plan_without_doubt_says_so(hostile_settled: Settled) -> None:
    sure = replace(hostile_settled, decided=(), prospect=Prospect("a", 0.0, 0.0, LEAD, ()))
    text = printed(sure, 80)
    assert "Nothing that a grower can measure" in text and "Nothing is in doubt" in text


def test_machines_get_every_figure(hostile_settled: Settled) -> None:
    made = json.loads(json.dumps(as_json(hostile_settled), allow_nan=False))
    assert len(made["decided"]) == len(hostile_settled.decided)
    assert made["measurements"][0]["name"] == hostile_settled.prospect.gains[0].name
    assert {one["kind"] for one in made["decided"]} == {"difference", "worth", "level"}
    assert made["regret"]["unit"] == "kg/m2"


def test_the_chart_is_600_wide_not_blank_and_told_apart_in_grey(hostile_settled: Settled) -> None:
    chart = tornado_chart(hostile_settled)
    there = np.asarray(Image.open(io.BytesIO(png(chart))).convert("RGB"))
    assert 2 * 500 <= there.shape[1] <= 2 * 640
    assert (there[:, -1] == 255).all() and (there[0] == 255).all()
    assert 0.01 < (there.min(axis=2) < 200).mean() < 0.6
    # Dark and light bars differ by more than 40 in CIE lightness: apart on a grey print.
    assert lightness(TOGETHER) - lightness(ALONE) > 40.0
    texts = [
        " ".join(text.itertext())
        for text in ElementTree.fromstring(svg(chart)).iter("{http://www.w3.org/2000/svg}text")
    ]
    assert any("What makes most of the doubt" in text for text in texts)
    assert png(chart) == png(tornado_chart(hostile_settled))


def test_nothing_in_doubt_has_no_chart(hostile_settled: Settled) -> None:
    assert tornado_chart(replace(hostile_settled, decided=())) is None


def test_files_hold_what_the_screen_says(hostile_settled: Settled, tmp_path: Path) -> None:
    folder = save_settled(hostile_settled, tmp_path / "out")
    assert {item.name for item in folder.iterdir()} == {
        "decides.csv",
        "decides.png",
        "decides.svg",
        "measure.csv",
        ".somsim",
    }
    decides = list(csv.DictReader((folder / "decides.csv").read_text(encoding="utf-8").splitlines()))
    assert len(decides) == sum(len(one.drivers) for one in hostile_settled.decided)
    first = hostile_settled.decided[0].drivers[0]
    assert float(decides[0]["total"]) == pytest.approx(first.total.share)
    measure = list(csv.DictReader((folder / "measure.csv").read_text(encoding="utf-8").splitlines()))
    gains = hostile_settled.prospect.gains
    assert len(measure) == sum(len(gain.narrowed) for gain in gains)
