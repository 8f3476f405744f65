"""Pictures are opened and measured: size, not blank, names inside, lines told apart in grey, the same bytes twice."""

import io
import re
from collections.abc import Callable
from dataclasses import replace
from itertools import combinations
from typing import Any
from xml.etree import ElementTree

import altair as alt
import numpy as np
import pytest
from conftest import HOSTILE
from PIL import Image, ImageColor

from somsim.report.charts import carbon_chart, difference_chart, equivalence_chart, organic_matter_chart
from somsim.report.look import COLOURS, DASHES, colour, cut_names, dash, lightness, shown
from somsim.report.pictures import png, png_and_svg, svg
from somsim.report.sentences import pair_sentence
from somsim.report.words import in_hundred
from somsim.study.compare import Pair, Study
from somsim.study.equivalence import Spread

CHARTS = (organic_matter_chart, carbon_chart, difference_chart, equivalence_chart)
Chart = Callable[[Study], Any]


def pixels(picture: bytes) -> np.ndarray:
    return np.asarray(Image.open(io.BytesIO(picture)).convert("RGBA"))


def words(drawing: bytes) -> list[str]:
    texts = ElementTree.fromstring(drawing).iter("{http://www.w3.org/2000/svg}text")
    return [" ".join(text.itertext()) for text in texts]


@pytest.mark.parametrize("chart", CHARTS)
def test_a_png_is_sharp_white_and_not_blank(chart: Chart, hostile: Study) -> None:
    there = pixels(png(chart(hostile)))
    height, width = there.shape[:2]
    assert 2 * 500 <= width <= 2 * 640  # 600 pixels wide at scale 2; words at the sides differ in length
    assert height >= 2 * 250
    assert (there[..., 3] == 255).all()
    assert (there[0] == 255).all() and (there[-1] == 255).all() and (there[:, 0] == 255).all()
    assert (there[:, -1] == 255).all()  # nothing runs over the edge
    assert 0.01 < (there[..., :3].min(axis=2) < 200).mean() < 0.6


@pytest.mark.parametrize("chart", CHARTS)
def test_two_pictures_are_the_same_bytes(chart: Chart, hostile: Study) -> None:
    assert png(chart(hostile)) == png(chart(hostile))
    assert svg(chart(hostile)) == svg(chart(hostile))
    assert png_and_svg(chart(hostile)) == (png(chart(hostile)), svg(chart(hostile)))


def test_clips_and_gradients_are_numbered_alike_in_every_picture() -> None:
    # the drawing program numbers them on through the life of a process
    ends = [{"offset": 0, "color": "white"}, {"offset": 1, "color": "black"}]
    shade = {"gradient": "linear", "stops": ends}
    rows = {"values": [{"x": 0, "y": 1}, {"x": 9, "y": 2}]}
    chart = alt.Chart(rows).mark_area(clip=True, color=shade).encode(alt.X("x:Q").scale(domain=[0, 5]), y="y:Q")
    first, second = (svg(chart).decode() for _ in range(2))
    assert first == second
    ids = re.findall(r' id="([^"]+)"', first)
    assert len(ids) == len(set(ids)) >= 2
    assert set(re.findall(r"url\(#([^)]+)\)", first)) == set(ids)


def test_every_name_stands_in_the_svg_as_words_and_not_as_markup(hostile: Study) -> None:
    for chart in (organic_matter_chart, carbon_chart):
        drawing = svg(chart(hostile))
        said = " ".join(words(drawing))
        for name in HOSTILE:
            # the long name is cut at its label; its whole stands in the description
            assert shown(name) in said or name[:10] in said
            assert shown(name) in chart(hostile).to_dict()["description"]
        assert b"<script" not in drawing and b"<b>" not in drawing and b"href" not in drawing


def test_letters_are_at_least_eleven_pixels(hostile: Study) -> None:
    for chart in CHARTS:
        sizes = [float(size) for size in re.findall(r'font-size="([\d.]+)px"', svg(chart(hostile)).decode())]
        assert sizes and min(sizes) >= 11.0


def test_lines_are_told_apart_in_grey(hostile: Study) -> None:
    grey = Image.open(io.BytesIO(png(organic_matter_chart(hostile)))).convert("L")
    there = set(np.asarray(grey).ravel().tolist())
    levels = [Image.new("RGB", (1, 1), colour(number)).convert("L").getpixel((0, 0)) for number in range(4)]
    assert set(levels) <= there  # each line is in the picture in its own grey
    assert min(abs(one - other) for one, other in combinations(levels, 2)) >= 10
    assert len({tuple(dash(number)) for number in range(8)}) == 8


def test_colours_differ_in_lightness_and_stand_out_on_white() -> None:
    levels = sorted(lightness(one) for one in COLOURS)
    assert min(np.diff(levels)) >= 2.0
    assert levels[-1] <= 72.0  # on white, which is 100
    assert [dash(number) for number in (0, 8)] == [[1, 0], list(DASHES[1])]


@pytest.mark.parametrize("shade", ["#000000", "#ffffff", "#142b52", "#e08a1e"])
def test_lightness_against_pillow(shade: str) -> None:
    # Pillow's own conversion to CIE L*a*b* (LittleCMS; white D50, so that saturated colours differ by a few units).
    from PIL import ImageCms

    square = Image.new("RGB", (1, 1), ImageColor.getrgb(shade))
    change = ImageCms.buildTransform(ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), "RGB", "LAB")
    level = ImageCms.applyTransform(square, change).getpixel((0, 0))[0] * 100.0 / 255.0
    assert lightness(shade) == pytest.approx(level, abs=3.0)


def test_many_strategies_are_named_in_part_and_it_is_said(crowd: Study) -> None:
    for chart, word in ((organic_matter_chart, "named"), (carbon_chart, "drawn")):
        said = words(svg(chart(crowd)))
        names = [text for text in said if re.fullmatch(r"compost [\d.]+ mm", text)]
        assert len(names) == len(set(names)) == 8
        assert any("Of 30 strategies" in text for text in said) and any(word in text for text in said)


def test_labels_do_not_cover_each_other(crowd: Study) -> None:
    places = {}
    for element in ElementTree.fromstring(svg(organic_matter_chart(crowd))).iter("{http://www.w3.org/2000/svg}text"):
        if re.fullmatch(r"compost [\d.]+ mm", element.text or ""):
            found = re.search(r"translate\(([-\d.]+),([-\d.]+)\)", element.get("transform", ""))
            assert found is not None
            places[element.text] = float(found[2])
    assert len(places) == 8
    assert min(np.diff(sorted(places.values()))) >= 33.0  # two lines of 12 and 11 pixels and some air


def test_without_covers_there_is_no_equivalence_chart(crowd: Study) -> None:
    assert equivalence_chart(crowd) is None


def test_not_measured_is_said_in_words(hostile: Study) -> None:
    said = words(svg(equivalence_chart(hostile)))
    assert said.count("not measured") == 1
    assert sum(text.startswith("by volume") for text in said) == 2
    for years in ("1 year", "3 years (your plan)", "10 years", "30 years"):
        assert f"by what lasts {years}" in said


def test_tops_carted_off_are_not_called_unmeasured(hostile: Study) -> None:
    carted = [replace(one, tops_kept=False, volume=None) for one in hostile.equivalences]
    chart = equivalence_chart(replace(hostile, equivalences=tuple(carted)))
    said = words(svg(chart))
    assert said.count("nothing: its tops are carted off") >= 2
    assert not any("measured" in text for text in said)
    assert chart.to_dict()["description"].count("by volume, after it has rotted: nothing: its tops are") == 2
    assert (pixels(png(chart))[:, -1] == 255).all()  # the long words do not run over the edge


def test_names_that_begin_alike_stay_apart() -> None:
    names = [f"a name as long as the arm of a grower, {word}" for word in ("first", "second")]
    assert len(set(cut_names([*names, names[0] + "!"], 120.0))) == 3
    assert len(set(cut_names(["x" * 100 + "a" + "x" * 100, "x" * 201], 120.0))) == 2


def title_of(study: Study) -> str:
    return " ".join(organic_matter_chart(study).to_dict()["title"]["text"])


def test_the_title_has_the_strategy_that_leaves_most_of_all_in_the_table(crowd: Study) -> None:
    chances = [one.chance_of_most for one in crowd.answers]
    first = chances.index(max(chances))
    assert f"“{crowd.answers[first].name}”" in title_of(crowd)
    assert f"{in_hundred(chances[first])} possible worlds" in title_of(crowd)


def two(hostile: Study, chance: float) -> Study:
    """Two strategies, the second of which leaves most in a share of the worlds, whatever the drawn percent say."""
    names = [one.name for one in hostile.answers]
    answers = [replace(hostile.answers[n], chance_of_most=c) for n, c in ((0, 1.0 - chance), (3, chance))]
    ends = (names[3], names[0]) if chance >= 0.5 else (names[0], names[3])
    pairs = (Pair(*ends, Spread(0.1, -0.2, 0.1, 0.4), max(chance, 1.0 - chance)),)
    drawn = hostile.drawn.isel(strategy=[0, 3])
    return replace(hostile, answers=tuple(answers), pairs=pairs, drawn=drawn, equivalences=())


@pytest.mark.parametrize(("chance", "said"), [(0.95, "in 95 of 100"), (1.0, "in all"), (0.998, "in over 99 of 100")])
def test_the_title_tells_chances_as_the_text_does(hostile: Study, chance: float, said: str) -> None:
    title = title_of(two(hostile, chance))
    assert title.endswith(f"under “NA”, {said} possible worlds.")


@pytest.mark.parametrize("chance", [0.5, 0.6, 0.7])
def test_the_title_names_no_winner_where_the_text_cannot_tell_two_apart(hostile: Study, chance: float) -> None:
    study = two(hostile, chance)
    assert "cannot be told apart" in pair_sentence(study.pairs[0])
    assert "no strategy is clearly ahead" in title_of(study)


def test_the_title_names_no_winner_where_two_leave_the_same(hostile: Study) -> None:
    study = two(hostile, 0.5)
    same = replace(study.pairs[0], difference=Spread(0.0, 0.0, 0.0, 0.0), chance=0.0)
    assert "“" not in title_of(replace(study, pairs=(same,)))
