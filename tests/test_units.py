import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.units import Amount, UnitError, dimensions, factor, parse_amount, parse_series, show, units_of

ACCEPTED = [
    ("15 mm", "length", 0.015, 0.015),
    ("15mm", "length", 0.015, 0.015),
    ("  15  mm ", "length", 0.015, 0.015),
    (".5 m", "length", 0.5, 0.5),
    ("+2 kg", "mass", 2.0, 2.0),
    ("1e3 kg", "mass", 1000.0, 1000.0),
    ("1.5E-2 kg", "mass", 0.015, 0.015),
    ("\u22125 deg C", "temperature", -5.0, -5.0),
    ("-5 °C", "temperature", -5.0, -5.0),
    ("50 F", "temperature", 10.0, 10.0),
    ("9 deg F", "temperature_difference", 5.0, 5.0),
    ("2.2 to 3.0 %", "share", 0.022, 0.03),
    ("2.2-3.0 %", "share", 0.022, 0.03),
    ("2.2 \u2013 3.0%", "share", 0.022, 0.03),
    ("-10 to -5 deg C", "temperature", -10.0, -5.0),
    ("2 kg/m²", "mass_per_area", 2.0, 2.0),
    ("3 kg/100 m2", "mass_per_area", 0.03, 0.03),
    ("40 t C/ha", "carbon_per_area", 4.0, 4.0),
    ("51.8 N", "latitude", 51.8, 51.8),
    ("33 to 40 S", "latitude", -40.0, -33.0),
    ("18 months", "duration", 1.5, 1.5),
    ("0.3 deg C per decade", "warming", 0.03, 0.03),
    ("2 per year", "rate", 2.0, 2.0),
    ("1.5 %/yr", "rate", 0.015, 0.015),
    ("30 min", "time", 0.5, 0.5),
    ("0.45 share", "share", 0.45, 0.45),
]


@pytest.mark.parametrize(("text", "dimension", "low", "high"), ACCEPTED)
def test_what_is_taken(text: str, dimension: str, low: float, high: float) -> None:
    amount = parse_amount(text, dimension)
    # 1e-12: one multiplication of doubles, and for a range its middle.
    assert (amount.low, amount.high) == pytest.approx((low, high), rel=1e-12)
    assert amount.best == pytest.approx((low + high) / 2, rel=1e-12)
    assert amount.is_range == (low != high)
    assert amount.text == text


TON = "ton has three meanings: t is 1000 kg, short ton is 907 kg, long ton is 1016 kg"
SUM = ("a sum; one number and one unit are taken", "work it out first and write the result")
TWO = ("more than one number, without a word between", "1000 is written 1000; a range is 2 to 3")
COMMA = ("a comma in a quantity", "write a dot for a decimal point, nothing for thousands")
UNCLEAR = ("the number is not written in a way that can be read", "write for example 0.5 or 12 or 1e3")
NOT_USED = "is not a number that can be used"
LENGTH = "a length is needed: mm, cm, in"
REFUSED: list[tuple[str, str, str, str | None]] = [
    ("15", "length", "a bare number; say the unit, e.g. 15 mm", None),
    ("2 to 3", "share", "a bare number; say the unit, e.g. 2 to 3 %", None),
    ("1,5 m", "length", "a decimal comma", "write 1.5 m"),
    ("1,5 to 2,5 m", "length", "a decimal comma", "write 1.5 to 2.5 m"),
    (
        "1,500 m",
        "length",
        "the comma in 1,500 has two meanings",
        "write 1500 for thousands, or a dot for a decimal point",
    ),
    ("5,3,2 m", "length", *COMMA),
    ("1 ,5 m", "length", *COMMA),
    ("3 rabbits", "length", f'no unit "rabbits" here; {LENGTH}', None),
    ("15 MM", "length", f'no unit "MM" here; {LENGTH}', "nearest: mm, m"),
    ("15 kmm", "length", f'no unit "kmm" here; {LENGTH}', "nearest: mm, km"),
    ("3 kg", "length", f"kg is a mass; here {LENGTH}", None),
    ("3 m2", "length", f"m2 is an area; here {LENGTH}", None),
    (
        "5 kg/m2",
        "carbon_per_area",
        "kg/m2 is a mass per area; here a carbon per area is needed: kg C/m2, t C/ha, lb C/ft2",
        None,
    ),
    ("3 hours", "duration", "hours is a time; here a duration is needed: years, months, days", None),
    ("0.3 1", "share", *TWO),
    ("nan m", "length", f"nan {NOT_USED}", "leave it out, or write a number: 1 mm"),
    ("-inf m", "length", f"inf {NOT_USED}", "leave it out, or write a number: 1 mm"),
    ("Infinity", "mass", f"Infinity {NOT_USED}", "leave it out, or write a number: 1 kg"),
    ("3 to 2 m", "length", "the range runs backwards: 3 is more than 2", "write the smaller number first"),
    ("20 mm to 30 mm", "length", "the unit stands twice", "write 20 to 30 mm"),
    ("5 m + 3 m", "length", *SUM),
    ("5 m - 3 m", "length", *SUM),
    ("9**9**9 m", "length", *SUM),
    ("5 kg*2", "mass", *SUM),
    ("3 mt", "mass", "not clear enough as a unit: mt", "write t for 1000 kg, m for metres"),
    ("3 ton", "mass", "not clear enough as a unit: ton", TON),
    (
        "3 tons/acre",
        "mass_per_area",
        "not clear enough as a unit: tons/acre",
        f"{TON}; write t/ha, short ton/acre or long ton/acre",
    ),
    (
        "2 bu",
        "volume",
        "not clear enough as a unit: bu",
        "bushel has two meanings: US bushel is 35.2 l, UK bushel is 36.4 l",
    ),
    ("", "length", "nothing here; a number with a unit is needed", "e.g. 1 mm"),
    ("  ", "length", "nothing here; a number with a unit is needed", "e.g. 1 mm"),
    ("1" * 45 + " m", "length", "47 characters; a number with a unit is at most 40", None),
    ("1e13 kg", "mass", "1e13 is beyond any size used here", "exponents go to 12"),
    ("1e-13 kg", "mass", "1e-13 is beyond any size used here", "exponents go to 12"),
    ("1e99999 kg", "mass", "1e99999 is beyond any size used here", "exponents go to 12"),
    ("9999999999999 kg", "mass", "9999999999999 is beyond any size used here", "exponents go to 12"),
    ("-5--3 deg C", "temperature", "this dash could be a minus sign or a range", 'write "-5 to -3"'),
    ("-5-3 deg C", "temperature", "this dash could be a minus sign or a range", 'write "-5 to 3"'),
    ("1/2 in", "length", "a fraction", "write 0.5 in"),
    ("1 1/2 in", "length", "a fraction", "write 1.5 in"),
    ("½ in", "length", "a fraction sign", "write for example 0.5 or 1.25"),
    ("1½ in", "length", "a fraction sign", "write for example 0.5 or 1.25"),
    ("1 000 kg", "mass", *TWO),
    ("1_000 kg", "mass", *TWO),
    ("5. m", "length", *UNCLEAR),
    ("5.5.5 m", "length", *UNCLEAR),
    ("m", "length", "a number must come first", "e.g. 1 mm"),
    ("-", "length", "a number must come first", "e.g. 1 mm"),
    ("٣ m", "length", "a number must come first", "e.g. 1 mm"),
    ("-33 S", "latitude", "a minus sign and S together", "write one of them: 33 S"),
]


@pytest.mark.parametrize(("text", "dimension", "message", "hint"), REFUSED)
def test_what_is_refused_and_why(text: str, dimension: str, message: str, hint: str | None) -> None:
    with pytest.raises(UnitError) as caught:
        parse_amount(text, dimension)
    assert (caught.value.message, caught.value.hint) == (message, hint)


def test_a_series_has_one_unit_at_its_end() -> None:
    assert parse_series("-1 .5 20 deg C", "temperature", 3) == (-1.0, 0.5, 20.0)
    assert parse_series("10 20mm", "length", 2) == (0.01, 0.02)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("1 2 C", '3 numbers are needed; 2 read before "C"'),
        ("1 2 3 4 C", '3 numbers are needed; 4 read before "C"'),
        ("1 2 x C", '3 numbers are needed; 2 read before "x C"'),
        ("", "3 numbers are needed; 0 read"),
        ("1,2 3 4 C", "commas between or inside the numbers"),
        ("1, 2, 3 C", "commas between or inside the numbers"),
        ("1 2 3", "bare numbers; say the unit after the last one, e.g. 3 deg C"),
        ("1 2 3 mm", "mm is a length; here a temperature is needed: deg C, deg F, °C"),
        ("1 nan 3 C", "nan is not a number that can be used"),
        ("1e20 2 3 C", "1e20 is beyond any size used here"),
        ("1 " * 100, "199 characters; 3 numbers with a unit are needed"),
    ],
)
def test_a_series_says_what_is_wrong(text: str, message: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse_series(text, "temperature", 3)
    assert caught.value.message == message


SHOWN = [
    (2.43, "mass_per_area", "metric", "2.43 kg/m2"),
    (2.43, "mass_per_area", "us", "0.50 lb/ft2"),
    (0.015, "length", "metric", "15 mm"),
    (0.015, "length", "us", "0.59 in"),
    (15.0, "length", "metric", "15 m"),
    (0.99999, "length", "metric", "1.00 m"),
    (1234.5, "length", "metric", "1230 m"),
    (0.0, "mass_per_area", "metric", "0 g/m2"),
    (-0.0, "length", "metric", "0 mm"),
    (-1e-15, "temperature", "metric", "-1.00e-15 deg C"),
    (10.0, "temperature", "us", "50 deg F"),
    (5.0, "temperature_difference", "us", "9 deg F"),
    (0.0261, "share", "metric", "2.61 %"),
    (1.0, "duration", "metric", "1 year"),
    (12.0, "duration", "metric", "12 years"),
    (-33.0, "latitude", "metric", "33 S"),
    (51.8, "latitude", "us", "51.8 N"),
    (12345.6, "mass", "metric", "12.3 t"),
    (0.764554857984, "volume", "us", "1 yd3"),
]


@pytest.mark.parametrize(("value", "dimension", "system", "text"), SHOWN)
def test_what_is_shown(value: float, dimension: str, system: str, text: str) -> None:
    assert show(value, dimension, system) == text  # type: ignore[arg-type]  # parametrised as plain text


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_is_not_a_number_is_not_shown(value: float) -> None:
    with pytest.raises(ValueError, match="can't be shown"):
        show(value, "length")


@given(
    st.sampled_from(dimensions()),
    st.sampled_from(["metric", "us"]),
    st.floats(1e-3, 1e4),
    st.sampled_from([1, -1]),
)
def test_what_is_shown_reads_back_as_the_same_amount(
    dimension: str, system: str, size: float, sign: int
) -> None:
    value = size * sign
    read = parse_amount(show(value, dimension, system, digits=4), dimension).best  # type: ignore[arg-type]  # text
    # Four digits, of which a leading nought is one: three remain, half a unit of the third is at most 0.5 %.
    # A temperature's digits count from nought Fahrenheit: 0.5 % of 32 deg F more, which is 0.09 deg C.
    assert read == pytest.approx(value, rel=0.0051, abs=0.09 if dimension == "temperature" else 0.0)


@given(st.floats(0.01, 1e4))
def test_metric_and_us_spellings_of_one_amount_agree(size: float) -> None:
    for ours, theirs in [("kg/m2", "lb/ft2"), ("t/ha", "short ton/acre"), ("g/m2", "oz/yd2")]:
        typed = size * factor(ours, "mass_per_area") / factor(theirs, "mass_per_area")
        metric = parse_amount(f"{size:.12g} {ours}", "mass_per_area").best
        us = parse_amount(f"{typed:.12g} {theirs}", "mass_per_area").best
        assert us == pytest.approx(metric, rel=1e-11)  # twelve digits typed on each side


def amount_or_none(text: str, dimension: str) -> Amount | None:
    try:
        return parse_amount(text, dimension)
    except UnitError:
        return None


@given(
    st.text(max_size=50) | st.text("0123456789.,-+e to%mk", max_size=20),
    st.sampled_from(["length", "share", "rate"]),
)
def test_any_text_is_a_finite_amount_or_a_named_mistake(text: str, dimension: str) -> None:
    made = amount_or_none(text, dimension)
    assert made is None or -1e16 <= made.low <= made.best <= made.high <= 1e16


def test_an_unknown_dimension_is_our_own_mistake() -> None:
    for dimension in ("colour", "refused"):
        with pytest.raises(KeyError, match="no dimension"):
            units_of(dimension)


def test_every_dimension_can_be_shown_in_both_systems() -> None:
    for dimension in dimensions():
        for system in ("metric", "us"):
            assert show(1.0, dimension, system)


def test_a_superscript_stands_wherever_a_plain_power_does() -> None:
    for dimension in dimensions():
        for spelling in units_of(dimension):
            raised = spelling.replace("m2", "m²").replace("ft2", "ft²").replace("yd2", "yd²")
            raised = raised.replace("m3", "m³").replace("ft3", "ft³").replace("yd3", "yd³")
            assert factor(raised, dimension) == factor(spelling, dimension)
