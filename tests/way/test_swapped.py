"""Two bags that would each fit the other's lot better are asked about; one odd bag is not.

Values of hay are of usual size (common practice); the rule of two standard deviations is the
bench's own for neighbors on a tray.
"""

from __future__ import annotations

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from haywright.measure.result import Results
from haywright.sheet.typed import read_typed
from haywright.stack.lot import Lot, Packages
from haywright.way.swapped import BagFound, exchanged

GRASSY = ("cp=9 % dry matter", "ndf=61 % dry matter", "adf=38 % dry matter")
LEAFY = ("cp=21 % dry matter", "ndf=38 % dry matter", "adf=29 % dry matter")


def lot(crop: str) -> Lot:
    return Lot(crop, "cured_hay", (crop,), packages=Packages(60), baled_on=date(2026, 8, 2))


def found(texts) -> Results:
    return read_typed(texts).results


def test_oats_that_test_like_alfalfa_and_the_other_way_round_are_a_question():
    asked = exchanged(BagFound(lot("oats"), found(LEAFY)), BagFound(lot("alfalfa"), found(GRASSY)))
    assert {"cp", "ndf"} <= set(asked)


def test_hay_that_is_like_its_crop_asks_nothing():
    assert not exchanged(
        BagFound(lot("oats"), found(GRASSY)), BagFound(lot("alfalfa"), found(LEAFY))
    )


def test_one_odd_bag_beside_a_usual_one_asks_nothing():
    assert not exchanged(
        BagFound(lot("oats"), found(LEAFY)), BagFound(lot("alfalfa"), found(LEAFY))
    )


def test_other_bags_of_a_lot_say_more_than_its_crop():
    poor, rich = ("cp=8 % dry matter", "ndf=66 % dry matter", "adf=42 % dry matter"), LEAFY
    one = BagFound(lot("alfalfa"), found(rich), [found(poor)])
    other = BagFound(lot("alfalfa"), found(poor), [found(rich)])
    assert exchanged(one, other)
    assert not exchanged(BagFound(one.lot, one.results), BagFound(other.lot, other.results))


@given(
    st.lists(st.floats(4, 30), min_size=2, max_size=2),
    st.lists(st.floats(30, 75), min_size=2, max_size=2),
)
def test_the_question_is_the_same_whichever_bag_is_looked_at(cp, ndf):
    one, other = (
        BagFound(lot(crop), found((f"cp={cp[n]} % dry matter", f"ndf={ndf[n]} % dry matter")))
        for n, crop in enumerate(("oats", "alfalfa"))
    )
    assert set(exchanged(one, other)) == set(exchanged(other, one))
