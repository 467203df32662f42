"""Hay needed: dry matter, then as it stands, then waste, in that order."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.gate.need import Eaters, hay_needed, mass_after_loss, mass_before_loss
from haywright.measure.errors import Refused

losses = st.integers(min_value=0, max_value=99)


@given(stored=losses, fed=losses, dm=st.integers(1, 100), head=st.integers(1, 500))
def test_what_is_in_the_stack_less_its_losses_feeds_the_herd(stored, fed, dm, head):
    eaters = Eaters(head, 25, "lb", 150)
    found = hay_needed((eaters,), dm=dm, unit="lb", storage_loss=stored, feeding_loss=fed)
    left = mass_after_loss(mass_after_loss(found.to_have, stored), fed)
    assert left * dm / 100 == head * 25 * 150 == found.dry_matter


@given(mass=st.integers(1, 10**6).map(Fraction), loss=losses)
def test_before_and_after_a_loss_are_each_others_other_side(mass, loss):
    assert mass_after_loss(mass_before_loss(mass, loss), loss) == mass


@given(weight=st.integers(500, 2500), head=st.integers(1, 400))
def test_bales_are_whole_and_enough_and_one_fewer_is_not(weight, head):
    eaters = Eaters(head, 28, "lb", 120)
    found = hay_needed((eaters,), dm=88, unit="lb", bale_weight=weight)
    assert found.bales * weight >= found.to_have
    assert (found.bales - 1) * weight < found.to_have


def test_a_pound_a_day_may_be_given_instead_of_a_share_of_weight():
    by_weight = Eaters.by_weight(100, 1200, unit="lb", intake="2.5", days=90)
    assert by_weight.dry_matter("lb") == Eaters(100, 30, "lb", 90).dry_matter("lb")


def test_classes_of_stock_add_up():
    cows, calves = Eaters(40, 28, "lb", 150), Eaters(30, 12, "lb", 150)
    both = hay_needed((cows, calves), dm=88, unit="lb")
    apart = [hay_needed((one,), dm=88, unit="lb").to_have for one in (cows, calves)]
    assert both.to_have == sum(apart)


@pytest.mark.parametrize("intake", [0, -2, 11, 25])
def test_an_intake_no_animal_eats_is_refused(intake):
    with pytest.raises(Refused) as error:
        Eaters.by_weight(10, 1200, unit="lb", intake=intake, days=90)
    assert error.value.message.key == "gate.intake"


@pytest.mark.parametrize("eaters", [Eaters(0, 25, "lb", 90), Eaters(10, 25, "lb", 0)])
def test_no_animals_and_no_days_are_refused(eaters):
    with pytest.raises(Refused):
        hay_needed((eaters,), dm=88, unit="lb")
