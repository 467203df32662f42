"""Sampling cases: names changed, units converted, nothing computed."""

from __future__ import annotations

import math
from functools import partial

from haywright.bunk.hazards.nitrate import closed
from haywright.measure.estimate import t_quantile
from haywright.measure.units import convert
from haywright.stack import compare, core, error, heating, hot, keeping, spread
from haywright.stack.choosing import allocate, systematic
from haywright.stack.error import Scheme, Spread
from haywright.stack.geometry import (
    density_of,
    rind_share_curved,
    rind_share_square,
    rind_share_with_ends,
)
from haywright.stack.loose import stack_volume
from haywright.stack.packages import Package, bale_size, usual_size
from haywright.stack.probe import Outside, Probe, cores_for_mass, judge_probe
from haywright.stack.rules import bales_by_rule
from haywright.stack.timing import lot_rule, one_window, split_lot

LARGE = math.inf
TWO_SIDED = 0.95


def inches(value):
    return convert(value, "in", "m")


def feet(value):
    return convert(value, "ft", "m")


def radius_of(i):
    return Package("round", diameter=inches(i["diameter_in"]), width=1.0).radius


def lot_split(i):
    mass = convert(i["hay_short_tons"], "short_ton", "kg")
    found = split_lot(mass, "nfta")
    assert lot_rule("nfta").most == i["max_lot_short_tons"]
    return {"lots": found.lots, "short_tons_per_lot": convert(found.each, "kg", "short_ton")}


def lot_window(i):
    assert lot_rule().hours == i["window_hours"]
    return {"single_lot": one_window(i["baling_span_hours"])}


def lot_tonnes(i):
    mass = convert(i["hay_short_tons"], "short_ton", "kg")
    return {
        "hay_tonnes": convert(mass, "kg", "tonne"),
        "within_200_tonnes": split_lot(mass, "australia").lots == 1,
        "within_200_short_tons": split_lot(mass, "nfta").lots == 1,
    }


def kansas(i):
    nitrate = bales_by_rule("kansas-nitrate", bales=i["bales"])
    nutrients = bales_by_rule("kansas-nutrients", bales=i["bales"])
    return {
        "nitrate_min_bales": nitrate.least,
        "nitrate_max_bales": nitrate.most,
        "nutrient_min_bales": nutrients.least,
        "nutrient_max_bales": nutrients.most,
    }


def texas(i):
    found = bales_by_rule("texas-rounds", bales=i["round_bales"])
    return {"composites_at_30_per": found.bags_least, "composites_at_25_per": found.bags_most}


def german(i):
    tonnes = i["lot_tonnes"]
    return {
        "increments_other_feed": bales_by_rule("german-other", tonnes=tonnes).least,
        "increments_hay_or_straw": bales_by_rule("german-hay", tonnes=tonnes).least,
    }


def systematic_start(i):
    return {"bale_numbers": systematic(i["bales_in_lot"], i["bales_to_core"], i["random_start_u"])}


def stratified(i):
    return {"cores_by_face": allocate(i["bales_by_face"], i["cores"])}


def seedlings(i):
    sd = Spread.of_variances(i["S2"]).between
    relative = spread.spread_over_mean(sd, i["mean"])
    n0 = error.cores_large_lot(relative, i["relative_error"], i["t"])
    return {"n0": n0, "n": error.cores_in_lot(n0, i["N"])}


def population_error(i):
    return {"standard_error": error.standard_error_population(i["sigma"], i["N"], i["n"])}


def composite(i):
    doubt = Spread.of_variances(i["sampling_variance"], repeat=i["test_variance"])
    scheme = Scheme(i["increments"], analyses=i["tests"])
    return {
        "variance": error.variance(doubt, scheme),
        "cost": error.sampling_cost(
            i["increments"], i["tests"], i["cost_per_increment"], i["cost_per_test"]
        ),
    }


def nested(i):
    found = spread.nested_components(i["data_pct"])
    primary, sub, det = found.ms
    return {
        "ms_primary": primary,
        "ms_sub": sub,
        "ms_det": det,
        "component_sub": found.variance[1],
        "component_primary": found.variance[0],
    }


def implied(i, half, out):
    z = error.multiplier(i.get("confidence", TWO_SIDED))
    return {out: error.core_sd_implied(i[half], i["cores"], z)}


def twelve_cores(i):
    doubt, scheme = Spread(i["single_core_sd"]), Scheme(i["cores"])
    return {"half_width": error.half_width(doubt, scheme, i["confidence"])}


def needed(i, *, lab, analyses=1):
    doubt = Spread(i["core_sd"], repeat=lab)
    half = i["target_half_width"]
    return error.cores_needed(doubt, half, confidence=i["confidence"], analyses=analyses)


def with_laboratory(i):
    return {
        "cores_no_lab": needed(i, lab=0.0).bales,
        "cores_with_lab": needed(i, lab=i["lab_sd"], analyses=i["analyses"]).bales,
    }


def laboratory_floor(i):
    one = needed(i, lab=i["lab_sd"])
    return {
        "feasible_with_1_analysis": one.attainable,
        "min_analyses": one.analyses,
        "cores_with_2_analyses": needed(i, lab=i["lab_sd"], analyses=2).bales,
        "cores_with_4_analyses": needed(i, lab=i["lab_sd"], analyses=4).bales,
    }


def two_stage(i):
    doubt = Spread(i["bale_sd"], i["within_bale_sd"], repeat=i["lab_sd"])
    scheme = Scheme(i["bales"], i["cores_per_bale"], i["N_bales"], analyses=i["analyses"])
    return {
        "variance": error.variance(doubt, scheme),
        "half_width_95": error.half_width(doubt, scheme, TWO_SIDED),
    }


def bales_required(i):
    doubt = Spread(i["bale_sd"], i["within_bale_sd"], repeat=i["lab_sd"])
    found = error.cores_needed(
        doubt,
        i["target_half_width"],
        confidence=i["confidence"],
        lot_bales=i["N_bales"],
        cores_per_bale=i["cores_per_bale"],
        analyses=i["analyses"],
    )
    return {"bales": found.bales}


def optimum(i):
    parts = Spread.of_variances(i["bale_variance"], i["within_bale_variance"])
    best = error.best_cores_per_bale(
        parts.between, parts.within, i["cost_per_bale"], i["cost_per_core"]
    )
    return {"m_opt": best, "m_integer": error.whole_cores_per_bale(best)}


def within(i):
    return {"probability": compare.chance_within(i["half_width"], i["standard_error"])}


def two_composites(i):
    found = compare.two_bags(*i["results"], i["planning_se_one_composite"], i["confidence"])
    return {
        "mean": found.mean,
        "se_from_pair": found.se_from_pair,
        "t_half_width": found.from_pair,
        "planning_half_width": found.planned,
    }


def critical(i):
    z = error.multiplier(i["confidence"])
    return {"critical_difference": compare.critical_difference(i["se_one_composite"], z)}


def sublots(i):
    found = compare.pool_sublots(i["tons_dm"], i["cp_pct"], i["se"])
    return {"mean_cp_pct": found.mean, "se": found.se}


def bootstrap(i):
    return {"bootstrap_se": compare.bootstrap_error(i["values"], i["n_draws"])}


def from_range(i):
    d2 = spread.range_in_sds(i["bales"])
    assert d2 == i["d2"]
    sd = spread.sd_from_range(i["min_ppm"], i["max_ppm"], d2)
    log_sd = spread.log_sd_from_range(i["min_ppm"], i["max_ppm"], d2)
    return {
        "sd_ppm": sd,
        "cv_normal": spread.spread_over_mean(sd, i["mean_ppm"]),
        "sigma_log": log_sd,
        "cv_lognormal": hot.relative_spread_of_log(log_sd),
    }


def bales_for_share(i):
    half, confidence = i["relative_half_width"], i["confidence"]
    large = error.cores_needed(Spread(i["cv"]), half, confidence=confidence)
    lot = error.cores_needed(Spread(i["cv"]), half, confidence=confidence, lot_bales=i["N_bales"])
    return {"n_infinite": large.bales, "n_lot": lot.bales}


def half_of_lot(i):
    scheme = Scheme(i["bales_cored"], lot_bales=i["N_bales"])
    return {"relative_half_width": error.half_width(Spread(i["cv"]), scheme, i["confidence"])}


def share_above(i):
    return {"share_above": hot.share_of_bales_over(i["mean_ppm"], i["cv"], i["threshold_ppm"])}


def upper_bound(i):
    rse = hot.relative_se(i["bale_cv"], 0.0, i["lab_cv"], i["N_bales"], i["bales"], 1)
    z = t_quantile(i["confidence_one_sided"], math.inf)
    return {
        "relative_se": rse,
        "upper_bound_ppm": hot.planning_upper_bound(i["composite_ppm"], rse, z),
    }


def chance_over(i):
    found = hot.planning_chance_over(i["composite_ppm"], i["relative_se"], i["limit_ppm"])
    return {"probability_over": found}


def missed(i):
    return {"probability_missed": hot.chance_missed(i["N_bales"], i["hot_bales"], i["bales_cored"])}


def to_hit(i):
    return {"bales": hot.bales_to_hit(i["N_bales"], i["hot_bales"], i["confidence"])}


def stein(i):
    pilot, confidence = i["pilot_n"], i["confidence"]
    return {
        "t": compare.pilot_multiplier(pilot, confidence),
        "n_total": compare.cores_from_pilot(i["pilot_sd"], pilot, i["half_width"], confidence),
    }


def particles(i):
    relative = compare.particle_variance(
        i["top_size_cm"],
        i["shape_f"],
        i["size_range_g"],
        i["composition_c_g_cm3"],
        i["liberation_l"],
        i["portion_g"],
        i["sample_g"],
    )
    return {
        "relative_variance": relative,
        "relative_sd_pct": 100 * error.half_width_of(relative, 1.0),
    }


def round_bale(width, diameter):
    return Package("round", diameter=feet(diameter), width=feet(width))


def weight_4x4(i):
    reference = round_bale(i["ref_width_ft"], i["ref_diameter_ft"])
    density = reference.density(convert(i["ref_weight_lb"], "lb", "kg"))
    bale = round_bale(i["width_ft"], i["diameter_ft"])
    return {
        "ref_volume_ft3": convert(reference.volume, "m3", "ft3"),
        "ref_density_lb_ft3": convert(density, "kg/m3", "lb/ft3"),
        "weight_lb": convert(bale.weight(density), "kg", "lb"),
        "ratio": bale.over(reference),
    }


def volume_ratios(i):
    reference = usual_size("round").package
    one = round_bale(i["a_width_ft"], i["a_diameter_ft"])
    other = round_bale(i["b_width_ft"], i["b_diameter_ft"])
    return {
        "a_ratio": one.over(reference),
        "b_ratio": other.over(reference),
    }


def density(i):
    found = density_of(convert(i["weight_lb"], "lb", "kg"), convert(i["volume_ft3"], "ft3", "m3"))
    return {"density_lb_ft3": convert(found, "kg/m3", "lb/ft3"), "density_kg_m3": found}


def outer(i):
    return {"fraction": rind_share_curved(radius_of(i), inches(i["layer_in"]))}


def outer_with_ends(i):
    width = inches(i["width_in"])
    return {"fraction": rind_share_with_ends(radius_of(i), width, inches(i["layer_in"]))}


def judged(i):
    package = Package("round", diameter=inches(i["diameter_in"]), width=inches(i["diameter_in"]))
    probe = Probe(inches(i["core_in"]), inches(0.5), across=i.get("tilt_deg", 0.0))
    return judge_probe(package, probe, density=100.0, outside=Outside(inches(i["rind_in"])))


def radial(i):
    found = judged(i)
    return {
        "core_share": found.core_share,
        "bale_share": found.mass_share,
        "bias_factor": found.factor,
    }


def tilted(i):
    return {"core_share": judged(i).core_share}


def axial(i):
    found = core.core_rind_share(
        feet(2.5), inches(i["rind_in"]), inches(i["core_in"]), along=i["axial_tilt_deg"]
    )
    return {"core_share": found}


def unbiased(i):
    radius = radius_of(i)
    return {
        "core_in": convert(core.length_counting_once(radius, inches(i["rind_in"])), "m", "in"),
        "thin_rind_limit_in": convert(core.length_counting_once(radius, 0.0), "m", "in"),
        "linear_gradient_in": convert(core.length_for_gradient(radius), "m", "in"),
    }


def core_grams(i):
    return core.core_mass(
        inches(i["probe_id_in"]),
        inches(i["depth_in"]),
        convert(i["density_lb_ft3"], "lb/ft3", "kg/m3"),
    )


def half_inch(i):
    package = bale_size("5x5").package
    probe = Probe(inches(i["depth_in"]), inches(i["probe_id_in"]))
    hay = convert(i["density_lb_ft3"], "lb/ft3", "kg/m3")
    found = judge_probe(package, probe, density=hay, cores=i["cores"])
    return {
        "grams_per_core": found.core_g,
        "total_grams": found.bag_g,
        "total_lb": convert(found.bag_g, "g", "lb"),
    }


def small_probe(i):
    grams = core_grams(i)
    return {"grams_per_core": grams, "cores": cores_for_mass(grams, i["target_grams"])}


def rind_bias(i):
    found = judged(i)
    return {
        "core_share": found.core_share,
        "bale_share": found.mass_share,
        "bias_units": found.bias(i["rind_minus_interior_units"], 0.0),
    }


def square_outer(i):
    sides = (inches(side) for side in i["dims_in"])
    return {"fraction": rind_share_square(*sides, inches(i["layer_in"]))}


def loose(i, **rules):
    measured = {name: feet(i[f"{name}_ft"]) for name in ("over", "width", "length")}
    return {out: convert(stack_volume(rule, measured), "m3", "ft3") for out, rule in rules.items()}


def exposed(i):
    nine = keeping.storage_loss(i["method"], 9)
    eighteen = keeping.storage_loss(i["method"], 18)
    assert i["dm_tons"] == 100
    return {
        "loss_9mo_low": nine.low,
        "loss_9mo_high": nine.high,
        "loss_18mo_low": eighteen.low,
        "loss_18mo_high": eighteen.high,
    }


def lost_value(i):
    return {"value_lost_per_ton": keeping.value_lost(i["price_per_ton"], i["loss_pct"])}


def gross_up(i):
    return {"start_tons": keeping.hay_to_start(i["needed_tons"], i["loss_pct"])}


def recovery(i):
    return {"dm_loss_pct": keeping.dm_loss_from_recovery(i["dm_recovery_g_per_kg"])}


def protein_rises(i):
    found = keeping.content_after(
        i["cp_before_pct"], i["dm_loss_pct"], i["share_of_component_lost_pct"]
    )
    return {"cp_after_pct": found}


def weight_left(i):
    kept = keeping.weight_kept(i["moisture_in_pct"], i["moisture_out_pct"], i["dm_loss_pct"])
    return {"weight_retained_pct": kept}


def net_wrap(i):
    saved = keeping.loss_saved(i["loss_twine_pct"], i["loss_mesh_pct"])
    return {"relative_reduction_pct": saved}


def degree_days(i):
    series = [convert(one, "degF", "degC") for one in i["daily_max_F"]]
    base = convert(i["base_F"], "degF", "degC")
    found = heating.heating_degree_days(series, base=base)
    return {"hdd_F": heating.in_fahrenheit_days(found)}


def moisture_flags(i):
    def under(word):
        return keeping.moisture_by("collins", i["moisture_pct"], bale_size(word).package).under

    return {
        "small_square_ok": under("small-square"),
        "large_square_ok": under("4x4x8"),
        "round_5x5_ok": under("5x5"),
        "round_4x5_ok": under("4x5"),
    }


def hot_160(i):
    at = convert(i["temperature_F"], "degF", "degC")
    california = heating.heat_action(at, method="california")
    return {
        "california_disassemble": california.take_apart,
        "california_fire_service_present": california.fire_service,
        "penn_state_check_hours": heating.heat_action(at, method="penn_state").check_hours,
        "cornell_fire_service": heating.heat_action(at, method="cornell").fire_service,
    }


def bag_variance(i):
    return closed.log_variance(
        closed.relative_variance(
            i["bales"],
            i["N_bales"],
            i["cores_per_bale"],
            i["bale_cv"],
            i["within_bale_cv"],
            i["lab_u_rel"],
        )
    )


def guarded_mean(i):
    v2, x, limit = bag_variance(i), i["composite_ppm"], i["limit_ppm"]
    z = t_quantile(TWO_SIDED, math.inf)
    upper, lower = closed.mean_bound(x, v2, z), closed.mean_bound(x, v2, -z)
    return {
        "v": error.half_width_of(v2, 1.0),
        "upper_95_ppm": upper,
        "lower_95_ppm": lower,
        "probability_over": closed.mean_over(x, v2, limit),
        "verdict": "below" if upper < limit else "above" if lower > limit else "not settled",
    }


def one_bale(i):
    v2, x = bag_variance(i), i["composite_ppm"]
    s2 = closed.log_variance(error.variance(Spread(i["bale_cv"]), Scheme(1)))
    return {
        "p95_bale_ppm": closed.bale_bound(x, v2, s2, t_quantile(0.95, math.inf)),
        "p99_bale_ppm": closed.bale_bound(x, v2, s2, t_quantile(0.99, math.inf)),
        "share_above": closed.bale_over(x, v2, s2, i["limit_ppm"]),
    }


def one_laboratory(i):
    doubt = Spread(
        i["bale_sd"],
        i["within_bale_sd"],
        repeat=i["repeatability_sd"],
        laboratory=i["between_lab_sd"],
    )
    schemes = [
        Scheme(i["bales"], i["cores_per_bale"], i["N_bales"], analyses=k) for k in i["analyses"]
    ]
    only_bias = Spread(0.0, laboratory=i["between_lab_sd"])
    return {
        "variance": [error.variance(doubt, one) for one in schemes],
        "floor_half_width_95": error.floor_half_width(only_bias, schemes[0], TWO_SIDED),
    }


CASES = {
    "lot-split-430-tons": lot_split,
    "lot-window-60h": lot_window,
    "lot-tonne-ceiling": lot_tonnes,
    "nitrate-bales-ksu-120": kansas,
    "texas-composites-110-rounds": texas,
    "german-increments-50t": german,
    "systematic-start-87-20": systematic_start,
    "stratified-allocation-20": stratified,
    "cochran-seedlings": seedlings,
    "fpc-sigma-convention-5000": population_error,
    "composite-variance-scheme-1": composite,
    "composite-variance-scheme-2": composite,
    "composite-variance-scheme-4": composite,
    "nested-anova-components": nested,
    "implied-core-sd-cp": partial(
        implied, half="half_width_pct_units", out="single_core_sd_pct_units"
    ),
    "implied-core-sd-ndf": partial(
        implied, half="half_width_pct_units", out="single_core_sd_pct_units"
    ),
    "half-width-12-cores": twelve_cores,
    "cores-with-lab-error": with_laboratory,
    "infeasible-lab-floor": laboratory_floor,
    "two-stage-variance-fpc": two_stage,
    "bales-required-fpc-lab": bales_required,
    "optimum-cores-per-bale": optimum,
    "probability-within-half-unit": within,
    "two-composites-t": two_composites,
    "critical-difference-two-results": critical,
    "sublot-weighted-mean": sublots,
    "maize-stack-seven-cores": partial(implied, half="half_width_pct_dm", out="implied_core_sd"),
    "bootstrap-ideal-se": bootstrap,
    "nitrate-sd-from-range-ksu": from_range,
    "nitrate-bales-for-20pct": bales_for_share,
    "nitrate-halfwidth-40pct": half_of_lot,
    "nitrate-share-above-5000": share_above,
    "nitrate-upper-bound-mean": upper_bound,
    "hot-bales-missed": missed,
    "bales-to-hit-hot-5pct": to_hit,
    "nitrate-prob-mean-over-limit": chance_over,
    "stein-two-stage-n": stein,
    "gy-fundamental-error": particles,
    "round-volume-weight-4x4": weight_4x4,
    "round-volume-ratio-width-vs-diameter": volume_ratios,
    "density-large-square": density,
    "outer-4in-5ft": outer,
    "outer-2in-5ft": outer,
    "outer-4in-5x5-with-ends": outer_with_ends,
    "radial-core-rind-share": radial,
    "unbiased-core-length": unbiased,
    "tilted-core-20deg": tilted,
    "axial-tilt-30deg": axial,
    "core-through-centre": tilted,
    "core-mass-half-inch": half_inch,
    "cores-for-200g-small-probe": small_probe,
    "rind-bias-digestibility": rind_bias,
    "rect-outer-layer": square_outer,
    "stack-volume-rules": partial(loose, frye_bruhn_ft3="half-difference", outlaw_ft3="outlaw"),
    "stack-volume-usda": partial(
        loose,
        flat_top_ft3="usda-flat-top",
        low_round_ft3="usda-low-round",
        high_round_ft3="usda-high-round",
    ),
    "storage-loss-exposed-ground": exposed,
    "storage-value-loss": lost_value,
    "feeding-loss-gross-up": gross_up,
    "dm-recovery-to-loss": recovery,
    "cp-rises-with-dm-loss": protein_rises,
    "weight-retained-vs-dm": weight_left,
    "net-vs-twine-reduction": net_wrap,
    "heating-degree-days": degree_days,
    "baling-moisture-flag": moisture_flags,
    "heat-action-160F": hot_160,
    "nitrate-mean-guarded-log": guarded_mean,
    "nitrate-hot-bale-log": one_bale,
    "variance-one-laboratory-floor": one_laboratory,
}
