"""Hot hay: each published staircase, and the most cautious one when nobody has chosen."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.measure.errors import Refused, UnknownName
from haywright.measure.units import convert
from haywright.sources.tables import load_toml
from haywright.stack import heating

CELSIUS = st.floats(-20, 130)


def at(fahrenheit, method=""):
    return heating.heat_action(convert(fahrenheit, "degF", "degC"), method=method)


@pytest.mark.parametrize(
    ("method", "fahrenheit", "action"),
    # hazards.md 9.9 and sampling.md 4.5, as printed by each source; edges go to the higher step
    [
        ("penn_state", 119, "none"),
        ("penn_state", 125, "check_daily"),
        ("penn_state", 150, "check_twice_daily"),
        ("penn_state", 165, "check_every_2h"),
        ("penn_state", 175, "alert_fire_service"),
        ("penn_state", 192, "fire_service_removes"),
        ("penn_state", 200, "fire_imminent"),
        ("kentucky", 129, "none"),
        ("kentucky", 165, "move_and_check"),
        ("kentucky", 180, "notify_fire_service"),
        ("cornell", 130, "check_daily"),
        ("cornell", 145, "check_twice_daily"),
        ("cornell", 155, "start_moving"),
        ("cornell", 165, "call_fire_service"),
        ("california", 130, "check_often"),
        ("california", 150, "take_apart"),
        ("mississippi", 149, "none"),
        ("mississippi", 160, "check_every_4h"),
        ("mississippi", 185, "flames_on_air"),
    ],
)
def test_each_scale_says_what_its_source_prints(method, fahrenheit, action):
    assert at(fahrenheit, method).action == action


@pytest.mark.parametrize("method", heating.heat_scales())
def test_every_printed_edge_belongs_to_the_higher_step(method):
    """A reading handed over in degC must not fall under its edge by a binary crumb."""
    for step in load_toml("heat_actions")[method]["steps"]:
        assert at(step["from_f"], method).action == step["action"]


@given(CELSIUS)
def test_nobody_having_chosen_the_most_cautious_scale_speaks(temperature):
    chosen = heating.heat_action(temperature)
    every = [heating.heat_action(temperature, method=name) for name in heating.heat_scales()]
    assert chosen.caution == max(one.caution for one in every)


@given(CELSIUS, st.floats(0, 60), st.sampled_from(heating.heat_scales()))
def test_hotter_hay_is_never_less_urgent(temperature, more, method):
    cool = heating.heat_action(temperature, method=method)
    hot = heating.heat_action(min(temperature + more, 140), method=method)
    assert hot.caution >= cool.caution
    assert hot.fire_service >= cool.fire_service


def test_cool_hay_gets_no_cautions_and_hot_hay_is_told_to_call_first():
    assert heating.heat_cautions(20.0) == ()
    said = [m.key for m in heating.heat_cautions(convert(150.0, "degF", "degC"))]
    assert said[0] == "stack.heat.mind.call_first"
    assert "stack.heat.mind.never_stand" in said


def test_hay_over_130_degrees_is_tested_for_heat_damage():
    # University of Nebraska: heating above about 130 degF
    assert not heating.order_heat_test(convert(130.0, "degF", "degC"))
    assert heating.order_heat_test(convert(131.0, "degF", "degC"))


@given(st.lists(st.floats(0, 90), max_size=60))
def test_days_at_or_under_the_base_add_nothing(series):
    found = heating.heating_degree_days(series)
    assert found == pytest.approx(heating.heating_degree_days([x for x in series if x > 30]))
    # Lewandowski: 30 degC is 86 degF, and degF days are 1.8 times degC days
    fahrenheit = sum(max(0.0, convert(x, "degC", "degF") - 86) for x in series)
    assert heating.in_fahrenheit_days(found) == pytest.approx(fahrenheit, abs=1e-5)


@pytest.mark.parametrize(
    ("days", "key"),
    # Ohio State after Coblentz: up to 200 degF days usual, damage grows fast over 300
    [(200, "usual"), (201, "more"), (300, "more"), (301, "harm")],
)
def test_degree_days_are_read_in_fahrenheit_as_printed(days, key):
    assert heating.heating_said(days / 1.8).key == f"stack.heat.days.{key}"


def test_unknown_scales_and_impossible_temperatures_are_refused():
    with pytest.raises(UnknownName):
        heating.heat_action(60.0, method="ohio")
    for temperature in (float("nan"), -100.0, 2000.0):
        with pytest.raises(Refused):
            heating.heat_action(temperature)
