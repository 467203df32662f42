"""Feeding cases: names changed, units converted, nothing computed."""

from __future__ import annotations

from functools import partial

import numpy as np

from haywright.bunk import intake, weather
from haywright.bunk.ration import limits, square, supplements
from haywright.bunk.ration.feed import RationFeed
from haywright.bunk.ration.least_cost import NoRation, least_cost
from haywright.bunk.ration.limits import Limit
from haywright.bunk.requirements import (
    condition,
    dairy,
    gestation,
    horses,
    lactation,
    maintenance,
    minerals,
    sheep_goats,
    vitamins,
)
from haywright.bunk.requirements.density import cow_diet
from haywright.bunk.winter import feeding_out, herd_budget
from haywright.gate import need, price
from haywright.measure.errors import Refused
from haywright.measure.message import message
from haywright.measure.units import convert
from haywright.sheet.protein import npn_protein_equivalent


def kg(pounds):
    return convert(pounds, "lb", "kg")


def lb(kilograms):
    return convert(kilograms, "kg", "lb")


def per_kg(per_pound):
    """A price or a content per pound as one per kilogram."""
    return convert(per_pound, "kg", "lb")


# --- requirements


def cow_month(i):
    milk = 0.0
    if i["lactating"]:
        milk = lactation.milk_yield(
            i["peak_milk_kg_d"], i["weeks_since_calving"], i["week_of_peak"]
        )
    nursing = maintenance.lactation_factor(i["lactating"])
    composition = (i.get("milk_fat_pct", 4.0), i.get("milk_solids_not_fat_pct", 8.3))
    return {
        "nem_maintenance_mcal_d": maintenance.nem_maintenance(
            i["shrunk_mature_weight_kg"], i["breed_factor"], nursing
        ),
        "ne_milk_mcal_d": lactation.ne_milk(milk, *composition),
        "nem_pregnancy_mcal_d": gestation.nem_pregnancy(
            i["calf_birth_weight_kg"], i["days_pregnant"]
        ),
    }


def condition_energy(i):
    weight = kg(i["mature_weight_at_bcs5_lb"])
    return {"ne_mcal": condition.condition_energy(weight, i["bcs_from"], i["bcs_to"])}


def condition_days(i):
    feed = convert(i["feed_nem_mcal_per_lb"], "Mcal/lb", "Mcal/kg")
    return {"days": condition.condition_days(i["ne_needed_mcal"], kg(i["extra_feed_lb_d"]), feed)}


def condition_weight(i):
    def at(score):
        now, step = kg(i["weight_lb"]), kg(i["lb_per_score"])
        return lb(condition.weight_at_condition(now, i["bcs"], score, step))

    return {"weight_at_bcs5_lb": at(5), "weight_at_bcs6_lb": at(6)}


def cow_density(i):
    found = cow_diet(
        kg(i["shrunk_mature_weight_lb"]),
        month=i["month_since_calving"],
        peak_milk=kg(i["peak_milk_lb_d"]),
        calf_birth_weight=kg(i["calf_birth_weight_lb"]),
        conception_month=i["conception_at_month"],
        breed_factor=i["breed_factor"],
        mp_cp_share=i["mp_to_cp"],
        month_days=i["days_per_month"],
    )
    return {
        "dmi_lb_d": lb(found.dmi),
        "diet_nem_mcal_per_lb": convert(found.nem, "Mcal/kg", "Mcal/lb"),
        "cp_pct_dm": found.cp_share,
    }


def mineral_cow(i):
    ca = minerals.ca_need(i["body_weight_kg"], i["milk_kg_d"])
    p = minerals.p_need(i["body_weight_kg"], i["milk_kg_d"])
    return {
        "ca_g_d": ca,
        "p_g_d": p,
        "ca_pct_dm": minerals.share_of_dm(ca, i["dmi_kg_d"]),
        "p_pct_dm": minerals.share_of_dm(p, i["dmi_kg_d"]),
    }


def idle_horse(i):
    weight = kg(i["body_weight_lb"])
    return {
        "de_mcal_d": horses.horse_de_average(weight),
        "cp_lb_d": convert(horses.horse_cp_average(weight), "g", "lb"),
        "ca_g_d": horses.horse_ca(weight),
        "p_g_d": horses.horse_p(weight),
    }


def horse_range(i):
    weight = i["body_weight_kg"]
    return {
        "de_min_mcal": horses.horse_de_minimum(weight),
        "de_elevated_mcal": horses.horse_de_elevated(weight),
        "cp_g_d": horses.horse_cp_average(weight),
    }


def horse_1989(i):
    de = horses.horse_de_1989(i["body_weight_kg"])
    return {"de_mcal_d": de, "cp_g_d": horses.horse_cp_1989(de)}


def mare(i):
    weight, milk = i["body_weight_kg"], i["milk_kg_d"]
    return {
        "de_mcal_d": horses.mare_de(weight, milk),
        "cp_g_d": horses.mare_cp(weight, milk),
        "ca_g_d": horses.mare_ca(weight, milk, 15),
        "p_g_d": horses.mare_p(weight, milk, 15),
    }


def goat(i):
    de = sheep_goats.goat_de(sheep_goats.goat_me_maintenance(i["body_weight_kg"]))
    return {
        "tdn_lb_d": lb(sheep_goats.goat_tdn(de)),
        "cp_lb_d": convert(sheep_goats.goat_cp(de), "g", "lb"),
    }


def ewe(i):
    de = sheep_goats.sheep_de(i["tdn_kg"])
    return {
        "de_mcal": de,
        "me_mcal": sheep_goats.sheep_me(de),
        "dm_pct_bw": supplements.fed_of_weight(i["dm_kg"], i["body_weight_kg"]),
    }


def ewe_density(i):
    return {
        "tdn_pct_dm": minerals.share_of_dm(convert(i["tdn_kg"], "kg", "g"), i["dm_kg"]),
        "cp_pct_dm": minerals.share_of_dm(i["cp_g"], i["dm_kg"]),
    }


def vitamin_a(i):
    def of(rate):
        return vitamins.vitamin_a_by_weight(per_kg(i[rate]), kg(i["body_weight_lb"]))

    return {"dry_iu_d": of("iu_per_lb_dry"), "milking_iu_d": of("iu_per_lb_milking")}


def vitamin_a_mineral(i):
    eaten = convert(i["intake_oz_d"], "oz", "kg")
    return {
        "low_iu_d": vitamins.vitamin_a_supplied(eaten, per_kg(i["low_iu_lb"])),
        "high_iu_d": vitamins.vitamin_a_supplied(eaten, per_kg(i["high_iu_lb"])),
    }


# --- cold


def cold(i):
    increase = weather.cold_increase(i["lct_F"], i["effective_temperature_F"], i["pct_per_F"])
    out = {"increase_pct": increase}
    if "normal_hay_lb" in i:
        out["hay_lb"] = weather.raised_for_cold(i["normal_hay_lb"], increase)
    return out


def lower_critical(i):
    found = weather.chart_lower_critical(
        i["coat"].replace(" ", "_"), flesh=i["condition"], wet=i["wet"]
    )
    return {"lct_F": found}


def cold_by_heat_balance(i):
    surface = weather.surface(i["shrunk_weight_kg"])
    tissue = weather.tissue_insulation(i["bcs"])
    coat = weather.external_insulation(
        i["wind_kph"], i["hair_cm"], i["mud_factor"], i["hide_factor"]
    )
    insulation = sum((tissue, coat))
    heat = weather.heat_made(i["me_intake_mcal"], i["ne_product_mcal"], surface)
    critical = weather.lower_critical(insulation, heat)
    me = weather.me_cold(surface, insulation, critical, i["air_C"])
    return {
        "tissue_insulation": tissue,
        "external_insulation": coat,
        "surface_m2": surface,
        "lct_C": critical,
        "me_cold_mcal_d": me,
        "nem_cold_mcal_d": weather.nem_cold(me, i["km"]),
    }


def acclimatisation(i):
    past = i["previous_temperature_C"]
    return {
        "coefficient": maintenance.acclimatised_coefficient(past),
        "nem_mcal_d": maintenance.nem_acclimatised(i["shrunk_weight_kg"], past),
        "increase_pct": maintenance.acclimatised_increase(past),
    }


# --- intake, hay needed, waste


def forage_capacity(i):
    milking = i["stage"] == "lactating"
    found = intake.share_by_quality("hibberd-thrift", i["forage_tdn_pct"], milking=milking)
    return {"dmi_pct_bw": found}


def fiber_fill(i):
    weight, capacity = kg(i["body_weight_lb"]), i["ndf_capacity_pct_bw"]
    return {
        "max_ndf_lb_d": lb(intake.fiber_eaten(weight, capacity)),
        "max_forage_dm_lb_d": lb(intake.dmi_fiber(weight, i["forage_ndf_pct_dm"], capacity)),
    }


def intake_1984(i):
    found = intake.dmi_1984(kg(i["body_weight_lb"]), i["diet_nem_mcal_per_kg"])
    return {"dmi_lb_d": lb(found)}


def amounts_of_densities(i):
    return {
        "tdn_lb": square.supplied(i["dmi_lb"], i["tdn_pct"]),
        "cp_lb": square.supplied(i["dmi_lb"], i["cp_pct"]),
        "as_fed_lb": need.mass_from_dry_matter(i["dmi_lb"], i["feed_dm_pct"]),
    }


def as_fed_of_weight(i, dm="hay_dm_pct"):
    dmi = intake.dmi_of_weight(i["body_weight_lb"], i["dmi_pct_bw"])
    return {"dmi_lb_d": dmi, "as_fed_lb_d": need.mass_from_dry_matter(dmi, i[dm])}


def hay_for_a_cow(i):
    day = as_fed_of_weight(i)
    stored = need.mass_before_loss(day["as_fed_lb_d"], i["storage_loss_pct"])
    put_out = need.mass_before_loss(stored, i["feeding_loss_pct"])
    season = feeding_out.hay_for_days(1, put_out, i["days"])
    return {
        "dm_lb_d": day["dmi_lb_d"],
        "as_fed_lb_d": day["as_fed_lb_d"],
        "with_storage_lb_d": stored,
        "with_feeding_lb_d": put_out,
        "season_lb": season,
        "bales_a": feeding_out.bales_of(season, i["bale_a_lb"]),
        "bales_b": feeding_out.bales_of(season, i["bale_b_lb"]),
    }


def hay_by_units(i):
    total = feeding_out.hay_for_days(i["cow_units"], i["lb_per_unit_d"], i["days"])
    return {"total_lb": total, "bales": feeding_out.bales_of(total, i["bale_lb"])}


def hay_for_a_herd(i):
    dry = need.dry_matter_eaten(i["cows"], i["body_weight_lb"], i["dmi_pct_bw"], i["days"])
    fed = need.mass_from_dry_matter(dry, i["hay_dm_pct"])
    return {
        "dm_lb": dry,
        "dm_tons": convert(dry, "lb", "short_ton"),
        "as_fed_tons": convert(fed, "lb", "short_ton"),
        "with_waste_tons": convert(need.mass_before_loss(fed, i["waste_pct"]), "lb", "short_ton"),
    }


def hay_on_hand(i):
    grown = np.dot([i["cows"], i["bulls"]], [i["cow_weight_lb"], i["bull_weight_lb"]])
    hay = need.mass_after_loss(price.price_of_bale(i["bales"], i["bale_lb"]), i["loss_pct"])
    return {
        "animal_units": feeding_out.animal_units(grown, i["yearlings"], i["calves"]),
        "hay_on_hand_lb": hay,
        "hay_on_hand_tons": convert(hay, "lb", "short_ton"),
    }


def eaten_and_wasted(i):
    gone, wasted = i["disappearance_lb_dm"], i["waste_lb_dm"]
    return {
        "intake_lb_dm": feeding_out.hay_eaten(gone, wasted),
        "waste_pct": feeding_out.waste_share(gone, wasted),
    }


def waste_cost(i):
    each = feeding_out.hay_wasted(i["price_per_bale_usd"], i["waste_pct"])
    return {
        "waste_lb_per_bale": feeding_out.hay_wasted(i["bale_lb"], i["waste_pct"]),
        "waste_usd_per_bale": each,
        "waste_usd_per_month": feeding_out.saving(i["bales_per_month"], 0, each),
        "waste_usd_per_season": feeding_out.saving(i["bales_per_season"], 0, each),
    }


def bales_saved(i):
    found = feeding_out.saving(i["bales_before"], i["bales_after"], i["price_per_bale_usd"])
    return {"saving_usd": found}


# --- balancing


def gap(i):
    cp = square.supplied(i["hay_lb"], i["hay_cp_pct"])
    tdn = square.supplied(i["hay_lb"], i["hay_tdn_pct"])
    return {
        "hay_cp_lb": cp,
        "hay_tdn_lb": tdn,
        "short_cp_lb": square.short_of(i["need_cp_lb"], cp),
        "short_tdn_lb": square.short_of(i["need_tdn_lb"], tdn),
    }


def two_gaps(i):
    cp = square.feed_for_gap(i["short_cp_lb"], i["feed_cp_pct"])
    tdn = square.feed_for_gap(i["short_tdn_lb"], i["feed_tdn_pct"])
    return {"feed_lb_for_cp": cp, "feed_lb_for_tdn": tdn, "feed_lb_governing": max(cp, tdn)}


def pearson(i):
    found = square.pearson(i["target_cp_pct"], i["feed_a_cp_pct"], i["feed_b_cp_pct"])
    a, b = found.amounts(i["batch_lb"])
    return {
        "parts_a": found.parts_a,
        "parts_b": found.parts_b,
        "pct_a": found.share_a,
        "pct_b": found.share_b,
        "lb_a": a,
        "lb_b": b,
    }


def pearson_refused(i):
    try:
        square.pearson(i["target_cp_pct"], i["feed_a_cp_pct"], i["feed_b_cp_pct"])
    except Refused:
        return {"feasible": False}
    return {"feasible": True}


def two_feeds(i):
    a, b = square.mix_to_total(i["total_lb"], i["target_pct"], i["feed_a_pct"], i["feed_b_pct"])
    return {"feed_a_lb": a, "feed_b_lb": b}


def two_hays(i):
    needs = [i["need_tdn_lb"], i["need_cp_lb"]]
    hays = [[i[f"feed_{one}_{what}_pct"] / 100 for what in ("tdn", "cp")] for one in "ab"]
    a, b = square.exact_mix(needs, hays)
    return {"feed_a_lb_dm": a, "feed_b_lb_dm": b}


def stigler(i):
    foods = i["foods_per_dollar"]
    feeds = [RationFeed(name, {}, price=1.0) for name in foods]
    per_dollar = np.array(list(foods.values())).T
    asked = [
        Limit(name, message("ration.dry_matter"), held, least=least)
        for (name, least), held in zip(
            i["nutrient_minimums_per_day"].items(), per_dollar, strict=True
        )
    ]
    found = least_cost(feeds, asked)
    year = found.over(i["days"])
    return {
        "cost_usd_per_year": found.cost_over(i["days"]),
        "wheat_flour_usd": year["Wheat flour enriched"],
        "liver_usd": year["Liver beef"],
        "cabbage_usd": year["Cabbage"],
        "spinach_usd": year["Spinach"],
        "navy_beans_usd": year["Navy beans dried"],
        "foods_used": np.count_nonzero(list(year.values())),
    }


def feed_mix(i):
    feeds = [
        RationFeed(
            name,
            {"cp": 100 * one["protein"], "ndf": 100 * one["fiber"]},
            price=per_kg(one["usd_per_lb"]),
        )
        for name, one in i["feeds"].items()
    ]
    found = least_cost(
        feeds,
        [
            limits.dry_matter(feeds, least=kg(i["min_total_lb"])),
            limits.share("cp", feeds, least=100 * i["min_protein_frac"]),
            limits.share("ndf", feeds, most=100 * i["max_fiber_frac"]),
        ],
    )
    return {
        "cost_usd": found.cost,
        "corn_lb": lb(found.diet.amounts["corn"]),
        "soybean_meal_lb": lb(found.diet.amounts["soybean_meal"]),
    }


def ranch_feed(name, one, most=None):
    dm = 100 * one.get("dm_frac", 1)
    return RationFeed(
        name,
        {"tdn": 100 * one["tdn_frac_dm"], "cp": 100 * one["cp_frac_dm"]},
        dm=dm,
        price=convert(one.get("usd_per_ton_as_fed", 0), "kg", "short_ton"),
        most=None if most is None else price.weight_at_dry_matter(kg(most), dm, 100),
    )


def ranch_limits(i, feeds):
    return [
        limits.amount("tdn", feeds, least=kg(i["min_tdn_lb"])),
        limits.amount("cp", feeds, least=kg(i["min_cp_lb"])),
        limits.dry_matter(feeds, most=kg(i["max_dm_lb"])),
    ]


def ranch_ration(i):
    most = {"corn": i["max_corn_as_fed_lb"]}
    feeds = [ranch_feed(name, one, most.get(name)) for name, one in i["feeds"].items()]
    found = least_cost(feeds, ranch_limits(i, feeds))
    amounts = {f"{name}_lb_dm": lb(kg_dm) for name, kg_dm in found.diet.amounts.items()}
    return {"cost_usd_d": found.cost, **amounts}


def straw_alone(i):
    feeds = [ranch_feed(name, one) for name, one in i["feeds"].items()]
    try:
        least_cost(feeds, ranch_limits(i, feeds))
    except NoRation as error:
        short = error.short()
        return {
            "feasible": False,
            "tdn_short_lb": lb(short["tdn"]),
            "cp_short_lb": lb(short["cp"]),
        }
    return {"feasible": True}


def protein_first(i):
    return {
        "tdn_cp_ratio": supplements.tdn_to_cp(i["tdn_pct"], i["cp_pct"]),
        "protein_first": bool(supplements.protein_first(i["tdn_pct"], i["cp_pct"])),
    }


def as_fed_total(i):
    total = sum(i["feeds_lb_as_fed"])
    return {
        "total_as_fed_lb": total,
        "as_fed_pct_bw": supplements.fed_of_weight(total, i["body_weight_lb"]),
    }


# --- prices and budgets


def protein_cost(i):
    def of(one):
        per_pound = convert(i[f"{one}_usd_ton"], "lb", "short_ton")
        return price.cost_of_share(per_pound, 100, i[f"{one}_cp_pct"])

    return {"a_usd_per_lb_cp": of("a"), "b_usd_per_lb_cp": of("b")}


def corn_energy_cost(i):
    per_pound = price.price_from_bale(i["usd_per_bu"], i["lb_per_bu"])
    return {"usd_per_lb_tdn": price.cost_of_share(per_pound, i["dm_pct"], i["tdn_pct_dm"])}


def hay_energy_cost(i):
    per_pound = convert(i["usd_per_ton"], "lb", "short_ton")
    return {"usd_per_lb_tdn": price.cost_of_share(per_pound, i["dm_pct"], i["tdn_pct_dm"])}


def corn_for_hay(i):
    ton = price.price_from_bale(i["usd_per_bu"], convert(i["lb_per_bu"], "lb", "short_ton"))
    return {
        "corn_usd_ton": ton,
        "hay_breakeven_usd_ton": price.equal_value_price(
            ton, 100, 1, 100, i["energy_ratio_hay_to_corn"]
        ),
    }


def hay_by_energy(i):
    ton = convert(1, "short_ton", "lb")
    return {
        "ratio": need.replacement_factor(i["tdn_a_pct"], i["tdn_b_pct"]),
        "equivalent_price_b_usd": price.equal_value_price(
            i["price_a_usd"], 100, i["tdn_a_pct"], 100, i["tdn_b_pct"]
        ),
        "dm_lb": price.nutrient_mass(ton, i["dm_pct"], 100),
        "tdn_lb": price.nutrient_mass(ton, i["dm_pct"], i["tdn_b_pct"]),
    }


def wet_and_dry(i):
    ton = convert(1, "short_ton", "lb")
    out = {}
    for one in ("cube", "wdg"):
        out[f"{one}_dm_lb"] = price.nutrient_mass(ton, i[f"{one}_dm_pct"], 100)
        out[f"{one}_cp_lb"] = price.nutrient_mass(ton, i[f"{one}_dm_pct"], i[f"{one}_cp_pct_dm"])
    return out


def budget(i):
    found = herd_budget.herd_budget(
        i["cows"],
        cost_per_cow=i["cost_per_cow_usd"],
        weaned=i["weaned_pct"],
        calf_weight=i["calf_weight_lb"],
        price=i["price_usd_cwt"] / 100,
    )
    return {
        "calves": found.calves,
        "cost_usd": found.cost,
        "income_usd": found.income,
        "net_usd": found.net,
    }


def same(fn, output, *names):
    """One call whose inputs and output only change their names."""
    return lambda i: {output: fn(*(i[name] for name in names))}


WIND_CHILL = same(weather.wind_chill, "wind_chill_F", "air_temperature_F", "wind_mph")
FAT = same(condition.body_fat, "empty_body_fat_pct", "bcs_9pt")
MONTHS = ("01", "02", "04", "06", "08", "10", "12")

CASES = {
    **{f"ne-cow-month{month}": cow_month for month in MONTHS},
    "bcs-fat-3": FAT,
    "bcs-fat-6": FAT,
    **{
        f"bcs-energy-{one}": condition_energy
        for one in ("1200lb-2to3", "1200lb-5to6", "1400lb-3to4", "1400lb-6to7", "1100lb-4to5")
    },
    "bcs-days-alfalfa": condition_days,
    "bcs-weight": condition_weight,
    **{f"cold-{one}": cold for one in ("sdsu-dry", "sdsu-wet", "osu-dry", "osu-wet")},
    "lct-winter-thin-dry": lower_critical,
    "lct-heavy-winter-fleshy-dry": lower_critical,
    "lct-fall-average-wet": lower_critical,
    "lct-summer-thin-wet": lower_critical,
    **{f"windchill-{one}": WIND_CHILL
       for one in ("0F-10mph", "20F-20mph", "40F-15mph", "10F-30mph")},
    "windchill-shortcut": same(
        weather.wind_chill_short, "wind_chill_F", "air_temperature_F", "wind_mph"
    ),
    "intake-ht-low-dry": forage_capacity,
    "intake-ht-average-lactating": forage_capacity,
    "intake-ht-high-lactating": forage_capacity,
    "intake-ndf-1500": fiber_fill,
    "intake-nrc1984-midgest": intake_1984,
    "req-nrc1984-midgest": amounts_of_densities,
    "intake-banta-1100": as_fed_of_weight,
    "intake-uw-asfed": partial(as_fed_of_weight, dm="feed_dm_pct"),
    "hayplan-banta-1350": hay_for_a_cow,
    "hayplan-alabama-50cows": hay_by_units,
    "hayplan-unl-150cows": hay_for_a_herd,
    "hayplan-uk-animal-units": hay_on_hand,
    "hay-ring-count": same(feeding_out.rings_needed, "rings", "cows", "places_per_ring"),
    "hay-bales-saved": bales_saved,
    "waste-buskirk-ring": eaten_and_wasted,
    "waste-buskirk-trailer": eaten_and_wasted,
    "waste-cost-cone": waste_cost,
    "waste-cost-ring": waste_cost,
    "waste-ndsu-cost": same(
        feeding_out.saved_share, "saving_pct", "cost_processor_usd", "cost_cone_usd"
    ),
    "ration-afc-gap": gap,
    "ration-afc-corn": same(square.feed_for_gap, "feed_lb", "short_cp_lb", "feed_cp_pct"),
    "ration-afc-gluten": two_gaps,
    "pearson-barley-csm": pearson,
    "pearson-out-of-range": pearson_refused,
    "mix-two-feeds-total": two_feeds,
    "simultaneous-two-hays": two_hays,
    "lp-stigler": stigler,
    "lp-taha-feed": feed_mix,
    "lp-ranch-late-gestation": ranch_ration,
    "lp-infeasible-straw": straw_alone,
    "price-protein-osu2020": protein_cost,
    "price-tdn-ndsu-corn": corn_energy_cost,
    "price-tdn-ndsu-hay": hay_energy_cost,
    "price-corn-hay-equiv": corn_for_hay,
    "price-hay-psu": hay_by_energy,
    "price-wet-dry-unl": wet_and_dry,
    "urea-equivalent": lambda i: {
        f"cp_{one}_pct": npn_protein_equivalent(i[f"n_{one}_pct"]) for one in "ab"
    },
    "vita-ksu": vitamin_a,
    "vita-mineral": vitamin_a_mineral,
    "tdncp-prairie-hay": protein_first,
    "tdncp-winter-range": protein_first,
    "grain-cap-half-pct": same(
        supplements.grain_cap, "max_grain_lb_d", "body_weight_lb", "max_grain_pct_bw"
    ),
    "ration-manitoba-mid": as_fed_total,
    **{f"cow-density-1200-20-m{month}": cow_density for month in ("01", "04", "07", "10", "12")},
    "mineral-cow-nrc": mineral_cow,
    "cold-nrc-equation": cold_by_heat_balance,
    "acclimatisation": acclimatisation,
    "horse-maint-1000": idle_horse,
    "horse-maint-1100": idle_horse,
    "horse-500kg-range": horse_range,
    "horse-nrc1989-maint": horse_1989,
    "horse-lactation-500": mare,
    "goat-maint-20kg": goat,
    "goat-maint-50kg": goat,
    "goat-maint-70kg": goat,
    "sheep-70-maint": ewe,
    "sheep-70-early-gest": ewe_density,
    "dairy-dry-dmi": same(
        dairy.dairy_dmi_dry, "dmi_kg_d", "body_weight_kg", "days_pregnant"
    ),
    "budget-sdsu-2016": budget,
}  # fmt: skip
