"""The commands as a rancher with a paper report would use them."""

from __future__ import annotations

import json
import re

import pytest
from typer.testing import CliRunner

from haywright.cli.sheet import app

ALFALFA = ["--crop", "alfalfa", "--basis", "dry", "cp=18.2", "adf=32", "ndf=41", "dm=88.5",
           "nitrate=4200 ppm NO3"]  # fmt: skip


def run(*words):
    return CliRunner().invoke(app, list(words))


def plain(text):
    return re.sub(r"\s+", " ", text.replace("\N{NO-BREAK SPACE}", " "))


def test_a_paper_report_becomes_a_sheet_in_words():
    found = run("type", *ALFALFA)
    assert found.exit_code == 0
    text = plain(found.output)
    assert "dry matter 88.5 %, protein 18.2 %, energy 63.9 % TDN" in text
    assert "949 mg/kg as NO3-N (4,200 as NO3)" in text
    assert "“Fair” by RFV" in text
    assert "veterinarian" in text


def test_the_same_sheet_for_a_program():
    found = run("type", *ALFALFA, "--json")
    sheet = json.loads(found.output)
    derived = {one["analyte"]: one for one in sheet["derived"]}
    assert derived["tdn"]["value"] == pytest.approx(63.94)
    assert derived["tdn"]["equation"] == "sheet.tdn.tdn_oklahoma"


@pytest.mark.parametrize(
    "words",
    [["cp=18.2", "--crop", "alfalfa"], ["cp=18", "--basis", "dry", "--crop", "moss"],
     ["nitrate=4200", "--basis", "dry", "--crop", "oats"],
     [*ALFALFA[2:], "--crop", "oats", "--form", "pellets"],
     [*ALFALFA, "--by", "tdn"], [*ALFALFA, "--by", "tdn=guess"], [*ALFALFA, "--with", "x=y"],
     [*ALFALFA, "--animals", "fish"], [*ALFALFA, "--scale", "fair"], [*ALFALFA, "--show", "cgs"]],
)  # fmt: skip
def test_what_is_missing_or_unknown_is_refused_in_words(words):
    found = run("type", *words)
    assert found.exit_code == 2
    assert found.stderr.strip()
    assert "Traceback" not in found.output


def test_one_hay_under_each_equation():
    found = run("compare", "--crop", "alfalfa", "--basis", "dry", "adf=35")
    assert found.exit_code == 0
    text = plain(found.output)
    for value in ("61.6", "56.1", "61.2"):  # composition of alfalfa at ADF 35, five equations
        assert value in text
    assert "Nebraska) †" in text
    assert json.loads(
        run("compare", "--crop", "alfalfa", "--basis", "dry", "adf=35", "--json").output
    )


def test_nothing_to_compare_is_said():
    assert "No equation" in run("compare", "--crop", "alfalfa", "--basis", "dry", "cp=18").output


def test_a_recalled_number_carries_its_mark():
    found = run("type", *ALFALFA, "ndfd=45", "fat=2.5", "ash=9")
    assert "Relative forage quality (RFQ) †" in plain(found.output)


def test_a_horse_owner_reads_no_cattle_energy():
    found = plain(run("type", *ALFALFA, "fat=2", "ash=8", "--animals", "horse").output)
    assert "Digestible energy for horses" in found
    assert "Net energy for maintenance" not in found


def test_pounds_or_kilograms_as_the_reader_has_them():
    assert "Mcal/lb" in run("type", *ALFALFA).output
    assert "Mcal/kg" in run("type", *ALFALFA, "--show", "si").output


@pytest.mark.parametrize(("typed", "said"), [(">9000", "above 9,000"), ("<100", "below 100")])
def test_nitrate_beyond_a_limit_is_never_called_untested(typed, said):
    words = [*ALFALFA[:-1], f"nitrate={typed} ppm NO3-N"]
    text = plain(run("type", *words).output)
    assert f"nitrate {said} mg/kg as NO3-N" in text
    assert "NOT TESTED" not in text


def test_fiber_beyond_reach_is_said_where_nothing_can_be_compared():
    text = plain(run("compare", "--crop", "alfalfa", "--basis", "dry", "adf=70").output)
    assert "is meant for 15 to 60" in text


def test_nitrate_still_to_come_makes_the_sheet_interim_and_clears_nothing():
    text = plain(run("type", *ALFALFA[:-1], "--pending", "nitrate").output)
    assert text.count("INTERIM") == 1
    assert "Nitrate is still to come" in text
    assert "NOT TESTED" not in text
