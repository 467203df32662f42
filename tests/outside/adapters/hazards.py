"""Nitrate, prussic acid and water cases: names changed, units converted, nothing computed."""

from __future__ import annotations

from haywright.bag.adviser import AdviceQuestion, advise, by_test
from haywright.bunk.hazards import dose, prussic_acid, water
from haywright.bunk.hazards.nitrate import blend, harvest
from haywright.bunk.hazards.nitrate.ask import asked
from haywright.bunk.hazards.nitrate.lookup import says
from haywright.bunk.ration.square import pearson
from haywright.measure.basis import to_dry_matter
from haywright.measure.errors import Refused
from haywright.measure.nitrate import NitrateForm, convert_form
from haywright.measure.units import convert
from haywright.sources.guides import guide, printed_over_exact, to_no3n
from haywright.stack.heating import heat_action

N, ION, SALT = NitrateForm.NO3_N, NitrateForm.NO3, NitrateForm.KNO3


def conversions(i):
    (name, value), *_ = i.items()
    form = {"no3n": N, "no3": ION, "kno3": SALT}[next(p for p in name.split("_") if p in FORMS)]
    ppm = convert(value, "%", "ppm") if name.endswith("percent") else value
    out = {}
    for short, wanted in (("no3n", N), ("no3", ION), ("kno3", SALT)):
        there = convert_form(ppm, form, wanted)
        out |= {
            f"{short}_ppm": there,
            f"{short}_percent": convert(there, "ppm", "%"),
            f"water_{short}_mg_per_l": there,
        }
    return out


FORMS = ("no3n", "no3", "kno3")


def to_dry(i):
    value = i.get("no3_ppm_as_received", i.get("ppm_as_fed"))
    there = to_dry_matter(value, i["dry_matter_percent"])
    return {"no3_ppm_dm": there, "ppm_dm": there}


def form_missing(i):
    try:
        asked(i["nitrate"], unit=i["unit_dm"], basis="dry", animals="bred-cows")
    except Refused as error:
        found = {"measure.nitrate_form": "nitrate form not stated"}
        return {"verdict": "withheld", "reason": found[error.message.key]}
    return {"verdict": "given"}


def band_mismatch(i):
    exact = convert_form(i["no3n_ppm"], N, ION)
    return {
        "no3_ppm_exact": exact,
        "printed_over_exact": printed_over_exact(i["printed_no3_ppm"], i["no3n_ppm"], form=ION),
    }


def guide_row(i):
    no3n = to_no3n(i["nitrate"], i["unit_dm"])
    found = says(guide(i["guide_id"]), no3n, (i["animal_class"],))
    out = {"value_in_guide_unit": found.value, "guide_unit": found.guide.printed_unit}
    if found.silent:
        return out | {"max_share_of_ration_dm": "silent"}
    return out | {
        "band_from": found.row.low,
        "band_to": found.row.high,
        "class_used": found.class_used,
        "max_share_of_ration_dm": found.share,
    }


def pearson_square(i):
    found = pearson(i["target_percent"], i["low_feed_percent"], i["high_feed_percent"])
    return {
        "low_feed_share_percent": found.share_a,
        "high_feed_share_percent": found.share_b,
        "low_feed_lb_per_2000_lb": found.amounts(2000)[0],
    }


def _blend_terms(i):
    unit = "no3n_ppm" if "high_no3n_ppm" in i else "no3_percent"
    return [i[f"{name}_{unit}"] for name in ("high", "clean", "target")]


def blended(i):
    high, clean, target = _blend_terms(i)
    return {
        "max_share_high_dm": blend.share_at_target(high, clean, target),
        "lb_clean_per_lb_high_dm": blend.clean_per_high(high, clean, target),
    }


def blend_impossible(i):
    return {"feasible": bool(blend.share_at_target(*_blend_terms(i)) > 0)}


def as_fed(i):
    return {
        "share_high_as_fed": blend.share_as_fed(
            i["share_high_dm"], i["high_dry_matter_percent"], i["clean_dry_matter_percent"]
        )
    }


def guide_and_dilution(i):
    high, clean, target = _blend_terms(i)
    by_guide = says(guide(i["guide_id"]), high, (i["animal_class"],)).share
    by_mix = blend.share_at_target(high, clean, target)
    return {
        "guide_share": by_guide,
        "dilution_share": by_mix,
        "governing_share": min(by_guide, by_mix),
    }


def grain(i):
    masses = [i["hay_dm_lb"], i["grain_dm_lb"]]
    levels = [i["hay_no3n_ppm"], i["grain_no3n_ppm"]]
    return {"ration_no3n_ppm": blend.mean_nitrate(masses, levels)}


def three_feeds(i):
    return {
        "ration_no3n_ppm": blend.mean_nitrate(i["dm_lb"], i["no3n_ppm"]),
        "total_dm_lb": sum(i["dm_lb"]),
    }


def most_beside(i):
    return {
        "max_high_dm_lb": blend.most_beside(
            i["other_dm_lb"], i["other_no3n_ppm"], i["high_no3n_ppm"], i["target_no3n_ppm"]
        )
    }


def salt_dose(i):
    salt = dose.per_kilogram(i["kno3_g_per_100_lb"])
    return {
        "kno3_mg_per_kg": salt,
        "no3_mg_per_kg": convert_form(salt, SALT, ION),
        "no3n_mg_per_kg": convert_form(salt, SALT, N),
    }


def daily_dose(i):
    eaten = convert(i["dmi_lb"], "lb", "kg")
    weight = convert(i["body_weight_lb"], "lb", "kg")
    total = blend.feed_nitrate(eaten, i["ration_no3n_ppm"])
    return {
        "no3n_g_per_day": total,
        "no3n_g_per_100_lb": dose.per_hundred_pounds(total, weight),
        "no3_mg_per_kg_body_weight": dose.nitrate_per_weight(total, weight),
    }


def feed_and_water(i):
    eaten = convert(i["dmi_lb"], "lb", "kg")
    litres = convert(i["water_gal_per_day"], "gal", "L")
    from_water = blend.water_nitrate(litres, i["water_no3n_mg_per_l"])
    from_feed = blend.feed_nitrate(eaten, i["feed_no3n_ppm"])
    total = sum([from_water, from_feed])
    return {
        "water_no3n_g": from_water,
        "feed_no3n_g": from_feed,
        "total_no3n_g": total,
        "ration_equivalent_no3n_ppm": dose.ration_equivalent(total, eaten),
    }


def water_scale(i):
    level = i["water_no3n_mg_per_l"]
    found = water.water_band(level, "sdsu")
    return {
        "band": found.band,
        "band_from": found.low,
        "band_to": found.high,
        "sdsu_band": found.band,
        "over_human_limit_10_mg_per_l": water.over_household_limit(level),
    }


def water_hicks(i):
    return {
        "water_gal_per_day": water.water_hicks(
            i["max_temp_f"], i["dmi_lb"], i["precip_in"], i["dietary_salt_percent"]
        )
    }


def water_csu(i):
    weight = convert(i["body_weight_lb"], "lb", "kg")
    litres = water.water_by_weight(weight, i["temp_f"], lactating=i["lactating"])
    return {"water_l_per_day": litres, "water_gal_per_day": convert(litres, "L", "gal")}


def prussic(i):
    found = prussic_acid.judge_prussic_acid(i["hcn_ppm_as_is"], i["dry_matter_percent"])
    kansas = found.limits[0]
    return {
        "hcn_ppm_dm": found.dry,
        "over_as_is_limit_200": kansas.over_as_is,
        "over_dry_limit_500": kansas.over_dry,
    }


def frost(i):
    least, most = prussic_acid.frost_wait(i["crop"], i["height_in"], i["rule"])
    return {"min_wait_days": least, "max_wait_days": most}


def ensiled(i):
    return {
        "no3_ppm_after_high": blend.after_ensiling(i["no3_ppm_before"], i["loss_percent_low"]),
        "no3_ppm_after_low": blend.after_ensiling(i["no3_ppm_before"], i["loss_percent_high"]),
    }


def rain(i):
    days = i["days_since_drought_ending_rain"]
    return {
        "harvest_ok_uga_7_days": harvest.waited_long_enough(days, "uga"),
        "harvest_ok_illinois_5_days": harvest.waited_long_enough(days, "illinois"),
    }


def advised(i):
    form = {"dry_hay": "cured_hay", "green-chop": "green_chop"}[i["form"]]
    found = by_test(advise(AdviceQuestion(crops=(i["crop"],), events=(i["event"],), form=form)))
    tests = {one.test for one in found}
    return {name: name in tests for name in ("nitrate", "prussic_acid")}


def corn(i):
    low, high = harvest.lowest_section(i["standard_section_no3n_ppm"])
    return {"lowest_section_ppm_low": low, "lowest_section_ppm_high": high}


def hot_hay(i):
    at = convert(i["temp_f"], "degF", "degC")
    scales = {"penn_state_purdue": "penn_state", "kentucky": "kentucky", "cornell": "cornell"}
    found = {name: heat_action(at, method=scale).action for name, scale in scales.items()}
    return {**found, "temp_c": at}


CASES = {
    **dict.fromkeys(
        [
            "conv-no3n-1000-to-no3",
            "conv-wyoming-6000",
            "conv-no3-is-22.6-percent-n",
            "conv-queensland-1.5-kno3",
            "conv-sdsu-water-100",
            "conv-nsw-45000",
        ],
        conversions,
    ),
    "conv-as-received-to-dm": to_dry,
    "conv-mycotoxin-dm-ontario": to_dry,
    "unit-missing-refused": form_missing,
    "beck-band-mismatch": band_mismatch,
    **dict.fromkeys(
        [
            "clemson-1200-open",
            "clemson-1200-pregnant",
            "clemson-1-2-percent-no3-pregnant",
            "missouri-1-2-percent-no3-pregnant",
            "clemson-3800-nonpregnant",
            "clemson-4500",
            "missouri-0-55-pregnant",
            "missouri-5500ppm-nonpregnant",
            "manitoba-1600-no3n",
            "manitoba-0-45-stressed",
            "kansas-4500",
            "wyoming-7500",
            "sdsu-0-18",
            "sdsu-6000-no3",
            "nebraska-annual-grass-6000",
            "virginia-1100",
            "nsw-7000",
            "queensland-10000-no3",
            "horse-9500",
            "horse-not-cattle-guide",
            "montana-2000-no3-pregnant",
        ],
        guide_row,
    ),
    "pearson-unl-g1500": pearson_square,
    "blend-2800-300-to-1000": blended,
    "blend-manitoba-target": blended,
    "blend-impossible": blend_impossible,
    "blend-as-fed-share": as_fed,
    "blend-guide-and-dilution": guide_and_dilution,
    "blend-grain-dilution": grain,
    "blend-three-feeds": three_feeds,
    "blend-max-lb-high-with-fixed-other": most_beside,
    "dose-prewitt-30g": salt_dose,
    "dose-25lb-1500ppm-1200lb": daily_dose,
    "feed-plus-water-dry-cow-70f": feed_and_water,
    "water-sdsu-80": water_scale,
    "water-sdsu-150": water_scale,
    "water-household-warning": water_scale,
    "water-hicks-80f": water_hicks,
    "water-csu-70f": water_csu,
    "hcn-as-is-equals-dry": prussic,
    "hcn-300-asis-30dm": prussic,
    "hcn-frost-waiting-short-sudan": frost,
    "hot-hay-165-three-sources": hot_hay,
    "hot-hay-192": hot_hay,
    "ensile-georgia": ensiled,
    "rain-wait-uga": rain,
    "adviser-sorghum-sudan-drought-hay": advised,
    "adviser-sorghum-sudan-frost-greenchop": advised,
    "corn-lowest-section": corn,
}
