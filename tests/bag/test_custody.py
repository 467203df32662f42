"""Who had the bag: only forward, never back in time, never without a name."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.bag.custody import HandOver, Stage, hand_over, holder, stage_of, walked
from haywright.measure.errors import Refused
from haywright.words import say

NOON = datetime(2026, 9, 14, 12)  # noqa: DTZ001 - a form may leave the zone out
SEALED = HandOver(Stage.SEALED, NOON, "sampler")
SHIPPED = HandOver(Stage.SHIPPED, NOON + timedelta(hours=2), "carrier")
RECEIVED = HandOver(Stage.RECEIVED, NOON + timedelta(days=1), "laboratory")
TURNED_AWAY = HandOver(Stage.REFUSED, NOON + timedelta(days=1), "laboratory", reason="seal broken")


def test_a_bag_is_sealed_shipped_and_received():
    journey = walked((SEALED, SHIPPED, RECEIVED))
    assert stage_of(journey) is Stage.RECEIVED
    assert holder(journey) == "laboratory"


def test_a_bag_handed_over_the_counter_need_not_be_shipped():
    assert stage_of(walked((SEALED, RECEIVED))) is Stage.RECEIVED


@pytest.mark.parametrize(
    "steps",
    [
        (SHIPPED,),
        (RECEIVED,),
        (SEALED, SEALED),
        (SEALED, SHIPPED, SEALED),
        (SEALED, RECEIVED, SHIPPED),
        (SEALED, TURNED_AWAY, RECEIVED),
        (SEALED, RECEIVED, TURNED_AWAY),
    ],
)
def test_no_bag_goes_back_or_skips_its_seal(steps):
    with pytest.raises(Refused):
        walked(steps)


def test_who_had_the_bag_is_known_at_every_moment():
    journey = walked((SEALED, SHIPPED, RECEIVED))
    assert holder(journey, NOON - timedelta(hours=1)) is None
    assert holder(journey, NOON + timedelta(hours=1)) == "sampler"
    assert holder(journey, NOON + timedelta(hours=3)) == "carrier"


def test_a_hand_over_before_the_last_one_is_refused():
    with pytest.raises(Refused) as error:
        hand_over((SEALED,), HandOver(Stage.SHIPPED, NOON - timedelta(minutes=1), "carrier"))
    assert error.value.message.key == "bag.custody.time"
    told = say(error.value.message).replace("\u00a0", " ")
    assert "14 September 2026, 11:59 lies before" in told
    assert "14 September 2026, 12:00" in told


def test_time_zones_are_compared_as_moments():
    east = timezone(timedelta(hours=5))
    utc_noon = HandOver(Stage.SEALED, datetime(2026, 9, 14, 12, tzinfo=UTC), "sampler")
    earlier = HandOver(Stage.SHIPPED, datetime(2026, 9, 14, 16, tzinfo=east), "carrier")
    with pytest.raises(Refused):
        hand_over((utc_noon,), earlier)


def test_a_bag_is_refused_with_a_reason_and_only_then():
    with pytest.raises(Refused):
        HandOver(Stage.REFUSED, NOON, "laboratory")
    with pytest.raises(Refused):
        HandOver(Stage.RECEIVED, NOON, "laboratory", reason="wet")


def test_nobody_is_no_holder():
    with pytest.raises(Refused):
        HandOver(Stage.SEALED, NOON, "  ")


@given(st.lists(st.sampled_from([SEALED, SHIPPED, RECEIVED, TURNED_AWAY]), max_size=6))
def test_a_journey_only_grows_and_its_past_never_changes(steps):
    journey = ()
    for step in steps:
        try:
            longer = hand_over(journey, step)
        except Refused:
            continue
        assert longer[:-1] == journey
        journey = longer
    assert len(journey) <= 3
    assert all(one.stage is Stage.SEALED for one in journey[:1])
