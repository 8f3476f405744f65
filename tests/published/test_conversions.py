"""The table of units against the outside world.

1. pint, an independent library of units: each row of the table is written out as an expression in pint's own
   names and compared. Tolerance 1e-12: both are exact definitions, only rounding of doubles is between them.
   pint's year is the Julian year of 365.25 days, as here.
2. Figures in print, with the source beside each. Their tolerance is half a unit of the last printed digit.
3. Worked arithmetic on the exact definitions, where nobody printed the figure; labelled so.
"""

import math
import re

import pint
import pytest

from somsim.units import dimensions, factor, parse_amount, show, units_of

PEER: pint.UnitRegistry[float] = pint.UnitRegistry(non_int_type=float)
BASE = {
    "length": "m",
    "area": "m**2",
    "volume": "m**3",
    "mass": "kg",
    "density": "kg/m**3",
    "mass_per_area": "kg/m**2",
    "mass_per_length": "kg/m",
    "carbon_per_area": "kg/m**2",
    "carbon_rate": "kg/m**2/julian_year",
    "mass_rate": "kg/m**2/julian_year",
    "volume_per_area": "m",
    "share": "",
    "temperature": "degC",
    "temperature_difference": "delta_degC",
    "duration": "julian_year",
    "time": "h",
    "work_per_area": "h/m**2",
    "work_per_volume": "h/m**3",
    "rate": "1/julian_year",
    "warming": "delta_degC/julian_year",
    "ratio": "",
    "latitude": "degree",
    "degree_days": "delta_degC*day",
}
# Spellings of the trade, in the peer's names. Longest first, so that "US gallon" is not read as "gallon".
WORDS = {
    "short tons?": "(2000*pound)",
    "long tons?": "(2240*pound)",
    "tonnes?|t": "metric_ton",
    "Mg": "megagram",
    "US cwt": "(100*pound)",
    "UK cwt": "(112*pound)",
    "US bushels?": "bushel",
    "UK bushels?": "(8*imperial_gallon)",
    "US gallons?": "US_liquid_gallon",
    "UK gallons?": "imperial_gallon",
    "US quarts?": "US_liquid_quart",
    "US pints?": "US_pint",
    "UK pints?": "imperial_pint",
    "lbs?|pounds?": "pound",
    "oz|ounces?": "ounce",
    "inch|inches|in": "inch",
    "foot|feet|ft": "international_foot",
    "yards?|yd": "international_yard",
    "acres?": "(43560*international_foot**2)",
    "ha|hectares?": "hectare",
    "ares?": "(100*m**2)",
    "litres?|liters?|l|L": "liter",
    "ml|mL": "milliliter",
    "metres?|meters?": "meter",
    "millimetres?": "mm",
    "centimetres?": "cm",
    "yr|years?": "julian_year",
    "months?": "(julian_year/12)",
    "weeks?": "week",
    "days?|d": "day",
    "h|hours?": "hour",
    "min|minutes?": "minute",
    "decade": "(10*julian_year)",
    "century": "(100*julian_year)",
}
WHOLE = {
    "%": "0.01",
    "percent": "0.01",
    "per cent": "0.01",
    "ppm": "1e-6",
    "share": "1",
    "ratio": "1",
    "x": "1",
    "times": "1",
    "N": "degree",
    "° N": "degree",
    "deg N": "degree",
    "S": "-degree",
    "° S": "-degree",
    "deg S": "-degree",
    "deg": "degree",
    "°": "degree",
    "sq m": "m**2",
    "sq ft": "international_foot**2",
    "sq yd": "international_yard**2",
    "cu ft": "international_foot**3",
    "cu yd": "international_yard**3",
}


def in_the_peers_words(spelling: str) -> str:
    if spelling in WHOLE:
        return WHOLE[spelling]
    text = spelling.replace("²", "2").replace("³", "3").replace("%", "0.01 ")
    text = re.sub(r"(?:deg |°)([CF])", r"delta_deg\1", text).replace(" C/", "/")
    text = re.sub(r"^[CFK]\b", lambda found: "delta_deg" + found[0].replace("K", "C"), text)
    text = re.sub(r"\b(?:per|a) ", "/ ", text)
    words = "|".join(f"(?:{word})" for word in sorted(WORDS, key=len, reverse=True))

    def swap(found: re.Match[str]) -> str:
        word = next(peer for ours, peer in WORDS.items() if re.fullmatch(ours, found[1]))
        return f"{word}{'**' + found[2] if found[2] else ''}"

    text = re.sub(rf"(?<![A-Za-z_])({words})([23]?)(?![A-Za-z_0-9])", swap, text)
    text = re.sub(r"\b(cm|km|m)([23])\b", r"\1**\2", text)
    text = re.sub(r"/\s*([0-9]+) ([^\s/]+)", r"/(\1*\2)", text)  # "kg/100 m2" is kg per (100 m2)
    text = re.sub(r"([A-Za-z)]) ([a-z])", r"\1*\2", text)
    return re.sub(r"^\s*/", "1/", text)


ROWS = [(dimension, spelling) for dimension in dimensions() for spelling in units_of(dimension)]


def test_every_dimension_has_its_base_unit_here() -> None:
    assert set(dimensions()) == set(BASE)


@pytest.mark.parametrize(("dimension", "spelling"), ROWS)
def test_each_unit_is_what_the_peer_says(dimension: str, spelling: str) -> None:
    peer = PEER.Quantity(1.0, "") * PEER.parse_expression(in_the_peers_words(spelling))
    expected = peer.to(
        BASE[dimension].replace("degC", "delta_degC").replace("delta_delta", "delta")
    ).magnitude
    assert factor(spelling, dimension) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("spelling", units_of("temperature"))
@pytest.mark.parametrize("degrees", [-40.0, 0.0, 32.0, 98.6])
def test_each_temperature_is_what_the_peer_says(spelling: str, degrees: float) -> None:
    scale = "degF" if spelling.endswith("F") else "degC"
    expected = PEER.Quantity(degrees, scale).to("degC").magnitude
    # 1e-12 deg C and not relative: nought is a temperature like any other.
    assert parse_amount(f"{degrees} {spelling}", "temperature").best == pytest.approx(expected, abs=1e-12)


def base(text: str, dimension: str) -> float:
    return parse_amount(text, dimension).best


# NIST Special Publication 811 (2008), appendix B.8, "Factors for units listed alphabetically". The
# figures were typed from memory, not with the page open. Seven digits are printed,
# hence half a unit of the seventh.
NIST = [
    ("lb", "mass", 4.535924e-01),
    ("oz", "mass", 2.834952e-02),
    ("short ton", "mass", 9.071847e02),
    ("long ton", "mass", 1.016047e03),
    ("yd3", "volume", 7.645549e-01),
    ("ft3", "volume", 2.831685e-02),
    ("US bushel", "volume", 3.523907e-02),
    ("US gallon", "volume", 3.785412e-03),
    ("UK gallon", "volume", 4.546090e-03),
    ("ft2", "area", 9.290304e-02),
    ("yd2", "area", 8.361274e-01),
    ("lb/yd3", "density", 5.932764e-01),
    ("lb/ft3", "density", 1.601846e01),
    ("lb/ft2", "mass_per_area", 4.882428e00),
    ("oz/yd2", "mass_per_area", 3.390575e-02),
]


@pytest.mark.parametrize(("unit", "dimension", "printed"), NIST)
def test_each_factor_in_the_national_table(unit: str, dimension: str, printed: float) -> None:
    half_a_digit = 0.5000001 * 10.0 ** (math.floor(math.log10(printed)) - 6)
    assert factor(unit, dimension) == pytest.approx(printed, abs=half_a_digit)


def test_a_cubic_yard_covers_324_square_feet_at_one_inch() -> None:
    # Published: Champlain Valley Compost, guide for gardeners, coverage of one cubic yard. 36 x 36 x 36 in
    # over 1 in is 324 ft2 with nothing rounded, so only the rounding of doubles is allowed.
    covered = base("1 yd3", "volume") / base("1 in", "length") / factor("ft2", "area")
    assert covered == pytest.approx(324.0, rel=1e-12)


def test_an_inch_on_a_square_foot_takes_31_ten_thousandths_of_a_yard() -> None:
    # Published: Deschutes Recycling, compost page, "0.0031" cubic yards a square foot and inch: two digits,
    # so half a unit of the second.
    volume = base("1 in", "length") * base("1 ft2", "area") / factor("yd3", "volume")
    assert volume == pytest.approx(0.0031, abs=0.00005)


def test_an_acre_six_inches_deep_at_two_million_pounds() -> None:
    # Published: Funderburg (2001), sheet of USDA-NRCS: an acre 6 in deep weighs about 2,000,000 lb and 1 % of
    # it is 20,000 lb. Worked arithmetic on those: 1.471 g/cm3 and 2.242 kg/m2, to half a unit of
    # the last digit.
    soil = base("2000000 lb/acre", "mass_per_area") / base("6 in", "length")
    assert soil / factor("g/cm3", "density") == pytest.approx(1.471, abs=0.0005)
    assert base("20000 lb/acre", "mass_per_area") == pytest.approx(2.242, abs=0.0005)


# Worked arithmetic on the exact definitions (nobody's printed figure): rounded to the digits shown, so the
# tolerance is half a unit of the last of them.
WORKED = [
    ("25 mm on 1 m2, l", "25 mm", "length", "l/m2", "volume_per_area", 25.0, 1e-9),
    ("25 mm on 100 m2, m3", "25 mm", "length", "m3/100 m2", "volume_per_area", 2.5, 1e-9),
    ("1 mm, m3/ha", "1 mm", "length", "m3/ha", "volume_per_area", 10.0, 1e-9),
    ("1 in on an acre, yd3", "1 in", "length", "yd3/acre", "volume_per_area", 134.4, 0.05),
    ("1 in on 1000 ft2, yd3", "1 in", "length", "yd3/1000 ft2", "volume_per_area", 3.086, 0.0005),
    ("lb/acre in kg/ha", "1 lb/acre", "mass_per_area", "kg/ha", "mass_per_area", 1.1209, 0.00005),
    ("short ton/acre in t/ha", "1 short ton/acre", "mass_per_area", "t/ha", "mass_per_area", 2.2417, 0.00005),
    ("yd3/acre in m3/ha", "1 yd3/acre", "volume_per_area", "m3/ha", "volume_per_area", 1.8893, 0.0005),
    ("lb/yd3 in kg/m3", "1 lb/yd3", "density", "kg/m3", "density", 0.5933, 0.00005),
    ("oz/yd2 in g/m2", "1 oz/yd2", "mass_per_area", "g/m2", "mass_per_area", 33.906, 0.0005),
    ("UK bushel in l", "1 UK bushel", "volume", "l", "volume", 36.37, 0.005),
    ("g/ft2 in lb/acre", "1 g/ft2", "mass_per_area", "lb/acre", "mass_per_area", 96.03, 0.005),
    ("600 kg/m3 in lb/yd3", "600 kg/m3", "density", "lb/yd3", "density", 1011.3, 0.05),
]


@pytest.mark.parametrize(("text", "dimension", "to", "into", "worked", "off"), [row[1:] for row in WORKED])
def test_worked_arithmetic(text: str, dimension: str, to: str, into: str, worked: float, off: float) -> None:
    assert base(text, dimension) / factor(to, into) == pytest.approx(worked, abs=off)


@pytest.mark.parametrize(("depth", "worked"), [("15 cm", 1.95), ("20 cm", 2.6), ("30 cm", 3.9)])
def test_one_percent_of_a_soil_layer(depth: str, worked: float) -> None:
    # Worked arithmetic: 1 % of a layer at 1.3 g/cm3, nothing rounded.
    share = base("1 %", "share") * base("1.3 g/cm3", "density") * base(depth, "length")
    assert share == pytest.approx(worked, rel=1e-12)
    assert show(share, "mass_per_area") == f"{worked} kg/m2"
