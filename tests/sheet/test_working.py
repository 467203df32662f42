"""Choosing an equation: what was read first, what is asked for by name, what is missing named."""

from __future__ import annotations

import pytest

from haywright.measure.errors import CannotDerive, Refused, UnknownName
from haywright.measure.result import Kind
from haywright.sheet.energy_rows import energy_rows, implied_tdn, reported_energy
from haywright.sheet.working import Working, derive, methods_for, tdn
from haywright.sources.crops import crop
from tests.sheet.hay import results

FIBER = {"adf": 32.0, "ndf": 41.0, "cp": 18.2, "dm": 88.5}
WITH_DIGESTIBILITY = {**FIBER, "ndfd48": 45.0, "fat": 2.5, "ash": 9.0}


def test_adf_alone_gives_tdn_by_an_equation_that_was_read_and_its_name_stays_with_it():
    found = tdn(results(adf=32.0), crop=crop("alfalfa"))
    assert found.method == "oklahoma"
    assert found.equation == "sheet.tdn.tdn_oklahoma"
    assert found.kind is Kind.CALCULATED
    assert found.value == pytest.approx(63.94)  # Oklahoma State's own form at ADF 32


@pytest.mark.parametrize(("name", "method"), [("alfalfa", "georgia-legume"),
                                              ("bermudagrass", "georgia-grass"),
                                              ("oats", "georgia-grass")])  # fmt: skip
def test_measured_fiber_digestibility_is_used_where_an_equation_takes_it(name, method):
    assert tdn(results(**WITH_DIGESTIBILITY), crop=crop(name)).method == method


def test_a_chosen_equation_is_used_and_said():
    found = tdn(results(adf=35.0), crop=crop("alfalfa"), method="western")
    assert found.value == pytest.approx(56.08, abs=0.01)
    assert tdn(results(adf=35.0), method="T5").method == "western"


def test_a_recalled_equation_can_be_chosen_and_carries_its_mark():
    found = tdn(results(adf=35.0), crop=crop("alfalfa"), method="nebraska")
    assert "sheet.recalled" in {note.key for note in found.notes}


def test_an_equation_of_another_crop_can_be_chosen_and_says_so():
    found = tdn(results(adf=35.0), crop=crop("timothy"), method="western")
    assert "sheet.other_crop" in {note.key for note in found.notes}


def test_an_unknown_equation_is_refused_with_the_near_ones():
    with pytest.raises(UnknownName) as error:
        tdn(results(adf=35.0), method="westrn")
    assert "western" in error.value.names


def test_what_is_missing_is_named():
    with pytest.raises(CannotDerive) as error:
        tdn(results(cp=18.0), crop=crop("alfalfa"))
    assert error.value.missing == ("adf",)


def test_fiber_beyond_an_equation_s_reach_is_refused_not_clamped():
    for adf in (14.0, 61.0):
        with pytest.raises(Refused) as error:
            tdn(results(adf=adf), crop=crop("alfalfa"))
        assert error.value.message.key == "sheet.out_of_reach"


def test_the_lister_names_what_applies_to_this_hay():
    names = [one.name for one in methods_for("tdn", results(adf=32.0), crop=crop("alfalfa"))]
    assert names[:3] == ["oklahoma", "manitoba", "western"]
    assert "corn-silage" not in names
    assert "georgia-legume" not in names


def test_net_energy_for_milk_is_no_way_back_to_tdn_unless_the_laboratory_gave_it():
    with pytest.raises(CannotDerive):
        tdn(results(adf=35.0), method="minnesota")
    found = tdn(results(adf=35.0, nel=1.3), method="minnesota")
    assert found.value == pytest.approx(31.4 + 53.1 * 1.3 * 0.45359237)


def test_what_the_laboratory_gave_stands_unless_a_method_was_chosen():
    given = results(adf=32.0, tdn=60.0)
    assert Working(given, crop("alfalfa")).result("tdn").value == 60.0
    chosen = Working(given, crop("alfalfa"), methods={"tdn": "western"})
    assert chosen.result("tdn").method == "western"


def test_evidence_goes_down_to_what_was_measured():
    found = derive("nem", results(adf=32.0), crop=crop("alfalfa")).evidence
    steps = []
    while found.children:
        steps.append(found.equation)
        (found,) = found.children
    assert steps == ["sheet.energy.nem_garrett", "sheet.energy.me_082",
                     "sheet.energy.de_from_tdn", "sheet.tdn.tdn_oklahoma"]  # fmt: skip
    assert found.value == 32.0


def test_one_number_used_twice_counts_once():
    working = Working(results(adf=32.0, ndf=41.0), crop("alfalfa"))
    rfv = working.result("rfv")
    assert {source.id for source in rfv.estimate.parts} == {"lab:adf", "lab:ndf"}
    tdn_less_ddm = working.result("tdn").estimate - working.result("ddm").estimate
    assert tdn_less_ddm.u < 0.01  # 0.780 and 0.779 of one ADF


def test_a_protein_threshold_can_be_chosen():
    given = results(cp=6.4, adicp=0.8)  # 12.5 % bound, a printed timothy report
    assert derive("cp_adjusted", given).value == pytest.approx(5.6)
    kept = Working(given, constants={"adicp_threshold": 14.0}).result("cp_adjusted")
    assert kept.value == pytest.approx(6.4)


def test_the_same_hay_under_each_equation_spans_the_published_disagreement():
    # composition of alfalfa at ADF 35: 56.1 to 61.6 by five equations in use
    rows = {r.method.name: r for r in energy_rows(Working(results(adf=35.0), crop("alfalfa")))}
    worked = [r.energy["tdn"].value for r in rows.values() if r.meant and r.energy]
    assert min(worked) == pytest.approx(56.08, abs=0.02)
    assert max(worked) == pytest.approx(61.64, abs=0.02)
    assert rows["western"].energy["tdn_90"].value == pytest.approx(50.47, abs=0.01)
    assert rows["georgia-legume"].refused is not None


def test_a_laboratory_s_net_energy_is_kept_and_the_difference_said():
    # Birchtree Farm's timothy report: TDN 53 with NEm 0.44 and NEg 0.19 Mcal/lb
    lb = 1 / 0.45359237
    working = Working(results(tdn=53.0, nem=0.44 * lb, neg=0.19 * lb), crop("timothy"))
    assert working.result("nem").value == pytest.approx(0.44 * lb)
    assert [str(m.args["quantity"].args["id"]) for m in reported_energy(working)] == ["nem", "neg"]
    assert implied_tdn(0.44 * lb) == pytest.approx(50, abs=0.3)


def test_a_net_energy_no_hay_has_implies_nothing():
    with pytest.raises(Refused):
        implied_tdn(9.0)


def test_dividing_by_nothing_is_refused():
    with pytest.raises(Refused):
        derive("ca_to_p", results(ca=1.0, p=0.0))
