"""First-order doubt against Monte Carlo through the same functions (JCGM 101)."""

from __future__ import annotations

import numpy as np
import pytest

from haywright.measure.basis import from_dry_matter, to_dry_matter
from haywright.measure.estimate import Estimate, Source
from haywright.measure.montecarlo import propagate
from haywright.measure.register import apply
from haywright.sheet import carbohydrate, indices

N = 200_000
LAB_DM = Estimate.of(93.5, {Source("lab dm"): 0.25})


def as_analysed(name, value, u):
    return Estimate.of(value, {Source(name): u})


def test_adf_as_received_is_free_of_the_laboratory_s_dry_matter():
    adf = as_analysed("adf", 27.95, 0.28)
    partial = Estimate.of(94.6, {Source("partial dm"): 0.2})
    on_dry_matter = apply(to_dry_matter, {"x": adf, "dm": LAB_DM})
    total = partial * LAB_DM / 100.0
    as_received = apply(from_dry_matter, {"x_dm": on_dry_matter, "dm": total})

    def direct(adf, partial, lab):
        return from_dry_matter(to_dry_matter(adf, lab), partial * lab / 100.0)

    draws = propagate(
        direct, {"adf": adf, "partial": partial, "lab": LAB_DM}, N, np.random.default_rng(7)
    )
    assert as_received.value == pytest.approx(draws.mean(), rel=1e-3)
    assert as_received.u == pytest.approx(draws.std(), rel=0.01)
    assert as_received.part_of("lab dm") == pytest.approx(0.0, abs=1e-9)
    twice = np.hypot(as_received.u, as_received.value * LAB_DM.u / LAB_DM.value)
    assert as_received.u < 0.98 * twice  # counted twice it would be larger


def test_the_parts_of_nfc_share_one_dry_matter():
    given = {"ndf": (38.0, 0.5), "cp": (16.5, 0.2), "fat": (2.3, 0.1), "ash": (8.6, 0.1)}
    raw = {name: as_analysed(name, *pair) for name, pair in given.items()}
    on_dry = {name: apply(to_dry_matter, {"x": x, "dm": LAB_DM}) for name, x in raw.items()}
    first_order = apply(carbohydrate.nfc_whole_ndf, on_dry)

    def direct(lab, **parts):
        return carbohydrate.nfc_whole_ndf(**{n: to_dry_matter(x, lab) for n, x in parts.items()})

    draws = propagate(direct, {"lab": LAB_DM, **raw}, N, np.random.default_rng(8))
    assert first_order.value == pytest.approx(draws.mean(), rel=1e-3)
    assert first_order.u == pytest.approx(draws.std(), rel=0.01)
    apart = np.sqrt(sum(one.u**2 for one in on_dry.values()))
    assert first_order.u != pytest.approx(apart, rel=0.01)  # as if each had its own dry matter


@pytest.mark.parametrize(("adf", "ndf"), [(28.0, 35.0), (38.2, 61.5)])
def test_relative_feed_value_bends_little_over_a_laboratory_s_doubt(adf, ndf):
    inputs = {"adf": as_analysed("adf", adf, 1.0), "ndf": as_analysed("ndf", ndf, 1.3)}
    first_order = apply(indices.rfv_rohweder, inputs)
    draws = propagate(indices.rfv_rohweder, inputs, N, np.random.default_rng(9))
    assert first_order.u == pytest.approx(draws.std(), rel=0.01)
    low, high = np.quantile(draws, [0.05, 0.95])
    assert first_order.interval(0.9) == pytest.approx((low, high), abs=1.0)  # one printed unit
