"""Calibration: what a curve through standards says of a reading, and how well."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haywright.bench.calibration import Model, Weights, calibrate, lack_of_fit, turning_point
from haywright.measure.errors import Refused

LEVELS = np.array([0.0, 0.5, 1.0, 2.0, 5.0, 10.0])
NOISE = np.array([0.003, -0.002, 0.004, -0.004, 0.003, -0.002])
PEAKS = 0.02 + 0.31 * LEVELS + NOISE


@given(amount=st.floats(0.5, 10.0), scale=st.floats(1e-3, 1e3), shift=st.floats(-5.0, 5.0))
def test_the_amount_does_not_depend_on_the_unit_of_the_signal(amount, scale, shift):
    plain = calibrate(LEVELS, PEAKS)
    other = calibrate(LEVELS, scale * PEAKS + shift)
    response = plain.predict(amount)
    again = other.read(scale * response + shift)
    assert again.amount == pytest.approx(amount, rel=1e-6)
    assert again.se == pytest.approx(plain.read(response).se, rel=1e-5)


@given(amount=st.floats(0.5, 10.0))
def test_reading_a_curve_gives_back_the_amount_it_was_drawn_from(amount):
    for model in (Model.LINE, Model.THROUGH_ORIGIN, Model.QUADRATIC):
        curve = calibrate(LEVELS, PEAKS, model=model)
        assert curve.amount(curve.predict(amount)) == pytest.approx(amount, rel=1e-9)


@given(amount=st.floats(0.5, 10.0))
def test_two_bags_alike_on_one_curve_differ_by_their_readings_alone(amount):
    curve = calibrate(LEVELS, PEAKS)
    response = curve.predict(amount)
    one = curve.estimate(response, name="batch:no3", place="4")
    other = curve.estimate(response, name="batch:no3", place="5")
    single = abs(curve.read(response).from_reading)
    assert (one - other).u == pytest.approx(2**0.5 * single)
    assert (one - one).u == 0.0


@settings(deadline=None)
@given(amount=st.floats(0.5, 10.0), confidence=st.floats(0.5, 0.99))
def test_the_interval_of_a_reading_is_students_t_on_the_curves_degrees_of_freedom(
    amount, confidence
):
    curve = calibrate(LEVELS, PEAKS)
    response = curve.predict(amount)
    found = curve.estimate(response, name="batch:no3", place="4")
    low, high = found.interval(confidence)
    assert found.df == pytest.approx(curve.fit.df)
    assert (high - low) / 2 == pytest.approx(
        curve.half_width(response, confidence=confidence), rel=1e-9
    )


@given(readings=st.integers(2, 50))
def test_more_readings_of_one_extract_never_make_it_less_certain(readings):
    curve = calibrate(LEVELS, PEAKS)
    assert curve.read(1.0, readings=readings).se < curve.read(1.0).se


def test_a_low_reading_is_surer_when_standards_are_weighted_as_they_scatter():
    rng = np.random.default_rng(8)
    x = np.repeat([0.1, 0.5, 1.0, 5.0, 10.0], 4)
    y = 0.3 * x * (1 + 0.03 * rng.standard_normal(len(x)))
    plain, weighted = calibrate(x, y), calibrate(x, y, weighting=Weights.OVER_X2)
    assert weighted.read(0.06).se < plain.read(0.06).se / 3


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 10_000))
def test_readings_simulated_on_a_line_lie_in_their_interval_as_often_as_it_says(seed):
    rng = np.random.default_rng(seed)
    inside, runs, true = 0, 200, 3.0
    for _ in range(runs):
        curve = calibrate(LEVELS, 0.3 * LEVELS + 0.01 * rng.standard_normal(len(LEVELS)))
        response = 0.3 * true + 0.01 * rng.standard_normal()
        inside += abs(curve.amount(response) - true) <= curve.half_width(response)
    # 0.95 within five standard errors of 200 runs
    assert inside / runs >= 0.95 - 0.08


def test_standards_that_say_nothing_are_refused():
    for x, y in (([1.0], [0.3]), ([0.0, 0.0, 0.0], [0.1, 0.1, 0.1]), ([1.0, np.nan], [0.3, 0.4])):
        with pytest.raises(Refused):
            calibrate(x, y)
    with pytest.raises(Refused):
        calibrate([1.0, 1.0, 1.0], [0.3, 0.31, 0.29])


def test_a_quadratic_that_turns_among_its_standards_is_refused():
    with pytest.raises(Refused):
        calibrate(LEVELS, 1.0 - (LEVELS - 5.0) ** 2, model=Model.QUADRATIC)


def test_a_bent_curve_turns_beyond_its_standards():
    curve = calibrate(LEVELS, LEVELS - 0.01 * LEVELS**2, model=Model.QUADRATIC)
    assert turning_point(curve.coefficients[1], curve.coefficients[2]) > LEVELS.max()


def test_lack_of_fit_needs_repeated_standards():
    assert lack_of_fit(calibrate(LEVELS, PEAKS)) is None
