import datetime

import pytest

from somsim.plan.days import Day, read_day
from somsim.plan.fields import FieldError


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("20 Apr", Day(20, 4)),
        (" 20  april ", Day(20, 4)),
        ("20. Apr.", Day(20, 4)),
        ("1 Sept", Day(1, 9)),
        ("29 Feb", Day(29, 2)),
        ("20 May year 2", Day(20, 5, None, 1)),
        ("20 April 2027", Day(20, 4, 2027)),
        ("2028-02-29", Day(29, 2, 2028)),
        (datetime.date(2027, 4, 20), Day(20, 4, 2027)),
    ],
)
def test_days_as_they_are_written(text: object, day: Day) -> None:
    assert read_day(text) == day
    assert read_day(day.text) == day


@pytest.mark.parametrize(
    "text",
    [
        "30 Feb", "31 Apr", "0 May", "29 Feb 2027", "2027-02-29", "2100-02-29", "2027-13-01", "1 May year 0",
        "20/4", "20.4.", "4-20", "Apr 20", "20 Abr", "20", "", "soon", "1 May 1899", "2301-01-01", "٣ May",
        Day(31, 2), Day(1, 13), 20, None,
    ],
)  # fmt: skip
def test_what_is_no_day(text: object) -> None:
    with pytest.raises(FieldError):
        read_day(text)
