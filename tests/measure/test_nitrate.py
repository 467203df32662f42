"""Chemical forms of nitrate: a factor of 4.4 or 7.2 hangs on the name."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.measure.atoms import mass_share, molar_mass
from haywright.measure.errors import Refused
from haywright.measure.nitrate import (
    NitrateForm,
    convert_form,
    form_factor,
    parse_form,
    parse_nitrate_unit,
)

# IUPAC abridged standard atomic weights 2021, typed here again by hand (from memory).
N, O, K, NA = 14.007, 15.999, 39.0983, 22.98976928


@pytest.mark.parametrize(
    ("form", "mass"),
    [
        (NitrateForm.NO3, N + 3 * O),
        (NitrateForm.KNO3, K + N + 3 * O),
        (NitrateForm.NANO3, NA + N + 3 * O),
    ],
)
def test_factors_follow_from_the_atomic_masses(form: NitrateForm, mass: float) -> None:
    """IUPAC 2021 standard atomic weights."""
    assert form_factor(NitrateForm.NO3_N, form) == pytest.approx(mass / N, rel=1e-12)


def test_nitrate_is_22_6_percent_nitrogen() -> None:
    """T. Patterson, South Dakota State University, ExEx 2034, 2002."""
    assert mass_share("N", "NO3") == pytest.approx(0.226, abs=0.0005)


def test_potassium_nitrate_weighs_101_grams_a_mole() -> None:
    """CRC Handbook value 101.103 g/mol, from memory."""
    assert molar_mass("KNO3") == pytest.approx(101.103, abs=0.001)


@given(st.floats(0, 1e6), st.sampled_from(list(NitrateForm)), st.sampled_from(list(NitrateForm)))
def test_forms_come_back_to_themselves(value: float, a: NitrateForm, b: NitrateForm) -> None:
    assert convert_form(convert_form(value, a, b), b, a) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize("text", ["ppm", "%", "mg/kg nitrate", "", "ppm N", "4200"])
def test_a_nitrate_number_without_its_form_or_unit_is_refused(text: str) -> None:
    with pytest.raises(Refused):
        parse_nitrate_unit(text)


@pytest.mark.parametrize(
    ("text", "unit", "form"),
    [
        ("ppm NO3-N", "mg/kg", NitrateForm.NO3_N),
        ("% NO3", "%", NitrateForm.NO3),
        ("mg/kg KNO3", "mg/kg", NitrateForm.KNO3),
        ("ppm nitrate-N", "mg/kg", NitrateForm.NO3_N),
    ],
)
def test_units_are_read_with_their_form(text: str, unit: str, form: NitrateForm) -> None:
    assert parse_nitrate_unit(text) == (unit, form)


def test_nitrate_alone_is_not_a_form() -> None:
    with pytest.raises(Refused) as caught:
        parse_form("nitrate")
    assert caught.value.message.key == "measure.nitrate_form"
