from pathlib import Path

import pytest

from somsim.errors import InputError
from somsim.plan.series import read_series

HEAD = "year,month,temperature_deg_C,rain_mm\n"
YEAR = [f"2020,{month},{month}.5,{10 * month}\n" for month in range(1, 13)]


def said(tmp_path: Path, text: str) -> list[tuple[int, str]]:
    path = tmp_path / "weather.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_series(path)
    return [
        (problem.place.line if problem.place else 0, problem.message) for problem in caught.value.problems
    ]


def test_two_years_in_any_order_of_rows_and_columns(tmp_path: Path) -> None:
    path = tmp_path / "weather.csv"
    rows = [
        f"{10 * month},{year},{month},-{month}.5\n" for year in (2021, 2020) for month in range(12, 0, -1)
    ]
    path.write_text("\ufeffrain_mm,year,month,temperature_deg_C\n" + "".join(rows) + "\n", encoding="utf-8")
    series = read_series(path)
    assert series.first_year == 2020
    assert len(series.temperature) == len(series.rain) == 2
    assert series.temperature[0][:2] == (-1.5, -2.5)
    assert series.rain[1][11] == 120.0


@pytest.mark.parametrize(
    ("row", "message"),
    [
        ("2020,1,nan,10", 'temperature_deg_C: "nan" is not a number'),
        ("2020,1,1_0,10", 'temperature_deg_C: "1_0" is not a number'),
        ("2020,1,,10", "temperature_deg_C: is empty"),
        ('2020,1,"4,2",10', "temperature_deg_C: a decimal comma: write 4.2"),
        ('2020,1,4,"10,25"', "rain_mm: a decimal comma: write 10.25"),
        ('2020,1,4,"1,234"', "rain_mm: the comma in 1,234 has two meanings: write 1234 or 1.234"),
        ('2020,1,"1,234,5",10', 'temperature_deg_C: "1,234,5" is not a number'),
        ("2020,1,4,5,10", "5 cells, but there are 4 columns"),
        ("2020,0,4,10", "there is no month 0 of the year 2020"),
        ("999999,1,4,10", "there is no month 1 of the year 999999"),
        ("2020,1.5,4,10", "there is no month 1.5 of the year 2020"),
        ("2020,1,4,-1", "impossible: between 0 and 5000 mm of rain fall in a month"),
        ("2020,2,4,10", "2020-02 stands here a second time"),
    ],
)
def test_a_bad_row_is_told_with_its_line(tmp_path: Path, row: str, message: str) -> None:
    assert (14, message) in said(tmp_path, HEAD + "".join(YEAR) + row + "\n")


def test_rows_after_a_decimal_comma_are_checked_too(tmp_path: Path) -> None:
    rows = '2020,1,"4,2",10\n2020,2,4,2,10\n2020,3,warm,10\n2020,4,"-5,5",10\n'
    assert said(tmp_path, HEAD + rows) == [
        (2, "temperature_deg_C: a decimal comma: write 4.2"),
        (3, "5 cells, but there are 4 columns"),
        (4, 'temperature_deg_C: "warm" is not a number'),
        (5, "temperature_deg_C: a decimal comma: write -5.5"),
    ]


def test_too_many_cells_may_be_a_decimal_comma_without_quotes(tmp_path: Path) -> None:
    path = tmp_path / "weather.csv"
    path.write_text(HEAD + "2020,1,4,2,10\n2020,2,4\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_series(path)
    assert [problem.hint for problem in caught.value.problems] == ["a decimal comma? write 4.2, not 4,2", None]


def test_blank_lines_do_not_shift_the_lines_told(tmp_path: Path) -> None:
    assert said(tmp_path, HEAD + "\n\n" + "2020,1,x,1\n") == [(4, 'temperature_deg_C: "x" is not a number')]


def test_of_many_bad_rows_the_first_are_told(tmp_path: Path) -> None:
    found = said(tmp_path, HEAD + "2020,1,x,1\n" * 500)
    assert len(found) == 21
    assert found[-1][1].endswith("480 more rows can't be used")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", 'no column "year"'),
        (HEAD, "holds no months"),
        ("year,year,month,temperature_deg_C,rain_mm\n", 'the column "year" stands twice'),
        ("year,month,temperature_deg_C,rain_mm,wind\n", 'the column "wind" is not used here'),
        (HEAD + "".join(YEAR[:11]), "2020-12 is missing"),
        (HEAD + "".join(YEAR) + YEAR[0].replace("2020", "2022"), "2021-01, 2021-02"),
    ],
)
def test_what_is_wrong_with_a_whole_file(tmp_path: Path, text: str, message: str) -> None:
    assert any(message in told for _, told in said(tmp_path, text))


def test_a_file_that_is_no_text(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_bytes(b"\xff\xfe\x00")
    named = {"a.csv": "not UTF-8", "": "is a folder", "no.csv": "no file", "a\0b": "no file|be read"}
    for name, message in named.items():
        with pytest.raises(InputError, match=message):
            read_series(tmp_path / name)
