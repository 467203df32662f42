"""The quantities a sheet derives, each with its published methods in order of preference."""

from __future__ import annotations

from haywright.measure.errors import UnknownName
from haywright.sheet import carbohydrate, energy, horse, indices, mineral, protein, tdn, tdn_sums
from haywright.sheet.method import Family, method

TDN = Family(
    "tdn",
    (
        method("georgia-legume", tdn_sums.tdn_legume_ndfd, "S2"),
        method("georgia-grass", tdn_sums.tdn_grass_ndfd, "S3"),
        method("corn-silage", tdn.tdn_corn_silage, "T3", guarded=True),
        method("oklahoma", tdn.tdn_oklahoma, "T2", guarded=True),
        method("manitoba", tdn.tdn_manitoba, "T1", guarded=True),
        method("western", tdn.tdn_western, "T5", guarded=True),
        method("wisconsin-ash", tdn_sums.tdn_wisconsin_ash, "S4"),
        method("nrc2001", tdn_sums.tdn_nrc2001_lignin, "S1"),
        method("nrc2001-ndfd", tdn_sums.tdn_nrc2001_ndfd, "S1"),
        method("nrc2001-concentrate", tdn_sums.tdn_nrc2001_concentrate, "S1"),
        method("nebraska", tdn.tdn_nebraska, "T6", guarded=True),
        method("pennsylvania-legume", tdn.tdn_pennsylvania_legume, "T7", guarded=True),
        method("pennsylvania-grass", tdn.tdn_pennsylvania_grass, "T7", guarded=True),
        method("pennsylvania-corn-silage", tdn.tdn_pennsylvania_corn_silage, "T7", guarded=True),
        method("pennsylvania-small-grain", tdn.tdn_pennsylvania_small_grain, "T7", guarded=True),
        method("arkansas", tdn.tdn_arkansas_bermudagrass, "T8", guarded=True),
        method("florida", tdn.tdn_florida_ivomd, "T9"),
        method("minnesota", tdn.tdn_from_nel_minnesota, "T10", reported=True),
        method("ear-corn", tdn.tdn_ear_corn, "T4a"),
        method("shelled-corn", tdn.tdn_shelled_corn, "T4b"),
    ),
)

_OTHERS = (
    Family("dm", (method("moisture", carbohydrate.dm_from_moisture),)),
    Family("om", (method("ash", carbohydrate.om_from_ash),)),
    Family("cp", (method("nitrogen", protein.cp_from_n),)),
    Family(
        "ndfn",
        (
            method("measured", carbohydrate.ndfn_from_ndicp),
            method("assumed", carbohydrate.ndfn_assumed),
        ),
    ),
    Family("ndfd48", (method("ivtd", carbohydrate.ndfd_from_ivtd),)),
    Family("undf", (method("ivtd", carbohydrate.undf_from_ivtd),)),
    Family("dndf", (method("ndfd", carbohydrate.digested_ndf),)),
    Family("hemicellulose", (method("difference", carbohydrate.hemicellulose),)),
    Family("cellulose", (method("difference", carbohydrate.cellulose),)),
    Family(
        "nfc",
        (
            method("bound-protein-once", carbohydrate.nfc_bound_protein_once),
            method("whole-ndf", carbohydrate.nfc_whole_ndf),
            method("bound-protein-assumed", carbohydrate.nfc_from_ndfn),
        ),
    ),
    Family(
        "nsc",
        (
            method("starch-wsc", carbohydrate.nsc_starch_wsc),
            method("starch-sugar", carbohydrate.nsc_starch_sugar),
            method("starch-esc", carbohydrate.nsc_starch_esc),
        ),
    ),
    Family("fructan", (method("difference", carbohydrate.fructan),)),
    Family(
        "external_ash",
        (
            method("legume", carbohydrate.external_ash_legume),
            method("grass", carbohydrate.external_ash_grass),
        ),
    ),
    Family("tdn_90", (method("nine-tenths", tdn.tdn_at_90),)),
    Family("de", (method("tdn", energy.de_from_tdn),)),
    Family(
        "me",
        (
            method("nrc1996", energy.me_082),
            method("hales2019", energy.me_hales_2019),
            method("hales2022", energy.me_hales_2022),
            method("galyean2016", energy.me_galyean_2016),
        ),
    ),
    Family("nem", (method("garrett", energy.nem_garrett), method("lofgreen", energy.nem_lofgreen))),
    Family("neg", (method("garrett", energy.neg_garrett), method("lofgreen", energy.neg_lofgreen))),
    Family("nel", (method("nfta", energy.nel_nfta), method("nrc1989", energy.nel_1989))),
    Family(
        "horse_de",
        (
            method("pagan", horse.horse_de_pagan),
            method("nrc1989", horse.horse_de_nrc1989, guarded=True),
            method("nrc-tdn", horse.horse_de_nrc_tdn),
            method("tdn-shortcut", horse.horse_de_short, asked=True),
        ),
    ),
    Family("ddm", (method("rohweder", indices.ddm_rohweder),)),
    Family("dmi_bw", (method("ndf", indices.dmi_ndf),)),
    Family("rfv", (method("rohweder", indices.rfv_rohweder),)),
    Family("rfq", (method("legume", indices.rfq_legume), method("grass", indices.rfq_grass))),
    Family("adicp_share", (method("ratio", protein.adicp_share),)),
    Family("cp_available", (method("difference", protein.cp_available),)),
    Family(
        "cp_adjusted",
        (
            method("all", protein.cp_adjusted_all),
            method("excess", protein.cp_adjusted_excess),
            method("steps", protein.cp_adjusted_steps),
        ),
    ),
    Family("cp_less_nitrate", (method("difference", protein.cp_less_nitrate),)),
    Family(
        "dcp",
        (
            method("oklahoma", protein.dcp_oklahoma),
            method("knight-harris", protein.dcp_knight_harris),
        ),
    ),
    Family("mp", (method("forage-share", protein.mp_from_cp),)),
    Family("ca_to_p", (method("ratio", mineral.ca_to_p),)),
    Family(
        "dcad",
        (method("rounded", mineral.dcad_four_ions), method("oetzel", mineral.dcad_oetzel)),
    ),
    Family("tetany_ratio", (method("equivalents", mineral.tetany_ratio),)),
    Family("ndf_to_adf", (method("ratio", carbohydrate.ndf_to_adf),)),
)

FAMILIES: dict[str, Family] = {one.quantity: one for one in (TDN, *_OTHERS)}


def constants() -> frozenset[str]:
    """The numbers of equations that a person may choose, because they have a default."""
    return frozenset(
        term.name
        for one in FAMILIES.values()
        for way in one.methods
        for term in way.equation.inputs
        if term.default is not None
    )


def family(quantity: str) -> Family:
    """The family of a quantity that can be derived; another is refused with the near ones."""
    try:
        return FAMILIES[quantity]
    except KeyError:
        raise UnknownName("quantity", quantity, FAMILIES) from None
