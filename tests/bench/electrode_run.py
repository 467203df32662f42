"""A run of the nitrate electrode made for the tests: potentials worked back from a known truth."""

from __future__ import annotations

import math

from haywright.bench.batch import Batch, CheckMaterial
from tests.bench import runs
from tests.bench.runs import DAY, LAB_DM, K, run_of

# Invented: a little under the 59.16 mV per decade usually printed for 25 degC.
FALLS, AT_ONE = -58.2, 180.0
GRAMS, ML = 2.0, 100.0


def potential(mg_per_l):
    return AT_ONE + FALLS * math.log10(mg_per_l)


def electrode_cup(no3n, *, grams=GRAMS, lab_dm=LAB_DM, chloride=None):
    extract = no3n * lab_dm / 100 * grams / ML
    more = {} if chloride is None else {"chloride_mg_per_l": chloride}
    return {"sample_g": grams, "potential_mv": potential(extract), **more}


def electrode(*samples, slope=1.0, noise=(0.2, -0.2, 0.1, -0.2, 0.1), standards=None, **more):
    made = standards or [
        (K.STANDARD, f"std {c:g}",
         {"known_mg_per_l": c, "potential_mv": AT_ONE + slope * (potential(c) - AT_ONE) + e})
        for c, e in zip((1.0, 5.0, 20.0, 50.0, 100.0), noise, strict=True)
    ]  # fmt: skip
    check = (K.VERIFICATION, "mid",
             {"known_mg_per_l": 20.0, "potential_mv": potential(20.0)})  # fmt: skip
    fields = {
        "id": "2026-09-22-electrode",
        "determination": "nitrate_electrode",
        "method": "electrode",
        "run_on": DAY,
        "positions": run_of(
            [
                *made,
                (K.BLANK, "method blank", {"potential_mv": potential(0.1)}),
                check,
                (K.CHECK, "check", electrode_cup(1400.0)),
                *samples,
                check,
            ]
        ),
        "laboratory": "valley",
        "choices": {
            "extractant": "water",
            "ionic_strength_adjuster": "aluminum_sulfate",
            "extract_volume_ml": ML,
        },
        "equipment": (runs.BALANCE, runs.DISPENSER, runs.REAGENT),
        "checks": {
            "check": CheckMaterial("check", {"nitrate_n": 1400.0}, {"nitrate_n": 1e6}, LAB_DM)
        },
    }
    return Batch(**(fields | more))
