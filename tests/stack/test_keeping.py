"""How hay keeps: losses as spans, the balance of mass, moisture at baling."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.measure.errors import Refused, UnknownName
from haywright.measure.units import convert
from haywright.sources.bibliography import Status, cite
from haywright.stack import keeping
from haywright.stack.lot import storages
from haywright.stack.packages import Package, bale_size, usual_size

PERCENT = st.floats(0, 95)


def inches(value):
    return convert(value, "in", "m")


@pytest.mark.parametrize(
    ("kept", "months", "low", "high"),
    # Oklahoma State University BAE-1716, Table 2
    [("exposed-ground", 6, 5, 20), ("exposed-ground", 15, 15, 50), ("exposed-elevated", 9, 3, 15),
     ("covered-ground", 12, 10, 15), ("covered-elevated", 9, 2, 4), ("under-roof", 18, 3, 10),
     ("barn", 9, 0, 2)],
)  # fmt: skip
def test_losses_are_the_printed_spans(kept, months, low, high):
    found = keeping.storage_loss(kept, months)
    assert (found.low, found.high) == (low, high)
    assert found.low <= found.middle <= found.high


def test_rain_places_the_middle_between_the_ends():
    # BAE-1716: low end under 25 in of rain a year, high end over 40
    dry = keeping.storage_loss("outside", 9, rain=inches(15))
    wet = keeping.storage_loss("outside", 9, rain=inches(50))
    between = keeping.storage_loss("outside", 9, rain=inches(32.5))
    assert (dry.middle, wet.middle, between.middle) == pytest.approx((5, 20, 12.5))


def test_rain_does_not_reach_hay_under_a_roof():
    wet = keeping.storage_loss("barn", 9, rain=inches(60))
    assert wet.middle == keeping.storage_loss("barn", 9).middle


def test_months_between_two_rows_take_both_in_and_say_so():
    found = keeping.storage_loss("exposed-ground", 10)
    assert (found.low, found.high) == (5, 50)
    assert "stack.keep.between_rows" in {n.key for n in found.notes}


def test_hay_kept_longer_than_the_table_says_so():
    found = keeping.storage_loss("exposed-ground", 30)
    assert found.high == 50
    assert "stack.keep.longer_than_table" in {n.key for n in found.notes}


def test_the_trial_that_lies_outside_the_span_is_shown_beside_it():
    # University of Tennessee: 37 % on the ground, bare, outside Oklahoma's 5 to 20
    found = keeping.storage_loss("exposed-ground", 7)
    assert any(row.loss == (37, 37) for row in found.others)
    by_name = keeping.storage_loss("exposed-ground", 7, method="tennessee")
    assert by_name.high == 37


def test_a_loss_of_weight_is_not_called_a_loss_of_dry_matter():
    # Purdue: 76 % of the weight kept on the ground
    found = keeping.storage_loss("exposed-ground", 7, method="purdue")
    assert (found.high, found.of) == (24, "weight")


def test_every_way_of_keeping_hay_answers_or_names_who_does():
    for kept in storages():
        try:
            found = keeping.storage_loss(kept, 6)
        except Refused as error:
            assert error.message.key == "stack.keep.trial_silent"
        else:
            assert cite(found.source).status is Status.READ


def test_every_printed_loss_has_been_read():
    for row in keeping.loss_rows():
        assert cite(row.source).status is Status.READ
        assert 0 <= row.loss[0] <= row.loss[1] <= 100


@given(PERCENT, PERCENT, PERCENT)
def test_weight_kept_and_dry_matter_lost_are_one_balance(moisture_in, moisture_out, loss):
    kept = keeping.weight_kept(moisture_in, moisture_out, loss)
    assert keeping.dm_loss(100.0, moisture_in, kept, moisture_out) == pytest.approx(loss, abs=1e-6)


@given(st.floats(0.1, 30), st.floats(0, 60), st.floats(0, 60))
def test_what_is_lost_less_than_the_hay_rises(content, loss, own):
    after = keeping.content_after(content, loss, own)
    assert after * (1 - loss / 100) == pytest.approx(content * (1 - own / 100))
    if own < loss - 1e-6:
        assert after > content


@given(st.floats(1, 1000), st.floats(0, 90))
def test_losses_are_divided_out_and_never_added_on(need, loss):
    start = keeping.hay_to_start(need, loss)
    assert start * (1 - loss / 100) == pytest.approx(need)
    assert start >= need * (1 + loss / 100) - 1e-9


def test_moisture_verdicts_come_strictest_first():
    found = keeping.moisture_at_baling(17.0, usual_size("large_square").package)
    ceilings = [one.ceiling for one in found]
    assert ceilings == sorted(ceilings)
    assert all(one.under == (one.ceiling >= 17) for one in found)


def test_a_row_for_one_size_beats_the_row_for_all_rounds():
    # Collins in Alberta Agriculture: rounds 15 to 18 %, but 15 % for 5 x 5 and 6 x 5
    assert keeping.moisture_by("collins", 16, bale_size("5x5").package).ceiling == 15
    assert keeping.moisture_by("collins", 16, bale_size("4x5").package).ceiling == 18
    odd = Package("round", diameter=1.3, width=1.2)
    assert keeping.moisture_by("collins", 16, odd).ceiling == 18


def test_indoors_nothing_weathers_and_outdoors_two_to_eight_inches_may():
    # Fescue trial 1995: indoors 0; Oklahoma State: 2 to 8 in outdoors
    assert {row.high for row in keeping.weathered_outside("barn")} == {0}
    outside = keeping.weathered_outside("exposed-ground")
    assert max(row.high for row in outside) == pytest.approx(inches(8))


@pytest.mark.parametrize(
    "make",
    [
        lambda: keeping.storage_loss("barn", 0),
        lambda: keeping.storage_loss("barn", float("nan")),
        lambda: keeping.storage_loss("moon", 3),
        lambda: keeping.storage_loss("barn", 3, method="hearsay"),
        lambda: keeping.moisture_at_baling(-1, usual_size("round").package),
        lambda: keeping.moisture_at_baling(101, usual_size("round").package),
    ],
)
def test_what_cannot_be_is_refused(make):
    with pytest.raises(Refused):
        make()


def test_a_source_that_says_nothing_of_rounds_is_not_invented():
    with pytest.raises(UnknownName):
        keeping.moisture_by("california", 15, usual_size("round").package)
