"""Value cases: names changed, units converted, nothing computed."""

from __future__ import annotations

from functools import partial

from haywright.bag.mass import mass_lost
from haywright.gate import delivered, need, price
from haywright.gate.compare import Offer, price_of_equal_value
from haywright.gate.money import Price, convert_mass
from haywright.gate.need import Eaters, hay_needed
from haywright.measure.units import convert
from haywright.sheet import indices, tdn
from haywright.sheet.carbohydrate import dm_from_moisture


def dollars(amount, per="short_ton"):
    return Price(amount, per)


def cost(i, nutrient, content, per="short_ton"):
    found = price.nutrient_cost(dollars(i["price_usd_per_short_ton"], per), i["dm_pct"], nutrient,
                                content=content)  # fmt: skip
    return float(found.money)


def per_pound(i):
    dry = price.price_of_dry_matter(
        dollars(i["price_usd_per_short_ton"]).to("lb").amount, i["dm_pct"]
    )
    out = {"usd_per_lb_dm": dry}
    for nutrient in ("cp", "tdn"):
        if f"{nutrient}_pct_dm" in i:
            out[f"usd_per_lb_{nutrient}"] = cost(i, nutrient, i[f"{nutrient}_pct_dm"])
    return out


def pounds_per_ton(i):
    ton = convert(1.0, "short_ton", "lb")
    return {
        "dm_lb_per_ton": price.nutrient_mass(ton, i["dm_pct"], 100.0),
        "tdn_lb_per_ton": price.nutrient_mass(ton, i["dm_pct"], i["tdn_pct_dm"]),
        **per_pound(i),
    }


def equal_price(i):
    def hay(name):
        return Offer(name, dollars(i["price_a_usd_per_ton"]), 100, {"tdn": i[f"tdn_{name}_pct"]})

    return {
        "tdn_ratio": need.replacement_factor(i["tdn_a_pct"], i["tdn_b_pct"]),
        "equivalent_price_usd_per_ton": float(
            price_of_equal_value(hay("a"), hay("b"), "tdn").amount
        ),
    }


def bale_of_tdn(i):
    per_ton = price.bale_price(i["price_usd_per_bale"], i["bale_lb"], "lb").to("short_ton")
    found = price.nutrient_cost(per_ton, 100, "tdn", content=i["tdn_pct_as_weighed"])
    return {
        "usd_per_short_ton": float(per_ton.amount),
        "tdn_lb_per_bale": price.nutrient_mass(i["bale_lb"], 100.0, i["tdn_pct_as_weighed"]),
        "usd_per_lb_tdn": float(found.money),
    }


def restated(i, amount, quoted, wanted, out):
    return {out: price.price_at_dry_matter(i[amount], quoted(i), wanted(i))}


def dry(name):
    return lambda i: dm_from_moisture(i[name])


def at(name):
    return lambda i: i[name]


def wet_feed(i):
    return {
        "usd_per_ton_dm": price.price_of_dry_matter(i["dry_price_usd_per_ton"], i["dry_dm_pct"]),
        "wet_price_usd_per_ton": price.price_at_dry_matter(
            i["dry_price_usd_per_ton"], i["dry_dm_pct"], i["wet_dm_pct"]
        ),
    }


def dry_price(i):
    return {"usd_per_ton_dm": price.price_of_dry_matter(i["price_usd_per_ton_as_is"], i["dm_pct"])}


def western(i):
    found = tdn.tdn_western(i["adf_pct_dm"])
    return {"tdn_pct_dm": found, "tdn_pct_90dm": tdn.tdn_at_90(found)}


def rfv(i):
    return {"rfv": indices.rfv_rohweder(i["adf_pct_dm"], i["ndf_pct_dm"])}


def rfv_index(i):
    return {"rfv_index": indices.rfv_index(i["lot_rfv"], i["base_rfv"])}


def per_bale(i):
    of_lb = dollars(i["price_usd_per_short_ton"]).to("lb").amount
    return {"usd_per_bale": float(price.price_of_bale(of_lb, int(i["bale_lb"])))}


def per_ton_from_bale(i):
    found = price.bale_price(i["price_usd_per_bale"], i["bale_lb"], "lb").to("short_ton")
    return {"usd_per_short_ton": float(found.amount)}


def bale_error(i):
    found = price.bale_price_range(
        i["price_usd_per_bale"], i["stated_bale_lb"], "lb", error=i["error_lb"]
    )
    return {
        "nominal_usd_per_ton": float(found.stated.to("short_ton").amount),
        "if_heavy_usd_per_ton": float(found.if_heavy.to("short_ton").amount),
        "if_light_usd_per_ton": float(found.if_light.to("short_ton").amount),
    }


def mile_rate(i):
    return {
        "usd_per_loaded_mile": delivered.rate_per_loaded_mile(
            i["freight_bill_usd"], i["loaded_miles"]
        )
    }


def haul(i, payload, **room):
    rate, miles = i["usd_per_loaded_mile"], i["loaded_miles"]
    return delivered.Haul(rate, miles, i[payload], "short_ton", **room)


def hauled(i):
    found = delivered.delivered(dollars(i["fob_usd_per_ton"]), haul(i, "tons_per_load"))
    return {
        "freight_usd_per_ton": float(found.freight.amount),
        "delivered_usd_per_ton": float(found.delivered.amount),
    }


def hauled_by_room(i):
    load = haul(
        i,
        "payload_tons",
        bales_that_fit=i["bales_that_fit"],
        bale_weight=convert(i["bale_lb"], "lb", "short_ton"),
    )
    return {
        "tons_per_load": float(load.load),
        "freight_usd_per_ton": float(load.cost("USD").amount),
    }


def eaten(i):
    found = delivered.after_losses(
        dollars(i["delivered_usd_per_ton"]),
        storage_loss=i["storage_loss_pct"],
        feeding_loss=i["feeding_loss_pct"],
    )
    return {"usd_per_ton_eaten": float(found.amount)}


def retained(i):
    found = delivered.after_losses(
        dollars(i["price_usd_per_ton"]), storage_loss=mass_lost(100.0, i["retained_pct"])
    )
    return {"usd_per_ton_remaining": float(found.amount)}


def cow_day(i):
    eaten_dry = need.dry_matter_eaten(1, i["body_lb"], i["intake_pct_bw_dm"], 1)
    as_it_stands = need.mass_from_dry_matter(eaten_dry, i["dm_pct"])
    return {"lb_dm": eaten_dry, "as_fed_lb": as_it_stands, "as_fed_lb_per_day": as_it_stands}


def herd(i):
    names = ("cows_lb_dm", "first_calf_heifers_lb_dm", "replacements_lb_dm")
    return {
        name: float(
            Eaters.by_weight(
                one["head"],
                one["body_lb"],
                unit="lb",
                intake=i["intake_pct_bw_dm"],
                days=i["days"],
            ).dry_matter("lb")
        )
        for name, one in zip(names, i["classes"], strict=True)
    }


def winter(i):
    eaters = Eaters(i["head"], i["lb_dm_per_day"], "lb", i["days"])
    found = hay_needed((eaters,), dm=i["dm_pct"], unit="short_ton", feeding_loss=i["waste_pct"])
    return {
        "lb_dm": float(eaters.dry_matter("lb")),
        "tons_dm": float(found.dry_matter),
        "tons_as_fed": float(found.eaten),
        "tons_to_have": float(found.to_have),
    }


def usable(i):
    left = need.mass_after_loss(need.weight_of_bales(i["bales"], i["bale_lb"]), i["loss_pct"])
    return {"usable_lb": left, "usable_tons": convert(left, "lb", "short_ton")}


def silage(i):
    return {"factor": need.replacement_factor(i["hay_dm_pct"], i["silage_dm_pct"])}


def tons(i):
    return {
        "short_ton_kg": float(convert_mass(i["short_tons"], "short_ton", "kg")),
        "long_ton_kg": float(convert_mass(i["long_tons"], "long_ton", "kg")),
        "tonne_kg": float(convert_mass(i["tonnes"], "tonne", "kg")),
    }


def tonne_price(i):
    return {
        "price_per_short_ton": float(dollars(i["price_per_tonne"], "tonne").to("short_ton").amount)
    }


def ton_confusion(i):
    return {"shortfall_fraction": float(price.shortfall(i["expected"], i["received"]))}


CASES = {
    "value-cost-lb-grass-hay-sdsu": per_pound,
    "value-cost-lb-tdn-ndsu-100": per_pound,
    "value-tdn-lb-per-ton-psu": pounds_per_ton,
    "value-equal-tdn-price-psu": equal_price,
    "value-bale-tdn-clemson-850": bale_of_tdn,
    "value-dm-price-unl": dry_price,
    "value-moisture-silage-alberta": partial(
        restated,
        amount="ref_price_usd_per_ton",
        quoted=dry("ref_moisture_pct"),
        wanted=dry("lot_moisture_pct"),
        out="lot_price_usd_per_ton",
    ),
    "value-moisture-hay-alberta": partial(
        restated,
        amount="ref_price_cents_per_lb",
        quoted=dry("ref_moisture_pct"),
        wanted=dry("lot_moisture_pct"),
        out="lot_price_cents_per_lb",
    ),
    "value-wet-feed-osu": wet_feed,
    "value-ams-tdn-western-29": western,
    "value-ams-rfv-top": rfv,
    "value-ams-rfv-conflict": rfv,
    "value-rfv-index-supreme": rfv_index,
    "value-rfv-index-good": rfv_index,
    "value-ton-to-bale-nc": per_bale,
    "value-bale-to-ton-nc": per_ton_from_bale,
    "value-bale-to-ton-clemson": per_ton_from_bale,
    "value-bale-tamu-1100": per_ton_from_bale,
    "value-bale-weight-error": bale_error,
    "value-freight-per-mile": mile_rate,
    "value-freight-per-ton-22t": hauled,
    "value-freight-cube-limited": hauled_by_room,
    "value-cost-per-ton-eaten": eaten,
    "value-storage-ground-purdue": retained,
    "value-need-cow-tamu-1100": cow_day,
    "value-need-cow-uw": cow_day,
    "value-need-herd-iowa": herd,
    "value-need-herd-unl": winter,
    "value-stock-kentucky": usable,
    "value-hay-silage-equivalent": silage,
    "value-units-short-ton": tons,
    "value-units-price-tonne": tonne_price,
    "value-units-ton-confusion": ton_confusion,
}
for _name in ("value-haylage-manitoba-60-50", "value-haylage-manitoba-85-45"):
    CASES[_name] = partial(
        restated,
        amount="hay_usd_per_ton",
        quoted=at("hay_dm_pct"),
        wanted=at("haylage_dm_pct"),
        out="haylage_usd_per_ton",
    )
