"""Units: every factor against Pint's own registry, an independent general-purpose library."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.parse import parse_amount, parse_number
from haywright.measure.units import convert, definitions, names

PINT_NAME = {
    "ug": "microgram", "cwt": "US_hundredweight", "short_ton": "short_ton", "long_ton": "long_ton",
    "tonne": "metric_ton", "m2": "meter**2", "m3": "meter**3", "L": "liter", "mL": "milliliter",
    "ft3": "foot**3", "yd3": "yard**3", "gal": "gallon", "ha": "hectare", "acre": "4840*yard**2",
    "Mcal": "megacalorie", "kcal": "kilocalorie", "MJ": "megajoule", "h": "hour", "min": "minute",
    "s": "second", "in": "inch", "ft": "foot", "yd": "yard", "mi": "mile", "lb": "pound",
    "oz": "ounce", "kg": "kilogram", "g": "gram", "mg": "milligram", "m": "meter",
    "cm": "centimeter", "mm": "millimeter", "km": "kilometer", "day": "day", "week": "week",
    "year": "julian_year",
}  # fmt: skip
REGISTRY = pint.UnitRegistry()
PAIRS = [
    (name, table["canonical"])
    for kind, table in definitions().items()
    if kind not in ("words", "ratio", "temperature")
    for name in table
    if name != "canonical"
]


@pytest.mark.parametrize(("unit", "canonical"), PAIRS)
def test_every_factor_is_the_one_an_independent_library_holds(unit: str, canonical: str) -> None:
    """Pint's default registry (US customary and SI definitions)."""
    theirs = (1.0 * REGISTRY.parse_expression(PINT_NAME[unit])).to(PINT_NAME[canonical]).magnitude
    assert convert(1.0, unit, canonical) == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize("celsius", [-40.0, 0.0, 37.5, 88.9])
def test_temperatures_agree_with_an_independent_library(celsius: float) -> None:
    """Pint's default registry."""
    theirs = REGISTRY.Quantity(celsius, "degC").to("degF").magnitude
    assert convert(celsius, "degC", "degF") == pytest.approx(theirs, rel=1e-12)


@given(st.floats(-1e9, 1e9), st.sampled_from(PAIRS))
def test_there_and_back_is_where_we_were(value: float, pair: tuple[str, str]) -> None:
    unit, canonical = pair
    back = convert(convert(value, unit, canonical), canonical, unit)
    assert math.isclose(back, value, rel_tol=1e-12, abs_tol=1e-300)


def test_a_pound_per_cubic_foot_is_sixteen_kilograms_per_cubic_metre() -> None:
    """16.0185 kg/m3, as hay density tables print it (Collins, University of Kentucky)."""
    assert convert(1.0, "lb/ft3", "kg/m3") == pytest.approx(16.0185, rel=1e-5)


def test_ppm_and_percent_are_the_same_kind_of_number() -> None:
    assert convert(1.0, "%", "ppm") == pytest.approx(10_000)
    assert convert(4400.0, "mg/kg", "%") == pytest.approx(0.44)


@pytest.mark.parametrize("unit", ["ton", "tons", "TON"])
def test_a_bare_ton_is_refused(unit: str) -> None:
    with pytest.raises(Refused) as caught:
        convert(1.0, unit, "kg")
    assert caught.value.message.key == "measure.bare_ton"


def test_a_person_on_us_units_may_say_ton_and_means_two_thousand_pounds() -> None:
    assert parse_amount("3 tons", to="lb", bare_ton=True) == pytest.approx(6000)


def test_pounds_are_not_feet() -> None:
    with pytest.raises(Refused) as caught:
        convert(1.0, "lb", "ft")
    assert caught.value.message.key == "measure.wrong_dimension"


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("1,150 lb", "lb", 1150.0),
        ("5 ft", "in", 60.0),
        ("4 ft 6 in", "in", 54.0),
        ("5' 6\"", "in", 66.0),
        ("0,5 in", "in", 0.5),
        ("95 °F", "degC", 35.0),
        ("12 lb/ft3", "lb/ft3", 12.0),
        ("1.5 short tons", "lb", 3000.0),
        ("2 tonnes", "kg", 2000.0),
        ("18 inches", "in", 18.0),
    ],
)
def test_amounts_are_read_as_people_write_them(text: str, unit: str, expected: float) -> None:
    assert parse_amount(text, to=unit) == pytest.approx(expected)


@given(st.text(max_size=30))
def test_no_text_makes_the_reader_of_amounts_stumble(text: str) -> None:
    try:
        assert isinstance(parse_amount(text, to="kg"), float)
    except HaywrightError as error:
        assert error.message.key.startswith("measure.")


@pytest.mark.parametrize(
    ("text", "expected"), [("1,150", 1150), ("1 150", 1150), ("3,5", 3.5), ("1.234,5", 1234.5)]
)
def test_thousands_and_decimal_commas_are_told_apart(text: str, expected: float) -> None:
    assert parse_number(text) == expected


def test_the_list_of_names_holds_what_a_yard_uses() -> None:
    assert {"lb", "ft", "in", "short_ton", "tonne", "degF", "kg"} <= set(names())
