"""Money stays money: exact inside, rounded once, never for a bare ton."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.gate.money import Price, convert_mass, exact, kilograms, mass_unit
from haywright.measure.errors import Refused

UNITS = ("short_ton", "long_ton", "tonne", "cwt", "lb", "kg")
units = st.sampled_from(UNITS)
cents = st.integers(min_value=1, max_value=10_000_000).map(lambda n: Decimal(n) / 100)
tons = st.integers(min_value=1, max_value=100_000).map(lambda n: Decimal(n) / 1000)


@given(amount=cents, start=units, way=st.lists(units, max_size=6))
def test_a_price_comes_back_from_any_round_of_units_to_the_last_digit(amount, start, way):
    price = Price(amount, start)
    turned = price
    for unit in way:
        turned = turned.to(unit)
    assert turned.to(start) == price
    assert turned.to(start).rounded() == amount


@given(mass=tons, start=units, end=units)
def test_a_mass_comes_back_exactly(mass, start, end):
    assert convert_mass(convert_mass(mass, start, end), end, start) == exact(mass)


@given(amount=cents, mass=tons, unit=units, per=units)
def test_a_bill_is_the_same_whichever_ton_the_price_is_quoted_for(amount, mass, unit, per):
    price = Price(amount, unit)
    assert price.for_mass(mass, unit) == price.to(per).for_mass(mass, unit)


@given(amounts=st.lists(cents, min_size=1, max_size=40))
def test_adding_prices_loses_no_cent(amounts):
    total = Price(Fraction(0), "short_ton")
    for one in amounts:
        total += Price(one, "short_ton")
    assert total.rounded() == sum(amounts)


@given(number=st.floats(min_value=0.01, max_value=1e6).map(lambda x: round(x, 2)))
def test_a_price_typed_as_a_binary_fraction_is_the_decimal_that_was_typed(number):
    assert exact(number) == Fraction(repr(number))


def test_tons_are_the_exact_tons_of_the_pound():
    # International pound 0.45359237 kg; short ton 2,000 lb, long ton 2,240 lb (NIST Handbook 44).
    assert kilograms("short_ton") == 2000 * Fraction("0.45359237")
    assert kilograms("long_ton") == 2240 * Fraction("0.45359237")
    assert kilograms("cwt") == 100 * Fraction("0.45359237")


@pytest.mark.parametrize("word", ["ton", "tons", "Ton", " ton "])
def test_a_bare_ton_is_refused(word):
    with pytest.raises(Refused) as error:
        Price(100, word)
    assert error.value.message.key == "measure.bare_ton"


@pytest.mark.parametrize(
    ("word", "unit"),
    [("short ton", "short_ton"), ("long tons", "long_ton"), ("t", "tonne"), ("pounds", "lb")],
)
def test_units_are_read_as_people_write_them(word, unit):
    assert mass_unit(word) == unit


@pytest.mark.parametrize("word", ["bushel", "ft", "", "$", "kg/m3", "canonical"])
def test_what_is_no_weight_is_refused(word):
    with pytest.raises(Refused):
        mass_unit(word)


@pytest.mark.parametrize("amount", [float("nan"), float("inf"), "ten", "1/0"])
def test_what_is_no_number_is_no_price(amount):
    with pytest.raises(Refused):
        Price(amount, "lb")


def test_two_currencies_do_not_add_up():
    with pytest.raises(Refused) as error:
        Price(100, "lb", "USD") + Price(100, "lb", "CAD")
    assert error.value.message.key == "gate.currencies"


@pytest.mark.parametrize("code", ["usd", "$", "USD"])
def test_the_dollar_sign_is_the_us_dollar(code):
    assert Price(1, "lb", code).currency == "USD"


def test_half_a_cent_is_rounded_up_as_a_bill_is():
    assert Price(Decimal("0.125"), "lb").rounded() == Decimal("0.13")
