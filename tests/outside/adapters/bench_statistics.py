"""Bench cases of statistics and quality control: names changed, nothing computed."""

from __future__ import annotations

from itertools import islice

import numpy as np

from haywright.bench import (
    charts,
    compare,
    conformity,
    limits,
    outliers,
    permitted,
    precision,
    proficiency,
    robust,
    topdown,
)
from haywright.bench.calibration import calibrate
from haywright.bench.run_lengths import run_length
from haywright.measure.estimate import Estimate, Source
from haywright.measure.register import apply


def univariate(i):
    found = precision.summary(i["x"])
    return {"mean": found.mean, "sd": found.sd}


def constructed(i):
    made = i["construct"]
    values = [made["first"], *(v for _ in range(made["pairs"]) for v in made["then_pairs"])]
    found = precision.summary(values)
    return {"n": found.n, "mean": found.mean, "sd": found.sd}


def anova(i):
    found = precision.one_way(i["groups"])
    return {
        "ss_between": found.ss_between,
        "ss_within": found.ss_within,
        "f": found.f,
        "residual_sd": found.residual_sd,
    }


def din(i):
    curve = calibrate(i["x"], i["y"])
    alpha, m = i["alpha"], i["m_replicates"]
    return {
        "slope": curve.coefficients[1],
        "intercept": curve.coefficients[0],
        "residual_sd": curve.fit.s,
        "critical_value": limits.critical_of_curve(curve, alpha=alpha, readings=m).value,
        "detection_limit": limits.detection_of_curve(curve, alpha=alpha, readings=m).value,
        "quantification_limit": limits.quantification_of_curve(
            curve, alpha=alpha, k=i["k"], readings=m
        ).value,
    }


def mdl_t(i):
    return {"t": [limits.student_t(n) for n in i["n"]]}


def mdl_pooled(i):
    sets = i["s_first"], i["n_first"], i["s_second"], i["n_second"]
    count = sum((i["n_first"], i["n_second"], -1))
    return {
        "t": limits.student_t(count),
        "s_pooled": limits.pooled_sd(*sets),
        "mdl": limits.mdl_pooled(*sets).value,
    }


def mdl_rev2(i):
    found = limits.method_detection_limit(i["spikes_mg_per_l"], i["blanks_mg_per_l"])
    return {"mdl_s": found.of_spikes, "mdl_b": found.of_blanks, "mdl": found.value}


def horrat(i):
    from haywright.bench.scatter import horwitz

    ratio = precision.horrat(i["rsd_r_found_pct"], i["mass_fraction"])
    return {
        "prsd_r_pct": horwitz(i["mass_fraction"]),
        "horrat": ratio,
        "acceptable": precision.horrat_usual(ratio),
    }


def two_laboratories(i):
    found = compare.laboratories(
        i["mean_lab1"], i["mean_lab2"], s_r=i["s_r"], s_R=i["s_R"], n1=i["n1"], n2=i["n2"]
    )
    return {
        "r": found.r,
        "R": found.R,
        "critical_difference": found.allowed,
        "labs_agree": found.agree,
    }


def glucose(i):
    found = precision.interlaboratory(i["lab_results"])
    return {
        "mean": found.mean,
        "s_xbar": found.s_xbar,
        "s_r": found.within,
        "s_R": found.both,
        "r": found.repeatability_limit,
        "R": found.reproducibility_limit,
    }


def creosote(i):
    mean_4, sd_4 = next(islice(robust.algorithm_a_steps(i["x"]), 3, None))
    found = robust.algorithm_a(i["x"])
    return {
        "mean_after_4_iterations": mean_4,
        "sd_after_4_iterations": sd_4,
        "mean_converged": found.mean,
        "sd_converged": found.sd,
    }


def grubbs(i):
    found = outliers.grubbs(i["x"], alpha=i["alpha"], sides=i["sides"])
    return {"g": found.statistic, "critical": found.critical, "outlier": found.outlying}


def grubbs_table(i):
    return {
        f"g_{name}": [outliers.grubbs_critical(n, alpha=alpha) for n in i["n"]]
        for name, alpha in (("5pct", 0.05), ("1pct", 0.01))
    }


def dixon(i):
    at = {
        name: outliers.dixon(i["x"], alpha=alpha, spans=(1, 0))
        for name, alpha in (("90", 0.10), ("95", 0.05))
    }
    return {
        "q": at["90"].statistic,
        **{f"critical_{name}": one.critical for name, one in at.items()},
        **{f"outlier_at_{name}": one.outlying for name, one in at.items()},
    }


def cochran(i):
    both = list(zip(i["p"], i["n"], strict=True))
    return {
        f"c_{name}": [outliers.cochran_critical(p, n, alpha=alpha) for p, n in both]
        for name, alpha in (("5pct", 0.05), ("1pct", 0.01))
    }


def homogeneity(i):
    factors = [proficiency.homogeneity_factors(m) for m in i["m"]]
    return {"f1": [f1 for f1, _ in factors], "f2": [f2 for _, f2 in factors]}


def scores(i):
    x, assigned, u, u_assigned = i["x"], i["assigned"], i["u_x"], i["u_assigned"]
    z = proficiency.z_score(x, assigned, i["sigma_pt"])
    zeta = proficiency.zeta_score(x, assigned, u, u_assigned)
    doubled = topdown.TopDown(u, 0.0).expanded, topdown.TopDown(u_assigned, 0.0).expanded
    en = proficiency.en_number(x, assigned, *doubled)
    return {
        "z": z,
        "z_prime": proficiency.z_prime_score(x, assigned, i["sigma_pt"], u_assigned),
        "zeta": zeta,
        "en": en,
        "z_class": proficiency.call(z).value,
        "zeta_class": proficiency.call(zeta).value,
        "en_class": proficiency.call_en(en).value,
    }


def run_lengths(i):
    sets = {"3sigma": "action_limits", "western_electric": "western_electric"}
    return {
        f"arl_{name}": run_length(charts.rule_set(one).rules, shift=i["shift_sigma"])
        for name, one in sets.items()
    }


def false_alarms(i):
    return {
        "p_1_2s": [charts.false_alarm(n, 2.0) for n in i["n"]],
        "p_1_3s": [charts.false_alarm(n, 3.0) for n in i["n"]],
        "p_r4s_range_over_4s": charts.false_range(),
        "p_r4s_one_above_plus2s_other_below_minus2s": charts.false_spread(),
    }


def series(i):
    one = charts.Chart(0.0, 1.0, len(i["z"]))
    fired = charts.judged(i["z"], one, charts.rule_set("western_electric"))
    fired |= charts.judged(i["z"], one, charts.rule_set("multi_rule"))
    names = {
        "we_rule1": "one_beyond_3",
        "we_rule2_2of3": "two_of_three_beyond_2",
        "we_rule3_4of5": "four_of_five_beyond_1",
        "we_rule4_8_one_side": "eight_on_a_side",
        "rule_2_2s": "two_beyond_2",
    }
    return {key: fired[rule] for key, rule in names.items()}


def shewhart(i):
    one = charts.Chart(i["mean"], i["s"], charts.LEAST_RUNS)
    pairs = charts.range_chart(i["mean_range"])
    return {
        "lwl": one.warning[0],
        "uwl": one.warning[1],
        "lal": one.action[0],
        "ual": one.action[1],
        "s_r": pairs.repeat_sd,
        "range_uwl": pairs.warning,
        "range_ual": pairs.action,
    }


def aafco(i):
    guarantee = i["guarantee_pct"]
    variation = permitted.aafco_variation("protein", guarantee)
    lowest = permitted.lowest_passing(guarantee, variation)
    return {
        "av_relative_pct": variation,
        "av_abs_pct": float(np.subtract(guarantee, lowest)),
        "lowest_passing_pct": lowest,
    }


def nevada(i):
    return {
        "protein_tolerance_abs": permitted.nevada_tolerance("protein", i["protein_pct"]),
        "fibre_tolerance_abs": permitted.nevada_tolerance("fiber", i["fibre_pct"]),
        "calcium_tolerance_abs": permitted.nevada_tolerance("ca", i["calcium_pct"]),
    }


def estimate(value, **parts):
    return Estimate.of(value, {Source(name): u for name, u in parts.items()})


def made_up(i):
    volume = estimate(
        i["v_ml"],
        flask=topdown.triangular(i["flask_half_width_triangular_ml"]),
        filling=i["fill_sd_ml"],
        temperature=topdown.rectangular(i["temperature_half_width_rectangular_ml"]),
    )
    purity = estimate(i["purity"], purity=topdown.rectangular(i["purity_half_width"]))
    mass = estimate(i["m_mg"], mass=i["u_m_mg"])
    c = apply(topdown.standard_made_up, {"mass_mg": mass, "purity": purity, "volume_ml": volume})
    return {
        "c_mg_per_l": c.value,
        "u_v_ml": volume.u,
        "u_c_mg_per_l": c.u,
        "U_k2_mg_per_l": topdown.TopDown(c.u, 0.0).expanded,
    }


def titrant(i):
    linearity = topdown.rectangular(i["balance_linearity_half_width_g"])
    mass = estimate(i["m_khp_g"], tare=linearity, gross=linearity)
    names = ("carbon", "hydrogen", "oxygen", "potassium")
    atoms = {
        name: estimate(i[f"m_{short}"], **{name: topdown.rectangular(half)})
        for name, short, half in zip(names, "chok", i["half_widths_c_h_o_k"], strict=True)
    }
    molar = apply(topdown.phthalate_molar_mass, atoms)
    volume = estimate(
        i["v_t_ml"],
        burette=topdown.triangular(i["burette_half_width_triangular_ml"]),
        temperature=i["u_v_temperature_ml"],
    )
    c = apply(
        topdown.titrant_strength,
        {
            "mass_g": mass,
            "purity": estimate(i["purity"], pure=topdown.rectangular(i["purity_half_width"])),
            "molar_mass": molar,
            "titrant_ml": volume,
            "repeatability": estimate(1.0, repeat=i["repeatability_rel"]),
        },
    )
    return {
        "c_mol_per_l": c.value,
        "u_c_mol_per_l": c.u,
        "u_m_g": mass.u,
        "u_v_ml": volume.u,
        "molar_mass": molar.value,
    }


def lettuce(i):
    found = precision.duplicate_method(i["nitrate_mg_per_kg"])
    return {
        "mean": found.mean,
        "s_analysis": found.s_analysis,
        "s_sampling": found.s_sampling,
        "s_between_target": found.s_target,
        "s_total": found.total,
        "s_measurement": found.measurement,
        "U_measurement_pct": found.expanded_pct,
    }


def ammonium(i):
    found = topdown.from_chart(i["control_limit_2s_pct"], i["rms_bias_pct"], i["u_cref_pct"])
    return {
        "u_rw_pct": found.within,
        "u_bias_pct": found.bias,
        "u_c_pct": found.u,
        "U_pct": found.expanded,
    }


def recoveries(i):
    found = topdown.from_recoveries(
        i["recoveries_pct"],
        u_concentration=i["u_spike_concentration_pct"],
        volume_half_width=i["spike_volume_half_width_rectangular_pct"],
        volume_repeatability=i["spike_volume_repeatability_pct"],
    )
    return {
        "rms_bias_pct": found.rms_bias,
        "u_volume_pct": found.u_volume,
        "u_crecovery_pct": found.u_recovery,
        "u_bias_pct": found.u_bias,
    }


def crude_fiber(i):
    found = topdown.TopDown(i["s_R_pct"], i["u_drying_pct"])
    return {"u_c_pct": found.u, "U_pct": found.expanded}


def conforming(i):
    return {"p_conform": conformity.chance_below(i["y"], i["u"], i["upper_limit"])}


def guarded(i):
    limit, u = i["limit_mg_per_kg"], i["u_rel"]
    found = [conformity.guarded(y, limit, u_relative=u) for y in i["y_mg_per_kg"]]
    return {
        "acceptance_limit_mg_per_kg": found[0].acceptance,
        "rejection_limit_mg_per_kg": found[0].rejection,
        "verdict": [one.standing.value for one in found],
    }


def lot(i):
    u = precision.lot_uncertainty(
        i["s_core_pct"], i["n_cores"], i["s_subsample_pct"], i["n_subsamples"], i["s_R_pct"]
    )
    return {"u_pct": u, "U_pct": topdown.TopDown(u, 0.0).expanded}


def near_infrared(i):
    found = compare.prediction_bias(i["mean_difference"], i["sd_of_differences"], i["n"])
    return {"bias_limit": found.limit, "bias_is_real": found.real}


CASES = {
    "strd-mavro": univariate,
    "strd-michelso": univariate,
    "strd-numacc1": univariate,
    "strd-numacc3": constructed,
    "strd-sirstv-anova": anova,
    "din32645-critical-detection-quantification": din,
    "mdl-student-t-table": mdl_t,
    "mdl-pooled-14-aliquots": mdl_pooled,
    "mdl-rev2-spikes-and-blanks": mdl_rev2,
    "horrat": horrat,
    "two-labs-critical-difference": two_laboratories,
    "e691-glucose-A": glucose,
    "e691-glucose-D": glucose,
    "algorithm-a-creosote": creosote,
    "grubbs-uranium": grubbs,
    "grubbs-critical-two-sided": grubbs_table,
    "dixon-ten-values": dixon,
    "cochran-critical": cochran,
    "homogeneity-factors": homogeneity,
    "proficiency-scores": scores,
    "run-rule-arl-in-control": run_lengths,
    "run-rule-arl-shift-2": run_lengths,
    "multirule-false-rejection": false_alarms,
    "run-rules-on-a-series": series,
    "shewhart-limits-and-range-chart": shewhart,
    "aafco-av-protein": aafco,
    "nevada-tolerance-protein-fibre": nevada,
    "quam-a1-cadmium-standard": made_up,
    "quam-a2-sodium-hydroxide": titrant,
    "ufs-a1-nitrate-lettuce": lettuce,
    "nordtest-ammonium-top-down": ammonium,
    "nordtest-bias-from-recoveries": recoveries,
    "quam-a6-crude-fibre": crude_fiber,
    "jcgm106-one-sided-conformance": conforming,
    "guarded-acceptance-nitrate": guarded,
    "sampling-plus-analysis": lot,
    "nir-bias-against-wet-chemistry": near_infrared,
}
