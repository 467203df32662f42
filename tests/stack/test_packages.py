"""Bales and loose stacks: volumes, weights, and how far the rules of loose hay disagree."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import t

from haywright.measure.errors import CannotDerive, Refused, UnknownName
from haywright.measure.units import convert
from haywright.stack import loose
from haywright.stack.geometry import rind_share_square, volume_round
from haywright.stack.packages import (
    Package,
    bale_size,
    bale_sizes,
    lot_weight,
    lot_weight_from_summary,
    nearest_size,
)

FEET = st.floats(1, 100)


def ft(value):
    return convert(value, "ft", "m")


def test_the_printed_volumes_of_round_bales():
    # Collins in Alberta Agriculture, cubic feet: 4x4 50, 4x5 63, 5x4 79, 5x5 98, 6x5 141
    for name, volume in (("4x4", 50), ("4x5", 63), ("5x4", 79), ("5x5", 98), ("6x5", 141)):
        found = convert(bale_size(name).package.volume, "m3", "ft3")
        assert found == pytest.approx(volume, abs=0.7)


def test_the_printed_slip_of_the_four_foot_square_is_not_followed():
    # Printed 112 cubic feet for 4 x 4 x 8; the sides give 128
    assert convert(bale_size("4x4x8").package.volume, "m3", "ft3") == pytest.approx(128)


def test_printed_weights_are_the_density_times_the_volume_within_rounding():
    for size in bale_sizes().values():
        if size.weight is None or size.id in ("3x3x7", "4x4x8", "small-square"):
            continue  # their printed volume differs from their sides
        weight = size.package.weight(size.planning_density)
        assert convert(weight, "kg", "lb") == pytest.approx(size.weight, rel=0.02)


@given(FEET, FEET, st.floats(0.01, 10))
def test_weight_and_density_undo_each_other(diameter, width, density):
    bale = Package("round", diameter=diameter, width=width)
    assert bale.density(bale.weight(density)) == pytest.approx(density)
    assert bale.volume == pytest.approx(volume_round(diameter, width))


@given(st.tuples(FEET, FEET, FEET), st.floats(0, 60))
def test_the_outer_layer_of_a_box_is_the_box_less_the_box_inside(sides, layer):
    inside = math.prod(max(side - 2 * layer, 0) for side in sides)
    assert rind_share_square(*sides, layer) == pytest.approx(1 - inside / math.prod(sides))


def test_the_nearest_usual_package_lends_its_density():
    assert nearest_size(Package("round", diameter=ft(5.1), width=ft(4.9))).id == "5x5"
    assert nearest_size(Package("small_square", height=0.4, width=0.5, length=1.0)).kind == (
        "small_square"
    )


@given(st.lists(st.floats(300, 800), min_size=2, max_size=30), st.integers(0, 200))
def test_the_weight_of_a_lot_from_weighed_bales(weights, more):
    lot = len(weights) + more
    found = lot_weight(weights, lot)
    se = np.std(weights, ddof=1) / math.sqrt(len(weights)) * math.sqrt(1 - len(weights) / lot)
    assert found.mass == pytest.approx(np.mean(weights) * lot)
    assert found.half_width == pytest.approx(t.ppf(0.975, len(weights) - 1) * se * lot, abs=1e-6)


def test_a_lot_of_weighed_bales_holds_its_weight_as_often_as_it_says():
    rng = np.random.default_rng(31)
    inside, tries = 0, 3000
    for _ in range(tries):
        bales = rng.normal(550, 25, 148)
        found = lot_weight(bales[:10], 148, confidence=0.9)
        inside += abs(found.mass - bales.sum()) <= found.half_width
    assert inside / tries == pytest.approx(0.9, abs=4 * math.sqrt(0.09 / tries))


# ---------------------------------------------------------------- loose hay

RICK = {"over": ft(44), "width": ft(18), "length": ft(40)}


def test_every_rule_the_lengths_allow_is_worked_and_their_spread_shown():
    found = loose.stack_volumes(RICK)
    # sampling.md 5: rules spread by about a third on one stack
    assert 0.25 < loose.rule_spread(found) < 0.4
    assert list(found.values()) == sorted(found.values())
    assert {one.id for one in loose.stack_rules(RICK)} == set(found)


def test_recalled_rules_say_so():
    marks = {one.id: one.mark for one in loose.stack_rules()}
    assert {name for name, mark in marks.items() if mark == "recalled"} == {
        "usda-flat-top", "usda-low-round", "usda-high-round", "usda-round-stack"
    }  # fmt: skip


def test_a_gable_counts_half_the_roof_and_a_hip_a_third():
    oblong = {"eaves": 3.0, "roof": 2.0, "width": 6.0, "length": 20.0}
    # A gabled prism over its eaves is half the roof's box
    assert loose.stack_volume("eaves-half", oblong) == pytest.approx(6 * 20 * 3 + 6 * 20 * 2 / 2)
    third = loose.stack_volume("eaves-third", oblong)
    assert third == pytest.approx(6 * 20 * 3 + 6 * 20 * 2 / 3)


@given(st.floats(1.05, 3), FEET, FEET, st.floats(0.1, 10), st.sampled_from(loose.stack_rules()))
def test_a_stack_twice_as_large_every_way_holds_eight_times_as_much(
    over, width, length, scale, rule
):
    measured = {
        "over": over * width * 1.2, "width": width, "length": length, "eaves": width / 2,
        "roof": width / 3, "around": 3 * width, "height": width / 2,
    }  # fmt: skip
    small = loose.stack_volume(rule.id, measured)
    large = loose.stack_volume(rule.id, {k: v * scale for k, v in measured.items()})
    assert large == pytest.approx(small * scale**3, rel=1e-9, abs=1e-9)


def test_room_by_the_ton_is_a_span_where_two_figures_are_printed():
    low, high = loose.loose_hay("settled-30-days").per_kg
    # Quartermaster: divide by 400, or 420 for greater accuracy
    assert convert(low, "m3/kg", "ft3/short_ton") == pytest.approx(400)
    assert convert(high, "m3/kg", "ft3/short_ton") == pytest.approx(420)
    ton = convert(1.0, "short_ton", "kg")
    assert loose.loose_weight(convert(400.0, "ft3", "m3"), low) == pytest.approx(ton)


@pytest.mark.parametrize(
    ("make", "error"),
    [
        (lambda: Package("cube", diameter=1, width=1), Refused),
        (lambda: Package("round", diameter=0, width=1), Refused),
        (lambda: Package("round", diameter=math.inf, width=1), Refused),
        (lambda: Package("large_square", height=1, width=1), Refused),
        (lambda: bale_size("5x5").package.rind_share(0.1, "top"), Refused),
        (lambda: bale_size("5x5").package.density(0), Refused),
        (lambda: lot_weight([500.0], 10), Refused),
        (lambda: lot_weight([500.0, -5.0], 10), Refused),
        (lambda: lot_weight_from_summary(500, 20, n=11, lot_bales=10), Refused),
        (lambda: loose.stack_volume("by-eye", RICK), UnknownName),
        (lambda: loose.stack_volume("mow", RICK), CannotDerive),
        (lambda: loose.stack_volumes({"over": 3.0}), CannotDerive),
    ],
)
def test_what_cannot_be_is_refused(make, error):
    with pytest.raises(error):
        make()
