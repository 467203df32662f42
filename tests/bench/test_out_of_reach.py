"""A reading that no curve explains holds what it concerns, and is never a number or a crash."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from haywright.bench.decide import Verdict
from haywright.bench.run import run_batch
from haywright.measure.estimate import Estimate, Source, State
from tests.bench import runs
from tests.bench.runs import BAG, OTHER, K, cup

# A curve that bends over at its top, as a detector does that is nearly blind there.
NOISE = (1e-4, -1e-4, 1e-4, 0, -1e-4, 1e-4)
BENT = [
    (K.STANDARD, f"std {c:g}", {"known_mg_per_l": c, "peak": 0.05 * c - 0.001 * c * c + e})
    for c, e in zip((0.5, 2.0, 5.0, 10.0, 15.0, 20.0), NOISE, strict=True)
]
OUT = 0.9  # no amount gives such a peak: the curve turns at 0.625


def bent(*samples):
    made = runs.nitrate(*samples, standards=BENT)
    return replace(made, choices={**made.choices, "curve": "quadratic", "weights": "none"})


def test_a_bag_whose_signal_no_curve_reaches_is_above_the_range_and_the_others_go_on():
    blind = {**cup(1400.0), "peak": OUT}
    report = run_batch(bent((K.BAG, OTHER, blind)), runs.dried(BAG, OTHER))
    found = report.results[OTHER][0]
    assert found.estimate.state in (State.ABOVE, State.HELD)
    json.dumps(report.to_json(), allow_nan=False)


def test_a_check_sample_no_curve_reaches_is_out_and_never_passes():
    made = bent((K.BAG, BAG, cup(700.0)))
    positions = [
        replace(one, readings={**one.readings, "peak": OUT}) if one.kind is K.CHECK else one
        for one in made.positions
    ]
    report = run_batch(replace(made, positions=tuple(positions)), runs.dried(BAG))
    assert report.decision.verdict is Verdict.HOLD
    json.dumps(report.to_json(), allow_nan=False)


@pytest.mark.parametrize("change", ["known", "flat"])
def test_a_verification_of_nothing_and_standards_that_say_nothing_are_told(change):
    made = runs.nitrate((K.BAG, BAG, cup(700.0)))
    if change == "known":
        positions = [
            replace(one, readings={**one.readings, "known_mg_per_l": 0.0})
            if one.kind is K.VERIFICATION else one
            for one in made.positions
        ]  # fmt: skip
    else:
        positions = [
            replace(one, readings={**one.readings, "peak": 0.4}) if one.kind is K.STANDARD else one
            for one in made.positions
        ]
    from haywright.measure.errors import HaywrightError

    try:
        report = run_batch(replace(made, positions=tuple(positions)), runs.dried(BAG))
    except HaywrightError as error:
        assert error.messages()
    else:
        assert report.decision.verdict is not Verdict.RELEASE
        json.dumps(report.to_json(), allow_nan=False)


def test_one_name_with_other_degrees_of_freedom_is_another_source():
    spring, autumn = Source("bias:cp", "bias", 5.0), Source("bias:cp", "bias", 12.0)
    early, late = Estimate.of(10.0, {spring: 0.2}), Estimate.of(11.0, {autumn: 0.3})
    assert late.df == pytest.approx(12.0)
    assert early.df == pytest.approx(5.0)
    assert (late - early).u == pytest.approx((0.2**2 + 0.3**2) ** 0.5)
    assert (late - late).u == 0.0
    back = Estimate.from_json(json.loads(json.dumps((late + early).to_json())))
    assert back.u == pytest.approx((late + early).u)
