"""A typed report: what is missing is asked for, what is given is put on one footing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.measure.basis import AS_RECEIVED, DRY_MATTER
from haywright.measure.errors import HaywrightError, Problems, Refused, UnknownName
from haywright.measure.estimate import State
from haywright.measure.nitrate import NitrateForm, convert_form
from haywright.measure.result import Kind
from haywright.sheet.typed import Laboratory, quantity_called, read_typed


def keys(error):
    return [one.key for one in error.value.messages()]


def test_a_percentage_without_its_basis_is_refused():
    with pytest.raises(Refused) as error:
        read_typed(["cp=18.2"])
    assert keys(error) == ["measure.basis_missing"]


@pytest.mark.parametrize("text", ["nitrate=4200", "nitrate=4200 ppm", "nitrate=0.42 %"])
def test_a_nitrate_without_its_form_or_unit_is_refused(text):
    with pytest.raises(Refused) as error:
        read_typed([text], basis=DRY_MATTER)
    assert keys(error)[0] in ("sheet.typed.nitrate_unit", "measure.nitrate_form")


def test_a_net_energy_without_its_unit_is_refused():
    with pytest.raises(Refused) as error:
        read_typed(["nem=0.62"], basis=DRY_MATTER)
    assert keys(error) == ["sheet.typed.energy_unit"]


def test_everything_wrong_is_said_at_once():
    with pytest.raises(Problems) as error:
        read_typed(["cp=109", "adf=-3", "nem=0.6", "foo=3", "just words"], basis=DRY_MATTER)
    assert len(keys(error)) == 5


def test_nothing_typed_is_refused():
    with pytest.raises(Refused):
        read_typed([])


def test_a_number_typed_twice_is_refused():
    with pytest.raises(Refused) as error:
        read_typed(["cp=18", "protein=19"], basis=DRY_MATTER)
    assert keys(error) == ["sheet.typed.twice"]


def test_a_number_as_received_needs_the_dry_matter():
    with pytest.raises(Refused) as error:
        read_typed(["cp=16.1"], basis=AS_RECEIVED)
    assert keys(error) == ["sheet.needs_dry_matter"]


def test_as_received_and_dry_come_to_the_same():
    # ADF 42.1 % of dry matter is 35.85 as received at 85.15 % (MontGuide MT201609AG)
    wet = read_typed(["adf=35.85 as received", "dm=85.15"]).results["adf"]
    dry = read_typed(["adf=42.1 dry", "moisture=14.85"]).results["adf"]
    assert wet.basis == dry.basis == DRY_MATTER
    assert wet.value == pytest.approx(dry.value, abs=0.01)


@pytest.mark.parametrize(
    "text",
    ["nitrate=948.8 ppm NO3-N", "nitrate=4200 ppm NO3", "NO3=0.42 %",
     "nitrate=6850 mg/kg KNO3", "NO3-N=0.09488 %"],
)  # fmt: skip
def test_one_nitrate_in_any_form_and_unit_is_one_number(text):
    found = read_typed([text], basis=DRY_MATTER).results["nitrate_n"]
    assert found.value == pytest.approx(949, rel=2e-3)
    assert found.unit == "mg/kg"


def test_the_form_as_typed_stays_in_the_evidence():
    found = read_typed(["nitrate=4200 ppm NO3"], basis=DRY_MATTER).results["nitrate_n"]
    (typed,) = found.evidence.children
    assert (typed.value, typed.unit) == (4200.0, "mg/kg NO3")


@pytest.mark.parametrize("text", ["tdn90=52.5", "tdn=52.5 90 % dm", "tdn-90=52.5"])
def test_tdn_at_90_percent_is_never_taken_for_tdn(text):
    # USDA alfalfa table pairs 58.3 (100 %) with 52.5 (90 %) at ADF 32
    assert read_typed([text], basis=DRY_MATTER).results["tdn"].value == pytest.approx(
        58.33, abs=0.01
    )


def test_energy_per_pound_becomes_energy_per_kilogram():
    found = read_typed(["nem=0.62 Mcal/lb"], basis=DRY_MATTER).results["nem"]
    assert found.value == pytest.approx(0.62 / 0.45359237)


def test_a_laboratory_profile_fills_the_fields():
    lab = Laboratory("Valley Forage", DRY_MATTER, "ppm NO3", "Mcal/lb", "western")
    report = read_typed(["cp=18", "nitrate=4200", "nem=.62", "tdn=58"], laboratory=lab, report="77")
    assert {one.kind for one in report.results.values()} == {Kind.OTHER_LABORATORY}
    assert report.results["nitrate_n"].value == pytest.approx(949, rel=1e-3)
    assert report.results["tdn"].method == "western"
    assert report.results["cp"].report == "77"


def test_below_a_limit_is_neither_zero_nor_half():
    found = read_typed(["nitrate=<100 ppm NO3-N"], basis=DRY_MATTER).results["nitrate_n"]
    assert found.estimate.state is State.BELOW
    assert found.estimate.interval() == (0.0, 100.0)


def test_below_a_limit_keeps_its_limit_in_another_form():
    found = read_typed(["nitrate=<443 ppm NO3"], basis=DRY_MATTER).results["nitrate_n"]
    assert found.estimate.limit.value == pytest.approx(100, rel=2e-3)


def test_two_columns_are_held_against_each_other():
    texts = ["cp=18.2 dry", "cp=17.0 as received", "dm=88.5"]
    (flag,) = read_typed(texts).flags
    assert flag.rule == "P14"
    assert read_typed(["cp=18.2 dry", "cp=16.1 as received", "dm=88.5"]).flags == ()


def test_a_report_without_doubt_gets_the_spread_between_laboratories():
    found = read_typed(["adf=32"], basis=DRY_MATTER).results["adf"]
    assert found.estimate.u == pytest.approx(1.0)
    (source,) = found.estimate.parts
    assert source.label.key == "sheet.between_laboratories"


@pytest.mark.parametrize(("word", "name"), [("Crude Protein", "cp"), ("potassium", "k"),
                                            ("aNDF", "ndf"), ("Ether extract", "fat"),
                                            ("NDFD-48", "ndfd48"), ("Sulphur", "s")])  # fmt: skip
def test_the_words_of_reports_are_known(word, name):
    assert quantity_called(word) == name


def test_an_unknown_word_is_refused_with_near_ones():
    with pytest.raises(UnknownName) as error:
        quantity_called("protien")
    assert "protein" in error.value.message.args["names"]


@pytest.mark.parametrize(("text", "value"), [("cp=18,2", 18.2), ("cp= 18.2 %", 18.2),
                                             ("cp=.9", 0.9), ("cp=18.2 (dry)", 18.2)])  # fmt: skip
def test_numbers_are_read_as_people_write_them(text, value):
    assert read_typed([text], basis=DRY_MATTER).results["cp"].value == pytest.approx(value)


@given(st.lists(st.text(max_size=40), max_size=4))
def test_any_text_is_read_or_refused_in_words(texts):
    try:
        read_typed(texts, basis=DRY_MATTER)
    except HaywrightError as error:
        assert error.messages()


@given(st.sampled_from(["cp", "nitrate", "adf", "dm", "nem", "rfv", "dcad"]), st.text(max_size=25))
def test_any_value_is_read_or_refused_in_words(name, text):
    try:
        read_typed([f"{name}={text}"], basis=DRY_MATTER)
    except HaywrightError as error:
        assert error.messages()


@given(
    value=st.floats(1, 20_000),
    form=st.sampled_from(["NO3-N", "NO3", "KNO3", "NaNO3"]),
    dm=st.floats(30, 95),
    wet=st.booleans(),
)
def test_nitrate_comes_back_from_any_form_unit_and_basis(value, form, dm, wet):
    percent = value / 10_000
    basis = "as received" if wet else "dry"
    in_ppm = read_typed([f"nitrate={value!r} ppm {form} {basis}", f"dm={dm!r}"])
    in_percent = read_typed([f"nitrate={percent:.12f} % {form} {basis}", f"dm={dm!r}"])
    one, other = (r.results["nitrate_n"].value for r in (in_ppm, in_percent))
    assert one == pytest.approx(other, rel=1e-6)
    back = convert_form(one, NitrateForm.NO3_N, NitrateForm(form)) * (dm / 100 if wet else 1)
    assert back == pytest.approx(value, rel=1e-9)
