"""What a price says once dry matter, tests and bale weight are counted.

Published numbers stand in the outside cases; here is what must hold for every price.
"""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.gate import price
from haywright.gate.money import Price
from haywright.measure.errors import Refused
from haywright.measure.estimate import Estimate, Source
from haywright.measure.register import apply, get

amounts = st.integers(min_value=100, max_value=100_000).map(lambda n: Fraction(n, 100))
shares = st.integers(min_value=10, max_value=1000).map(lambda n: Fraction(n, 10))


@given(amount=amounts, quoted=shares, wanted=shares)
def test_a_price_restated_and_back_is_the_price(amount, quoted, wanted):
    there = price.price_at_dry_matter(amount, quoted, wanted)
    assert price.price_at_dry_matter(there, wanted, quoted) == amount


@given(amount=amounts, quoted=shares, wanted=shares)
def test_restating_changes_no_price_of_dry_matter(amount, quoted, wanted):
    there = price.price_at_dry_matter(amount, quoted, wanted)
    assert price.price_of_dry_matter(there, wanted) == price.price_of_dry_matter(amount, quoted)


@given(amount=amounts, mass=amounts, weighed=shares, wanted=shares)
def test_a_bill_is_the_same_by_adjusted_price_or_by_adjusted_weight(amount, mass, weighed, wanted):
    by_price = price.price_at_dry_matter(amount, wanted, weighed) * mass
    by_weight = amount * price.weight_at_dry_matter(mass, weighed, wanted)
    assert by_price == by_weight


@given(amount=amounts, dm=shares, share=shares, mass=amounts)
def test_cost_of_a_nutrient_times_the_nutrient_is_the_bill(amount, dm, share, mass):
    unit_cost = price.cost_of_share(amount, dm, share)
    assert unit_cost * price.nutrient_mass(mass, dm, share) == amount * mass


@given(amount=amounts, dm=shares, share=shares, dm_b=shares, share_b=shares)
def test_at_the_price_of_equal_value_the_nutrient_costs_the_same(amount, dm, share, dm_b, share_b):
    other = price.equal_value_price(amount, dm, share, dm_b, share_b)
    assert price.cost_of_share(other, dm_b, share_b) == price.cost_of_share(amount, dm, share)


def test_adding_five_per_cent_for_five_points_of_moisture_is_wrong():
    # Yaremcio, as quoted by Alberta: the dry matters are divided.
    dearer = price.price_at_dry_matter(Fraction(100), Fraction(80), Fraction(85))
    assert float(dearer) == pytest.approx(106.25)
    assert dearer != 105


@given(
    weight=st.integers(min_value=200, max_value=2000),
    error=st.integers(min_value=1, max_value=199),
    money=amounts,
)
def test_an_unweighed_bale_has_a_range_of_prices_around_the_stated_one(weight, error, money):
    found = price.bale_price_range(money, weight, "lb", error=error)
    assert found.if_heavy < found.stated < found.if_light
    # The dear side is farther off than the cheap side: one over a weight bends upward.
    assert found.if_light.amount - found.stated.amount > found.stated.amount - found.if_heavy.amount


def test_protein_is_paid_by_the_pound_and_energy_by_the_megacalorie():
    ton = Price(180, "short ton")
    assert price.nutrient_cost(ton, 88, "cp", content=12).unit == "lb"
    assert price.nutrient_cost(ton.to("tonne"), 88, "cp", content=12).unit == "kg"
    assert price.nutrient_cost(ton, 88, "nem", content="1.2").unit == "Mcal"


def test_a_megacalorie_costs_the_same_by_the_pound_and_by_the_kilogram():
    by_ton = price.nutrient_cost(Price(180, "short ton"), 88, "nem", content="1.2")
    by_tonne = price.nutrient_cost(Price(180, "short ton").to("tonne"), 88, "nem", content="1.2")
    assert by_ton.money == by_tonne.money


@pytest.mark.parametrize(
    ("dm", "nutrient", "content", "key"),
    [
        (0, "cp", 12, "measure.dry_matter_range"),
        (101, "cp", 12, "measure.dry_matter_range"),
        (88, "cp", 0, "gate.positive"),
        (88, "cp", -3, "gate.positive"),
        (88, "cp", 101, "gate.over_hundred"),
        (88, "rfv", 150, "gate.not_a_nutrient"),
        (88, "nitrate_n", 1500, "gate.not_a_nutrient"),
    ],
)
def test_what_cannot_be_priced_is_refused(dm, nutrient, content, key):
    with pytest.raises(Refused) as error:
        price.nutrient_cost(Price(180, "short ton"), dm, nutrient, content=content)
    assert error.value.message.key == key


def test_equations_take_arrays_and_exact_fractions_alike():
    by_array = price.cost_of_share(np.array([180.0, 90.0]), np.array([88.0, 88.0]), 12.0)
    by_fraction = price.cost_of_share(Fraction(180), Fraction(88), Fraction(12))
    assert by_array[0] == pytest.approx(float(by_fraction))


def test_doubt_about_dry_matter_that_two_prices_share_cancels_between_them():
    dm = Estimate.of(88.0, {Source("oven", "oven"): 1.0})
    cost = get("gate.price.cost_of_share")
    protein = apply(cost, {"price": 180.0, "dm": dm, "share": 12.0})
    energy = apply(cost, {"price": 180.0, "dm": dm, "share": 56.0})
    assert (protein / energy).u == pytest.approx(0.0, abs=1e-9)
