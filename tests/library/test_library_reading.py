"""The reader of the library: what it returns, and what it says about a bad row."""

import shutil
import subprocess
import sys
from dataclasses import FrozenInstanceError
from pathlib import Path

import pytest

import somsim.library
from somsim.errors import InputError
from somsim.library.reading import TABLES, read_folder, read_library

SHIPPED = Path(somsim.library.__file__).parent

SOURCES = '[diary]\ntitle = "A diary"\nauthors = "A grower"\nyear = "2001"\nwhere = "a shed"\n'
UNITS = "spelling,dimension,factor,offset,note\n%,share,0.01,0,\nkg/m3,density,1,0,\nton,refused,,,no\n"
UNITS += "deg F,temperature,0.5555,-17.8,\n"
THINGS = "id,name,kind,aliases,tags\nmarl,marl,other,lime marl; Chalky  clay,dust\n"
VALUES = "id,quantity,best,low,high,unit,known,source,note\n"
GOOD = "marl,carbon,12,10,14,%,read,diary,page 3\n"
PRICES = "id,best,low,high,unit,year,known,source,note\nmarl,4,2,6,GBP/m3,2001,judged,diary,\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    texts = {
        "sources.toml": SOURCES,
        "units.csv": UNITS,
        "materials.csv": THINGS,
        "materials_values.csv": VALUES + GOOD,
        "material_prices.csv": PRICES,
    }
    for name, text in texts.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def message(folder: Path) -> str:
    with pytest.raises(InputError) as caught:
        read_folder(folder, ["materials"])
    return str(caught.value)


def test_value_is_in_base_units_and_keeps_what_was_printed(folder: Path) -> None:
    value = read_folder(folder, ["materials"]).tables["materials"]["marl"].value("carbon")
    assert (value.best, value.low, value.high) == pytest.approx((0.12, 0.10, 0.14))
    assert value.printed == (12.0, 10.0, 14.0)
    assert (value.unit, value.dimension, value.known, value.source) == ("%", "share", "read", "diary")
    assert value.is_range


def test_empty_bounds_fall_back_to_the_best_value(folder: Path) -> None:
    (folder / "materials_values.csv").write_text(VALUES + "marl,carbon,12,,,%,read,diary,\n")
    value = read_folder(folder, ["materials"]).tables["materials"]["marl"].value("carbon")
    assert (value.low, value.high) == (value.best, value.best)
    assert value.printed == (12.0, None, None)
    assert not value.is_range


def test_price_keeps_its_unit(folder: Path) -> None:
    price = read_folder(folder, ["materials"]).tables["materials"]["marl"].prices["price"]
    assert (price.best, price.low, price.high, price.unit, price.year) == (4.0, 2.0, 6.0, "GBP/m3", "2001")


@pytest.mark.parametrize("word", ["marl", "MARL", "lime marl", "chalky clay", " Chalky   Clay "])
def test_find_by_id_name_or_alias(folder: Path, word: str) -> None:
    found = read_folder(folder, ["materials"]).find("materials", word)
    assert found is not None
    assert found.id == "marl"


def test_find_knows_no_half_words(folder: Path) -> None:
    assert read_folder(folder, ["materials"]).find("materials", "mar") is None


def test_a_quantity_that_is_not_there_names_those_that_are(folder: Path) -> None:
    entry = read_folder(folder, ["materials"]).tables["materials"]["marl"]
    with pytest.raises(LookupError, match='materials has no nitrogen for "marl"; it has carbon'):
        entry.value("nitrogen")
    with pytest.raises(LookupError, match='no monthly rain for "marl"; it has none'):
        entry.month_values("rain")


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("marl,nitrogen,12,13,14,%,read,diary,", "best 12 is not between low 13.0 and high 14.0"),
        ("marl,nitrogen,12,10,11,%,read,diary,", "best 12 is not between low 10.0 and high 11.0"),
        ("marl,nitrogen,,10,11,%,read,diary,", "best is empty"),
        ("marl,nitrogen,twelve,10,11,%,read,diary,", 'best is "twelve", which is not a number'),
        ("marl,nitrogen,12,nan,14,%,read,diary,", 'low is "nan", which is not a number'),
        ("marl,nitrogen,12,10,inf,%,read,diary,", 'high is "inf", which is not a number'),
        ("marl,nitrogen,12,10,14,percent,read,diary,", 'no unit "percent" in units.csv'),
        ("marl,nitrogen,12,10,14,ton,read,diary,", 'no unit "ton" in units.csv'),
        ("marl,nitrogen,12,10,14,deg F,read,diary,", 'no unit "deg F" in units.csv'),
        ("marl,nitrogen,12,10,14,%,guessed,diary,", 'known is "guessed"; it must be one of read,'),
        ("marl,nitrogen,12,10,14,%,read,novel,", 'no source "novel" in any sources*.toml'),
        ("marl,carbon,12,10,14,%,read,diary,", 'quantity "carbon" stands twice'),
        ("marl,,12,10,14,%,read,diary,", "quantity is empty"),
        ("peat,carbon,12,10,14,%,read,diary,", 'materials.csv does not list "peat"'),
        ("marl,nitrogen,12,10,14,%,read,diary,one, two", "10 cells under 9 columns"),
        ("marl,nitrogen,12,10,14,%,read", "7 cells under 9 columns"),
    ],
)
def test_a_bad_value_row_is_told(folder: Path, row: str, said: str) -> None:
    (folder / "materials_values.csv").write_text(VALUES + GOOD + row + "\n")
    assert said in message(folder)


def test_a_bad_row_is_told_with_its_place(folder: Path) -> None:
    (folder / "materials_values.csv").write_text(VALUES + GOOD + "marl,nitrogen,1,2,3,%,read,diary,\n")
    assert message(folder).startswith("materials_values.csv:3:1\n")


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("marl,other marl,other,,", 'id "marl" stands twice'),
        ("chalk,Lime  Marl,other,,", '"lime marl" already means marl'),
        ("chalk,chalk,other,MARL,", '"marl" already means marl'),
        (",chalk,other,,", "id is empty"),
        ("chalk,,other,,", "name is empty"),
    ],
)
def test_a_bad_thing_is_told(folder: Path, row: str, said: str) -> None:
    (folder / "materials.csv").write_text(THINGS + row + "\n")
    assert said in message(folder)


def test_a_bad_price_is_told(folder: Path) -> None:
    (folder / "material_prices.csv").write_text(PRICES + "marl,9,10,11,GBP/m3,2001,judged,diary,\n")
    told = message(folder)
    assert "best 9 is not between" in told
    assert 'quantity "price" stands twice' in told


def test_all_mistakes_are_told_at_once(folder: Path) -> None:
    bad = "marl,nitrogen,12,13,14,%,read,novel,\nmarl,potassium,1,1,1,stone,seen,diary,\n"
    (folder / "materials_values.csv").write_text(VALUES + bad)
    with pytest.raises(InputError) as caught:
        read_folder(folder, ["materials"])
    assert len(caught.value.problems) == 4


def test_a_source_in_two_files_is_told(folder: Path) -> None:
    (folder / "sources_more.toml").write_text(SOURCES)
    assert 'source "diary" is in two files; the second is sources_more.toml' in message(folder)


def test_a_table_that_is_missing_is_told(folder: Path) -> None:
    (folder / "materials.csv").unlink()
    assert "materials.csv is missing or empty" in message(folder)


def test_a_month_left_empty_is_told(tmp_path: Path) -> None:
    for path in SHIPPED.iterdir():
        if path.suffix in (".csv", ".toml"):
            shutil.copy(path, tmp_path)
    months = tmp_path / "climates_months.csv"
    text = months.read_text()
    assert ",4.2,4.4,6.4," in text
    months.write_text(text.replace(",4.2,4.4,6.4,", ",4.2,,6.4,"))
    with pytest.raises(InputError, match="a month is empty"):
        read_folder(tmp_path, ["climates"])


def test_the_shipped_library_has_every_table_and_is_read_once() -> None:
    library = read_library()
    assert tuple(library.tables) == TABLES
    assert read_library() is library


def test_climates_come_as_twelve_months_in_base_units() -> None:
    reference = read_library().tables["climates"]["reference"]
    rain = reference.month_values("rain")
    assert len(rain.values) == 12
    assert rain.printed[0] == 36.0  # mm, January
    assert rain.values[0] == pytest.approx(0.036)  # m
    assert rain.within == pytest.approx(0.005)
    assert reference.value("latitude").best == 59.8


def test_entries_cannot_be_changed() -> None:
    entry = read_library().tables["materials"]["garden_compost"]
    with pytest.raises(FrozenInstanceError):
        entry.name = "other"  # type: ignore[misc]  # assigning is the mistake under test


def test_reading_loads_no_arrays_and_no_plan() -> None:
    code = "import sys, somsim.library as l; l.read_library(); print(*sorted(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert "somsim.library.reading" in loaded
    assert not loaded & {"numpy", "scipy", "pandas", "xarray", "pydantic", "somsim.plan", "ruamel.yaml"}
