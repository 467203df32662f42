"""The commands: they answer in words and in JSON, and refuse with what is accepted."""

from __future__ import annotations

import json

import pytest
import typer
from typer.testing import CliRunner

from haywright.cli.bunk_rations import add_to

APP = typer.Typer()
add_to(APP)
COW = ["--weight", "1250 lb", "--due", "2027-03-01", "--on", "2027-02-10"]
HAY = ["--feed", "name=grass hay;tdn=52;cp=8;ndf=64;dm=88;price=90"]
BETTER = ["--feed", "name=alfalfa;tdn=59;cp=18;ndf=45;dm=88;price=170"]


def run(*words):
    return CliRunner().invoke(APP, list(words))


def test_needs_by_week_in_words_and_in_json():
    said = run("need", *COW, "--until", "2027-04-01")
    assert said.exit_code == 0
    assert "nursing, week 1" in said.output
    given = json.loads(run("need", *COW, "--json").output)["needs"][0]
    assert given["energy"] == "nem"
    assert given["energy_mcal_per_day"] > 10
    assert all(one["kind"] != "recalled" for one in given["rests_on"])


def test_cold_is_said_in_the_energy():
    warm, cold = (
        json.loads(run("need", *COW, "--json", *more).output)["needs"][0]
        for more in ([], ["--air", "0", "--wind", "15"])
    )
    assert cold["energy_mcal_per_day"] > warm["energy_mcal_per_day"]
    assert cold["cp_g_per_day"] == warm["cp_g_per_day"]  # cold raises energy, not protein


def test_a_ration_in_words_and_in_json():
    said = run("ration", *COW, *HAY, *BETTER)
    assert said.exit_code == 0, said.output
    assert "Just met" in said.output
    given = json.loads(run("ration", *COW, *HAY, *BETTER, "--json").output)
    total = sum(one["dry_matter_kg"] for one in given["feeds"])
    assert total == pytest.approx(given["dry_matter_kg_per_day"])


def test_no_ration_is_said_with_what_would_be_short():
    said = run("ration", *COW, "--feed", "name=straw;tdn=41;cp=3.5;ndf=72;dm=88;price=50")
    assert said.exit_code == 2
    assert "short" in said.output


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["need", "--weight", "1250"], "no unit"),
        (["need", "--weight", "1250 kg"], "pounds"),
        (["need"], "weight"),
        (["need", *COW, "--due", "March"], "not a date"),
        (["need", *COW, "--animals", "llamas"], "llamas"),
        (["need", *COW, "--protein", "guess"], "guess"),
        (["ration", *COW, "--feed", "hay"], "name=grass hay"),
        (["ration", *COW], "no feed"),
        (["ration", *COW, "--table", "corn-grain"], "name=grass hay"),
        (["hazards", "k"], "name=value"),
        (["hazards", "zz=3"], "zz"),
    ],
)
def test_what_is_refused_is_named_with_what_is_accepted(words, told):
    said = run(*words)
    assert said.exit_code == 2
    assert told in said.output


def test_hazards_from_plain_numbers_defer_to_a_veterinarian():
    said = run(
        "hazards", "k=3.2", "ca=0.35", "mg=0.15", "mo=<0.5", "cu=12", "--days-to-birth", "20"
    )
    assert said.exit_code == 0
    assert "caution: Grass tetany" in said.output
    assert "veterinarian" in said.output
    given = json.loads(run("hazards", "k=3.2", "ca=0.35", "mg=0.15", "--json").output)
    assert {one["hazard"] for one in given["hazards"]} >= {"tetany", "tolerable:k"}
