"""Cases of the hazards beside nitrate, prussic acid and hot hay: renamed, nothing computed."""

from __future__ import annotations

from haywright.bunk.hazards import (
    copper,
    heat_damage,
    insects,
    minerals,
    moulds,
    sulfur,
    tolerable,
    water,
)
from haywright.bunk.hazards.finding import high
from haywright.bunk.ration.feed import Diet, RationFeed
from haywright.bunk.requirements.vitamins import vitamin_a_by_intake, vitamin_a_of_carotene
from haywright.gate.price import weight_at_dry_matter
from haywright.measure.units import convert
from haywright.sheet.mineral import ca_mg_equivalents, dcad_oetzel, k_equivalents
from haywright.sheet.protein import adicp_share, heat_adjusts


def tetany(i):
    k, ca, mg = i["k_percent"], i["ca_percent"], i["mg_percent"]
    found = minerals.judge_tetany(k, ca, mg)
    return {
        "k_meq_per_kg": k_equivalents(k),
        "ca_plus_mg_meq_per_kg": ca_mg_equivalents(ca, mg),
        "ratio": found.value.value,
        "over_2_2": found.level == "caution",
    }


def cation_anion(i):
    found = dcad_oetzel(*(i[f"{one}_percent"] for one in ("na", "k", "cl", "s")))
    return {"dcab_meq_per_kg": 10 * found}


def sulfur_with_water(i):
    drunk = water.water_by_weight(i["body_weight_kg"], i["temp_f"], lactating=i["lactating"])
    from_water = sulfur.water_sulfur(i["water_sulfate_mg_per_l"], drunk, i["dmi_kg"])
    total = sulfur.total_sulfur(i["feed_s_percent"], from_water)
    return {
        "water_s_percent_dmi": from_water,
        "total_s_percent_dmi": total,
        "over_0_40": sulfur.over_older_limit(total),
    }


def sulfur_limit(i):
    found = sulfur.judge_sulfur(
        i["total_s_percent_dmi"], forage_share=i["forage_percent_of_diet_dm"], water_s=0.0
    )
    return {
        "mtl_percent": sulfur.tolerated(i["forage_percent_of_diet_dm"]),
        "over_mtl": found.level == "restrict",
    }


def available_copper(i):
    s = i["s_g_per_kg"] / 10
    return {
        "true_availability": copper.copper_availability(i["mo_ppm"], s),
        "available_cu_mg_per_kg": copper.available_copper(i["cu_ppm"], i["mo_ppm"], s),
    }


def copper_supply(i):
    def fed(name, amount, unit):
        dm = i[f"{name}_dry_matter_percent"]
        feed = RationFeed(name, {"cu": i[f"{name}_cu_ppm"]}, dm=dm)
        return feed, weight_at_dry_matter(convert(amount, unit, "kg"), dm, 100)

    hay, hay_kg = fed("hay", i["hay_lb"], "lb")
    mineral, mineral_kg = fed("mineral", i["mineral_oz"], "oz")
    diet = Diet((hay, mineral), {"hay": hay_kg, "mineral": mineral_kg})
    return {"total_cu_mg": diet.supply("cu"), "diet_cu_ppm": diet.share("cu")}


def copper_to_molybdenum(i):
    found = copper.judge_copper(copper.Copper(i["diet_cu_ppm"], i["diet_mo_ppm"]))
    return {
        "cu_mo_ratio": copper.cu_to_mo(i["diet_cu_ppm"], i["diet_mo_ppm"]),
        "below_2": found.level == "restrict",
    }


def sheep_copper(i):
    cu = i["diet_cu_ppm"]
    return {
        "over_sheep_15": copper.over_sheep(cu),
        "over_cattle_40": bool(tolerable.judge_levels({"cu": cu}, table="beef-2016")),
    }


def potassium(i):
    found = tolerable.judge_levels({"k": i["diet_k_percent"]}, table="beef-2016")
    return {
        "mtl_percent": tolerable.level_of("k", table="beef-2016"),
        "over_mtl": bool(found),
        "do_not_feed": any(one.level == "stop" for one in found),
    }


def beetles(i):
    def at(end):
        return insects.lethal_beetles(
            i["body_weight_kg"], i[f"lethal_mg_per_kg_{end}"], i["mg_per_beetle"]
        )

    return {"beetles_low": at("low"), "beetles_high": at("high")}


def mould(i):
    band = moulds.mould_band(i["mould_cfu_per_g"])
    out = {"action": band["action"], "energy_factor": band["energy"]}
    if "tdn_percent" in i:
        out["tdn_discounted"] = moulds.tdn_of_mouldy(i["tdn_percent"], band["energy"])
    return out


def fumonisin(i):
    found = moulds.toxin_in_diet(
        "fumonisin",
        i["ingredient_fumonisin_ppm"],
        i["share_of_diet_percent"],
        animals=i["animal"],
    )
    return {
        "diet_fumonisin_ppm": found.diet,
        "ingredient_within_5": found.within_feed,
        "share_within_20": found.within_share,
        "diet_within_1": found.within_diet,
    }


def aflatoxin(i):
    found = moulds.judge_aflatoxin(i["aflatoxin_ppb"], feed=i["feed"], animals=i["animal"])
    return {
        "action_level_ppb": moulds.aflatoxin_level(i["feed"], i["animal"]),
        "over": found.level == "stop",
    }


def heat(i):
    adicp, cp = i["adicp_percent_dm"], i["cp_percent_dm"]
    adjusts = heat_adjusts(adicp, cp)
    assert heat_damage.judge_heat(adicp, cp).level == "caution"
    return {
        "adicp_percent_of_cp": high(adicp_share(adicp, cp)),
        "unl_adjust_over_10": adjusts["nebraska"],
        "manitoba_adjust_over_12": adjusts["manitoba"],
    }


def vitamin_a(i):
    per_kg = convert(i["iu_per_lb_dm"], "kg", "lb")
    return {"iu_per_day": vitamin_a_by_intake(per_kg, convert(i["dmi_lb"], "lb", "kg"))}


def carotene(i):
    return {"vitamin_a_iu": vitamin_a_of_carotene(i["beta_carotene_mg"])}


CASES = {
    "tetany-over": tetany,
    "tetany-under": tetany,
    "tetany-hawkes-bay-means": tetany,
    "dcab-hay": cation_anion,
    "sulfur-csu-70f": sulfur_with_water,
    "sulfur-limit-forage": sulfur_limit,
    "sulfur-limit-finishing": sulfur_limit,
    "copper-suttle-yorkshire": available_copper,
    "copper-supply-lecture": copper_supply,
    "cu-mo-ratio": copper_to_molybdenum,
    "sheep-copper-18": sheep_copper,
    "k-2-4-percent": potassium,
    "beetles-450kg": beetles,
    "mould-1-4-million": mould,
    "mould-6-million": mould,
    "fumonisin-horse-inclusion": fumonisin,
    "aflatoxin-hay-30ppb": aflatoxin,
    "heat-damage-11": heat,
    "vitamin-a-gestating": vitamin_a,
    "vitamin-a-carotene": carotene,
}
