"""Value cases: names changed, units converted, nothing computed."""

from __future__ import annotations

from dataclasses import asdict
from functools import partial

from haywright.bag.mass import mass_lost
from haywright.gate import delivered, market, need, price, removal, selling, terms, yardstick
from haywright.gate.compare import Offer, price_of_equal_value
from haywright.gate.money import Price, convert_mass
from haywright.gate.need import Eaters, hay_needed
from haywright.gate.seal import base45, qr_capacity
from haywright.measure.units import convert
from haywright.sheet import indices, protein, tdn
from haywright.sheet.carbohydrate import dm_from_moisture
from haywright.stack import geometry, loose, packages


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


def metabolizable(i):
    return {"mp_pct_dm": protein.mp_from_cp(i["cp_pct_dm"], i["mp_fraction_of_cp"])}


def components(i):
    return {
        f"{part}_usd": yardstick.value_part(i["value_usd_per_ton"], i[f"{part}_share_pct"])
        for part in ("protein", "energy", "fibre")
    }


def petersen(i):
    def feed(name):
        return yardstick.Yardstick(
            name,
            dollars(i[f"{name}_usd_per_ton"]),
            i[f"{name}_dm_pct"],
            i[f"{name}_tdn_pct_dm"],
            i[f"{name}_cp_pct_dm"],
        )

    found = yardstick.value_by_two(
        feed("corn"),
        feed("sbm"),
        dm=i["hay_dm_pct"],
        tdn=i["hay_tdn_pct_dm"],
        cp=i["hay_cp_pct_dm"],
    )
    return {
        "usd_per_lb_tdn": float(found.tdn_price.to("lb").amount),
        "usd_per_lb_cp": float(found.cp_price.to("lb").amount),
        "corn_constant": float(found.first_share),
        "sbm_constant": float(found.second_share),
        "hay_value_usd_per_ton": float(found.value.amount),
    }


def three(i, row):
    factors = yardstick.three_factors(row)
    assert (factors.meal, factors.corn, factors.alfalfa) == (
        i["sbm_factor"],
        i["corn_factor"],
        i["alfalfa_factor"],
    )
    prices = (i["sbm_usd_per_ton"], i["corn_usd_per_ton"], i["alfalfa_usd_per_ton"])
    return {
        "value_usd_per_ton": yardstick.value_by_three(
            factors.meal, factors.corn, factors.alfalfa, *prices
        )
    }


def bushel(i):
    given = (i["corn_usd_per_bu"], i["corn_lb_per_bu"], i["feed_lb_per_bu"])
    return {
        "equivalent_usd_per_bu": yardstick.bushel_value(*given),
        "relative_value_usd_per_bu": yardstick.bushel_value(*given, i["relative_value_pct"]),
    }


def fiber_points(i):
    return {
        "price_change_usd_per_ton": market.price_change_by_fiber(
            i["adf_change_points"], i["usd_per_adf_point"]
        )
    }


def rfv_points(i):
    return {
        f"{end}_usd_per_ton": market.price_of_points(i["rfv"], i[f"usd_per_point_{end}"])
        for end in ("low", "high")
    }


def oklahoma(i):
    chosen = market.discounts_for(i["package"], weeds=i["weeds_and_grasses_pct"])
    low, high = market.discounted(dollars(i["base_usd_per_ton"]), chosen)
    return {"low_usd_per_ton": float(low.amount), "high_usd_per_ton": float(high.amount)}


def feet(i, *names):
    return [convert(i[f"{name}_ft"], "ft", "m") for name in names]


def bale_volume(i):
    width = "width" if "width_ft" in i else "length"
    volume = geometry.volume_round(*feet(i, "diameter", width))
    out = {"volume_ft3": convert(volume, "m3", "ft3")}
    if "density_lb_per_ft3" in i:
        density = convert(i["density_lb_per_ft3"], "lb/ft3", "kg/m3")
        out["weight_lb"] = convert(geometry.weight_of(volume, density), "kg", "lb")
    return out


def square_bale(i):
    volume = geometry.volume_square(*feet(i, "height", "width", "length"))
    density = convert(i["density_lb_per_ft3"], "lb/ft3", "kg/m3")
    return {"weight_lb": convert(geometry.weight_of(volume, density), "kg", "lb")}


def bale_sizes(i):
    known = geometry.volume_round(*feet(i, "ref_diameter", "ref_width"))
    other = geometry.volume_round(*feet(i, "diameter", "width"))
    out = {"volume_ratio": price.price_by_size(1.0, known, other)}
    if "ref_price_usd" in i:
        out["price_usd"] = price.price_by_size(i["ref_price_usd"], known, other)
    return out


def outer_layer(i):
    bale = packages.Package("round", diameter=convert(i["diameter_in"], "in", "m"), width=1.0)
    return {"outer_share": bale.rind_share(convert(i["layer_in"], "in", "m"))}


def lot_tons(i):
    found = packages.lot_weight_from_summary(
        convert(i["mean_bale_lb"], "lb", "short_ton"),
        convert(i["sd_bale_lb"], "lb", "short_ton"),
        n=i["bales_weighed"],
        lot_bales=i["bales_in_lot"],
    )
    return {
        "se_mean_lb": convert(found.se_mean, "short_ton", "lb"),
        "lot_tons": found.mass,
        "half_width_tons": found.half_width,
    }


def stored(i):
    handling = price.price_from_bale(i["handling_usd_per_bale"], i["bale_tons"])
    found = selling.store_or_sell(
        dollars(i["field_price_usd_per_ton"]),
        months=i["months"],
        shrink=i["shrink_pct"],
        interest=i["annual_interest_pct"],
        handling=dollars(handling),
        method={"markup": "added", "divide": "divided"}[i["shrink_mode"]],
    )
    return {"break_even_usd_per_ton": float(found.amount)}


NPK = ("n", "p2o5", "k2o")


def worth(i):
    return removal.removal_value(
        *(i[f"{one}_lb"] for one in NPK), *(i[f"{one}_usd_per_lb"] for one in NPK)
    )


def bermuda_acre(i):
    per_lb = price.bale_price(worth(i), i["hay_lb"], "lb")
    return {
        "usd_per_acre": worth(i),
        "usd_per_short_ton": float(per_lb.to("short_ton").amount),
        "usd_per_bale": float(per_lb.for_mass(i["bale_lb"], "lb")),
    }


def bermuda_bale(i):
    total = selling.bale_cost(
        i["nutrients_usd_per_bale"],
        selling.making_cost(i["baling_usd_per_bale"], moving=i["moving_usd_per_bale"]),
    )
    per_ton = price.bale_price(total, i["bale_lb"], "lb").to("short_ton")
    return {"total_usd_per_bale": total, "total_usd_per_short_ton": float(per_ton.amount)}


def urea(i):
    product = dollars(i["product_usd_per_ton"]).to("lb")
    per_lb = float(removal.fertilizer_price(float(product.amount), i["n_pct"]))
    cost = price.price_of_bale(per_lb, i["n_lb_applied"])
    return {
        "usd_per_lb_n": per_lb,
        "cost_usd": cost,
        "usd_per_ton_hay": price.price_from_bale(cost, i["tons_hay"]),
    }


def native_p(i):
    phosphorus = price.nutrient_mass(convert(1.0, "short_ton", "lb"), 100.0, i["p_pct"])
    return {"p_lb_per_ton": phosphorus, "p2o5_lb_per_ton": removal.p2o5_of(phosphorus)}


def nitrogen(i):
    n = protein.n_from_cp(
        price.nutrient_mass(convert(1.0, "short_ton", "lb"), 100.0, i["cp_pct_as_fed"])
    )
    return {
        "n_lb_per_ton": n,
        "n_available_lb_per_ton": protein.n_recovered(n, i["recovery_pct"]),
    }


def off_an_acre(i):
    return {
        f"{one}_lb": removal.taken_off(i["tons_per_acre"], i[f"{one}_lb_per_ton"])
        for one in NPK
        if f"{one}_lb_per_ton" in i
    }


def missouri_bale(i):
    making = selling.making_cost(i["baling_usd"], i["raking_usd"], i["mowing_usd"])
    return {
        "harvest_usd_per_bale": making,
        "total_usd_per_bale": selling.bale_cost(i["nutrients_usd"], making),
    }


def bermuda_break_even(i):
    one = selling.application_cost(worth(i), i["spreading_usd"])
    several, haying = i["applications"], i["haying_usd_per_acre"]
    return {
        "application_usd": one,
        "fertiliser_usd_per_acre": selling.area_cost(several, one),
        "total_usd_per_acre": selling.area_cost(several, one, haying),
        "break_even_usd_per_ton": selling.break_even(several, one, haying, i["tons_per_acre"]),
    }


def fixed_cost(i):
    return {
        "cost_usd_per_ton": selling.cost_over_acres(
            i["cost_usd_per_ton_at_base"],
            i["fixed_usd_per_acre_at_base"],
            i["base_acres"],
            i["new_acres"],
            i["tons_per_acre"],
        )
    }


def herd_saving(i):
    return {
        "difference_usd": need.herd_saving(
            i["low_usd_per_cow_day"], i["high_usd_per_cow_day"], i["cows"], i["days"]
        )
    }


def loose_stack(i, method):
    lengths = {
        name: convert(i[f"{given}_ft"], "ft", "m")
        for name, given in (
            ("over", "over"),
            ("width", "width"),
            ("width", "breadth"),
            ("length", "length"),
            ("height", "height"),
            ("eaves", "eave"),
            ("roof", "eave_to_ridge"),
        )
        if f"{given}_ft" in i
    }
    return loose.stack_volume(method, lengths)


def loose_tons(volume, feet_per_ton):
    mass = loose.loose_weight(volume, convert(feet_per_ton, "ft3/short_ton", "m3/kg"))
    return convert(mass, "kg", "short_ton")


def stack_feet(i, method):
    return {"volume_ft3": convert(loose_stack(i, method), "m3", "ft3")}


def quartermaster(i):
    volume = loose_stack(i, "quartermaster")
    return {
        "volume_ft3": convert(volume, "m3", "ft3"),
        "tons_at_400": loose_tons(volume, 400.0),
        "tons_at_420": loose_tons(volume, 420.0),
    }


def mow(i):
    volume = loose_stack(i, "mow")
    return {"tons_settled": loose_tons(volume, 400.0), "tons_new": loose_tons(volume, 500.0)}


def salt(i):
    volume = loose_stack(i, "eaves-third")
    yards = convert(convert(volume, "m3", "ft3"), "ft3", "yd3")
    stones = geometry.weight_of(yards, i["stone_per_yd3"])
    return {
        "volume_ft3": convert(volume, "m3", "ft3"),
        "volume_yd3": yards,
        "weight_stone": stones,
        "weight_lb": geometry.weight_of(stones, i["lb_per_stone"]),
    }


def weed_free_entries(i):
    return {"entry_points": terms.entry_points(i["acres"])}


def weed_free_fee(i):
    return {"fee_usd": float(terms.inspection_fee(i["acres"]))}


def laboratories(i):
    found = terms.two_laboratories(
        i["lab_a"], i["lab_b"], reproducibility_sd=i["reproducibility_sd"]
    )
    return {
        "limit": found.limit,
        "difference": found.difference,
        "acceptable": found.acceptable,
    }


def base45_text(i):
    return {"base45": base45.encode(i["text"].encode())}


def base45_bytes(i):
    return {"hex": base45.decode(i["base45"]).hex()}


def base45_length(i):
    return {"chars": base45.length(i["input_bytes"])}


def square_code(i):
    return asdict(qr_capacity.capacity(i["version"], i["error_level"]))


CASES = {
    "value-base45-ab": base45_text,
    "value-base45-hello": base45_text,
    "value-base45-max-group": base45_bytes,
    "value-base45-length": base45_length,
    "value-qr-capacity-40l": square_code,
    "value-qr-capacity-10m": square_code,
    "value-qr-capacity-1l": square_code,
    "value-mp-from-cp-osu": metabolizable,
    "value-component-split-osu": components,
    "value-petersen-2x2-alfalfa": petersen,
    "value-umn-a16-timothy-mature": partial(three, row="timothy-mature"),
    "value-umn-a16-prime-alfalfa": partial(three, row="alfalfa-prime"),
    "value-relative-oats-uky": bushel,
    "value-price-per-adf-unit": fiber_points,
    "value-price-per-rfv-point": rfv_points,
    "value-oklahoma-discounts": oklahoma,
    "value-bale-volume-5x6": bale_volume,
    "value-bale-volume-sd": bale_volume,
    "value-bale-relative-5x6": bale_sizes,
    "value-bale-relative-4wide": bale_sizes,
    "value-square-bale-3x3x8": square_bale,
    "value-outer-layer-6in": outer_layer,
    "value-lot-tons-interval": lot_tons,
    "value-store-or-sell-110-6mo": stored,
    "value-store-or-sell-100-2mo": stored,
    "value-store-or-sell-130-9mo": stored,
    "value-store-or-sell-mass-balance": stored,
    "value-npk-bermuda-acre": bermuda_acre,
    "value-npk-bermuda-total": bermuda_bale,
    "value-urea-n-price": urea,
    "value-p-lb-per-ton-native": native_p,
    "value-n-from-protein-unl": nitrogen,
    "value-npk-alfalfa-uky": off_an_acre,
    "value-pk-removal-ohio": off_an_acre,
    "value-bale-cost-missouri": missouri_bale,
    "value-breakeven-bermuda-low": bermuda_break_even,
    "value-fixed-cost-spread-missouri": fixed_cost,
    "value-hay-quality-herd-cost": herd_saving,
    "value-stack-salt": salt,
    "value-stack-quartermaster": quartermaster,
    "value-stack-half-difference": partial(stack_feet, method="half-difference"),
    "value-stack-outlaw": partial(stack_feet, method="outlaw"),
    "value-mow-tons": mow,
    "value-weedfree-entry-points-35ac": weed_free_entries,
    "value-weedfree-fee-40ac": weed_free_fee,
    "value-reproducibility-limit": laboratories,
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
