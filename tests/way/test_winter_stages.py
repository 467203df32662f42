"""What to trade now, with many winters in view, on the demo's ranch."""

from __future__ import annotations

import numpy as np
import pytest

from haywright.measure.units import convert
from haywright.way.winter_stages import LEAST_WINTERS, trade_now
from tests.way.demo_winter import answered


@pytest.fixture(scope="module")
def stages():
    return trade_now(answered()[0].counted, np.random.default_rng(3), winters=10)


def test_at_least_two_hundred_winters_are_in_view(stages):
    assert stages.winters == LEAST_WINTERS
    assert stages.gap <= 1e-3


def test_no_more_is_sold_than_a_buyer_wants_and_nothing_that_may_not_be_fed_is_bought(stages):
    sold = {one.lot: one.sold for one in stages.trades}
    wanted = convert(40.0, "short_ton", "kg")  # of the demo's one buyer at the stack
    assert sold.get("Upper bench brome and alfalfa", 0.0) <= wanted * (1 + 1e-6)
    assert not {one.lot for one in stages.trades if "Roadside" in one.lot and one.bought > 0}


def test_the_same_chance_gives_the_same_advice():
    again = [trade_now(answered()[0].counted, np.random.default_rng(5)).trades for _ in range(2)]
    assert again[0] == again[1]
