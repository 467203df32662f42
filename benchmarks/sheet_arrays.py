"""The whole sheet for a million samples held as arrays, against plain NumPy."""

from __future__ import annotations

import numpy as np

from benchmarks.baselines import sheet_arrays as plain
from benchmarks.row import Row
from haywright.sheet.whole import whole_sheet
from haywright.sources.crops import crop

SAMPLES = 1_000_000
COLUMN = 8 * SAMPLES


def samples():
    """Invented alfalfa: what a large laboratory keeps of each bag."""
    rng = np.random.default_rng(20261125)
    adf = rng.normal(33.0, 5.0, SAMPLES).clip(14, 62)
    return {
        "dm": rng.normal(89.0, 3.0, SAMPLES).clip(60, 100),
        "cp": rng.normal(19.0, 3.0, SAMPLES).clip(5, 32),
        "adf": adf,
        "ndf": adf * rng.normal(1.28, 0.08, SAMPLES),
        "ndfd48": rng.normal(45.0, 4.0, SAMPLES),
        "fat": rng.normal(2.3, 0.4, SAMPLES).clip(0.5, 5),
        "ash": rng.normal(9.8, 1.6, SAMPLES).clip(2, 20),
        "ndicp": rng.normal(2.6, 0.5, SAMPLES).clip(0.2, 6),
        "adicp": rng.normal(1.2, 0.3, SAMPLES).clip(0.1, 4),
        "ca": rng.normal(1.35, 0.3, SAMPLES).clip(0.05, 3),
        "p": rng.normal(0.26, 0.05, SAMPLES).clip(0.02, 0.6),
        "mg": rng.normal(0.3, 0.07, SAMPLES).clip(0.03, 0.8),
        "k": rng.normal(2.2, 0.5, SAMPLES).clip(0.2, 6),
    }


def flat(whole):
    """Columns, classes and flags of a whole sheet in one table."""
    grades = {f"grade_{name}": codes for name, codes in whole.grades.items()}
    return {**whole.columns, **grades, "flags": whole.flags}


def ROWS():  # noqa: N802
    """One row, with its memory."""
    columns = samples()
    hay = crop("alfalfa")
    out = sum(one.nbytes for one in flat(whole_sheet(columns, hay)).values())
    yield Row(
        name="the whole sheet of 1,000,000 samples",
        issue=2,
        baseline="plain NumPy, worked in blocks",
        limit=2.0,
        ours=lambda: flat(whole_sheet(columns, hay)),
        theirs=lambda: plain.whole(columns),
        note="TDN, energies, RFV, RFQ, USDA classes, rules P1 to P12",
        peak_bytes=out + 8 * COLUMN,
        peak_note="inputs (held before), outputs and 8 columns",
    )
