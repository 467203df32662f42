"""The commands of the stack as an educator on the telephone would use them."""

from __future__ import annotations

import json
import re

import pytest
from typer.testing import CliRunner

from haywright.cli.stack import app


def run(*words):
    return CliRunner().invoke(app, list(words))


def plain(found):
    return re.sub(r"\s+", " ", found.output.replace("\N{NO-BREAK SPACE}", " "))


def answered(*words):
    found = run(*words, "--json")
    assert found.exit_code == 0, found.output
    return json.loads(found.stdout)


def test_a_plan_in_one_line_says_the_act_first():
    found = run("plan", "--bales", "80", "--crop", "oats", "--events", "drought")
    assert found.exit_code == 0
    text = plain(found)
    assert text.startswith(
        "Core 20 of the 80 bales, one core from each, 18 in deep, from the curved side"
    )
    assert "Feed none of this hay until its nitrate is known" in text
    assert "veterinarian" in text
    assert "Drill: two hands" in text


def test_the_same_plan_for_a_program():
    plan = answered("plan", "--bales", "80", "--crop", "oats", "--events", "drought")
    assert len(plan["walk"]) == 20
    assert [bag["speaks_for_bales"] for bag in plan["bags"]] == [40, 40]
    assert plan["rule"]["source"] == "sampling-choices"
    assert plan["precision"][0]["provisional"]
    assert plan["cautions"]


def test_faces_parts_and_reach_come_from_words():
    plan = answered(
        "plan", "--bales", "50", "--crop", "sorghum-sudan", "--storage", "outside",
        "--face", "south side 2x10", "--face", "north side: 2x10", "--part", "low end 1-25",
        "--part", "hill: 26-50", "--unreached", "1-3", "--rind", "3 in",
        "--bale-weight", "1,150 lb",
    )  # fmt: skip
    assert [bag["part"] for bag in plan["bags"]] == ["low end", "hill"]
    assert set(plan["unreached"]) == {1, 2, 3, *range(41, 51)}
    assert all(one["clock"] in range(1, 6) for one in plan["walk"])
    assert plan["probe"]["rind_m"] == pytest.approx(0.0762)


def test_a_plan_from_a_lot_file(tmp_path):
    form = tmp_path / "bench.toml"
    form.write_text('crop = "timothy"\n[bales]\ncount = 30\npackage = "3x4x8"\n', encoding="utf-8")
    plan = answered("plan", str(form), "--length", "20 in", "--bore", "0.625 in")
    assert (plan["lot"], plan["purpose"]) == ("bench", "nutrients")
    assert plan["probe"]["face"] == "end"


def test_a_precision_nobody_can_reach_is_an_answer_and_no_error():
    found = run("plan", "--bales", "200", "--crop", "alfalfa", "--within", "cp 0.3")
    assert found.exit_code == 0
    assert "not attainable" in plain(found)
    assert "Among results of one laboratory" in plain(found)


def test_a_standing_crop_is_told_it_clears_no_bales():
    found = run(
        "plan", "--crop", "oats", "--form", "standing-crop", "--part", "poor", "--part", "good"
    )
    text = plain(found)
    assert "15 places" in text
    assert "never speaks for bales made of it" in text
    assert "Keep stock off this crop" in text
    assert "Drill" not in text


def test_the_probe_of_the_example():
    # sampling.md 3.3: 18 in core, 5 ft bale, 4 in rind: 0.222 of the core, 0.249 of the bale
    found = run(
        "probe", "--diameter", "5 ft", "--length", "18 in", "--bore", "0.5 in", "--rind", "4 in"
    )
    assert found.exit_code == 0
    text = plain(found)
    assert "25 % of the bale, 22 % of the core. Weathered outside counted 0.89 times." in text
    assert "A core of 16.1 in would count it once." in text
    assert "Drill: two hands" in text
    probe = answered(
        "probe", "--diameter", "5 ft", "--rind", "4 in", "--outside", "42", "--inside", "62"
    )
    assert probe["bag_less_whole_bale"] == pytest.approx((4 / 18 - probe["mass_share"]) * -20)


def test_hot_hay_says_the_most_cautious_scale_first_and_to_call():
    # California 2020: 150 degF take the stack apart; Cornell: 160 degF call the fire department
    found = run("keep", "--hot", "155 F")
    text = plain(found)
    assert text.startswith(
        "155 °F in the hay. The most cautious scale, California: take the stack apart."
    )
    assert "Call the fire department before you move hot hay" in text
    hot = answered("keep", "--hot", "165 F", "--scale", "cornell")
    assert hot["heat"]["chosen"]["action"] == "call_fire_service"


def test_a_milder_scale_does_not_silence_the_more_cautious_one():
    text = plain(run("keep", "--hot", "158 F", "--scale", "mississippi"))
    assert "Mississippi: check it every day." in text
    assert "The most cautious scale, California: take the stack apart." in text


def test_losses_are_a_span_with_their_source():
    text = plain(run("keep", "--storage", "outside", "--months", "7"))
    assert "5 to 20 % of the dry matter lost" in text
    assert "BAE-1716" in text
    kept = answered("keep", "--storage", "barn", "--months", "7", "--moisture", "19")
    assert kept["storage"]["loss_high_pct"] == 2
    assert kept["moisture"]["ceilings"][0]["under"] is False


def test_a_lot_is_weighed_from_a_few_of_its_bales():
    found = run("weigh", "--bales", "148", "--weights", "1210, 1185, 1240, 1195 lb")
    text = plain(found)
    # mean 1,207.5 lb x 148 bales = 89.36 short tons
    assert "The 148 bales weigh 89.4 short tons" in text
    assert "drawn by chance" in text
    thousands = answered("weigh", "--bales", "20", "--weights", "1,210; 1,185; 1,240 lb")
    assert thousands["lot"]["mass_kg"] == pytest.approx(1211.667 * 20 * 0.45359237, rel=1e-6)


RICK = ("--over", "44 ft", "--stack-width", "18 ft", "--stack-length", "40 ft")


def test_a_loose_stack_is_a_span_that_no_recalled_rule_widens():
    found = answered("weigh", *RICK)
    recalled = [n for n, row in found["loose"]["rules"].items() if row["mark"] == "recalled"]
    assert recalled
    # 7,920 cubic feet at 420 to 9,610 at 400 cubic feet a short ton
    low, high = (kg / 907.18474 for kg in found["loose"]["mass_kg"])
    assert (low, high) == pytest.approx((7920 / 420, 9610 / 400))
    assert plain(run("weigh", *RICK)).count("recalled") == len(recalled)


def test_a_bale_not_weighed_is_called_a_guess():
    assert "Guesses miss by 100 lb" in plain(run("weigh", "--package", "5x5", "--bales", "40"))
    assert "Guesses" not in plain(run("weigh", "--package", "5x5", "--bale-weight", "1,150 lb"))


def test_degree_days_from_a_weeks_readings():
    # 6 + 15 + 22 degF days over 86 degF
    found = answered("keep", "--daily", "92, 101, 108 F")
    assert found["heating_degree_days"]["degf_days"] == pytest.approx(43)


def test_rules_by_name_with_what_each_asks():
    found = answered("rules", "--bales", "120", "--test", "nitrate")
    # Kansas State University: 20 to 40 % of the bales
    row = next(one for one in found["rules"] if one["id"] == "kansas-nitrate")
    assert (row["least"], row["most"]) == (24, 48)


def test_si_units_for_those_who_use_them():
    text = plain(run("probe", "--package", "5x5", "--rind", "10 cm", "--show", "si"))
    assert "152 cm across" in text


def test_a_unit_of_weight_for_a_length_is_refused_in_words():
    found = run("probe", "--rind", "4 ton")
    assert found.exit_code == 2
    assert "--rind" in found.stderr


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("plan",), "--crop"),
        (("plan", "--crop", "oats"), "--bales"),
        (("plan", "--crop", "oats", "--bales", "0"), "0"),
        (("plan", "--crop", "otas", "--bales", "9"), "Did you mean"),
        (("plan", "--crop", "oats", "--bales", "9", "--rule", "by-eye"), "by-eye"),
        (("plan", "--crop", "oats", "--bales", "9", "--within", "0.5"), "cp 0.5"),
        (("plan", "--crop", "oats", "--bales", "9", "--face", "south"), "south 3x10"),
        (("plan", "--crop", "oats", "--bales", "9", "--part", "low 1-"), "1-30, 45"),
        (("plan", "--crop", "oats", "--bales", "9", "--part", "7"), "low end 1-40"),
        (("plan", "--crop", "oats", "--bales", "9", "--test", "protein"), "nitrate"),
        (("plan", "--crop", "oats", "--bales", "9", "--core", "10"), "10"),
        (("plan", "--crop", "oats", "--bales", "9", "--draw", "dice"), "every-nth"),
        (("plan", "--crop", "oats", "--bales", "9", "--confidence", "95"), "0.95"),
        (("plan", "nowhere.toml"), "no such file"),
        (("plan", "nowhere.toml", "--crop", "oats"), "describes the lot"),
        (("probe", "--length", "18"), "no unit"),
        (("probe", "--face", "end"), "curved"),
        (("keep",), "--storage"),
        (("keep", "--storage", "barn"), "how many months"),
        (("keep", "--hot", "155 F", "--scale", "mine"), "cornell"),
        (("keep", "--hot", "155"), "no unit"),
        (("keep", "--storage", "film", "--months", "3"), "says nothing"),
        (("keep", "--daily", "92, 101"), "no unit"),
        (("weigh",), "--weights"),
        (("weigh", "--weights", "1200 lb", "--bales", "9"), "at least two"),
        (("weigh", "--weights", "1200, 1210 lb"), "how many bales"),
        (("weigh", "--over", "44 ft"), "Width of the stack"),
        (("weigh", "--package", "7x9"), "7x9"),
        (("rules", "--test", "ash"), "nutrients"),
    ],
)
def test_a_slip_is_refused_with_what_would_do(words, said):
    found = run(*words)
    assert found.exit_code == 2
    assert said in re.sub(r"\s+", " ", found.stderr)
