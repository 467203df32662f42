"""Bench cases: names changed, units converted, nothing computed."""

from __future__ import annotations

import math
from functools import partial

import numpy as np

from haywright.bag.mass import mass_lost
from haywright.bench import (
    along_the_run,
    control,
    dry_matter,
    equipment,
    gravimetry,
    nitrogen,
    scatter,
    solution,
)
from haywright.bench import calibration as cal
from haywright.bench.performance import performance
from haywright.bench.regression import least_squares, polynomial
from haywright.measure.atoms import mass_share, molar_mass
from haywright.measure.basis import from_dry_matter, to_dry_matter
from haywright.measure.estimate import Estimate, Source
from haywright.measure.nitrate import NitrateForm, convert_form
from haywright.measure.register import apply
from haywright.measure.rounding import round_decimal
from haywright.measure.units import convert
from haywright.sheet.carbohydrate import nfc_whole_ndf, om_from_ash
from haywright.sheet.protein import adicp_share

N, NO3, KNO3, NANO3 = NitrateForm.NO3_N, NitrateForm.NO3, NitrateForm.KNO3, NitrateForm.NANO3


def two_stage(i):
    part = dry_matter.partial_dm(
        i["bag_g"], i["bag_plus_wet_sample_g"], i["bag_plus_sample_after_60C_g"]
    )
    lab = dry_matter.lab_dm(
        i["beaker_g"], i["beaker_plus_ground_sample_g"], i["beaker_plus_sample_after_105C_g"]
    )
    total = dry_matter.total_dm(part, lab)
    return {
        "partial_dm_pct": part,
        "lab_dm_pct": lab,
        "total_dm_pct": total,
        "moisture_pct": dry_matter.moisture(total),
    }


def single_stage(i):
    lab = dry_matter.lab_dm(i["dish_g"], i["dish_plus_sample_g"], i["dish_plus_dry_g"])
    return {"lab_dm_pct": lab, "moisture_pct": dry_matter.moisture(lab)}


def as_received(i):
    return {"cp_pct_as_received": from_dry_matter(i["cp_pct_dm"], i["total_dm_pct"])}


def three_bases(i):
    dry = to_dry_matter(i["adf_pct_as_analysed"], i["lab_dm_pct"])
    total = dry_matter.total_dm(i["partial_dm_pct"], i["lab_dm_pct"])
    return {
        "adf_pct_dm": dry,
        "total_dm_pct": total,
        "adf_pct_as_received": from_dry_matter(dry, total),
    }


def fixed_dry_matter(i):
    dry = to_dry_matter(i["value_pct_at_source"], i["dm_source_pct"])
    return {"value_pct_at_target": from_dry_matter(dry, i["dm_target_pct"])}


def lost_on_the_way(i):
    sealed, received = i["net_mass_sealed_g"], i["net_mass_received_g"]
    return {
        "mass_lost_pct": mass_lost(sealed, received),
        "total_dm_when_cored_pct": dry_matter.dm_cored(i["total_dm_found_pct"], sealed, received),
    }


def uncertain(name, value, u):
    return Estimate.of(value, {Source(name): u})


def cancelling(i):
    adf = uncertain("adf", i["adf_pct_as_analysed"], i["u_adf_pct_as_analysed"])
    lab = uncertain("lab", i["lab_dm_pct"], i["u_lab_dm_pct"])
    part = uncertain("partial", i["partial_dm_pct"], i["u_partial_dm_pct"])
    dry = apply(to_dry_matter, {"x": adf, "dm": lab})
    total = apply(dry_matter.total_dm, {"partial_dm": part, "lab_dm": lab})
    received = apply(from_dry_matter, {"x_dm": dry, "dm": total})
    return {
        "adf_pct_dm": dry.value,
        "u_adf_pct_dm": dry.u,
        "adf_pct_as_received": received.value,
        "u_adf_pct_as_received": received.u,
    }


def shared_lab_dm(i):
    lab = uncertain("lab", i["lab_dm_pct"], i["u_lab_dm_pct"])
    names = ("cp", "ndf", "fat", "ash")
    given = ("cp_pct_as_analysed", "andf_pct_as_analysed", "fat_pct_as_analysed",
             "ash_pct_as_analysed")  # fmt: skip
    dry = {
        name: apply(to_dry_matter, {"x": uncertain(name, i[key], u), "dm": lab})
        for name, key, u in zip(names, given, i["u_as_analysed"], strict=True)
    }
    nfc = apply(nfc_whole_ndf, dry)
    return {"nfc_pct_dm": nfc.value, "u_nfc_pct_dm": nfc.u}


def gauge_block(i):
    both = enumerate(zip(i["components_nm"], i["dof"], strict=True))
    block = Estimate.of(0.0, {Source(str(k), df=df): u for k, (u, df) in both})
    whole = math.floor(block.df)
    confidence = i["confidence"]
    return {
        "u_c_nm": block.u,
        "nu_eff": block.df,
        "nu_eff_truncated": whole,
        "t_99": two_sided_t(confidence, whole),
        "U_99_nm": Estimate.of(0.0, {Source("all", df=whole): block.u}).interval(confidence)[1],
    }


def two_sided_t(confidence, df):
    return Estimate.of(0.0, {Source("one", df=df): 1.0}).interval(confidence)[1]


def theory(i):
    return {
        "molar_mass_g_per_mol": molar_mass(i["formula"]),
        "n_pct": convert(mass_share("N", i["formula"]), "fraction", "%"),
    }


def protein(i):
    cp = nitrogen.crude_protein(i["n_pct_as_analysed"], i["factor"])
    return {"cp_pct_as_analysed": cp, "cp_pct_dm": to_dry_matter(cp, i["lab_dm_pct"])}


def combustion(i):
    blank = float(np.mean(i["blank_areas"]))
    standard_n = i["standard_n_pct"]
    each = nitrogen.mg_n_per_area(
        np.array(i["standard_mass_mg"]), standard_n, np.array(i["standard_area"]), blank
    )
    k = float(np.mean(each))
    drift = nitrogen.drift(
        i["drift_standard_mass_mg"], standard_n, k, i["drift_standard_area"], blank
    )
    n = nitrogen.by_combustion(i["sample_area"], blank, k, i["sample_mass_mg"], drift)
    return {
        "blank_mean_area": blank,
        "calibration_mg_n_per_area": k,
        "drift_factor": drift,
        "n_pct": n,
        "cp_pct": nitrogen.crude_protein(n),
    }


def recovery_window(i):
    found = performance(i["nicotinic_acid_n_pct"], i["theory_n_pct"], limit=i["limit_abs"])
    return {
        "mean_n_pct": found.mean,
        "sd_n_pct": found.sd,
        "recovery_pct": found.recovery,
        "passes": found.passes,
    }


def kjeldahl(i):
    n = nitrogen.by_kjeldahl(i["v_sample_ml"], i["v_blank_ml"], i["acid_normality"], i["sample_g"])
    return {"n_pct": n, "cp_pct": nitrogen.crude_protein(n)}


def bound(i):
    adicp = nitrogen.bound_protein(i["adf_residue_pct_dm"], i["n_pct_of_residue"])
    return {"adicp_pct_dm": adicp, "adicp_pct_of_cp": adicp_share(adicp, i["cp_pct_dm"])}


def adf(i):
    found = gravimetry.share_gained(i["crucible_g"], i["crucible_plus_residue_g"], i["sample_g"])
    return {"adf_pct_as_analysed": found, "adf_pct_dm": to_dry_matter(found, i["lab_dm_pct"])}


def ndf(i):
    # Per 100 g of portion a share in percent is a mass in g.
    change = gravimetry.share_gained(i["blank_tare_g"], i["blank_dry_g"], 100)
    loss = gravimetry.share_lost(i["blank_dry_g"], i["blank_ash_g"], 100)
    tare, dry, ash = (
        i["crucible_tare_g"], i["crucible_plus_fibre_dry_g"], i["crucible_plus_ash_g"]
    )  # fmt: skip
    found = gravimetry.share_gained(tare, dry, i["sample_g"], change)
    free = gravimetry.share_lost(dry, ash, i["sample_g"], loss)
    return {
        "andf_pct_dm": to_dry_matter(found, i["lab_dm_pct"]),
        "andfom_pct_dm": to_dry_matter(free, i["lab_dm_pct"]),
    }


def ash(i):
    found = gravimetry.share_gained(i["crucible_g"], i["crucible_plus_ash_g"], i["sample_g"])
    dry = to_dry_matter(found, i["lab_dm_pct"])
    return {"ash_pct_dm": dry, "om_pct_dm": om_from_ash(dry)}


def lignin(i):
    found = gravimetry.share_lost(
        i["crucible_plus_residue_after_acid_g"], i["crucible_plus_ash_g"], i["sample_g"]
    )
    return {"lignin_pct_dm": to_dry_matter(found, i["lab_dm_pct"])}


def filter_bag(i):
    before, after = np.array(i["blank_bag_before_g"]), np.array(i["blank_bag_after_g"])
    c1 = float(np.mean(gravimetry.blank_bag_factor(before, after)))
    found = gravimetry.fiber_in_bag(i["bag_g"], i["sample_g"], i["bag_plus_residue_g"], c1)
    return {"c1": c1, "fibre_pct_dm": to_dry_matter(found, i["lab_dm_pct"])}


def nitrate_forms(i):
    n = i["no3n_mg_per_kg"]
    no3 = convert_form(n, N, NO3)
    return {
        "no3_mg_per_kg": no3,
        "kno3_mg_per_kg": convert_form(n, N, KNO3),
        "nano3_mg_per_kg": convert_form(n, N, NANO3),
        "no3_pct": convert(no3, "mg/kg", "%"),
    }


def nitrate_factors(_):
    return {
        "n_to_no3": convert_form(1.0, N, NO3),
        "n_to_kno3": convert_form(1.0, N, KNO3),
        "no3_to_kno3": convert_form(1.0, NO3, KNO3),
        "kno3_to_n": convert_form(1.0, KNO3, N),
        "no3_to_n": convert_form(1.0, NO3, N),
        "no2n_to_no2": 1 / mass_share("N", "NO2"),
    }


def nitrate_extract(i):
    found = solution.of_powder(
        i["extract_no3n_mg_per_l"], i["dilution_factor"], i["method_blank_mg_per_l"], 1.0,
        i["extract_volume_ml"], i["sample_g"],
    )  # fmt: skip
    dry = to_dry_matter(found, i["lab_dm_pct"])
    return {
        "no3n_mg_per_kg_as_analysed": found,
        "no3n_mg_per_kg_dm": dry,
        "no3_mg_per_kg_dm": convert_form(dry, N, NO3),
    }


def own_dilution(i):
    extract = (
        i["c_sample_mg_n_per_l"], i["sample_dilution_factor"],
        i["c_method_blank_mg_n_per_l"], i["blank_dilution_factor"],
    )  # fmt: skip
    found = solution.of_powder(*extract, i["extract_volume_ml"], i["sample_g"])
    return {
        "extract_mg_n_per_l": solution.of_extract(*extract),
        "no3n_mg_per_kg_as_analysed": found,
        "no3n_mg_per_kg_dm": to_dry_matter(found, i["lab_dm_pct"]),
    }


def icp_element(i):
    found = solution.of_powder(
        i["c_mg_per_l"], i["dilution_factor"], i["blank_mg_per_l"], i["blank_dilution_factor"],
        i["final_volume_ml"], i["sample_g"],
    )  # fmt: skip
    dry = to_dry_matter(found, i["lab_dm_pct"])
    return {"mg_per_kg_dm": dry, "pct_dm": solution.percent(dry)}


def icp_corrected(i):
    counts = i["is_sample_counts"], i["is_reference_counts"]
    found = solution.by_internal_standard(i["c_apparent_mg_per_l"], *counts)
    for one in i["interferents"].values():
        found = solution.less_interference(found, one["k"], one["c_mg_per_l"])
    return {
        "is_recovery_pct": solution.internal_standard_recovery(*counts),
        "c_corrected_mg_per_l": found,
    }


def nitrate_standards(i):
    efficiency = convert(i["column_efficiency"], "fraction", "%")
    return {
        "nitrate_n_mg_per_l": solution.less_nitrite_by_nitrate_curve(
            i["total_reading_mg_n_per_l"], i["nitrite_n_mg_per_l"], efficiency
        )
    }


def fitted(fit):
    return {
        **{f"b{k}": float(b) for k, b in enumerate(fit.coefficients)},
        **{f"se_b{k}": float(u) for k, u in enumerate(fit.se)},
        "b": fit.coefficients.tolist(),
        "se": fit.se.tolist(),
        "residual_sd": fit.s,
        "r2": fit.r2,
    }


def polynomial_fit(i, *, powers):
    return fitted(least_squares(polynomial(i["x"], powers), i["y"]))


def origin_fit(i):
    fit = least_squares(polynomial(i["x"], (1,)), i["y"], about_zero=True)
    found = fitted(fit)
    return {**found, "b1": found["b0"], "se_b1": found["se_b0"]}


def several_columns(i):
    ones = np.ones(len(i["y"]))
    return fitted(least_squares(np.column_stack([ones, *i["x_columns"]]), i["y"]))


def quadratic_root(i):
    rising = math.copysign(1.0, i["b"])
    return {
        "x_mg_per_l": float(cal.off_quadratic(i["response"], i["a"], i["b"], i["c"], rising)),
        "vertex_x": cal.turning_point(i["b"], i["c"]),
    }


def relative_error(i):
    return {
        "rse_pct": cal.relative_standard_error(
            i["x_true"], i["x_back_calculated"], parameters=i["parameters"]
        )
    }


def one_reading(i):
    curve = cal.calibrate(i["x"], i["y"])
    return {
        "x0": curve.amount(i["y0"]),
        "half_width": curve.half_width(i["y0"], readings=i["m"], confidence=i["confidence"]),
    }


def several_readings(i):
    curve = cal.calibrate(i["x"], i["y"])
    singles = i["y0_single"]
    mean = i["y0_mean_of_five"]
    return {
        "x0": [curve.amount(y) for y in singles],
        "half_width": [curve.half_width(y) for y in singles],
        "half_width_mean_of_five": curve.half_width(mean, readings=5),
        "se": [curve.read(y).se for y in singles],
        "se_mean_of_five": curve.read(mean, readings=5).se,
    }


def known_doubt(i):
    curve = cal.calibrate(i["x"], i["y"], u_y=i["u_y"])
    covariance = curve.fit.root @ curve.fit.root.T
    read = curve.read(i["y0"], u_response=i["u_y0"])
    return {
        "a": curve.coefficients[0],
        "b": curve.coefficients[1],
        "u_a": math.sqrt(covariance[0, 0]),
        "u_b": math.sqrt(covariance[1, 1]),
        "cov_ab": float(covariance[0, 1]),
        "chi2_obs": cal.chi_squared(curve),
        "x0": read.amount,
        "u_x0": read.se,
    }


def two_absorbances(i):
    curve = cal.calibrate(i["x_mg_per_l"], i["absorbance"])
    both = i["sample_absorbance"]
    read = curve.read(float(np.mean(both)), readings=len(both))
    return {
        "slope": curve.coefficients[1],
        "u_slope": float(curve.fit.se[1]),
        "intercept": curve.coefficients[0],
        "u_intercept": float(curve.fit.se[0]),
        "residual_sd": curve.fit.s,
        "c0_mg_per_l": read.amount,
        "u_c0_mg_per_l": read.se,
        "correlation_intercept_slope": float(curve.fit.correlation[0, 1]),
    }


def thermometer(i):
    start = i["t0_degC"]
    curve = cal.calibrate(np.subtract(i["t_degC"], start), i["correction_degC"])
    at = float(np.subtract(i["predict_at_degC"], start))
    return {
        "intercept": curve.coefficients[0],
        "u_intercept": float(curve.fit.se[0]),
        "slope": curve.coefficients[1],
        "u_slope": float(curve.fit.se[1]),
        "correlation_intercept_slope": float(curve.fit.correlation[0, 1]),
        "correction_at_30": curve.predict(at),
        "u_correction_at_30": curve.u_predicted(at),
    }


def column(i):
    found = solution.column_efficiency(
        i["nitrate_standard_response"], i["nitrite_standard_response"], i["blank_response"]
    )
    return {"efficiency_pct": found, "passes_at_90_pct": found >= 90}


def drift_within(i):
    first = along_the_run.drift_factor(i["nominal"], i["found_first"])
    second = along_the_run.drift_factor(i["nominal"], i["found_second"])
    here = along_the_run.drift_between(
        first, second, i["sample_position"], i["position_first"], i["position_second"]
    )
    return {
        "factor_first": first,
        "factor_second": second,
        "factor_at_sample": here,
        "corrected": float(np.multiply(i["sample_reading"], here)),
    }


def lack_of_fit(i):
    found = cal.lack_of_fit(cal.calibrate(i["x_mg_per_l"], i["absorbance"]))
    return {
        "ss_lack_of_fit": found.ss_lack_of_fit,
        "ss_pure_error": found.ss_pure_error,
        "df_lack_of_fit": found.df_lack_of_fit,
        "df_pure_error": found.df_pure_error,
        "f": found.f,
        "p": found.p,
        "lack_of_fit_at_5pct": found.p < 0.05,
        "lack_of_fit_at_1pct": found.p < 0.01,
    }


def carried_over(i):
    share = along_the_run.carry_over(i["high"], i["low"])
    return {
        "carry_over_pct": convert(share, "fraction", "%"),
        "corrected": along_the_run.without_carry_over(i["observed"], i["observed_previous"], share),
    }


def duplicate(i):
    found = control.agreement([i["a"], i["b"]], i["s_r"])
    return {
        "rpd_pct": control.relative_percent_difference(i["a"], i["b"]),
        "abs_difference": found.spread,
        "repeatability_limit": found.limit,
        "within_limit": found.within,
    }


def four_portions(i):
    first = control.agreement(i["results"][:2], i["s_r"])
    found = control.agreement(i["results"], i["s_r"])
    return {
        "first_pair_accepted": first.within,
        "range_of_four": found.spread,
        "critical_range_of_four": found.limit,
        "reported": found.value,
        "reported_as": f"{found.kept} of four",
    }


def range_factors(i):
    return {"f": [control.critical_range_factor(n) for n in i["n"]]}


def spike(i):
    added = control.added_by_spike(
        i["spike_solution_mg_per_l"], i["spike_volume_ml"], i["sample_g"]
    )
    found = control.spike_recovery(i["spiked_mg_per_kg"], i["native_mg_per_kg"], added)
    return {"added_mg_per_kg": added, "recovery_pct": found}


def check_sample(i):
    found, assigned = i["found"], i["assigned"]
    z = control.standardised(found, assigned, i["s_within_lab"])
    return {
        "bias": float(np.subtract(found, assigned)),
        "recovery_pct": control.recovery(found, assigned),
        "z": z,
        "inside_warning_limits": abs(z) <= 2,
        "inside_action_limits": abs(z) <= 3,
    }


def balance(i):
    s, d = np.array(i["repeatability_s_g"]), np.array(i["scale_interval_g"])
    return {"smallest_net_weight_g": equipment.smallest_net_weight(s, d).tolist()}


def horwitz_curve(i):
    return {"prsd_r_pct": scatter.horwitz(np.array(i["mass_fraction"])).tolist()}


def rounding(i):
    both = list(zip(i["values"], i["decimals"], strict=True))
    return {
        rule: [str(round_decimal(value, digits, rule)) for value, digits in both]
        for rule in ("half_even", "half_up")
    }


CASES = {
    "dm-two-stage-forced-air": two_stage,
    "dm-single-stage-105": single_stage,
    "basis-as-received-from-dm": as_received,
    "basis-as-analysed-to-dm-and-as-received": three_bases,
    "basis-to-fixed-90-dm": fixed_dry_matter,
    "moisture-lost-between-yard-and-laboratory": lost_on_the_way,
    "as-received-does-not-depend-on-lab-dm": cancelling,
    "nfc-shares-one-lab-dm": shared_lab_dm,
    "gum-h1-gauge-block": gauge_block,
    **{f"theoretical-n-{one}": theory for one in (
        "edta-acid", "nicotinic-acid", "glycine", "glycine-tosylate", "glutamic-acid",
        "lysine-hcl", "ammonium-sulfate",
    )},
    "cp-from-n-dm": protein,
    "combustion-n-blank-calibration-drift": combustion,
    "combustion-recovery-window": recovery_window,
    "kjeldahl-boric-acid": kjeldahl,
    "adicp-from-residue": bound,
    "adf-crucible": adf,
    "andf-and-andfom-blank-corrected": ndf,
    "ash-total": ash,
    "lignin-sulfuric": lignin,
    "fibre-bag-blank-factor": filter_bag,
    "nitrate-units-from-no3n": nitrate_forms,
    "nitrate-units-factors": nitrate_factors,
    "nitrate-extract-300mg-30ml": nitrate_extract,
    "blank-at-its-own-dilution": own_dilution,
    "nitrate-with-nitrate-standards": nitrate_standards,
    "icp-major-element": icp_element,
    "icp-internal-standard-and-interelement": icp_corrected,
    "strd-norris": partial(polynomial_fit, powers=(0, 1)),
    "strd-pontius": partial(polynomial_fit, powers=(0, 1, 2)),
    "strd-wampler1": partial(polynomial_fit, powers=(0, 1, 2, 3, 4, 5)),
    "strd-wampler3": partial(polynomial_fit, powers=(0, 1, 2, 3, 4, 5)),
    "strd-noint1": origin_fit,
    "strd-longley": several_columns,
    "quadratic-inverse-root": quadratic_root,
    "relative-standard-error-calibration": relative_error,
    "din32645-inverse-prediction": one_reading,
    "massart-example7-inverse-prediction": several_readings,
    "iso28037-wls-equal": known_doubt,
    "quam-a5-calibration-reading": two_absorbances,
    "gum-h3-thermometer": thermometer,
    "cadmium-column-efficiency": column,
    "drift-between-two-checks": drift_within,
    "lack-of-fit-quam-a5": lack_of_fit,
    "carry-over-three-high-three-low": carried_over,
    "duplicate-rpd": duplicate,
    "duplicate-scheme-mean-of-four": four_portions,
    "critical-range-factors": range_factors,
    "spike-recovery": spike,
    "check-sample-bias-and-recovery": check_sample,
    "balance-smallest-weight": balance,
    "horwitz-predicted-rsd": horwitz_curve,
    "rounding-half-even-vs-half-up": rounding,
}  # fmt: skip
