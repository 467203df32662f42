"""Writes the demo's invented readings: hay that never was, worked backwards, with real noise.

The scenario is our own; nothing here is a check. The files it writes are kept in the repository,
so that the demo reads files like any office does; run it again only to change the story.
"""

from __future__ import annotations

import numpy as np

from tools.demo_ground import (
    BAGS,
    BROME,
    CHECK,
    CHECK_DM,
    CHECK_TRUTH,
    GROUND,
    LAB_DM,
    MORE,
    OATS,
    PREDICTED,
    RIDGE,
    RNG,
    SQUARES,
    SWALE,
    TRUTH,
    WRAPPED,
    check_material,
    equipment,
    grams,
    head,
    noise,
    row,
    write,
)


def dry_matter() -> None:
    day = "2026-09-14"
    rows = []
    samples = [(bag, 1) for bag in BAGS] + [(BROME, 2)]
    lab = [row("check", CHECK, **dish(CHECK_DM))]
    for bag, replicate in samples:
        kind = "duplicate" if replicate == 2 else "bag"
        rows.append(
            row(kind, bag, replicate, **wet(TRUTH[bag]["partial"], bag), **dish(LAB_DM[bag]))
        )
    write(
        f"{day}-dry-matter",
        head("dry_matter", "two_stage", day,
             choices='drying_partial = "air_60c_24h"\ndrying_lab = "oven_105c_3h"\n')
        + equipment("balance", "oven", day=day) + "\n" + check_material(lab_dm=CHECK_DM)
        + "\n[powder]\n" + "".join(f'"{bag}" = {mass}\n' for bag, mass in GROUND.items()),
        lab + rows,
    )  # fmt: skip


def wet(partial: float, bag: str) -> dict[str, str]:
    empty, fresh = RNG.uniform(12, 13), RNG.uniform(160, 200)
    sealed = fresh + RNG.uniform(1.0, 1.6)
    return {
        "bag_g": f"{empty:.2f}",
        "bag_wet_g": f"{empty + fresh:.2f}",
        "bag_dry_g": f"{empty + fresh * (partial + noise(0.08)) / 100:.2f}",
        "net_sealed_g": f"{sealed:.1f}",
        "net_received_g": f"{sealed - RNG.uniform(0.1, 0.5):.1f}",
    }


def dish(lab_dm: float) -> dict[str, str]:
    empty, powder = RNG.uniform(47, 49), RNG.uniform(1.95, 2.1)
    return {
        "dish_g": grams(empty),
        "dish_powder_g": grams(empty + powder),
        "dish_dry_g": grams(empty + powder * (lab_dm + noise(0.07)) / 100),
    }


def nitrogen() -> None:
    day, per_area, blank = "2026-09-14", 0.00211, 13.0

    def burnt(percent: float, mg: float, spread: float) -> dict[str, str]:
        area = (percent + noise(spread)) / 100 * mg / per_area + blank
        return {"sample_mg": f"{mg:.1f}", "area": f"{area:.0f}"}

    def powder(n: float, lab_dm: float) -> dict[str, str]:
        return burnt(n * lab_dm / 100, RNG.uniform(195, 210), 0.012)

    rows = [row("blank", "foil and sucrose", area=f"{blank + noise(0.8):.0f}") for _ in range(3)]
    rows += [row("standard", "EDTA", **burnt(9.586, RNG.uniform(97, 103), 0.02)) for _ in range(3)]
    rows.append(row("check", CHECK, **powder(CHECK_TRUTH["n"], CHECK_DM)))
    rows += [row("bag", bag, **powder(TRUTH[bag]["n"], LAB_DM[bag])) for bag in BAGS]
    rows.pop()  # the squares go to Kjeldahl
    rows.append(row("duplicate", WRAPPED, 2, **powder(TRUTH[WRAPPED]["n"], LAB_DM[WRAPPED])))
    rows.append(row("verification", "EDTA", **burnt(9.586, 100.4, 0.02)))
    write(
        f"{day}-nitrogen",
        head("nitrogen", "combustion", day,
             choices='compound = "edta"\npurity_pct = 99.8\nprotein_factor = 6.25\n')
        + equipment("balance", "reagent", day=day) + "\n" + check_material(cp=CHECK_TRUTH["cp"]),
        rows,
    )  # fmt: skip


def fiber(analyte: str, day: str, *, spread: float, odd: str = "", rerun: str = "") -> None:
    """One fiber by filter bag; ``odd`` is a bag whose duplicate went wrong."""
    keep = 0.9975

    def one(share: float, lab_dm: float, slip: float = 0.0) -> dict[str, str]:
        bag, sample = RNG.uniform(0.495, 0.505), RNG.uniform(0.498, 0.504)
        left = bag * keep + sample * lab_dm / 100 * (share + slip + noise(spread)) / 100
        return {"bag_g": grams(bag), "sample_g": grams(sample), "bag_dry_g": grams(left)}

    def empty() -> dict[str, str]:
        bag = RNG.uniform(0.495, 0.505)
        return {"bag_g": grams(bag), "bag_dry_g": grams(bag * (keep + noise(0.0002)))}

    bags = (odd,) if rerun else BAGS
    twice = odd or SQUARES
    rows = [row("blank", f"empty bag {i}", **empty()) for i in (1, 2)]
    rows.append(row("check", CHECK, **one(CHECK_TRUTH[analyte], CHECK_DM)))
    rows += [row("bag", bag, **one(TRUTH[bag][analyte], LAB_DM[bag])) for bag in bags]
    slip = 4.6 if odd and not rerun else 0.0
    rows.append(row("duplicate", twice, 2, **one(TRUTH[twice][analyte], LAB_DM[twice], slip)))
    more = (
        f'rerun_of = "{rerun}"\nrerun_cause = "duplicates further apart than the limit; '
        'bag not sealed at one corner"\n'
        if rerun
        else ""
    )
    write(
        f"{day}-{analyte}{'-rerun' if rerun else ''}",
        head(analyte, "filter_bag", day, more=more)
        + equipment("balance", "oven", day=day) + "\n"
        + check_material(**{analyte: CHECK_TRUTH[analyte]}),
        rows,
    )  # fmt: skip


def ash() -> None:
    day = "2026-09-14"

    def one(share: float, lab_dm: float) -> dict[str, str]:
        crucible, sample = RNG.uniform(21.5, 23), RNG.uniform(1.98, 2.03)
        left = crucible + sample * lab_dm / 100 * (share + noise(0.08)) / 100
        return {
            "crucible_g": grams(crucible),
            "sample_g": grams(sample),
            "crucible_ash_g": grams(left),
        }

    rows = [row("check", CHECK, **one(CHECK_TRUTH["ash"], CHECK_DM))]
    rows += [row("bag", bag, **one(TRUTH[bag]["ash"], LAB_DM[bag])) for bag in BAGS]
    rows.append(row("duplicate", OATS, 2, **one(TRUTH[OATS]["ash"], LAB_DM[OATS])))
    write(
        f"{day}-ash",
        head("ash", "furnace", day) + equipment("balance", "furnace", day=day) + "\n"
        + check_material(ash=CHECK_TRUTH["ash"]),
        rows,
    )  # fmt: skip


STRENGTHS = (0.5, 2.0, 5.0, 10.0, 20.0, 30.0)


def nitrate(day: str, bags: tuple[str, ...], *, dilution: float = 1.0, rerun: str = "") -> None:
    slope, start, volume = 0.0312, 0.0021, 30.0

    def peak(strength: float) -> str:
        return f"{start + slope * strength * (1 + noise(0.004)) + noise(0.0006):.4f}"

    def cup(no3n: float, lab_dm: float, weaker: float) -> dict[str, str]:
        sample = RNG.uniform(0.297, 0.304)
        extract = no3n * (1 + noise(0.015)) * lab_dm / 100 * sample / volume + 0.03
        return {
            "sample_g": grams(sample),
            "peak": peak(extract / weaker),
            "dilution": f"{weaker:g}",
        }

    rows = [
        row("standard", f"{c:g} mg/L", known_mg_per_l=f"{c:g}", peak=peak(c)) for c in STRENGTHS
    ]
    rows.append(row("blank", "method blank", peak=peak(0.03)))
    rows.append(row("verification", "second source", known_mg_per_l="8", peak=peak(8.05)))
    rows.append(row("check", CHECK, **cup(CHECK_TRUTH["no3n"], CHECK_DM, 1.0)))
    rows += [row("bag", bag, **cup(TRUTH[bag]["no3n"], LAB_DM[bag], dilution)) for bag in bags]
    if SQUARES in bags:
        rows.pop()  # the squares go to the electrode
    last = bags[0]
    rows.append(row("duplicate", last, 2, **cup(TRUTH[last]["no3n"], LAB_DM[last], dilution)))
    rows.append(row("verification", "second source", known_mg_per_l="8", peak=peak(8.02)))
    more = (
        f'rerun_of = "{rerun}"\nrerun_cause = "above the top standard; extract diluted 1 in 5"\n'
        if rerun
        else ""
    )
    write(
        f"{day}-nitrate{'-rerun' if rerun else ''}",
        head("nitrate", "flow_injection", day, more=more,
             choices='extractant = "acetic_acid_2pct"\nextract_volume_ml = 30\ncurve = "line"\nweights = "1/x"\n')
        + equipment("balance", "dispenser", "reagent", day=day) + "\n"
        + check_material(nitrate_n=CHECK_TRUTH["no3n"]),
        rows,
    )  # fmt: skip


ELEMENTS = ("ca", "p", "mg", "k", "s", "na")
MIX = {"ca": 40.0, "p": 20.0, "mg": 20.0, "k": 150.0, "s": 15.0, "na": 5.0}


def minerals() -> None:
    day, volume = "2026-09-15", 50.0

    def digest(truth: dict[str, float], lab_dm: float) -> dict[str, str]:
        sample, counts = RNG.uniform(0.498, 0.506), 10000 * (1 + noise(0.01))
        out = {"sample_g": grams(sample), "dilution": "1", "internal_counts": f"{counts:.0f}"}
        for element in ELEMENTS:
            strength = truth[element] * 100 * lab_dm * sample / volume * (1 + noise(0.012)) + 0.02
            out[f"{element}_mg_per_l"] = f"{strength * counts / 10000:.3f}"
        return out

    def blank() -> dict[str, str]:
        read = {f"{element}_mg_per_l": f"{0.02 + abs(noise(0.004)):.3f}" for element in ELEMENTS}
        return {"dilution": "1", "internal_counts": "10000", **read}

    def second_source() -> dict[str, str]:
        read = {
            f"{e}_mg_per_l": f"{strength * (1 + noise(0.008)):.3f}" for e, strength in MIX.items()
        }
        return {"dilution": "1", "internal_counts": "10000", **read}

    rows = [row("blank", "digestion blank", **blank())]
    rows.append(row("verification", "second source", **second_source()))
    rows.append(row("check", CHECK, **digest(CHECK_TRUTH, CHECK_DM)))
    rows += [row("bag", bag, **digest(TRUTH[bag], LAB_DM[bag])) for bag in BAGS]
    rows.append(row("duplicate", BROME, 2, **digest(TRUTH[BROME], LAB_DM[BROME])))
    rows.append(row("verification", "second source", **second_source()))
    mix = ", ".join(f"{element} = {strength}" for element, strength in MIX.items())
    write(
        f"{day}-minerals",
        head("minerals", "icp", day,
             choices="digest_volume_ml = 50\ninternal_reference_counts = 10000\n")
        + equipment("balance", "dispenser", "reagent", day=day) + "\n"
        + check_material(**{e: CHECK_TRUTH[e] for e in ELEMENTS})
        + f'\n[[check_material]]\nname = "second source"\nassigned = {{ {mix} }}\n',
        rows,
    )  # fmt: skip


def kjeldahl() -> None:
    day, blank, strength = "2026-09-16", 0.11, 0.1

    def flask(n: float, lab_dm: float) -> dict[str, str]:
        grams_taken = RNG.uniform(0.74, 0.77)
        mol = (n + noise(0.012)) * lab_dm / 100 * grams_taken / 1.4007
        return {"sample_g": grams(grams_taken), "acid_ml": f"{blank + mol / strength:.2f}"}

    rows = [row("blank", "reagents", acid_ml=f"{blank + noise(0.01):.2f}") for _ in range(2)]
    rows.append(row("check", CHECK, **flask(CHECK_TRUTH["n"], CHECK_DM)))
    rows += [row("bag", SQUARES, **flask(TRUTH[SQUARES]["n"], LAB_DM[SQUARES]))]
    rows.append(row("duplicate", SQUARES, 2, **flask(TRUTH[SQUARES]["n"], LAB_DM[SQUARES])))
    write(
        f"{day}-nitrogen-kjeldahl",
        head("nitrogen", "kjeldahl", day, choices="acid_normality = 0.1\nprotein_factor = 6.25\n")
        + equipment("balance", "pipette", "reagent", day=day) + "\n"
        + check_material(cp=CHECK_TRUTH["cp"]),
        rows,
    )  # fmt: skip


def bound(analyte: str, fiber_of: str) -> None:
    """Nitrogen of a fiber residue, burnt."""
    day, per_area, blank = "2026-09-17", 0.00211, 13.0

    def burnt(percent: float, mg: float) -> dict[str, str]:
        area = (percent + noise(0.01)) / 100 * mg / per_area + blank
        return {"sample_mg": f"{mg:.1f}", "area": f"{area:.0f}"}

    def residue(protein: float, share: float) -> dict[str, str]:
        return burnt(100 * protein / share / 6.25, RNG.uniform(95, 108))

    rows = [row("blank", "empty foil", area=f"{blank + noise(0.8):.0f}") for _ in range(3)]
    rows += [row("standard", "EDTA", **burnt(9.586, RNG.uniform(97, 103))) for _ in range(3)]
    for bag in MORE:
        rows.append(row("bag", bag, **residue(MORE[bag][analyte], TRUTH[bag][fiber_of])))
    rows.append(row("duplicate", BROME, 2, **residue(MORE[BROME][analyte], TRUTH[BROME][fiber_of])))
    rows.append(row("verification", "EDTA", **burnt(9.586, 100.2)))
    write(
        f"{day}-{analyte}",
        head(analyte, "combustion", day, choices='compound = "edta"\npurity_pct = 99.8\n')
        + equipment("balance", "reagent", day=day),
        rows,
    )  # fmt: skip


def lignin() -> None:
    day = "2026-09-16"

    def one(share: float, lab_dm: float) -> dict[str, str]:
        burnt_off, acid = RNG.uniform(0.99, 1.02), RNG.uniform(30.8, 31.6)
        lost = burnt_off * lab_dm / 100 * (share + noise(0.12)) / 100
        return {
            "sample_g": grams(burnt_off),
            "crucible_acid_g": grams(acid),
            "crucible_ash_g": grams(acid - lost),
        }

    rows = [row("check", CHECK, **one(CHECK_TRUTH["lignin"], CHECK_DM))]
    rows += [row("bag", bag, **one(MORE[bag]["lignin"], LAB_DM[bag])) for bag in MORE]
    rows.append(row("duplicate", SQUARES, 2, **one(MORE[SQUARES]["lignin"], LAB_DM[SQUARES])))
    write(
        f"{day}-lignin",
        head("lignin", "sulfuric", day) + equipment("balance", "oven", "furnace", day=day) + "\n"
        + check_material(lignin=CHECK_TRUTH["lignin"]),
        rows,
    )  # fmt: skip


def fat() -> None:
    day = "2026-09-16"

    def one(share: float, lab_dm: float) -> dict[str, str]:
        cup, sample = RNG.uniform(39, 41), RNG.uniform(1.97, 2.03)
        left = cup + 0.0004 + sample * lab_dm / 100 * (share + noise(0.06)) / 100
        return {"cup_g": grams(cup), "sample_g": grams(sample), "cup_fat_g": grams(left)}

    def empty() -> dict[str, str]:
        cup = RNG.uniform(39, 41)
        return {"cup_g": grams(cup), "cup_fat_g": grams(cup + 0.0004 + noise(0.0001))}

    rows = [row("blank", f"empty cup {i}", **empty()) for i in (1, 2)]
    rows.append(row("check", CHECK, **one(CHECK_TRUTH["fat"], CHECK_DM)))
    rows += [row("bag", bag, **one(MORE[bag]["fat"], LAB_DM[bag])) for bag in MORE]
    rows.append(row("duplicate", BROME, 2, **one(MORE[BROME]["fat"], LAB_DM[BROME])))
    write(
        f"{day}-fat",
        head("fat", "ether", day) + equipment("balance", "oven", "reagent", day=day) + "\n"
        + check_material(fat=CHECK_TRUTH["fat"]),
        rows,
    )  # fmt: skip


def digestibility() -> None:
    day, gain = "2026-09-18", 0.0021

    def one(left: float, lab_dm: float) -> dict[str, str]:
        crucible, sample = RNG.uniform(30.5, 31.5), RNG.uniform(0.497, 0.503)
        dry = crucible + gain + sample * lab_dm / 100 * (left + noise(0.4)) / 100
        return {
            "crucible_g": grams(crucible),
            "sample_g": grams(sample),
            "crucible_dry_g": grams(dry),
        }

    def fluid() -> dict[str, str]:
        crucible = RNG.uniform(30.5, 31.5)
        dry = crucible + gain + noise(0.0001)
        return {"crucible_g": grams(crucible), "crucible_dry_g": grams(dry)}

    rows = [row("blank", f"fluid alone {i}", **fluid()) for i in (1, 2)]
    rows.append(row("check", CHECK, **one(26.0, CHECK_DM)))
    rows += [row("bag", bag, **one(MORE[bag]["undigested"], LAB_DM[bag])) for bag in MORE]
    again = one(MORE[WRAPPED]["undigested"], LAB_DM[WRAPPED])
    rows.append(row("duplicate", WRAPPED, 2, **again))
    write(
        f"{day}-digestibility",
        head("digestibility", "tube_48h", day) + equipment("balance", "oven", day=day) + "\n"
        + f'[[check_material]]\nname = "{CHECK}"\nlab_dm_pct = {CHECK_DM}\n',
        rows,
    )  # fmt: skip


def electrode(day: str, *, slope: float, rerun: str = "") -> None:
    """Nitrate by electrode; a tired membrane gives too flat a slope, and the run is held."""
    at_one, volume = 181.0, 100.0

    def potential(strength: float) -> str:
        return f"{at_one - slope * float(np.log10(strength)) + noise(0.12):.1f}"

    def cup(no3n: float, lab_dm: float) -> dict[str, str]:
        sample = RNG.uniform(1.99, 2.02)
        return {
            "sample_g": grams(sample),
            "potential_mv": potential(no3n * lab_dm / 100 * sample / volume),
            "chloride_mg_per_l": f"{RNG.uniform(9, 11):.1f}",
        }

    rows = [
        row("standard", f"{c:g} mg/L", known_mg_per_l=f"{c:g}", potential_mv=potential(c))
        for c in (1.0, 5.0, 20.0, 50.0, 100.0)
    ]
    rows.append(row("blank", "method blank", potential_mv=potential(0.12)))
    middle = {"known_mg_per_l": "20"}
    rows.append(row("verification", "second source", **middle, potential_mv=potential(20.1)))
    rows.append(row("check", CHECK, **cup(CHECK_TRUTH["no3n"], CHECK_DM)))
    rows.append(row("bag", SQUARES, **cup(TRUTH[SQUARES]["no3n"], LAB_DM[SQUARES])))
    rows.append(row("duplicate", SQUARES, 2, **cup(TRUTH[SQUARES]["no3n"], LAB_DM[SQUARES])))
    rows.append(row("verification", "second source", **middle, potential_mv=potential(20.1)))
    more = (
        f'rerun_of = "{rerun}"\nrerun_cause = "slope of the electrode too flat; membrane changed"\n'
        if rerun
        else ""
    )
    write(
        f"{day}-nitrate-electrode{'-rerun' if rerun else ''}",
        head("nitrate_electrode", "electrode", day, more=more,
             choices='extractant = "water"\nionic_strength_adjuster = "aluminum_silver_sulfate"\nextract_volume_ml = 100\n')
        + equipment("balance", "dispenser", "reagent", day=day) + "\n"
        + check_material(nitrate_n=CHECK_TRUTH["no3n"]),
        rows,
    )  # fmt: skip


def near_infrared() -> None:
    """Predictions stand beside what was measured; they never take its place."""
    day = "2026-09-14"
    error = dict(cp=0.8, adf=1.3, ndf=1.8, lignin=0.6, ash=0.7, fat=0.3)

    def scan(read: dict[str, float]) -> dict[str, str]:
        """One scan of a packed cup; packing it again moves it little."""
        values = {f"{n}_pct": f"{one + noise(error[n] / 8):.2f}" for n, one in read.items()}
        return {
            **values,
            "global_distance": f"{RNG.uniform(0.8, 2.1):.2f}",
            "neighbor_distance": f"{RNG.uniform(0.2, 0.5):.2f}",
        }

    def predicted(bag: str) -> dict[str, float]:
        truth = {**TRUTH[bag], **MORE[bag], "cp": 6.25 * TRUTH[bag]["n"]}
        return {n: truth[n] + noise(error[n]) for n in PREDICTED}

    read = {bag: predicted(bag) for bag in MORE}
    rows = [row("check", CHECK, **scan({n: CHECK_TRUTH[n] for n in PREDICTED}))]
    rows += [row("bag", bag, **scan(read[bag])) for bag in MORE]
    rows.append(row("duplicate", BROME, 2, **scan(read[BROME])))
    scatter = "".join(
        f"\n[scatter.{n}]\nrepeat = {error[n] / 4:.2f}\nbetween_runs = {error[n]}\nbetween_runs_df = 40\nbias = {error[n] / 3:.2f}\n"
        for n in PREDICTED
    )
    write(
        f"{day}-near-infrared",
        head("near_infrared", "reflectance", day, choices='calibration = "valley hay 3"\n')
        + check_material(**{n: CHECK_TRUTH[n] for n in PREDICTED}) + scatter,
        rows,
    )  # fmt: skip


def main() -> None:
    dry_matter()
    nitrogen()
    fiber("adf", "2026-09-14", spread=0.35)
    fiber("ndf", "2026-09-14", spread=0.45, odd=RIDGE)
    fiber("ndf", "2026-09-15", spread=0.45, odd=RIDGE, rerun="2026-09-14-ndf")
    ash()
    nitrate("2026-09-14", BAGS)
    nitrate("2026-09-15", (SWALE,), dilution=5.0, rerun="2026-09-14-nitrate")
    minerals()
    kjeldahl()
    lignin()
    bound("adicp", "adf")
    bound("ndicp", "ndf")
    fat()
    digestibility()
    electrode("2026-09-16", slope=47.5)
    electrode("2026-09-17", slope=58.3, rerun="2026-09-16-nitrate-electrode")
    near_infrared()


if __name__ == "__main__":
    main()
