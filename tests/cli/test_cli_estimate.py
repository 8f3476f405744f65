"""`somsim estimate`, through the commands as they are typed."""

import json

import pytest
from typer.testing import CliRunner

from somsim.cli.estimate import app
from somsim.errors import InputError

SAMPLE = ["--fresh", "1.9 kg", "--fresh", "2.3 kg", "--area", "0.5 m2", "--crop", "rye and vetch"]
LEAST = {
    "sample": ["--fresh", "2.3 kg", "--area", "0.5 m2", "--dry-matter", "17 %"],
    "worth": ["--fresh", "2.3 kg", "--area", "0.5 m2", "--crop", "rye and vetch", "--draws", "8"],
    "roots": ["--tops", "4 t/ha", "--kind", "cereal"],
    "layer": ["--depth", "25 mm", "--area", "108 m2", "--bulk-density", "600 kg/m3"],
    "heap": ["--add", "straw = 20 kg"],
    "land": ["--layer", "25 mm", "--area", "108 m2", "--with", "white clover"],
}


def run(*words, width=80):
    return CliRunner().invoke(app, list(words), env={"COLUMNS": str(width), "TERM": "dumb", "NO_COLOR": "1"})


def flat(text):
    return " ".join(text.split())


@pytest.mark.parametrize("command", LEAST)
@pytest.mark.parametrize("width", [80, 120])
def test_each_command_works_with_only_what_it_needs(command, width):
    found = run(command, *LEAST[command], width=width)
    assert found.exit_code == 0, found.exception
    assert "What was assumed" in found.output
    assert "For a plan, " in found.output
    remarks = [line for line in found.output.splitlines() if not line.startswith("#")]  # never broken, so they paste
    assert max(len(line) for line in remarks) <= width
    assert not any(word in found.output for word in ("nan", "None", "inf ", "Figure("))


@pytest.mark.parametrize("command", LEAST)
def test_each_command_speaks_json_in_base_units(command):
    found = json.loads(run(command, *LEAST[command], "--json").output)
    assert found["assumed"]
    assert found["plan_lines"][0]["where"]
    units = json.loads(run(command, *LEAST[command], "--json", "--units", "us").output)
    assert units == found


@pytest.mark.parametrize("command", LEAST)
def test_each_command_shows_us_units(command):
    found = run(command, *LEAST[command], "--units", "us")
    answer = found.output.split("What was assumed")[0]
    assert any(unit in answer for unit in ("lb", " in", "yd3", "ft2"))
    if command not in ("layer", "land"):  # a layer is told in both; rows in print have a depth in their name
        assert not any(unit in answer for unit in ("kg/m2", " mm", "m3 "))


@pytest.mark.parametrize("command", LEAST)
def test_each_command_explains_itself(command):
    found = run(command, "--help", width=100)
    assert found.exit_code == 0
    assert "Needed:" in found.output


def test_a_sample_read_aloud():
    told = flat(run("sample", *SAMPLE, "--bed-area", "108 m2").output)
    assert told.startswith("2 samples on 1 m2 of ground: 0.67 kg/m2 of dry matter (")
    assert "On all the beds that is 32 kg of carbon (" in told
    assert "phosphorus no published figure" in told
    assert "Not dried: fresh mass alone leaves the dry mass open by +-30 % (from memory)." in told


def test_samples_that_are_all_the_same_are_not_taken_for_certainty():
    told = flat(run("sample", *["--fresh", "2 kg"] * 3, "--area", "0.5 m2", "--dry-matter", "17 %").output)
    assert told.startswith("3 samples on 1.5 m2 of ground: 0.68 kg/m2 of dry matter.")
    assert "weigh more finely" in told


def test_worth_read_aloud():
    words = ["--bed-area", "108 m2", "--pressed-volume", "8 l", "--layer-wanted", "25 mm", "--draws", "16"]
    told = flat(run("worth", *SAMPLE, *words).output)
    assert "of garden compost on the same beds by what lasts 10 years; " in told
    assert "% of 25 mm" in told
    assert "what lasts this season" in told
    # Worked arithmetic: 8 l from 1 m2, less the 55 % of volume lost, is 3.6 mm (the middle of 16 draws: 0.4 off).
    assert float(told.split("by volume: ")[1].split(" mm")[0]) == pytest.approx(3.6, abs=0.4)
    assert "Where the doubt comes from, after 10 years" in told


def test_the_pressed_volume_may_be_told_for_each_square_metre():
    by_sample, by_area = (
        json.loads(run("worth", *SAMPLE, "--draws", "2", "--json", "--pressed-volume", text).output)["volume"]
        for text in ("8 l", "8 l/m2")
    )
    assert by_sample["best"] == pytest.approx(by_area["best"])


def test_a_layer_over_the_limit_says_so_first():
    told = flat(run("layer", "--depth", "25 mm", "--area", "108 m2", "--material", "garden compost").output)
    assert told.startswith("OVER A LIMIT: this layer brings 1200 (")
    assert "the limit of 250 kg/ha of nitrogen is reached at 5.3 mm (" in told
    assert "Fill barrows less" in told


def test_a_wet_heap_tells_why_the_volume_rule_does_not_hold():
    told = flat(run("heap", "--add", "rye and vetch = 1 m3").output)
    assert "by mass balance" in told
    assert "84 % of its mass is water" in told
    assert "Trust the mass balance." in told
    assert "C:N, 1992 handbook" in told
    assert "C:N, 2021 handbook" in told
    assert "asthma" in told


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["sample", "--fresh", "1 kg", "--area", "-2 m2", "--dry-matter", "17 %"], '--area "-2 m2": an area cannot be'),
        (["sample", "--fresh", "1 kg", "--area", "2 m2", "--dry-matter", "170 %"], '--dry-matter "170 %": a share'),
        (["sample", "--area", "2 m2", "--dry-matter", "17 %"], "--fresh: there are 0 samples"),
        (["worth", "--fresh", "1 kg", "--area", "2 m2"], "--crop: which plant is it?"),
        (["roots", "--tops", "400 t/ha", "--kind", "cereal"], '--tops "400 t/ha": no crop leaves over 20 kg/m2'),
        (["layer", "--depth", "2 m", "--area", "1 m2", "--material", "straw"], '--depth "2 m": is past 1 m'),
        (["heap", "--add", "straw = 20 kg; C:N 0"], '--add, C:N "0 ratio": a ratio must be more than 0'),
        (["heap"], "--add: nothing is in the heap"),
        (["roots"], "--tops: how much stood above the ground, dry?"),
        (["layer"], "--depth: nothing is given; a depth and an area would do"),
        (["land"], "--layer: how deep a layer, every year?"),
        (["land", "--layer", "5 mm"], "--area: how large are the beds?"),
        (["land", "--layer", "5 mm", "--area", "9 m2"], "--with: which cover would feed the heap?"),
        (["land", "--layer", "2 m", "--area", "1 m2", "--with", "lucerne"], '--layer "2 m": is past 1 m'),
        (["land", "--layer", "2 mm", "--area", "0 m2", "--with", "lucerne"], '--area "0 m2": an area must be more'),
    ],
)
def test_nonsense_is_refused_in_one_clear_line(words, said):
    # The exit code, 2, is given where all commands come together (somsim.cli.main.run).
    found = run(*words)
    assert isinstance(found.exception, InputError)
    assert str(found.exception).startswith(said)
    assert str(found.exception).endswith("1 mistake; nothing was estimated.")


@pytest.mark.parametrize("command", LEAST)
def test_every_answer_ends_with_what_was_assumed_plan_lines_and_cautions(command):
    found = json.loads(run(command, *LEAST[command], "--json").output)
    assert list(found)[-3:] == ["assumed", "plan_lines", "watch"]
    assert isinstance(found["watch"], list)
