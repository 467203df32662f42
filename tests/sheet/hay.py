"""Invented hay for the tests: results with a laboratory's doubt, and columns of many samples."""

from __future__ import annotations

import numpy as np

from haywright.measure.basis import AS_RECEIVED, DRY_MATTER
from haywright.measure.estimate import Estimate, Source
from haywright.measure.result import Result, Results

SPREAD = {"dm": 0.3, "cp": 0.5, "adf": 1.0, "ndf": 1.3}
UNITS = {"nem": "Mcal/kg", "neg": "Mcal/kg", "nel": "Mcal/kg", "nitrate_n": "mg/kg", "rfv": "",
         "ndfd48": "% of NDF"}  # fmt: skip


def estimate(name, value, u=None):
    u = SPREAD.get(name, 0.0) if u is None else u
    return Estimate.of(value, {Source(f"lab:{name}"): u}) if u else Estimate.of(value)


def result(name, value, u=None):
    kept = value if isinstance(value, Estimate) else estimate(name, value, u)
    basis = AS_RECEIVED if name in ("dm", "moisture") else DRY_MATTER
    return Result(name, kept, UNITS.get(name, "%"), basis)


def results(pending=(), **values):
    return Results([result(name, value) for name, value in values.items()], pending=pending)


def many(n, seed=20261125):
    """Columns of alfalfa-like samples that reach beyond every rule and every class."""
    rng = np.random.default_rng(seed)
    adf = rng.uniform(14, 62, n)
    return {
        "dm": rng.uniform(70, 101, n),
        "cp": rng.uniform(2, 32, n),
        "adf": adf,
        "ndf": adf * rng.uniform(0.95, 2.2, n),
        "ndfd48": rng.uniform(30, 65, n),
        "fat": rng.uniform(0.5, 4, n),
        "ash": rng.uniform(2, 16, n),
        "ndicp": rng.uniform(0.5, 5, n),
        "adicp": rng.uniform(0.3, 5, n),
        "ca": rng.uniform(0.05, 2.8, n),
        "p": rng.uniform(0.02, 0.6, n),
        "mg": rng.uniform(0.03, 0.7, n),
        "k": rng.uniform(0.2, 5, n),
    }
