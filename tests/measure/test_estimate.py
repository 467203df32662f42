"""Estimates: one input used twice counts once, and below a limit is never nothing."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.measure.basis import (
    AS_ANALYSED,
    AS_RECEIVED,
    DRY_MATTER,
    DryMatters,
    at_dry_matter,
    parse_basis,
    rebase,
)
from haywright.measure.errors import CannotDerive, Held, Refused
from haywright.measure.estimate import Estimate, Source, State, combine, exact
from haywright.measure.message import message
from haywright.measure.montecarlo import draw, propagate, symmetric
from haywright.measure.result import Kind, Result, Results

LAB, PART, WEIGHT = Source("lab dm"), Source("partial dm"), Source("weighing", df=4)
numbers = st.floats(0.1, 1e4)
doubts = st.floats(1e-3, 10)


@given(numbers, doubts)
def test_a_number_less_itself_is_exactly_nothing(value: float, u: float) -> None:
    x = Estimate.of(value, {WEIGHT: u})
    assert (x - x).value == 0.0
    assert (x - x).u == 0.0


def test_laboratory_dry_matter_cancels_in_the_as_received_number() -> None:
    """Mass balance: X_ar = X_an x partial / 100."""
    lab = Estimate.of(93.6, {LAB: 0.3})
    partial = Estimate.of(92.8, {PART: 0.2})
    adf = Estimate.of(30.12, {WEIGHT: 0.25})
    dry = DryMatters(total=partial * lab / 100, laboratory=lab)
    received = rebase(adf, AS_ANALYSED, AS_RECEIVED, dry=dry)
    assert received.value == pytest.approx(27.9514, abs=1e-4)
    assert LAB not in received.parts
    assert received.u == pytest.approx(math.hypot(0.25 * 0.928, 30.12 * 0.002), rel=1e-9)


def test_effective_degrees_of_freedom_follow_the_guide() -> None:
    """GUM H.1 gauge block, components and degrees of freedom as printed: 16 (16.7 unrounded)."""
    parts = {
        Source("standard", df=18): 25.0,
        Source("repeat", df=24): 5.8,
        Source("random", df=5): 3.9,
        Source("systematic", df=8): 6.7,
        Source("expansion", df=50): 2.9,
        Source("temperature", df=2): 16.6,
    }
    block = Estimate.of(0.0, parts)
    assert block.u == pytest.approx(32, abs=0.5)
    assert math.floor(block.df) == 16


def test_slope_and_intercept_of_one_curve_are_one_input() -> None:
    shared = Source("curve")
    a, b = Estimate.of(2.0, {shared: 0.1}), Estimate.of(5.0, {shared: -0.2})
    assert (a * 2 + b).u == pytest.approx(0.0, abs=1e-12)


@given(st.lists(st.tuples(numbers, doubts), min_size=2, max_size=5))
def test_independent_doubts_add_in_squares(pairs: list[tuple[float, float]]) -> None:
    total: Estimate = exact(0.0)
    for index, (value, u) in enumerate(pairs):
        total = total + Estimate.of(value, {Source(f"independent {index}"): u})
    assert total.u == pytest.approx(math.sqrt(sum(u * u for _, u in pairs)), rel=1e-9)


def test_below_a_limit_keeps_its_raw_value_and_stands_for_all_that_is_possible() -> None:
    low = Estimate.below(50.0, "LOQ, 10 s", raw=-3.0)
    assert (low.state, low.value, low.interval()) == (State.BELOW, -3.0, (0.0, 50.0))
    total = low + Estimate.of(100.0, {WEIGHT: 1.0})
    assert (total.state, total.low, total.high) == (State.BETWEEN, 100.0, 150.0)


def test_a_ratio_with_a_number_below_its_limit_has_no_upper_end() -> None:
    assert (exact(1.0) / Estimate.below(0.02, "LOQ", raw=0.0)).high == math.inf


def test_over_range_has_no_upper_end() -> None:
    assert Estimate.above(20.0, "top standard", raw=24.0).interval() == (20.0, math.inf)


def test_a_held_number_holds_what_is_made_of_it_and_gives_no_interval() -> None:
    held = Estimate.held(message("measure.held"))
    assert (held + 1.0).state is State.HELD
    with pytest.raises(Held):
        held.interval()


@given(numbers, doubts, st.floats(1, 60))
def test_estimates_survive_a_file_with_their_sources(value: float, u: float, df: float) -> None:
    x = Estimate.of(value, {Source("kept", df=df): u, LAB: -u})
    back = Estimate.from_json(x.to_json())
    assert (back - x).u == pytest.approx(0.0, abs=1e-12)
    assert back.df == pytest.approx(x.df)


def test_draws_share_what_the_estimates_share() -> None:
    rng = np.random.default_rng(11)
    lab = Estimate.of(93.6, {LAB: 0.5})
    drawn = draw({"a": lab, "b": lab * 2.0}, 2000, rng)
    assert np.allclose(drawn["b"], 2 * drawn["a"])


def test_first_order_and_drawing_agree_on_a_ratio() -> None:
    """JCGM 101 against GUM 5.2 on a mildly curved form."""
    rng = np.random.default_rng(3)
    x, y = Estimate.of(30.0, {WEIGHT: 0.3}), Estimate.of(93.0, {PART: 0.4})
    drawn = propagate(lambda a, b: 100 * a / b, {"a": x, "b": y}, 400_000, rng)
    ratio = combine(lambda a, b: 100 * a / b, x, y)
    # t(4) draws for the weighing have variance 2: u^2 (df / (df - 2))
    expected = math.hypot(ratio.parts[WEIGHT] * math.sqrt(2), ratio.parts[PART])
    assert float(np.std(drawn)) == pytest.approx(expected, rel=0.02)
    low, high = symmetric(drawn)
    assert low < ratio.value < high


def test_a_basis_must_be_said() -> None:
    with pytest.raises(Refused) as caught:
        parse_basis("")
    assert caught.value.message.key == "measure.basis_missing"
    assert parse_basis("90 % DM") == at_dry_matter(90)
    assert parse_basis("as-received") == AS_RECEIVED


@given(st.floats(0.01, 60), st.floats(20, 99))
def test_bases_come_back_to_themselves(value: float, dm: float) -> None:
    dry = DryMatters(total=dm, laboratory=dm)
    back = rebase(rebase(value, DRY_MATTER, AS_RECEIVED, dry=dry), AS_RECEIVED, DRY_MATTER, dry=dry)
    assert back == pytest.approx(value, rel=1e-12)


def test_restating_without_a_dry_matter_names_what_is_missing() -> None:
    with pytest.raises(CannotDerive) as caught:
        rebase(12.0, DRY_MATTER, AS_RECEIVED, dry=DryMatters())
    assert caught.value.missing == ("dm",)


def test_results_name_what_is_missing_and_survive_a_file() -> None:
    cp = Result(
        "cp", Estimate.of(11.2, {WEIGHT: 0.2}), "%", kind=Kind.MEASURED, method="combustion"
    )
    results = Results([cp], pending=["ndf"])
    with pytest.raises(CannotDerive) as caught:
        results.need("ndf", wanted="rfv")
    assert caught.value.message.key == "measure.cannot_derive"
    back = Result.from_json(cp.to_json())
    assert (back.analyte, back.value, back.estimate.u, back.basis) == ("cp", 11.2, 0.2, DRY_MATTER)
