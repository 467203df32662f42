"""Freight and losses: divided, never merely added; monotone in every loss."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from haywright.gate.delivered import Haul, after_losses, delivered, load_in, miles_of_equal_cost
from haywright.gate.money import Price
from haywright.measure.errors import Refused

losses = st.integers(min_value=0, max_value=99)
amounts = st.integers(min_value=100, max_value=100_000).map(lambda n: Fraction(n, 100))


@given(amount=amounts, stored=losses, fed=losses)
def test_what_is_bought_times_its_price_is_what_is_eaten_times_its_price(amount, stored, fed):
    eaten = after_losses(Price(amount, "lb"), storage_loss=stored, feeding_loss=fed)
    left = Fraction(100 - stored, 100) * Fraction(100 - fed, 100)
    assert eaten.amount * left == amount


@given(amount=amounts, stored=losses, more=losses)
def test_more_loss_costs_more(amount, stored, more):
    assume(more > stored)
    price = Price(amount, "lb")
    assert after_losses(price, storage_loss=stored) < after_losses(price, storage_loss=more)
    assert after_losses(price, feeding_loss=stored) < after_losses(price, feeding_loss=more)


@given(amount=amounts, stored=st.integers(1, 99), fed=losses)
def test_adding_losses_on_always_comes_out_too_low(amount, stored, fed):
    price = Price(amount, "lb")
    added = after_losses(price, storage_loss=stored, feeding_loss=fed, method="added")
    assert added < after_losses(price, storage_loss=stored, feeding_loss=fed)


def test_dividing_and_adding_differ_as_the_published_pair_does():
    # Progressive Forage prints $95 as $124 and $161.50 at 30 and 70 % loss by adding;
    # dividing gives $135.71 and $316.67 (value.md section 17, arithmetic).
    price = Price(95, "short ton")
    assert float(after_losses(price, storage_loss=30).amount) == pytest.approx(135.71, abs=0.005)
    assert float(after_losses(price, storage_loss=70).amount) == pytest.approx(316.67, abs=0.005)
    added = after_losses(price, storage_loss=70, method="added")
    assert float(added.amount) == pytest.approx(161.50)


@pytest.mark.parametrize("loss", [-1, 100, 140])
def test_a_loss_that_leaves_nothing_is_refused(loss):
    with pytest.raises(Refused):
        after_losses(Price(100, "lb"), storage_loss=loss)


def test_an_unknown_way_of_counting_losses_is_refused():
    with pytest.raises(Refused):
        after_losses(Price(100, "lb"), method="guessed")


@given(miles=st.integers(0, 2000), more=st.integers(1, 500))
def test_farther_is_dearer(miles, more):
    def price(distance):
        haul = Haul("3.5", distance, 44_000, "lb")
        return delivered(Price(150, "short ton"), haul).delivered

    assert price(miles) < price(miles + more)


@given(payload=st.integers(1, 50_000), fit=st.integers(1, 60), weight=st.integers(1, 2500))
def test_a_load_is_never_more_than_the_truck_or_the_room_allows(payload, fit, weight):
    load = Haul(3, 100, payload, "lb", fit, weight).load
    assert load <= payload
    assert load <= fit * weight
    assert load in (payload, fit * weight)


def test_bales_that_fit_say_nothing_without_their_weight():
    with pytest.raises(Refused) as error:
        _ = Haul(3, 100, 44_000, "lb", 30).load
    assert error.value.message.key == "gate.bale_weight_missing"


def test_hay_cheaper_by_twenty_dollars_is_eaten_up_by_freight_at_the_distance_given():
    saving = Price(20, "short ton")
    haul = Haul("3.5", 0, 44_000, "lb")
    miles = miles_of_equal_cost(saving, haul)
    there = Haul("3.5", miles, 44_000, "lb")
    assert there.cost("USD").to("short_ton") == saving
    assert load_in(there, "short_ton") == 22


@pytest.mark.parametrize("haul", [Haul(-1, 100, 44_000, "lb"), Haul(3, -100, 44_000, "lb")])
def test_negative_miles_and_rates_are_refused(haul):
    with pytest.raises(Refused):
        haul.cost("USD")
