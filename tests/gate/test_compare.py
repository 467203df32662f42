"""Offers side by side: the cheapest always has its nutrient beside it."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.gate.compare import Offer, compare, price_of_equal_value
from haywright.gate.money import Price
from haywright.measure.errors import Refused
from haywright.measure.message import message

# Gessner, South Dakota State University Extension, Buying hay, 2015: grass at $80 beats
# alfalfa at $90 by TDN ($0.089 v $0.098) and loses by protein ($0.81 v $0.33).
GRASS = Offer("grass", Price(80, "short ton"), 90, {"cp": "5.5", "tdn": 50})
ALFALFA = Offer("alfalfa", Price(90, "short ton"), 90, {"cp": 15, "tdn": 51})

contents = st.fixed_dictionaries({"cp": st.integers(3, 25), "tdn": st.integers(40, 70)})
offers = st.builds(
    lambda name, money, dm, inside, loss: Offer(
        name, Price(money, "short ton"), dm, inside, storage_loss=loss
    ),
    st.sampled_from("abcdef"),
    st.integers(20, 400),
    st.integers(60, 95),
    contents,
    st.integers(0, 40),
)


def test_grass_is_the_better_buy_by_energy_and_alfalfa_by_protein():
    found = compare([GRASS, ALFALFA], ["cp", "tdn"])
    assert found.cheapest == {"cp": "alfalfa", "tdn": "grass"}
    assert found.disagree
    cost = found.lines[1].costs
    assert float(cost["tdn"].money) == pytest.approx(0.098, abs=0.0006)
    assert float(cost["cp"].money) == pytest.approx(0.33, abs=0.006)


def test_hay_the_stock_may_not_eat_has_no_nutrient_value_and_is_never_the_cheapest():
    barred = Offer(
        "oats", Price(1, "short ton"), 90, {"tdn": 60}, barred=message("gate.compare.disagree")
    )
    found = compare([GRASS, barred], ["tdn"])
    assert found.lines[1].costs["tdn"] is None
    assert found.cheapest == {"tdn": "grass"}
    assert price_of_equal_value(GRASS, barred, "tdn") is None


def test_a_nutrient_nobody_tested_names_no_cheapest():
    assert compare([GRASS], ["nem"]).cheapest == {}


@given(st.lists(offers, min_size=1, max_size=6, unique_by=lambda o: o.name))
def test_the_cheapest_is_no_dearer_than_any_other(several):
    found = compare(several, ["tdn"])
    best = next(line for line in found.lines if line.offer.name == found.cheapest["tdn"])
    assert all(best.costs["tdn"].money <= line.costs["tdn"].money for line in found.lines)


@given(known=offers, other=offers, nutrient=st.sampled_from(["cp", "tdn"]))
def test_at_its_price_of_equal_value_an_offer_costs_the_same_by_that_nutrient(
    known, other, nutrient
):
    there = price_of_equal_value(known, other, nutrient)
    at_par = Offer("at par", there, other.dm, other.contents, storage_loss=other.storage_loss)
    lines = compare([Offer("known", known.price, known.dm, known.contents,
                           storage_loss=known.storage_loss), at_par], [nutrient]).lines  # fmt: skip
    assert lines[0].costs[nutrient].money == lines[1].costs[nutrient].money


def test_a_tonne_and_a_short_ton_compare_alike():
    by_tonne = Offer("tonne", GRASS.price.to("tonne"), 90, GRASS.contents)
    found = compare([GRASS, by_tonne], ["tdn"])
    assert found.lines[0].costs["tdn"].money == found.lines[1].costs["tdn"].money


@pytest.mark.parametrize("several", [[], [GRASS, GRASS]])
def test_no_offers_and_two_of_one_name_are_refused(several):
    with pytest.raises(Refused):
        compare(several, ["tdn"])


def test_offers_in_two_currencies_are_refused():
    other = Offer("other", Price(Fraction(90), "short ton", "CAD"), 90, {"tdn": 55})
    with pytest.raises(Refused) as error:
        compare([GRASS, other], ["tdn"])
    assert error.value.message.key == "gate.currencies"
