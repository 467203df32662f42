"""Acid detergent fiber, in crucibles or filter bags; ash-free where it was ashed."""

from __future__ import annotations

from haywright.bench.pattern import Determination
from haywright.bench.vessels import fiber_in_crucibles, fiber_in_filter_bags

DETERMINATION = Determination(
    id="adf",
    methods={
        "crucible": fiber_in_crucibles("adf_crucible", "adf", most_g=3.0),
        "filter_bag": fiber_in_filter_bags("adf_bag", "adf", most_g=3.0),
    },
    cautions=(
        "bench.caution.detergent",
        "bench.caution.sulfuric",
        "bench.caution.acetone",
        "bench.caution.oven",
    ),
)
