"""Groups, stages by date, needs: what must hold for every herd."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.bunk.animals import FAMILIES, HerdGroup, stage_on, weight_on
from haywright.bunk.requirements.need import Choices
from haywright.bunk.requirements.needs import need_of_week, need_on, weeks
from haywright.bunk.weather import Day
from haywright.measure.errors import Refused, UnknownName
from haywright.measure.register import Mark
from haywright.words import say

CALVING = date(2027, 3, 1)
COWS = HerdGroup("cows", "bred cows", 80, 567.0, date(2026, 11, 1), due=CALVING)


def test_a_cow_of_1150_kg_gets_a_question():
    with pytest.raises(Refused, match=r"animals\.weight") as caught:
        replace(COWS, weight=1150.0)
    assert "pounds" in say(caught.value.message)


@pytest.mark.parametrize(
    ("field", "value"),
    [("head", -1), ("condition", 12), ("weight", 0), ("peak_milk", -3.0), ("gain", -0.5)],
)
def test_what_cannot_be_is_refused_and_named(field, value):
    with pytest.raises(Refused):
        replace(COWS, **{field: value})


def test_an_unknown_kind_names_the_near_ones():
    with pytest.raises(UnknownName) as caught:
        replace(COWS, kind="bred cowz")
    assert "bred cows" in say(caught.value.message)


def test_growing_stock_is_not_bred():
    with pytest.raises(Refused, match=r"animals\.not_bred"):
        HerdGroup("steers", "steers", 10, 300.0, date(2026, 11, 1), due=CALVING)


def test_the_stage_comes_from_the_dates():
    before = stage_on(COWS, CALVING - timedelta(days=1))
    after = stage_on(COWS, CALVING)
    assert before.days_to_birth == 1
    assert before.days_pregnant == 282
    assert not before.milking
    assert after.milking
    assert after.days_pregnant == 0
    assert stage_on(COWS, CALVING + timedelta(days=100)).days_pregnant == 18  # bred back at 82


def test_a_cow_that_still_nurses_last_years_calf_is_milking_and_pregnant():
    nursing = replace(COWS, weaned=date(2026, 11, 20))
    early, later = stage_on(nursing, date(2026, 11, 1)), stage_on(nursing, date(2026, 11, 21))
    assert early.milking
    assert early.days_pregnant > 100
    assert not later.milking


def test_steers_weigh_more_by_the_day():
    steers = HerdGroup("steers", "steers", 10, 300.0, date(2026, 11, 1), gain=0.7,
                       mature_weight=560.0, age="calf")  # fmt: skip
    assert weight_on(steers, date(2026, 11, 11)) == pytest.approx(307.0)


@given(st.integers(0, 160))
def test_a_dry_cow_needs_more_energy_every_day_until_she_calves(days):
    day = date(2026, 9, 1) + timedelta(days=days)
    if day + timedelta(days=1) < CALVING:
        assert need_on(COWS, day).total <= need_on(COWS, day + timedelta(days=1)).total


@given(st.floats(300, 900), st.floats(1, 1.2))
def test_a_heavier_cow_needs_more(weight, factor):
    cow = replace(COWS, weight=weight)
    heavier = replace(COWS, weight=min(weight * factor, 1000))
    day = date(2027, 1, 15)
    assert need_on(heavier, day).total >= need_on(cow, day).total
    assert need_on(heavier, day).cp >= need_on(cow, day).cp


@given(st.floats(-30, 60), st.floats(0, 40), st.booleans())
def test_colder_windier_or_wetter_never_asks_for_less(air, wind, wet):
    day = date(2027, 1, 15)
    base = need_on(COWS, day, weather=[Day(air, wind, wet)]).total
    assert need_on(COWS, day, weather=[Day(air - 5, wind, wet)]).total >= base
    assert need_on(COWS, day, weather=[Day(air, wind + 5, wet)]).total >= base
    assert need_on(COWS, day, weather=[Day(air, wind, wet=True)]).total >= base
    assert need_on(COWS, day, weather=[Day(air, wind, wet, sheltered=True)]).total <= base + 1e-9


@pytest.mark.parametrize("protein", ["printed", "1996"])
def test_what_rests_on_memory_says_so_and_the_default_does_not(protein):
    need = need_on(COWS, date(2027, 1, 15), choices=Choices(protein=protein))
    marks = [say(line) for line in need.marks()]
    assert bool(marks) is (protein == "1996")
    assert all("recalled" in line for line in marks)


def test_a_bull_and_a_late_ewe_rest_on_memory_and_say_so():
    bull = HerdGroup("bulls", "bulls", 3, 900.0, date(2026, 11, 1))
    ewes = HerdGroup("ewes", "ewes", 30, 70.0, date(2026, 11, 1), due=date(2027, 3, 1))
    assert need_on(bull, date(2027, 1, 1)).recalled
    assert need_on(ewes, date(2027, 2, 20)).recalled
    assert not need_on(ewes, date(2026, 12, 15)).recalled


@pytest.mark.parametrize("kind", FAMILIES)
def test_every_kind_of_stock_has_a_need_on_every_day_of_a_winter(kind):
    bred = FAMILIES[kind] not in ("growing", "bull")
    weight = {"ewe": 70.0, "doe": 50.0, "growing": 280.0, "heifer": 430.0}.get(
        FAMILIES[kind], 600.0
    )
    group = HerdGroup(
        "stock", kind, 10, weight, date(2026, 11, 1), due=CALVING if bred else None,
        peak_milk=2.0 if FAMILIES[kind] == "doe" else 9.0,
        gain=0.4 if FAMILIES[kind] in ("growing", "heifer") else 0.0, mature_weight=570.0,
    )  # fmt: skip
    for first in weeks(date(2026, 11, 1), date(2027, 6, 1)):
        need = need_of_week(group, first)
        assert need.total > 0
        assert need.cp > 0
        assert need.grounds
        assert all(isinstance(one.mark, Mark) for one in need.grounds)


def test_a_week_that_calves_in_its_midst_is_between_the_days():
    week = need_of_week(COWS, CALVING - timedelta(days=3))
    before, after = (need_on(COWS, CALVING + timedelta(days=n)).total for n in (-1, 3))
    assert min(before, after) < week.total < max(before, after)


def test_the_last_month_asks_for_half_as_much_again_as_mid_pregnancy():
    # feeding.md 1.10: month 12 needs 1.5 x month 7 of the energy.
    middle = need_on(COWS, CALVING - timedelta(days=5 * 30 + 3)).total
    assert need_on(COWS, CALVING - timedelta(days=1)).total > 1.4 * middle
