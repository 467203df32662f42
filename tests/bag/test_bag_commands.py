"""The commands of the bag as an educator on the telephone would use them."""

from __future__ import annotations

import json
import re

import pytest
from typer.testing import CliRunner

from haywright.bag.codes import BagCode
from haywright.cli.bag import app

LOT = """
form = "cured_hay"
crop = "oats"
events = ["hail"]

[bales]
count = 80
"""


def run(*words):
    return CliRunner().invoke(app, list(words))


def plain(text):
    return re.sub(r"\s+", " ", text.replace("\N{NO-BREAK SPACE}", " "))


def test_hailed_oats_for_bred_cows_are_sent_for_nitrate_first():
    found = run("advise", "--crop", "oats", "--events", "drought,hail", "--animals", "bred-cows")
    text = plain(found.output)
    assert found.exit_code == 0
    assert text.index("Nitrate") < text.index("Dry matter")
    assert "drought and hail" in text
    assert "veterinarian" in text


def test_a_test_that_was_not_ordered_is_said_first():
    found = run("advise", "--crop", "oats", "--ordered", "dm,cp")
    assert plain(found.output).startswith("NOT TESTED: Nitrate.")


def test_the_same_advice_for_a_program():
    found = run("advise", "--crop", "oats", "--weeds", "kochia 15, pigweed", "--json")
    tests = {one["test"]: one for one in json.loads(found.output)["tests"]}
    assert tests["nitrate"]["need"] == "must"
    assert {r["rule"] for r in tests["nitrate"]["reasons"]} == {"accumulator", "weeds"}
    assert all(r["source"] for r in tests["nitrate"]["reasons"])


def test_what_is_common_practice_is_marked_so():
    assert "[common practice]" in plain(run("advise", "--crop", "timothy").output)


def test_a_crop_nobody_knows_is_refused_with_near_names():
    found = run("advise", "--crop", "ots")
    assert found.exit_code == 2
    assert "oats" in found.stderr


def test_a_code_is_made_and_read_again():
    made = run("code", "vly", "42", "--count", "2").output.split()
    assert made == [str(BagCode("VLY", 42)), str(BagCode("VLY", 43))]
    assert "bag 42" in plain(run("check", made[0].lower()).output)


def test_a_swapped_code_names_the_right_one():
    found = run("check", "VLY-0024-05")
    assert found.exit_code == 2
    assert "VLY-0042-05 (two neighbours swapped)" in plain(found.stderr)


def test_a_scant_bag_says_what_will_be_left_out():
    found = run("mass", "32", "--tests", "nitrate,cp,adf,ndf", "--json")
    answer = json.loads(found.output)
    assert answer["band"] == "short"
    assert not answer["enough"]
    assert "nitrate" not in answer["short"]


def test_a_bag_that_lost_weight_says_so():
    assert "leaked or dried out" in plain(run("mass", "200", "--received", "190").output)


@pytest.mark.parametrize(
    "words",
    [
        ("mass", "0"),
        ("mass", "200", "--tests", "colour"),
        ("code", "I0Q", "1"),
        ("code", "VLY", "0"),
        ("check", "hay"),
        ("advise",),
        ("advise", "--crop", "oats", "--form", "pudding"),
        ("advise", "--crop", "oats", "--weeds", "kochia 140"),
    ],
)
def test_what_cannot_be_is_refused_in_words(words):
    found = run(*words)
    assert found.exit_code == 2
    assert found.stderr.strip()
    assert "Traceback" not in found.output + found.stderr


def test_a_lot_and_its_bag_are_read_from_their_forms(tmp_path):
    lot = tmp_path / "river-oats.toml"
    lot.write_text(LOT, encoding="utf-8")
    bag = tmp_path / f"{BagCode('VLY', 42)}.toml"
    bag.write_text(
        'lot = "river-oats"\ncored_on = 2026-09-14\nbales = "1-20"\ntests = ["cp", "adf"]\n',
        encoding="utf-8",
    )
    found = run("advise", "--lot", str(lot), "--bag", str(bag), "--json")
    assert json.loads(found.output)["not_tested"] == ["nitrate"]
    assert run("advise", "--lot", str(lot), "--crop", "oats").exit_code == 2
