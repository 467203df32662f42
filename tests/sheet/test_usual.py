"""Usual hay: one row of the feed table, read before recalled, and where this hay stands in it."""

from __future__ import annotations

import pytest

from haywright.sheet.usual import rows_for, usual_hay
from haywright.sources.crops import crop, crops
from haywright.sources.feeds import feed, feeds
from haywright.sources.tables import load_toml
from tests.sheet.hay import results


def test_the_table_holds_every_row_and_says_which_are_recalled():
    assert len(feeds()) == 131
    assert feed("timothy-hay-midbloom").recalled
    assert not feed("alf-hay-trial-sd").recalled


def test_no_row_prints_nitrate():
    assert not any("nitrate_n" in one.values for one in feeds().values())


def test_every_row_could_be_a_feed():
    for one in feeds().values():
        v = one.values
        assert v.get("adf", 0.0) < v.get("ndf", 100.0)
        assert v.get("cp", 0.0) + v.get("ndf", 0.0) + v.get("fat", 0.0) <= 110 or one.group == "npn"


def test_every_crop_named_for_usual_hay_is_a_crop():
    assert set(load_toml("usual_hay")["rows"]) <= set(crops())


def test_the_bar_is_the_middle_eight_of_ten():
    # alfalfa hay of a dairy trial: CP 19.39 with SD 1.65 as printed; 1.2816 SD each way
    cp = usual_hay(results(cp=19.39), crop("alfalfa"))["cp"]
    assert (cp.low, cp.high) == pytest.approx((17.28, 21.50), abs=0.01)
    assert cp.lower_share == pytest.approx(0.5)
    assert cp.spread == "printed"
    assert not cp.outside


def test_a_read_row_comes_before_a_recalled_one():
    usual = usual_hay(results(), crop("timothy"))
    assert usual["cp"].feed.id == "grass-hay-sk13"
    assert not usual["cp"].recalled
    assert usual["adf"].recalled  # no read row holds ADF of timothy: shown with its mark


@pytest.mark.parametrize(("cp", "key"), [(23.0, "high"), (14.0, "low_rare"), (17.0, "low")])
def test_unusual_hay_is_said_to_be_so(cp, key):
    said = usual_hay(results(cp=cp), crop("alfalfa"))["cp"].message()
    assert said.key == f"sheet.usual.{key}"


def test_usual_hay_says_nothing_of_tdn_which_follows_rules_of_its_own():
    assert usual_hay(results(tdn=75.0), crop("alfalfa"))["tdn"].message() is None


def test_rfv_spreads_as_its_fiber_does():
    rfv = usual_hay(results(), crop("alfalfa"))["rfv"]
    assert rfv.low < 136 < rfv.high  # the row's own RFV
    assert rfv.spread == "planning"


def test_a_crop_no_row_speaks_of_has_no_bar():
    assert rows_for(crop("teff")) == ()
    assert usual_hay(results(cp=12.0), crop("teff")) == {}
