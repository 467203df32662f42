"""One published, complete, real analysis from typed-in numbers to sheet, verdict and value.

Laboratory report on an over-mature timothy mixture, on dry matter, printed in full by the farm
that sent it (Birchtree Farm weblog, Forage analysis). The printed numbers are the expected ones.
"""

from __future__ import annotations

import pytest

from haywright.bunk.hazards.nitrate.question import NitrateQuestion
from haywright.bunk.hazards.nitrate.told import sentence
from haywright.bunk.hazards.nitrate.verdict import Answer, decide, must_test
from haywright.gate.compare import Offer, compare
from haywright.gate.money import Price
from haywright.measure.basis import DRY_MATTER
from haywright.measure.units import convert
from haywright.sheet.choices import Choices
from haywright.sheet.sheet import write_sheet
from haywright.sheet.typed import read_typed
from haywright.sources.crops import crop
from haywright.sources.guides import default_guide
from haywright.words import say

PRINTED = [
    "cp=6.4", "adf=45.3", "ndf=71.9", "lignin=8.5", "ash=3.43", "fat=1.9", "ndicp=2.1",
    "adicp=0.8", "starch=1.8", "sugar=9.9", "ca=0.44", "p=0.08", "k=0.71", "na=0.037",
    "cl=0.14", "s=0.11", "nem=0.44 Mcal/lb", "neg=0.19 Mcal/lb",
]  # fmt: skip


@pytest.fixture(scope="module")
def sheet():
    report = read_typed([*PRINTED, "dm=90"], basis=DRY_MATTER)
    return write_sheet(report.results, crop("timothy"), Choices(), flags=report.flags)


@pytest.mark.parametrize(
    ("name", "printed", "within"),
    [("rfv", 69, 0.6), ("nsc", 11.7, 0.05), ("hemicellulose", 26.6, 0.05),
     ("cellulose", 36.8, 0.05), ("ca_to_p", 5.5, 0.05), ("cp_available", 5.6, 0.05),
     ("dcad", 9.0, 0.1)],
)  # fmt: skip
def test_what_the_laboratory_printed_comes_out_of_its_own_numbers(
    sheet, name: str, printed: float, within: float
) -> None:
    """Birchtree Farm weblog, Forage analysis."""
    found = sheet.get(name)
    assert found is not None
    assert found.value == pytest.approx(printed, abs=within)


def test_the_printed_tdn_is_the_summative_one(sheet) -> None:
    """Printed 53; NRC 2001 gives 53.3 and the fiber equation 53.6, which would print as 54."""
    printed = {row.energy["tdn"].value for row in sheet.energy if "tdn" in row.energy}
    assert any(value == pytest.approx(53.32, abs=0.05) for value in printed)


def test_the_laboratorys_own_net_energy_is_kept(sheet) -> None:
    """Printed 0.44 and 0.19 Mcal/lb; recomputing from TDN 53 would give 0.486 and 0.235."""
    for name, printed in (("nem", 0.44), ("neg", 0.19)):
        found = sheet.get(name)
        assert found is not None
        assert convert(found.value, "Mcal/kg", "Mcal/lb") == pytest.approx(printed, abs=0.005)


def test_without_a_nitrate_result_nothing_is_said_of_nitrate(sheet) -> None:
    need = must_test(accumulator=False, stressed=False, cp=sheet.get("cp").value, cp_line=25.0)
    verdict = decide(NitrateQuestion(None, ("pregnant",), default_guide("cattle"), must_test=need))
    assert verdict.answer is Answer.NO_RESULT
    assert "Nothing is said about nitrate" in say(sentence(verdict)[0])


def test_after_frost_the_same_hay_is_not_tested() -> None:
    need = must_test(accumulator=False, stressed=True, cp=6.4, cp_line=25.0)
    verdict = decide(NitrateQuestion(None, ("pregnant",), default_guide("cattle"), must_test=need))
    assert verdict.answer is Answer.NOT_TESTED


def test_its_protein_costs_what_the_price_and_the_test_say(sheet) -> None:
    """$/lb CP = P / (2000 d n): $80 a short ton, 90 % dry matter, 6.4 % protein."""
    contents = {"cp": sheet.cp_counted.value}
    offer = Offer("timothy", Price(80, "short_ton"), 90, contents)
    cost = compare([offer], ["cp"]).lines[0].costs["cp"]
    assert cost is not None
    assert float(cost.money) == pytest.approx(80 / (2000 * 0.90 * 0.064), rel=1e-6)
