"""Intake and weather: the known faults of the rules are guarded, the charts read as printed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.bunk import weather
from haywright.bunk.intake import (
    RECALLED_RULES,
    RULES,
    RULES_BY_AGE,
    Eater,
    Forage,
    dmi_1996,
    dmi_1996_guarded,
    dmi_growing_2016,
    intake,
    intake_factor,
    intake_range,
    protein_short_share,
)
from haywright.measure.errors import CannotDerive, UnknownName
from haywright.measure.units import convert

COW = Eater(weight=567.0, shrunk_weight=544.3)


def test_the_form_of_1996_would_feed_more_of_worse_hay_and_is_held():
    # feeding.md 1.8: 1,200-lb cow at TDN 42, 45, 50, 55, 60: 25.4, 24.4, 23.9, 24.2, 25.0 lb.
    assert convert(dmi_1996(544.3, 0.679), "kg", "lb") == pytest.approx(25.4, abs=0.1)
    assert dmi_1996(544.3, 0.7) > dmi_1996(544.3, 0.96)
    assert dmi_1996_guarded(544.3, 0.7) == pytest.approx(dmi_1996_guarded(544.3, 0.9))


@given(
    st.sampled_from([r for r in RULES if not r.startswith("fiber")]),
    st.floats(40, 68),
    st.floats(0, 8),
)
def test_no_rule_lets_cows_eat_more_of_worse_forage(rule, tdn, step):
    def eaten(value):
        me = 0.036154 * value
        nem = 1.37 * me - 0.138 * me**2 + 0.0105 * me**3 - 1.12
        return intake(rule, COW, Forage(tdn=value, nem=nem))

    if rule.startswith("growing"):  # turns down on rich feed: appetite is met by energy
        return
    assert eaten(tdn) <= eaten(tdn + step) + 1e-9


@given(st.floats(30, 75), st.floats(0, 10))
def test_more_fiber_fills_sooner(ndf, step):
    for rule in ("fiber-fill", "fiber-fill-high"):
        assert intake(rule, COW, Forage(ndf=ndf)) >= intake(rule, COW, Forage(ndf=ndf + step))


def test_the_lowest_rule_tests_adequacy_and_the_highest_sizes_the_stack():
    # feeding.md 7.1: the rules spread from 18.8 lb at TDN 45, 1,200-lb dry cow.
    found = intake_range(COW, Forage(tdn=45.0, nem=0.794, ndf=70.0))
    assert found.lowest < found.highest
    assert convert(found.by_rule["1984"], "kg", "lb") == pytest.approx(18.8, abs=0.2)
    assert found.lowest == found.by_rule[found.lowest_rule]


def test_no_recalled_rule_serves_unless_named():
    assert not RECALLED_RULES & {rule for rules in RULES_BY_AGE.values() for rule in rules}


def test_a_forage_of_which_nothing_is_known_is_asked_for():
    assert intake_range(COW, Forage()).by_rule.keys() == {"flat"}
    with pytest.raises(CannotDerive):
        intake_range(COW, Forage(), rules=("1984", "fiber-fill"))
    with pytest.raises(UnknownName):
        intake("by eye", COW, Forage(tdn=50))


def test_a_forage_too_low_in_protein_is_eaten_less():
    # Arizona: 4 % protein, 1.2 % of weight; the drop starts below 6.25 %.
    assert protein_short_share(4.0, 1.8) == pytest.approx(1.2)
    assert protein_short_share(6.25, 1.8) == pytest.approx(1.8)
    assert 1.2 < protein_short_share(5.0, 1.8) < 1.8


def test_a_yearling_eats_a_fifth_to_a_third_more_than_a_calf_at_one_energy():
    # feeding.md 1.8: +34 % at NEm 0.95, +23 at 1.2, +20 at 1.35.
    for nem, more in ((0.95, 0.34), (1.2, 0.23), (1.35, 0.20)):
        forage = Forage(nem=nem)
        calf = intake("growing-calf", COW, forage)
        assert intake("growing-yearling", COW, forage) / calf - 1 == pytest.approx(more, abs=0.006)


def test_the_form_of_2016_is_a_share_of_weight():
    assert 2.0 < 100 * dmi_growing_2016(300.0, 1.3) / 300 < 3.0


def test_cold_raises_appetite_and_heat_lowers_it():
    assert list(intake_factor([-20, -10, 0, 10, 20, 30, 40])) == sorted(
        [1.16, 1.07, 1.05, 1.03, 1.0, 0.9, 0.65], reverse=True
    )


# University of Nebraska-Lincoln, Cedar County: the printed chart. Beyond it, SDSU's table at 5 mph.
@pytest.mark.parametrize(
    ("air", "wind", "printed"),
    [(-10, 10, -21), (0, 40, -68), (30, 30, -6), (40, 20, 19), (10, 40, -58), (40, 15, 24)],
)
def test_the_wind_chill_chart_reads_as_printed(air, wind, printed):
    assert weather.wind_chill(air, wind) == pytest.approx(printed, abs=0.6)


@pytest.mark.parametrize(("air", "printed"), [(-10, -16), (0, -6), (10, 3), (20, 13), (30, 23)])
def test_between_still_air_and_ten_miles_it_agrees_with_south_dakota(air, printed):
    assert weather.wind_chill(air, 5) == pytest.approx(printed, abs=1.6)


@given(st.floats(-40, 90), st.floats(0, 60), st.floats(0, 20))
def test_wind_never_warms_and_warmth_never_chills(air, wind, more):
    here = weather.wind_chill(air, wind)
    assert here <= air + 1e-9
    assert weather.wind_chill(air, wind + more) <= here + 1e-9
    assert weather.wind_chill(air + more, wind) >= here - 1e-9


def test_a_plan_counts_no_more_than_thirty_miles_an_hour():
    calm, storm = weather.Day(10, 30), weather.Day(10, 60)
    assert weather.effective_temperature(calm) == weather.effective_temperature(storm)


def test_the_mean_of_daily_increases_is_not_the_increase_at_the_mean_temperature():
    rule = weather.ColdRule()
    days = [weather.Day(50), weather.Day(0)]
    assert weather.increase_over(days, 5, rule) > weather.increase_of_day(weather.Day(25), 5, rule)
    assert weather.increase_over([], 5, rule) == 0


def test_sources_differ_by_a_factor_of_two_on_a_soaked_cow():
    day = weather.Day(4, 0, wet=True)
    one, two = (
        weather.increase_of_day(day, 5, weather.ColdRule(rule=rule))
        for rule in ("one-percent", "two-when-wet")
    )
    assert two == pytest.approx(2 * one)


def test_names_that_are_not_in_the_charts_are_refused():
    with pytest.raises(UnknownName):
        weather.chart_lower_critical("shorn")
    with pytest.raises(UnknownName):
        weather.increase_of_day(weather.Day(0), 5, weather.ColdRule(rule="thumb"))


def test_a_thin_cow_feels_the_cold_sooner():
    lct = [weather.chart_lower_critical("winter", flesh=f) for f in ("thin", "average", "fleshy")]
    assert lct == sorted(lct, reverse=True)
    assert [weather.flesh_of(score) for score in (4, 5, 7)] == ["thin", "average", "fleshy"]
