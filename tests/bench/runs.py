"""Runs of a bench made for the tests: readings worked backwards from a known truth."""

from __future__ import annotations

from datetime import date

from haywright.bag.codes import BagCode
from haywright.bench.batch import Batch, CheckMaterial, Equipment, Position, PositionKind
from haywright.measure.estimate import Estimate, Source
from haywright.measure.result import Result

DAY = date(2026, 9, 22)
BAG, OTHER = (str(BagCode("HRN", n)) for n in (12, 13))
K = PositionKind
BALANCE = Equipment("balance", "balance 1", DAY, ((50.0, 50.0001),), tolerance=0.001)
OVEN = Equipment("oven", "oven 2", DAY, ((105.0, 104.5),))
FURNACE = Equipment("furnace", "furnace 1", DAY, ((600.0, 602.0),))
DISPENSER = Equipment("dispenser", "bottle top 3", DAY, ((30.0, 30.02),), half_width=0.1)
REAGENT = Equipment("reagent", "color reagent", lot="7", expires=date(2027, 1, 1))
LAB_DM = 93.4


def dried(*bags, lab_dm=LAB_DM, u=0.2):
    """Earlier results: the laboratory dry matter of each bag."""
    return {
        bag: {
            "lab_dm": Result(
                "lab_dm", Estimate.of(lab_dm, {Source(f"lab_dm:{bag}"): u}), "%", report="dm"
            )
        }
        for bag in bags
    }


def run_of(kinds):
    """Positions in order from (kind, sample, readings[, replicate[, attempt]])."""
    return tuple(
        Position(order, kind, sample, readings, *more)
        for order, (kind, sample, readings, *more) in enumerate(kinds, 1)
    )


STRENGTHS = (0.5, 1.0, 2.0, 5.0, 10.0)
SLOPE, INTERCEPT = 0.31, 0.004
VOLUME = 30.0


def peak(strength):
    return INTERCEPT + SLOPE * strength


def cup(no3n, *, grams=0.3, dilution=1.0, lab_dm=LAB_DM, blank=0.05):
    """What a portion of hay of so much NO3-N [mg/kg dry matter] reads, diluted."""
    extract = no3n * lab_dm / 100.0 * grams / VOLUME + blank
    return {"sample_g": grams, "peak": peak(extract / dilution), "dilution": dilution}


def nitrate(*samples, blank=0.05, standards=None, name="2026-09-22-nitrate", **more):
    """A nitrate run around some samples, with its controls all in order unless told otherwise."""
    noise = (0.001, -0.001, 0.001, -0.001, 0.0005)
    made = standards or [
        (K.STANDARD, f"std {c:g}", {"known_mg_per_l": c, "peak": peak(c) + e})
        for c, e in zip(STRENGTHS, noise, strict=True)
    ]
    check = (K.VERIFICATION, "mid", {"known_mg_per_l": 2.0, "peak": peak(2.02)})
    fields = {
        "id": name,
        "determination": "nitrate",
        "method": "flow_injection",
        "run_on": DAY,
        "positions": run_of(
            [
                *made,
                (K.BLANK, "method blank", {"peak": peak(blank)}),
                check,
                (K.CHECK, "oat check", cup(900.0)),
                *samples,
                check,
            ]
        ),
        "choices": {"extractant": "acetic_acid_2pct", "extract_volume_ml": VOLUME},
        "equipment": (BALANCE, DISPENSER, REAGENT),
        "checks": {
            "oat check": CheckMaterial(
                "oat check", {"nitrate_n": 900.0}, {"nitrate_n": 30.0}, LAB_DM
            )
        },
    }
    return Batch(**(fields | more))


MG_N_PER_AREA = 0.0021
BLANK_AREA = 13.0


def burnt(nitrogen, *, mg=200.0, lab_dm=100.0):
    """Area of a portion of so much nitrogen [% of dry matter]."""
    area = nitrogen / 100.0 * lab_dm / 100.0 * mg / MG_N_PER_AREA + BLANK_AREA
    return {"sample_mg": mg, "area": area}


def combustion(*samples, drift=1.0, compound_n=9.58612, **more):
    """A combustion run on EDTA with blanks, a check sample, and a check of the compound."""
    fields = {
        "id": "2026-09-22-nitrogen",
        "determination": "nitrogen",
        "method": "combustion",
        "run_on": DAY,
        "positions": run_of(
            [
                *((K.BLANK, "blank", {"area": BLANK_AREA + e}) for e in (-1.0, 0.0, 1.0)),
                *((K.STANDARD, "edta", burnt(compound_n, mg=mg)) for mg in (98.0, 101.0, 100.0)),
                (K.CHECK, "oat check", burnt(2.2, lab_dm=LAB_DM)),
                *samples,
                (K.VERIFICATION, "edta", burnt(compound_n / drift, mg=99.0)),
            ]
        ),
        "choices": {"compound": "edta"},
        "equipment": (BALANCE, REAGENT),
        "checks": {"oat check": CheckMaterial("oat check", {"cp": 13.75}, {"cp": 0.3}, LAB_DM)},
    }
    return Batch(**(fields | more))


def crucible(share, *, free=None, grams=0.5, tare=30.8812, blank_gain=0.0, lab_dm=LAB_DM):
    """Weighings of a portion of so much fiber [% of dry matter], ashed when ``free`` is given."""
    dry_g = grams * lab_dm / 100.0
    out = {
        "crucible_g": tare,
        "sample_g": grams,
        "crucible_dry_g": tare + dry_g * share / 100.0 + blank_gain,
    }
    if free is not None:
        out["crucible_ash_g"] = out["crucible_dry_g"] - dry_g * free / 100.0
    return out


def fiber(of, *samples, blank_gain=0.0, **more):
    """An ADF or aNDF run in crucibles with two blanks and a check sample."""
    blank = {"crucible_g": 30.9907, "crucible_dry_g": 30.9907 + blank_gain}
    fields = {
        "id": f"2026-09-22-{of}",
        "determination": of,
        "method": "crucible",
        "run_on": DAY,
        "positions": run_of(
            [
                (K.BLANK, "crucible", blank),
                (K.BLANK, "crucible", blank),
                (K.CHECK, "oat check", crucible(40.0, blank_gain=blank_gain)),
                *samples,
            ]
        ),
        "equipment": (BALANCE, OVEN),
        "checks": {"oat check": CheckMaterial("oat check", {of: 40.0}, {of: 0.5}, LAB_DM)},
    }
    return Batch(**(fields | more))


DIGEST_ML = 50.0
SOLUTION = {"ca": 10.0, "k": 10.0, "cu": 1.0}


def digest(*, grams=0.5, dilution=1.0, lab_dm=LAB_DM, blank=0.0, **elements):
    """Readings of a digest: major elements [% of dry matter], trace elements [mg/kg]."""
    out = {"sample_g": grams, "dilution": dilution}
    for element, level in elements.items():
        mg_per_kg = level * (1.0 if element == "cu" else 10_000.0) * lab_dm / 100.0
        out[f"{element}_mg_per_l"] = (mg_per_kg * grams / DIGEST_ML + blank) / dilution
    return out


def minerals(*samples, blank=0.0, **more):
    """An ICP run with a digestion blank, a check sample and a solution read before and after."""
    solution = (
        K.VERIFICATION, "solution", {f"{e}_mg_per_l": c * 1.01 for e, c in SOLUTION.items()}
    )  # fmt: skip
    check = {"ca": 0.45, "k": 1.9, "cu": 6.0}
    fields = {
        "id": "2026-09-22-minerals",
        "determination": "minerals",
        "method": "icp",
        "run_on": DAY,
        "positions": run_of(
            [
                (K.BLANK, "digestion blank", {f"{e}_mg_per_l": blank for e in SOLUTION}),
                solution,
                (K.CHECK, "oat check", digest(blank=blank, **check)),
                *samples,
                solution,
            ]
        ),
        "choices": {"digest_volume_ml": DIGEST_ML},
        "equipment": (BALANCE, DISPENSER, REAGENT),
        "checks": {
            "oat check": CheckMaterial(
                "oat check", check, {"ca": 0.02, "k": 0.08, "cu": 0.5}, LAB_DM
            ),
            "solution": CheckMaterial("solution", SOLUTION),
        },
    }
    return Batch(**(fields | more))
