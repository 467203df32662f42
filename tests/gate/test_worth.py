"""Yardstick feeds, fertilizer in hay, the seller's side, market and terms.

Published numbers run with the outside cases; here is what must hold for every input.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from haywright.gate.market import discounted, discounts, discounts_for
from haywright.gate.money import Price
from haywright.gate.removal import NITROGEN_COUNTED, k2o_of, p2o5_of, phosphate_price, removal
from haywright.gate.selling import cost_over_acres, store_or_sell
from haywright.gate.terms import entry_points, inspection_fee, two_laboratories
from haywright.gate.yardstick import (
    Yardstick,
    stretches,
    three_factors,
    three_yardsticks,
    usual_yardstick,
    value_by_two,
)
from haywright.measure.errors import Refused

shares = st.integers(1, 60)


def corn(money=200):
    return Yardstick("corn", Price(money, "short ton"), 88, 88, 9)


def meal(money=400):
    return Yardstick("soybean meal", Price(money, "short ton"), 89, 84, 54)


@given(money_corn=st.integers(150, 300), money_meal=st.integers(300, 600))
def test_each_yardstick_is_worth_its_own_price(money_corn, money_meal):
    first, second = corn(money_corn), meal(money_meal)
    assert value_by_two(first, second, dm=88, tdn=88, cp=9).value == first.price
    assert value_by_two(first, second, dm=89, tdn=84, cp=54).value == second.price


@given(tdn=st.integers(40, 70), cp=st.integers(3, 25))
def test_the_value_is_the_energy_and_the_protein_at_their_prices(tdn, cp):
    found = value_by_two(corn(), meal(), dm=88, tdn=tdn, cp=cp)
    by_nutrient = Fraction(88 * tdn, 10000) * found.tdn_price.amount
    by_nutrient += Fraction(88 * cp, 10000) * found.cp_price.amount
    assert by_nutrient == found.value.amount
    by_share = found.first_share * 200 + found.second_share * 400
    assert by_share == found.value.amount


def test_which_yardstick_comes_first_changes_nothing():
    assert (
        value_by_two(corn(), meal(), dm=88, tdn=60, cp=18).value
        == value_by_two(meal(), corn(), dm=88, tdn=60, cp=18).value
    )


def test_prices_that_make_energy_cost_less_than_nothing_give_no_value():
    with pytest.raises(Refused) as error:
        value_by_two(corn(20), meal(2000), dm=88, tdn=60, cp=18)
    assert error.value.message.key == "gate.yardstick_incoherent"


def test_one_feed_twice_prices_nothing():
    with pytest.raises(Refused) as error:
        value_by_two(corn(), corn(), dm=88, tdn=60, cp=18)
    assert error.value.message.key == "gate.yardstick_alike"


def test_a_composition_from_memory_is_marked():
    first = usual_yardstick("corn-grain-n01", Price(200, "short ton"))
    found = value_by_two(first, meal(), dm=88, tdn=60, cp=18)
    assert [m.key for m in found.notes] == [
        "gate.yardstick_recalled",
        "gate.yardstick_counted",
        "gate.yardstick_caution",
    ]


def test_grade_two_alfalfa_is_its_own_yardstick_and_straw_is_stretched():
    alfalfa = three_factors("alfalfa-grade-2")
    assert (alfalfa.meal, alfalfa.corn, alfalfa.alfalfa) == (0, 0, 1)
    assert {one.id for one in three_yardsticks().values() if stretches(one)} == {
        "cereal-straw",
        "soybean-stover",
    }


def test_oxides_of_phosphorus_and_potassium_are_those_of_the_fertilizer_trade():
    # 2.2914 and 1.2046, the factors every fertilizer table prints.
    assert p2o5_of(1.0) == pytest.approx(2.2914, abs=1e-4)
    assert k2o_of(1.0) == pytest.approx(1.2046, abs=1e-4)


def test_phosphate_in_18_46_0_is_priced_once_its_nitrogen_is_paid_for():
    # (P_DAP - 360 p_N)/920 per short ton of 2,000 lb: value.md section 7.
    per_lb = phosphate_price(Fraction(800, 2000), 46, 18, Fraction(1, 2))
    assert per_lb == (Fraction(800) - 360 * Fraction(1, 2)) / 920


@given(cp=st.integers(3, 25), p=st.integers(1, 5), k=st.integers(5, 40))
def test_counting_less_of_the_nitrogen_makes_hay_carry_off_less(cp, p, k):
    off = removal(dm=88, cp=cp, p=Decimal(p) / 10, k=Decimal(k) / 10)
    prices = [Price(Decimal("0.60"), "lb")] * 3
    worth = {c: off.worth(*prices, counted=c).amount for c in NITROGEN_COUNTED}
    assert worth["legume"] < worth["quarter"] < worth["fed"] < worth["full"]


@given(
    money=st.integers(50, 400),
    shrink=st.integers(1, 40),
    months=st.integers(1, 18),
    interest=st.integers(0, 20),
)
def test_storing_must_bring_more_than_today_and_more_than_the_added_form_says(
    money, shrink, months, interest
):
    price = Price(money, "short ton")
    known = {
        "months": months,
        "shrink": shrink,
        "interest": interest,
        "handling": Price(5, "short ton"),
    }
    later = store_or_sell(price, **known)
    assert price < later
    assert store_or_sell(price, **known, method="added") < later


@given(acres=st.integers(10, 200), more=st.integers(1, 400))
def test_more_acres_spread_ownership_thinner(acres, more):
    assert cost_over_acres(100.0, 50.0, acres, acres + more, 2.0) < 100.0


def test_weeds_count_from_five_per_cent_and_small_squares_are_the_base():
    assert discounts_for("small square", weeds="4.9") == ()
    assert [one.id for one in discounts_for("large square", weeds=5)] == ["large-square", "weedy"]


def test_every_market_figure_says_where_and_when():
    assert all(one.where and one.years and one.hay for one in discounts().values())


@given(money=st.integers(60, 400), weeds=st.integers(0, 100))
def test_the_low_end_of_a_discount_is_never_above_the_high_end(money, weeds):
    low, high = discounted(Price(money, "short ton"), discounts_for("large round", weeds=weeds))
    assert low < high


@given(acres=st.integers(1, 2000), more=st.integers(1, 100))
def test_more_land_asks_for_no_fewer_entries_and_no_lower_fee(acres, more):
    assert 2 <= entry_points(acres) <= entry_points(acres + more)
    assert 45 <= inspection_fee(acres) <= inspection_fee(acres + more)


@given(first=st.floats(5, 25), second=st.floats(5, 25), sd=st.floats(0.1, 2))
def test_two_laboratories_agree_whichever_is_named_first(first, second, sd):
    assume(abs(first - second) > 0)
    there = two_laboratories(first, second, reproducibility_sd=sd)
    back = two_laboratories(second, first, reproducibility_sd=sd)
    assert there == back


@pytest.mark.parametrize("acres", [0, -3])
def test_no_land_is_refused(acres):
    with pytest.raises(Refused):
        entry_points(acres)
