"""Words: messages become sentences, in a reader's units and without bare numbers."""

from __future__ import annotations

import math
from datetime import date

from haywright.measure.errors import Refused
from haywright.measure.message import Amount, message
from haywright.words import Reader, say
from haywright.words.catalogue import catalogue
from haywright.words.numbers import amount_text, date_text, figure, number

NB = "\N{NO-BREAK SPACE}"


def test_a_refusal_names_field_value_and_what_is_accepted() -> None:
    said = say(Refused("moisture", 140, "0 to 100 %").message)
    assert "moisture" in said
    assert "140" in said
    assert "0 to 100 %" in said


def test_a_reader_on_us_units_sees_inches_and_one_on_si_units_centimetres() -> None:
    depth = Amount(0.4572, "m", digits=0)
    assert amount_text(depth, Reader(units="us")) == f"18{NB}in"
    assert amount_text(depth, Reader(units="si")) == f"46{NB}cm"


def test_a_result_keeps_the_unit_laboratories_report() -> None:
    assert figure(Amount(1121.7, "mg/kg", analyte="nitrate_n"), Reader()) == ("1,120", "mg/kg")
    assert figure(Amount(38.24, "%", analyte="adf"), Reader()) == ("38.2", "%")


def test_a_basis_stands_beside_its_number() -> None:
    cp = Amount(9.62, "%", "dry matter", "cp")
    assert amount_text(cp, Reader()) == f"9.6{NB}% of dry matter"


def test_dates_cannot_be_misread() -> None:
    assert date_text(date(2026, 3, 4), Reader()).replace(NB, " ") == "4 March 2026"


def test_whole_numbers_carry_no_decimals_and_negatives_a_true_minus() -> None:
    assert number(1150.0, Reader()) == "1,150"
    assert number(-2.5, Reader()) == "\N{MINUS SIGN}2.5"


def test_lists_are_joined_as_the_language_does() -> None:
    said = say(message("measure.cannot_derive", field="RFV", missing=("ADF", "NDF")))
    assert "ADF and NDF" in said


def test_every_text_has_its_placeholders_closed() -> None:
    for key, entry in catalogue("en").items():
        assert entry.text, key
        assert entry.text.count("{") == entry.text.count("}"), key


def test_a_band_that_is_open_at_one_end_is_said_without_stopping() -> None:
    assert number(math.inf, Reader()) == "∞"
    assert number(-math.inf, Reader()) == "−∞"


def test_a_sentence_that_has_no_spanish_is_english_whole_with_its_names_and_its_day() -> None:
    spanish = Reader(language="es")
    assert "paper.plan.made" not in catalogue("es")
    said = say(message("paper.plan.made", day=date(2026, 9, 8)), spanish).replace(NB, " ")
    assert "8 September 2026" in said
    assert "septiembre" not in said
