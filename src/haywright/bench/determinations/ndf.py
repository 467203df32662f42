"""Neutral detergent fiber with amylase (aNDF); ash-free (aNDFom) where it was ashed."""

from __future__ import annotations

from haywright.bench.pattern import Determination
from haywright.bench.vessels import fiber_in_crucibles, fiber_in_filter_bags

DETERMINATION = Determination(
    id="ndf",
    methods={
        "crucible": fiber_in_crucibles("ndf_crucible", "ndf", most_g=3.0),
        "filter_bag": fiber_in_filter_bags("ndf_bag", "ndf", most_g=3.0),
    },
    cautions=("bench.caution.detergent", "bench.caution.acetone", "bench.caution.oven"),
)
