"""Enough hay in the bag, and enough powder for the tests."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.bag.mass import judge_journey, judge_mass, mass_lost, powder_budget
from haywright.measure.errors import Refused

# 150 to 200 g: Shewmaker, University of Idaho. Under 100 g flagged, at most 500 g: common practice.


@pytest.mark.parametrize(
    ("grams", "band"),
    [(60, "short"), (99.9, "short"), (100, "lean"), (149, "lean"), (150, "good"), (200, "good"),
     (500, "good"), (501, "over")],
)  # fmt: skip
def test_a_bag_is_judged_by_what_a_laboratory_grinds_whole(grams, band):
    assert judge_mass(grams).band == band


@pytest.mark.parametrize("grams", [0, -5, float("nan"), float("inf")])
def test_a_bag_weighs_something(grams):
    with pytest.raises(Refused):
        judge_mass(grams)


def test_a_sealed_bag_may_lose_one_per_cent_on_the_way():
    assert judge_journey(200, 198) is None
    assert judge_journey(200, 197.9).key == "bag.mass.lost"
    assert judge_journey(200, 203).key == "bag.mass.gained"


def test_what_was_lost_is_a_share_of_what_was_sealed():
    assert mass_lost(200.0, 190.0) == pytest.approx(5.0)


def test_a_repeat_of_everything_takes_twice_the_powder():
    once = powder_budget(200, ["nitrate", "cp", "adf"], dm=88, repeats=0)
    twice = powder_budget(200, ["nitrate", "cp", "adf"], dm=88, repeats=1)
    # 3 g nitrate, 3 g protein: UC Davis; 1 g ADF: AOAC 973.18 portion.
    assert once.need_g - once.kept_g == pytest.approx(7.0)
    assert twice.need_g - twice.kept_g == pytest.approx(14.0)


def test_minerals_from_one_digest_are_counted_once():
    one = powder_budget(200, ["minerals"], dm=88)
    several = powder_budget(200, ["minerals", "ca", "p", "cu"], dm=88)
    assert several.need_g == one.need_g


def test_a_scant_bag_serves_the_tests_in_the_order_they_matter():
    found = powder_budget(32, ["nitrate", "cp", "adf", "ndf"], dm=90, repeats=1)
    assert not found.enough
    assert "nitrate" not in found.short
    assert found.short


def test_prussic_acid_is_not_run_on_dry_powder():
    found = powder_budget(200, ["cp", "prussic_acid"], dm=88)
    assert [need.tests for need in found.apart] == [("prussic_acid",)]
    assert found.enough


@given(grams=st.floats(1, 1000), dm=st.floats(1, 100), more=st.floats(0.1, 500))
def test_more_hay_never_serves_fewer_tests(grams, dm, more):
    tests = ["nitrate", "cp", "adf", "ndf", "minerals", "lignin"]
    less = powder_budget(grams, tests, dm=dm)
    plenty = powder_budget(grams + more, tests, dm=dm)
    assert plenty.have_g > less.have_g
    assert less.enough <= plenty.enough


@pytest.mark.parametrize(("dm", "repeats"), [(0, 1), (101, 1), (88, -1)])
def test_impossible_budgets_are_refused(dm, repeats):
    with pytest.raises(Refused):
        powder_budget(200, ["cp"], dm=dm, repeats=repeats)


def test_an_unknown_test_is_refused_with_near_names():
    with pytest.raises(Refused) as error:
        powder_budget(200, ["nitrat"], dm=88)
    assert "nitrate" in error.value.message.args["names"]
