"""The sheet as a whole: five numbers, what a plan counts, what is interim, what is left out."""

from __future__ import annotations

import json

import pytest

from haywright.measure.basis import AS_RECEIVED, DRY_MATTER
from haywright.measure.errors import UnknownName
from haywright.measure.estimate import Estimate, Source
from haywright.measure.message import message
from haywright.measure.result import Kind, Result, Results
from haywright.sheet.choices import Choices
from haywright.sheet.sheet import write_sheet
from haywright.sheet.typed import read_typed
from haywright.sources.crops import crop
from tests.sheet.hay import result, results

ALFALFA = {"dm": 88.5, "cp": 18.2, "adf": 32.0, "ndf": 41.0}
# A printed laboratory report on an over-mature timothy mixture (Birchtree Farm, Forage analysis).
TIMOTHY = ["dm=90.5", "cp=6.4", "adf=45.3", "ndf=71.9", "lignin=8.5", "ash=3.43", "fat=1.9",
           "ndicp=2.1", "adicp=0.8", "starch=1.8", "sugar=9.9", "ca=0.44", "p=0.08", "k=0.71",
           "na=0.037", "cl=0.14", "s=0.11", "tdn=53", "nem=0.44 Mcal/lb", "neg=0.19 Mcal/lb",
           "rfv=69"]  # fmt: skip


def sheet(crop_name="alfalfa", form="cured_hay", choices=None, **values):
    pending = values.pop("pending", ())
    return write_sheet(results(pending, **values), crop(crop_name), choices, form=form)


def test_a_printed_report_comes_out_as_it_was_printed():
    report = read_typed(TIMOTHY, basis=DRY_MATTER)
    found = write_sheet(report.results, crop("timothy"))
    printed = {"nfc": (18.5, 0.06), "nsc": (11.7, 0.05), "cp_available": (5.6, 0.05),
               "hemicellulose": (26.6, 0.05), "cellulose": (36.8, 0.05), "ca_to_p": (5.5, 0.05),
               "dcad": (9.0, 0.1)}  # fmt: skip
    for name, (value, near) in printed.items():
        assert found.derived[name].value == pytest.approx(value, abs=near), name
    assert found.measured["nem"].value == pytest.approx(0.44 / 0.45359237)  # kept as reported
    by_name = {row.method.name: row for row in found.energy}
    assert by_name["nrc2001"].energy["tdn"].value == pytest.approx(53.3, abs=0.05)
    assert [r.key for r in found.remarks].count("sheet.energy_kept") == 2
    assert "sheet.heated" in [r.key for r in found.remarks]  # 12.5 % of protein bound


def test_five_numbers_stand_large():
    found = sheet(**ALFALFA, nitrate_n=950.0)
    assert [one.quantity for one in found.large] == ["dm", "cp", "tdn", "nitrate_n", "rfv"]
    assert all(one.result is not None for one in found.large)


def test_a_number_that_is_not_there_says_why():
    found = sheet(cp=18.0, pending=("nitrate_n",))
    why = {one.quantity: one.why.key for one in found.large if one.result is None}
    assert why["dm"] == "sheet.not_tested"
    assert why["nitrate_n"] == "sheet.still_to_come"
    assert why["tdn"] == "measure.cannot_derive"


def test_pending_and_held_tests_make_a_sheet_interim():
    assert not sheet(**ALFALFA).interim
    assert sheet(**ALFALFA, pending=("nitrate_n",)).interim
    held = Estimate.held(message("measure.held"))
    found = sheet(**ALFALFA, ash=held)
    assert found.interim
    assert found.held == ("ash",)


def test_a_held_number_holds_what_follows_from_it():
    held = Estimate.held(message("measure.held"))
    found = sheet(dm=88.5, adf=held)
    assert not found.derived["tdn"].settled
    assert found.usual["adf"].lower_share is None


def test_doubt_in_fiber_goes_on_into_energy():
    found = sheet(**ALFALFA)
    assert found.derived["tdn"].estimate.u == pytest.approx(0.78)  # 0.78 x 1.0 of ADF
    assert found.derived["rfv"].estimate.df == float("inf")


@pytest.mark.parametrize(("nitrate", "counted"), [(700.0, "cp"), (4000.0, "cp_less_nitrate")])
def test_a_plan_counts_protein_less_nitrate_where_it_takes_off_more_than_half_a_point(
    nitrate, counted
):
    # 700 mg/kg NO3-N is 0.44 points of protein, 4,000 is 2.5 (6.25 times nitrate-N)
    found = sheet(**ALFALFA, nitrate_n=nitrate)
    assert found.cp_counted.analyte == counted
    assert (found.cp_less_nitrate is None) == (counted == "cp")


def test_nitrate_above_range_leaves_the_countable_protein_unknown():
    found = sheet(**ALFALFA, nitrate_n=Estimate.above(6000.0, "calibrated", raw=7000.0))
    assert found.cp_counted.analyte == "cp_less_nitrate"
    assert not found.cp_counted.settled


def test_nitrate_below_a_low_limit_changes_nothing():
    low = Estimate.below(50.0, "quantified", raw=20.0)
    assert sheet(**ALFALFA, nitrate_n=low).cp_counted.analyte == "cp"


def test_baleage_stands_as_fed_and_dry_side_by_side():
    found = sheet("alfalfa", "baleage", dm=48.0, cp=18.0, adf=33.0, ndf=42.0)
    assert found.as_received["cp"].value == pytest.approx(8.64)
    assert found.as_received["tdn"].value == pytest.approx(found.derived["tdn"].value * 0.48)
    assert "rfv" not in found.as_received
    assert "tdn_90" not in found.as_received
    assert found.grades == ()  # the scales are made for cured hay
    assert "dm" not in found.usual


def test_one_dry_matter_in_two_places_cancels_as_received():
    lab = Source("lab dm")
    lab_dm = Estimate.of(93.0, {lab: 0.3})
    partial = Estimate.of(95.0, {Source("partial"): 0.2})
    given = [
        Result("dm", partial * lab_dm / 100.0, "%", AS_RECEIVED),
        Result("adf", Estimate.of(28.0, {Source("adf"): 0.3}) * 100.0 / lab_dm, "%"),
    ]
    found = write_sheet(given, crop("oats"))
    assert found.as_received["adf"].part_of("lab dm") == pytest.approx(0.0, abs=1e-9)


def test_a_horse_sheet_has_no_ruminant_energy():
    values = {**ALFALFA, "fat": 2.5, "ash": 8.0, "starch": 2.0, "wsc": 12.0, "sugar": 7.0}
    found = sheet("orchardgrass", choices=Choices(species="horse"), **values)
    assert not {"tdn", "nem", "me", "rfv"} & set(found.derived)
    assert found.energy == ()
    assert found.derived["horse_de"].method == "pagan"
    assert found.derived["nsc"].method == "starch-wsc"  # fructan counted
    assert [one.quantity for one in found.large][-1] == "nsc"


def test_horse_energy_that_is_only_recalled_is_shown_marked_and_never_large():
    found = sheet("orchardgrass", choices=Choices(species="horse"), **ALFALFA)
    assert found.derived["horse_de"].method == "nrc1989"
    assert "sheet.recalled" in [note.key for note in found.derived["horse_de"].notes]
    (large,) = [one for one in found.large if one.quantity == "horse_de"]
    assert large.result is None


def test_a_cattle_sheet_takes_the_other_nsc():
    found = sheet(**ALFALFA, starch=2.0, wsc=12.0, sugar=7.0)
    assert found.derived["nsc"].value == pytest.approx(9.0)


@pytest.mark.parametrize("name", ["bermudagrass", "cornstalks", "sorghum-sudan"])
def test_rfv_is_not_printed_for_crops_it_was_not_made_for_unless_asked(name):
    values = {"dm": 89.0, "cp": 9.0, "adf": 38.0, "ndf": 66.0}
    found = sheet(name, **values)
    assert "rfv" not in found.derived
    assert [one.quantity for one in found.large][-1] == "ndf"
    asked = sheet(name, choices=Choices(methods={"rfv": "rohweder"}), **values)
    assert "sheet.other_crop" in [note.key for note in asked.derived["rfv"].notes]


def test_a_recalled_index_carries_its_mark_and_never_stands_large():
    found = sheet(**ALFALFA, ndfd48=45.0, fat=2.5, ash=9.0)
    assert "sheet.recalled" in [note.key for note in found.derived["rfq"].notes]
    assert "rfq" not in [one.quantity for one in found.large]


def test_each_scale_that_speaks_of_the_hay_is_there_the_chosen_first():
    found = sheet(**ALFALFA, choices=Choices(scale="illinois"))
    assert [one.scale.id for one in found.grades] == ["illinois", "usda-2003", "afgc"]
    usda = next(one for one in found.grades if one.scale.id == "usda-2003")
    assert usda.by_measure["tdn"].value == pytest.approx(58.33, abs=0.01)  # the table's own TDN


def test_an_unknown_choice_is_refused_at_once():
    with pytest.raises(UnknownName):
        Choices(species="llama")
    with pytest.raises(UnknownName):
        Choices(methods={"tdn": "guess"})
    with pytest.raises(UnknownName):
        Choices(tie="mine")
    with pytest.raises(UnknownName):
        Choices(constants={"ash": 3.0})


@pytest.mark.parametrize(
    ("more", "key"),
    [({"cp": 27.0}, "sheet.high_protein"), ({"ash": 12.0}, "sheet.soil"),
     ({"adicp": 2.5}, "sheet.heated")],
)  # fmt: skip
def test_what_has_to_be_said_is_said(more, key):
    assert key in [one.key for one in sheet(**{**ALFALFA, **more}).remarks]


def test_minerals_by_near_infrared_are_said_to_be_too_rough():
    predicted = Result("ca", Estimate.of(1.4), "%", DRY_MATTER, kind=Kind.PREDICTED)
    found = write_sheet([predicted, result("p", 0.25)], crop("alfalfa"))
    assert "sheet.nir_minerals" in [one.key for one in found.remarks]


def test_a_sheet_is_plain_json_and_the_same_twice():
    given = {**ALFALFA, "nitrate_n": Estimate.below(50.0, "quantified", raw=20.0),
             "ash": Estimate.held(message("measure.held"))}  # fmt: skip
    first, second = (
        json.dumps(sheet(**given).to_json(), sort_keys=True, allow_nan=False) for _ in range(2)
    )
    assert first == second


def test_results_of_a_bench_on_another_footing_are_put_on_dry_matter():
    lab_dm = Result("lab_dm", Estimate.of(93.0), "%", AS_RECEIVED)
    from haywright.measure.basis import AS_ANALYSED

    cp = Result("cp", Estimate.of(17.0), "%", AS_ANALYSED)
    found = write_sheet(Results([lab_dm, cp]), crop("alfalfa"))
    assert found.measured["cp"].value == pytest.approx(17.0 / 0.93)
