"""A bag says what it is, and what a reader of its result should know."""

from __future__ import annotations

from datetime import date

import pytest

from haywright.bag.bag import Bag
from haywright.bag.codes import BagCode
from haywright.measure.errors import Refused


def bag(**changed):
    fields = {
        "code": BagCode("VLY", 42),
        "lot": "river-oats",
        "cored_on": date(2026, 9, 14),
        "taken": "probe",
        "tests": ("nitrate", "cp"),
        "bales": tuple(range(1, 21)),
    }
    return Bag(**{**fields, **changed})


def keys(one):
    return [m.key for m in one.notes()]


def test_a_bag_of_twenty_bales_holds_twenty_cores():
    assert (bag().bales_cored, bag().cores) == (20, 20)
    assert bag(cores_per_bale=2).cores == 40


def test_bales_may_be_counted_without_their_numbers():
    assert bag(bales=(), bale_count=12).cores == 12


def test_a_bag_whose_bales_nobody_wrote_down_says_so():
    assert keys(bag(bales=())) == ["bag.note.bales_unknown"]
    assert bag(bales=()).bales_cored is None


def test_a_hand_grab_is_a_screen():
    assert bag(taken="grab").screen_only
    assert "bag.note.grab" in keys(bag(taken="grab"))


def test_tests_are_kept_by_their_ids_in_the_order_they_matter():
    assert bag(tests=("Crude protein", "nitrate", "cp")).tests == ("cp", "nitrate")


def test_a_light_bag_and_a_leaking_one_are_mentioned():
    assert keys(bag(mass_sealed_g=80.0)) == ["bag.mass.short"]
    assert keys(bag(mass_sealed_g=200.0, mass_received_g=180.0)) == ["bag.mass.lost"]


def test_what_was_seen_at_the_bag_is_mentioned():
    assert keys(bag(condition=("moldy", "heated"))) == ["bag.note.condition"]


@pytest.mark.parametrize(
    "wrong",
    [
        {"lot": " "},
        {"tests": ()},
        {"tests": ("colour",)},
        {"taken": "handful"},
        {"bales": (3, 3)},
        {"bales": (0, 1)},
        {"bale_count": 5},
        {"bales": (), "bale_count": 0},
        {"cores_per_bale": 0},
        {"condition": ("sunny",)},
        {"mass_sealed_g": -1.0},
        {"mass_received_g": 0.0},
    ],
)
def test_a_bag_that_cannot_be_is_refused(wrong):
    with pytest.raises(Refused):
        bag(**wrong)
