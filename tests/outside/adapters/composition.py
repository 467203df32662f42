"""Composition cases: names changed, units converted, nothing computed."""

from __future__ import annotations

from functools import partial

import numpy as np

from haywright.gate.price import cost_of_share, nutrient_mass
from haywright.measure.basis import AS_FED, AS_RECEIVED, DRY_MATTER, DryMatters, rebase
from haywright.measure.estimate import exact
from haywright.measure.nitrate import NitrateForm, convert_form
from haywright.measure.result import Result, Results
from haywright.measure.units import convert
from haywright.sheet import (
    carbohydrate,
    energy,
    grades,
    horse,
    indices,
    mineral,
    plausibility,
    protein,
    tdn,
    tdn_sums,
)
from haywright.sheet.energy_rows import implied_tdn, reported_energy
from haywright.sheet.working import Working

NAMES = {"ee": "fat"}


def named(inputs):
    """Inputs by dictionary name: units and bases dropped from the ends of their names."""
    out = {}
    for name, value in inputs.items():
        plain = name
        for ending in ("_pct_dm", "_pct_ndf", "_pct_om", "_pct", "_mcal_kg"):
            plain = plain.removesuffix(ending)
        out[NAMES.get(plain, plain)] = np.array(value) if isinstance(value, list) else value
    return out


def some(v, *names):
    return {name: v[name] for name in names}


def working(**values):
    return Working(Results(Result(name, exact(value), "%") for name, value in values.items()))


def rfv(i):
    v = named(i)
    return {
        "ddm_pct_dm": indices.ddm_rohweder(v["adf"]),
        "dmi_pct_bw": indices.dmi_ndf(v["ndf"]),
        "rfv": indices.rfv_rohweder(v["adf"], v["ndf"]),
    }


def timothy_nfc(i):
    v = named(i)
    return {
        "nfc_pct_dm": carbohydrate.nfc_bound_protein_once(**v),
        "nfc_simple_pct_dm": carbohydrate.nfc_whole_ndf(**some(v, "ndf", "cp", "fat", "ash")),
    }


def timothy_nsc(i):
    return {"nsc_pct_dm": carbohydrate.nsc_starch_sugar(**named(i))}


def timothy_available(i):
    cp, adicp, threshold = i.values()
    return {
        "available_cp_pct_dm": protein.cp_available(cp, adicp),
        "adicp_pct_cp": protein.adicp_share(adicp, cp),
        "adjusted_cp_pct_dm": protein.cp_adjusted_all(cp, adicp, threshold),
    }


def timothy_tdn(i):
    v = named(i)
    adf = v.pop("adf")
    return {
        "tdn1x_pct_dm": tdn_sums.tdn_nrc2001_lignin(**v),
        "tdn_from_adf_rohweder_pct_dm": tdn.tdn_manitoba(adf),
    }


def timothy_dcad(i):
    found = mineral.dcad_four_ions(**named(i))
    return {
        "dcad_meq_per_100g": found,
        "dcad_meq_per_kg": found * 10,
    }


def timothy_fractions(i):
    v = named(i)
    return {
        "hemicellulose_pct_dm": carbohydrate.hemicellulose(v["ndf"], v["adf"]),
        "cellulose_pct_dm": carbohydrate.cellulose(v["adf"], v["lignin"]),
        "ca_to_p": mineral.ca_to_p(v["ca"], v["p"]),
    }


def chain(value):
    de = energy.de_from_tdn(value)
    me = energy.me_082(de)
    return {"de": de, "me": me, "nem": energy.nem_garrett(me), "neg": energy.neg_garrett(me)}


def timothy_ne(i):
    found = chain(i["tdn_pct_dm"])
    reported = {
        name: convert(i[f"reported_{name}_mcal_lb"], "Mcal/lb", "Mcal/kg")
        for name in ("nem", "neg")
    }
    report = Results(
        [
            Result("tdn", exact(i["tdn_pct_dm"]), "%"),
            *(Result(name, exact(value), "Mcal/kg") for name, value in reported.items()),
        ]
    )
    return {
        "nem_mcal_lb": convert(found["nem"], "Mcal/kg", "Mcal/lb"),
        "neg_mcal_lb": convert(found["neg"], "Mcal/kg", "Mcal/lb"),
        "implied_tdn_from_nem_pct_dm": implied_tdn(reported["nem"]),
        "consistent": not reported_energy(Working(report)),
    }


def from_adf(i, **wanted):
    return {name: fn(i["adf_pct_dm"]) for name, fn in wanted.items()}


def nel_from_tdn(i):
    return {"nel_mcal_lb": energy.nel_nfta(i["tdn_pct_dm"])}


def nem_lb(i):
    return {"nem_mcal_lb": convert(chain(i["tdn_pct_dm"])["nem"], "Mcal/kg", "Mcal/lb")}


def western(i):
    found = tdn.tdn_western(i["adf_pct_dm"])
    return {"tdn_100_pct_dm": found, "tdn_90_pct_asfed90": tdn.tdn_at_90(found)}


def disagreement(i):
    return from_adf(
        i,
        tdn_rohweder=tdn.tdn_manitoba,
        tdn_oklahoma=tdn.tdn_oklahoma,
        tdn_western_100=tdn.tdn_western,
        tdn_western_90=lambda adf: tdn.tdn_at_90(tdn.tdn_western(adf)),
        tdn_nebraska_alfalfa=tdn.tdn_nebraska,
        tdn_pennsylvania_legume=tdn.tdn_pennsylvania_legume,
    )


def inference(i):
    fits = plausibility.fitting(
        working(adf=i["adf_pct_dm"]), i["reported_tdn_pct_dm"], within=i["match_within"]
    )
    return {"candidates": [fit.code for fit in fits if not fit.at_90]}


def tdn1x(i):
    v = named(i)
    forage = v.pop("feed_type") == "forage"
    whole = tdn_sums.tdn_nrc2001_lignin if forage else tdn_sums.tdn_nrc2001_concentrate
    ndfn = carbohydrate.ndfn_from_ndicp(v["ndf"], v["ndicp"])
    nfc = carbohydrate.nfc_from_ndfn(ndfn, v["cp"], v["fat"], v["ash"])
    of_protein = tdn_sums.td_cp_forage if forage else tdn_sums.td_cp_concentrate
    parts = {
        "tdnfc": tdn_sums.td_nfc(nfc, v["paf"]),
        "tdndf": tdn_sums.td_ndf_lignin(ndfn, v["lignin"]),
        "tdcp": of_protein(v["cp"], v["adicp"]),
        "fa": carbohydrate.fa_from_fat(v["fat"]),
    }
    return {"tdn1x_pct_dm": whole(**v), "de1x_mcal_kg_dm": energy.de_sum(**parts)}


def georgia(i, equation):
    v = named(i)
    ndfn = carbohydrate.ndfn_assumed(v["ndf"])
    common = some(v, "cp", "fat", "ash")
    return {
        "ndfn_pct_dm": ndfn,
        "nfc_pct_dm": carbohydrate.nfc_from_ndfn(ndfn, **common),
        "ndfdp_pct": tdn_sums.ndfd_in_the_cow(v["ndfd48"]),
        "tdn_pct_dm": equation(ndfn=ndfn, ndfd48=v["ndfd48"], **common),
    }


def rfq_legume(i):
    v = named(i)
    return {
        "dmi_pct_bw": indices.dmi_legume_ndfd(v["ndf"], v["ndfd48"]),
        "rfq": indices.rfq_legume(ndfn=carbohydrate.ndfn_assumed(v["ndf"]), **v),
    }


def rfq_grass(i):
    v = named(i)
    ndfn = carbohydrate.ndfn_assumed(v.pop("ndf"))
    found = tdn_sums.tdn_grass_ndfd(ndfn=ndfn, **some(v, "cp", "ndfd48", "fat", "ash"))
    return {
        "dmi_pct_bw": indices.dmi_moore_kunkle(v["cp"], v["adf"], found),
        "rfq": indices.rfq_grass(ndfn=ndfn, **v),
    }


def wisconsin_ash(i):
    v = named(i)
    ndfn = carbohydrate.ndfn_assumed(v["ndf"])
    georgia_form = tdn_sums.tdn_legume_ndfd(ndfn=ndfn, **some(v, "cp", "ndfd48", "fat", "ash"))
    return {
        "nfc_pct_dm": carbohydrate.nfc_whole_ndf(**some(v, "ndf", "cp", "fat", "ash")),
        "tdn_pct_dm": tdn_sums.tdn_wisconsin_ash(**v),
        "tdn_nfree_at_ash9_pct_dm": georgia_form[0],
    }


def external_ash(i):
    by_class = {
        "legume": carbohydrate.external_ash_legume,
        "grass": carbohydrate.external_ash_grass,
    }
    return {"external_ash_pct_dm": by_class[i["forage_class"]](i["ash_pct_dm"])}


def ndfd(i):
    v = named(i)
    return {
        "undigested_ndf_pct_dm": carbohydrate.undf_from_ivtd(v["ivtd48"]),
        "ndfd48_pct_ndf": carbohydrate.ndfd_from_ivtd(**v),
    }


def ne_table(i):
    return {f"{name}_mcal_kg": value for name, value in chain(i["tdn_pct_dm"]).items()}


def per_kg_tdn(i):
    found = chain(100 * i["tdn_kg"])
    return {"de_mcal": found["de"], "me_mcal": found["me"]}


def me_rules(i):
    de = i["de_mcal_kg"]
    return {
        "me_082": energy.me_082(de),
        "me_galyean2016": energy.me_galyean_2016(de),
        "me_hales2019": energy.me_hales_2019(de),
        "me_hales2022": energy.me_hales_2022(de),
    }


def nel_2001(i):
    mep = energy.me_production_2001(i["dep_mcal_kg"], i["ee_pct_dm"])
    return {"mep_mcal_kg": mep, "nelp_mcal_kg": energy.nel_production_2001(mep, i["ee_pct_dm"])}


def lofgreen(i):
    me = i["me_mcal_kg"]
    return {
        "f_g_per_w075": energy.lofgreen_f(me),
        "nem_mcal_kg": energy.nem_lofgreen(me),
        "neg_mcal_kg": energy.neg_lofgreen(me),
    }


def si_energy(i):
    me = i["me_mcal_kg"]
    return {
        "me_mcal_lb": convert(me, "Mcal/kg", "Mcal/lb"),
        "me_mcal_cwt": convert(me, "Mcal/kg", "Mcal/cwt"),
        "me_mj_kg": convert(me, "Mcal/kg", "MJ/kg"),
    }


def pagan(i):
    v = named(i)
    return {
        "nsc_by_difference_pct_dm": carbohydrate.nfc_whole_ndf(
            **some(v, "ndf", "cp", "fat", "ash")
        ),
        "de_kcal_kg": convert(horse.horse_de_pagan(**v), "Mcal/kg", "kcal/kg"),
    }


def tag(i):
    urea = protein.urea_of_tag(i["npn_cp_equiv_pct_asfed"])
    return {
        "natural_cp_pct_asfed": protein.natural_protein(
            i["cp_pct_asfed"], i["npn_cp_equiv_pct_asfed"]
        ),
        "urea_pct_asfed": urea,
        "urea_lb": protein.part_of_fed(i["fed_lb"], urea),
    }


def heated(i):
    cp, adicp, threshold = i.values()
    return {
        "adicp_pct_cp": protein.adicp_share(adicp, cp),
        "adjusted_cp_all_adicp_pct_dm": protein.cp_adjusted_all(cp, adicp, threshold),
        "adjusted_cp_excess_only_pct_dm": protein.cp_adjusted_excess(cp, adicp, threshold),
    }


def nitrate_as_cp(i):
    nitrogen = convert_form(i["no3_pct_dm"], NitrateForm.NO3, NitrateForm.NO3_N)
    return {
        "nitrate_n_pct_dm": nitrogen,
        "apparent_cp_pct_dm": protein.nitrate_protein(convert(nitrogen, "%", "mg/kg")),
    }


def montana(i):
    dry = DryMatters(total=i["dm_pct"])
    return {"adf_pct_asfed": rebase(i["adf_pct_dm"], DRY_MATTER, AS_RECEIVED, dry=dry)}


def to_dry(i):
    dry = DryMatters(total=i["dm_pct"])
    return {
        name.replace("_pct_asfed", "_pct_dm"): rebase(value, AS_FED, DRY_MATTER, dry=dry)
        for name, value in i.items()
        if name.endswith("_pct_asfed")
    }


def pasture(i):
    return {**to_dry(i), "dm_lb": protein.part_of_fed(i["asfed_lb"], i["dm_pct"])}


def soyhulls(i):
    dm, share = i["dm_pct"], i["tdn_pct_dm"]
    a_ton = convert(1.0, "short_ton", "lb")
    per_lb = convert(i["price_usd_ton"], "lb", "short_ton")
    return {
        "tdn_lb_per_ton": nutrient_mass(a_ton, dm, share),
        "usd_per_lb_tdn": cost_of_share(per_lb, dm, share),
    }


def grade_words(i, name):
    v = named({k: w for k, w in i.items() if k != "hay_type"})
    if "tdn_100" in v:
        v["tdn"] = v.pop("tdn_100")
    if "rfv" not in v and "adf" in v:
        v["rfv"] = indices.rfv_rohweder(v["adf"], v["ndf"])
    found = grades.grade(v, grades.scale(name, i["hay_type"]))
    words = {m: g.word for m, g in found.by_measure.items()}
    return {
        "rfv": v.get("rfv"),
        **{f"grade_by_{'tdn100' if m == 'tdn' else m}": word for m, word in words.items()},
        "all_agree": found.agree,
    }


def words(i, name, hay, measure):
    key = next(k for k in i if k.startswith(measure))
    found = grades.scale(name, hay)
    return [found.word(int(c)) for c in grades.codes(found.bands[measure], i[key])]


def plausible(i, forage_class="grass"):
    v = named({k: w for k, w in i.items() if k != "forage_class"})
    kind = i.get("forage_class", forage_class)
    flags = plausibility.check(v, forage_class=kind)
    out = {"flags": [flag.rule for flag in flags], "mineral_sum_pct_dm": mineral.mineral_sum(v)}
    if "ndf" in v:
        out["ndf_to_adf"] = carbohydrate.ndf_to_adf(v["ndf"], v["adf"])
    return out


def tetany(i):
    found = mineral.tetany_ratio(**named(i))
    return {"k_over_ca_mg": found, "warn": mineral.tetany_over(found)}


CASES = {
    "rfv-vt-alfalfa": rfv,
    "rfv-vt-grass": rfv,
    "rfv-usu-28-35": rfv,
    "rfv-anchor": rfv,
    "rfv-osu-row20": rfv,
    "report-timothy-rfv": rfv,
    "report-timothy-nfc": timothy_nfc,
    "report-timothy-nsc": timothy_nsc,
    "report-timothy-available-cp": timothy_available,
    "report-timothy-tdn": timothy_tdn,
    "report-timothy-dcad": timothy_dcad,
    "report-timothy-fractions": timothy_fractions,
    "report-timothy-ne-mismatch": timothy_ne,
    "tdn-nfta-corn-silage": partial(from_adf, tdn_pct_dm=tdn.tdn_corn_silage),
    "tdn-nfta-ear-corn": partial(
        from_adf, tdn_pct_dm=tdn.tdn_ear_corn, nel_mcal_lb=tdn.nel_ear_corn
    ),
    "tdn-nfta-shelled-corn": partial(
        from_adf, tdn_pct_dm=tdn.tdn_shelled_corn, nel_mcal_lb=tdn.nel_shelled_corn
    ),
    "nel-nfta-from-tdn": nel_from_tdn,
    "tdn-osu-adf": partial(from_adf, tdn_pct_dm=tdn.tdn_oklahoma),
    "dp-osu": lambda i: {"dcp_pct_dm": protein.dcp_oklahoma(i["cp_pct_dm"])},
    "nem-osu-poly": nem_lb,
    "tdn-manitoba": partial(from_adf, tdn_pct_dm=tdn.tdn_manitoba),
    "tdn-western-27": western,
    "tdn-western-32": western,
    "tdn-disagreement-alfalfa-35": disagreement,
    "tdn-pa-corn-silage": partial(
        from_adf,
        nel_mcal_lb=tdn.nel_pennsylvania_corn_silage,
        tdn_pct_dm=tdn.tdn_pennsylvania_corn_silage,
    ),
    "tdn-arkansas-bermuda": lambda i: {"tdn_pct_dm": tdn.tdn_arkansas_bermudagrass(**named(i))},
    "tdn-florida-ivomd": lambda i: {"tdn_pct_dm": tdn.tdn_florida_ivomd(**named(i))},
    "equation-inference": inference,
    "tdn1x-corn-silage": tdn1x,
    "tdn1x-sbm48": tdn1x,
    "tdn1x-ddgs": tdn1x,
    "tdn1x-corn": tdn1x,
    "tdn1x-midds": tdn1x,
    "tdn-summative-legume": partial(georgia, equation=tdn_sums.tdn_legume_ndfd),
    "rfq-legume": rfq_legume,
    "tdn-summative-grass": partial(georgia, equation=tdn_sums.tdn_grass_ndfd),
    "rfq-grass": rfq_grass,
    "tdn-uw-ash": wisconsin_ash,
    "ash-external": external_ash,
    "ndfd-from-ivtd": ndfd,
    "ne-tdn60": ne_table,
    "ne-tdn50": ne_table,
    "ne-tdn55": ne_table,
    "ne-tdn90": ne_table,
    "ne-tdn84": ne_table,
    "ne-tdn41": ne_table,
    "me-per-kg-tdn": per_kg_tdn,
    "me-alternatives": me_rules,
    "nel-1989": lambda i: {"nel_mcal_kg": energy.nel_1989(i["tdn_pct_dm"])},
    "nel-2001": nel_2001,
    "ne-lofgreen-garrett": lofgreen,
    "si-energy": si_energy,
    "horse-de-nrc1989": lambda i: {"de_mcal_kg": horse.horse_de_nrc1989(**named(i))},
    "horse-de-pagan": pagan,
    "cp-from-n": lambda i: {"cp_pct_dm": protein.cp_from_n(i["n_pct_dm"])},
    "urea-281": lambda i: {"cp_equivalent_pct": protein.npn_protein_equivalent(i["n_pct"])},
    "tag-32-10": tag,
    "mp-factor": lambda i: {"mp_per_cp": protein.mp_per_cp(np.array(i["rup_pct_cp"]))},
    "mcp-1996": lambda i: {"mcp_lb": protein.microbial_cp_1996(i["tdn_intake_lb"])},
    "mcp-2016": lambda i: {"mcp_g": protein.microbial_cp_2016(i["tdn_intake_g"])},
    "acp-heated": heated,
    "nitrate-as-cp": nitrate_as_cp,
    "basis-montana": montana,
    "basis-brit-oat-hay": to_dry,
    "basis-brit-brome": to_dry,
    "basis-osu-pasture": pasture,
    "tdn-per-ton-soyhulls": soyhulls,
    "grade-usda-agree": partial(grade_words, name="usda-2003"),
    "grade-usda-supreme": partial(grade_words, name="usda-2003"),
    "grade-usda-conflict": partial(grade_words, name="usda-2003"),
    "grade-usda-grass": lambda i: {"grade": words(i, "usda-2003", "grass", "cp")},
    "grade-illinois-vs-usda": lambda i: {
        "grade_illinois": words(i, "illinois", "alfalfa", "rfv"),
        "grade_usda_2003": words(i, "usda-2003", "alfalfa", "rfv"),
    },
    "grade-afgc": lambda i: {"afgc_standard": words(i, "afgc", "legume", "rfv")},
    "plaus-adf-ndf": plausible,
    "plaus-ash-minerals": plausible,
    "plaus-species": plausible,
    "tetany-ratio": tetany,
}
