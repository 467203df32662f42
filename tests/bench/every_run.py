"""One small run of every method, its readings worked backwards from a known truth."""

from __future__ import annotations

from dataclasses import replace

from haywright.bench.batch import Batch, CheckMaterial, Equipment, Scatter
from haywright.measure.estimate import Estimate, Source
from haywright.measure.result import Result
from tests.bench import runs
from tests.bench.electrode_run import electrode, electrode_cup
from tests.bench.runs import BAG, DAY, DIGEST_ML, LAB_DM, K, burnt, crucible, cup, digest, run_of

BALANCE = replace(runs.BALANCE, repeatability=0.0002, half_width=0.0003)
DISPENSER = replace(runs.DISPENSER, repeatability=0.05)
PIPETTE = Equipment("pipette", "burette 1", DAY, ((10.0, 10.01),), repeatability=0.02)
EQUIPMENT = (BALANCE, runs.OVEN, runs.FURNACE, DISPENSER, PIPETTE, runs.REAGENT)
# Invented hay on dry matter.
TRUTH = {"lab_dm": LAB_DM, "partial_dm": 92.0, "dm": 92.0 * LAB_DM / 100, "adf": 36.0,
         "adfom": 34.5, "ndf": 58.0, "ndfom": 56.5, "lignin": 5.2, "ash": 8.4, "fat": 2.2,
         "n": 1.9, "cp": 11.875, "adicp": 1.1, "ndicp": 3.0, "nitrate_n": 1400.0, "ca": 0.45,
         "k": 1.9, "cu": 6.0, "ivtd48": 70.0, "ndfd48": 100 * (58.0 - 30.0) / 58.0,
         "ndfd30": 100 * (58.0 - 34.0) / 58.0}  # fmt: skip


def earlier(*names):
    """What a method leans on, known as an earlier batch would have left it."""
    doubts = {"lab_dm": 0.25, "adf": 0.9, "ndf": 1.2}
    return {
        BAG: {
            name: Result(
                name,
                Estimate.of(TRUTH[name], {Source(f"{name}:{BAG}", df=12): doubts[name]}),
                "%",
                report="earlier",
            )
            for name in names
        }
    }


def batch(determination, method, rows, *, choices=None, assigned=None):
    material = CheckMaterial("check", assigned or {}, dict.fromkeys(assigned or {}, 1e6), LAB_DM)
    return Batch(
        id=f"{determination}-{method}",
        determination=determination,
        method=method,
        run_on=DAY,
        positions=run_of(rows),
        laboratory="valley",
        choices=choices or {},
        equipment=EQUIPMENT,
        checks={"check": material, "solution": CheckMaterial("solution", runs.SOLUTION)},
    )


def pair(readings, *, second=None):
    """The bag and its duplicate, and a check sample that is the same hay."""
    other = second or readings
    return [
        (K.CHECK, "check", readings),
        (K.BAG, BAG, readings),
        (K.DUPLICATE, BAG, other, 2),
    ]


def two_stage():
    grams = 250.0
    dish = {"dish_g": 48.1, "dish_powder_g": 50.1, "dish_dry_g": 48.1 + 2.0 * LAB_DM / 100}
    warm = {"bag_g": 12.4, "bag_wet_g": 12.4 + grams, "bag_dry_g": 12.4 + grams * 0.92}
    choices = {"drying_partial": "air_55c", "drying_lab": "oven_105c_3h"}
    rows = pair({**dish, **warm})
    return batch("dry_matter", "two_stage", rows, choices=choices, assigned={"lab_dm": LAB_DM})


def one_stage():
    dish = {"dish_g": 48.1, "dish_powder_g": 50.1, "dish_dry_g": 48.1 + 2.0 * LAB_DM / 100}
    choices = {"drying_lab": "oven_105c_3h"}
    return batch("dry_matter", "one_stage", pair(dish), choices=choices,
                 assigned={"lab_dm": LAB_DM})  # fmt: skip


def in_crucibles(name):
    blank = {"crucible_g": 30.99, "crucible_dry_g": 30.991, "crucible_ash_g": 30.9905}
    # A blank gains 1.0 mg and gives 0.5 mg of it back in the furnace.
    one = crucible(TRUTH[name], blank_gain=0.001)
    one["crucible_ash_g"] = (
        one["crucible_dry_g"] - 0.5 * LAB_DM / 100 * TRUTH[f"{name}om"] / 100 - 0.0005
    )
    rows = [(K.BLANK, "blank", blank), (K.BLANK, "blank", blank), *pair(one)]
    return batch(name, "crucible", rows, assigned={name: TRUTH[name]})


def in_filter_bags(name):
    keeps, organic, dry = 0.998, 0.995, 0.5 * LAB_DM / 100
    ash_of_bag = keeps - organic
    blank = {"bag_g": 0.5, "bag_dry_g": 0.5 * keeps, "crucible_g": 22.0,
             "crucible_ash_g": 22.0 + 0.5 * ash_of_bag}  # fmt: skip
    fiber, free = dry * TRUTH[name] / 100, dry * TRUTH[f"{name}om"] / 100
    one = {"bag_g": 0.5, "sample_g": 0.5, "bag_dry_g": 0.5 * keeps + fiber, "crucible_g": 22.0,
           "crucible_ash_g": 22.0 + 0.5 * ash_of_bag + fiber - free}  # fmt: skip
    rows = [(K.BLANK, "blank", blank), (K.BLANK, "blank", blank), *pair(one)]
    return batch(name, "filter_bag", rows, assigned={name: TRUTH[name]})


def lignin():
    dry = 1.0 * LAB_DM / 100
    one = {"sample_g": 1.0, "crucible_acid_g": 31.3, "crucible_ash_g": 31.3 - dry * 0.052}
    return batch("lignin", "sulfuric", pair(one), assigned={"lignin": TRUTH["lignin"]})


def ash():
    one = {"crucible_g": 22.14, "sample_g": 2.0,
           "crucible_ash_g": 22.14 + 2.0 * LAB_DM / 100 * 0.084}  # fmt: skip
    return batch("ash", "furnace", pair(one), assigned={"ash": TRUTH["ash"]})


def fat():
    blank = {"cup_g": 40.0, "cup_fat_g": 40.0005}
    one = {"cup_g": 40.0, "sample_g": 2.0,
           "cup_fat_g": 40.0005 + 2.0 * LAB_DM / 100 * 0.022}  # fmt: skip
    rows = [(K.BLANK, "blank", blank), (K.BLANK, "blank", blank), *pair(one)]
    return batch("fat", "ether", rows, assigned={"fat": TRUTH["fat"]})


def tube(method, left):
    blank = {"crucible_g": 31.0, "crucible_dry_g": 31.002}
    one = crucible(left, blank_gain=0.002)
    rows = [(K.BLANK, "fluid", blank), (K.BLANK, "fluid", blank), *pair(one)]
    return batch("digestibility", method, rows)


def burnt_run(determination, n, *, lab_dm, assigned=None):
    blanks = [(K.BLANK, "blank", {"area": runs.BLANK_AREA + e}) for e in (-1.0, 0.0, 1.0)]
    edta = [(K.STANDARD, "edta", burnt(9.58612, mg=mg)) for mg in (98.0, 101.0, 100.0)]
    check = (K.VERIFICATION, "edta", burnt(9.58612, mg=99.0))
    rows = [*blanks, *edta, *pair(burnt(n, lab_dm=lab_dm)), check]
    method = "combustion"
    return batch(determination, method, rows, choices={"compound": "edta"}, assigned=assigned)


def kjeldahl(method, strength):
    mol = TRUTH["n"] * LAB_DM / 100 * 0.75 / 1.4007
    if method == "kjeldahl":
        name, blank, one = "acid_ml", 0.12, 0.12 + mol / strength
    else:
        name, blank, one = "base_ml", 24.0, 24.0 - mol / strength
    rows = [
        (K.BLANK, "blank", {name: blank}),
        (K.BLANK, "blank", {name: blank}),
        *pair({"sample_g": 0.75, name: one}),
    ]
    choices = {f"{name[:4]}_normality": strength}
    return batch("nitrogen", method, rows, choices=choices, assigned={"cp": TRUTH["cp"]})


def nitrate():
    noise = (0.01, -0.012, 0.008, -0.011, 0.009)
    standards = [
        (K.STANDARD, f"std {c:g}", {"known_mg_per_l": c, "peak": runs.peak(c) + e})
        for c, e in zip((0.5, 2.0, 5.0, 10.0, 20.0), noise, strict=True)
    ]
    check = (K.VERIFICATION, "mid", {"known_mg_per_l": 5.0, "peak": runs.peak(5.0)})
    blanks = [(K.BLANK, "method blank", {"peak": runs.peak(0.05)})] * 2
    rows = [*standards, *blanks, check, *pair(cup(TRUTH["nitrate_n"])), check]
    choices = {"extractant": "water", "extract_volume_ml": runs.VOLUME}
    return batch("nitrate", "flow_injection", rows, choices=choices,
                 assigned={"nitrate_n": 1400.0})  # fmt: skip


def by_electrode():
    cups = [(kind, sample, electrode_cup(TRUTH["nitrate_n"]), *more)
            for kind, sample, *more in ((K.BAG, BAG), (K.DUPLICATE, BAG, 2))]  # fmt: skip
    return replace(electrode(*cups), equipment=EQUIPMENT)


def near_infrared():
    names = ("cp", "adf", "ndf", "lignin", "ash", "fat", "ndfd48")
    rows = pair({f"{name}_pct": TRUTH[name] for name in names})
    made = batch("near_infrared", "reflectance", rows, choices={"calibration": "valley hay 3"},
                 assigned={name: TRUTH[name] for name in names})  # fmt: skip
    error = Scatter(repeat=0.2, between_runs=0.9, between_runs_df=40, bias=0.4)
    return replace(made, scatter=dict.fromkeys(names, error), equipment=())


def minerals():
    elements = {name: TRUTH[name] for name in runs.SOLUTION}
    solution = (K.VERIFICATION, "solution", {f"{e}_mg_per_l": c for e, c in runs.SOLUTION.items()})
    blank = (K.BLANK, "blank", {f"{e}_mg_per_l": 0.002 for e in elements})
    rows = [blank, blank, solution, *pair(digest(blank=0.002, **elements)), solution]
    return batch("minerals", "icp", rows, choices={"digest_volume_ml": DIGEST_ML},
                 assigned=elements)  # fmt: skip


# Method -> (its run, what it leans on).
EVERY = {
    "dry_matter two_stage": (two_stage, ()),
    "dry_matter one_stage": (one_stage, ()),
    "adf crucible": (lambda: in_crucibles("adf"), ("lab_dm",)),
    "adf filter_bag": (lambda: in_filter_bags("adf"), ("lab_dm",)),
    "ndf crucible": (lambda: in_crucibles("ndf"), ("lab_dm",)),
    "ndf filter_bag": (lambda: in_filter_bags("ndf"), ("lab_dm",)),
    "lignin sulfuric": (lignin, ("lab_dm", "adf")),
    "ash furnace": (ash, ("lab_dm",)),
    "fat ether": (fat, ("lab_dm",)),
    "digestibility tube_48h": (lambda: tube("tube_48h", 30.0), ("lab_dm", "ndf")),
    "digestibility tube_30h": (lambda: tube("tube_30h", 34.0), ("lab_dm", "ndf")),
    "nitrogen combustion": (
        lambda: burnt_run("nitrogen", 1.9, lab_dm=LAB_DM, assigned={"cp": 11.875}),
        ("lab_dm",),
    ),
    "nitrogen kjeldahl": (lambda: kjeldahl("kjeldahl", 0.1), ("lab_dm",)),
    "nitrogen kjeldahl_back": (lambda: kjeldahl("kjeldahl_back", 0.1), ("lab_dm",)),
    "adicp combustion": (
        lambda: burnt_run("adicp", 100 * 1.1 / 36.0 / 6.25, lab_dm=100.0), ("adf",)
    ),
    "ndicp combustion": (
        lambda: burnt_run("ndicp", 100 * 3.0 / 58.0 / 6.25, lab_dm=100.0), ("ndf",)
    ),
    "nitrate flow_injection": (nitrate, ("lab_dm",)),
    "nitrate_electrode electrode": (by_electrode, ("lab_dm",)),
    "near_infrared reflectance": (near_infrared, ()),
    "minerals icp": (minerals, ("lab_dm",)),
}  # fmt: skip
