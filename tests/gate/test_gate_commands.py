"""The commands of the gate as a rancher on the telephone would use them.

Numbers with a source are the published ones of the outside cases.
"""

from __future__ import annotations

import json
import re

import pytest
from typer.testing import CliRunner

from haywright.cli.gate import app


def run(*words):
    return CliRunner().invoke(app, list(words))


def answer(*words):
    found = run(*words, "--json")
    assert found.exit_code == 0, found.stderr
    return json.loads(found.output)


def plain(text):
    return re.sub(r"\s+", " ", text.replace("\N{NO-BREAK SPACE}", " "))


def test_cost_of_protein_and_energy_in_grass_hay():
    # Gessner, South Dakota State University Extension, Buying hay, 2015: $0.808 and $0.089 a pound.
    found = answer("value", "--price", "80", "--dm", "90", "--cp", "5.5", "--tdn", "50")
    costs = {one["nutrient"]: float(one["cost"]) for one in found["nutrients"]}
    assert costs["cp"] == pytest.approx(0.808, abs=0.0006)
    assert costs["tdn"] == pytest.approx(0.089, abs=0.0006)
    text = plain(run("value", "--price", "80", "--dm", "90", "--tdn", "50").output)
    assert "$80.00 per short ton as it stands" in text
    assert "$0.089 per lb" in text


def test_a_bare_ton_on_the_telephone_is_a_short_ton_and_is_said_so():
    text = plain(run("value", "--price", "$180", "--per", "ton", "--dm", "88").output)
    assert text.startswith("A ton here is a short ton of 2,000 lb.")


def test_an_unweighed_bale_is_a_range():
    # $60 at 1,200 lb, out by 100 lb either way: $92.31 to $109.09 (value.md section 4).
    text = plain(
        run("value", "--price", "60", "--per", "bale", "--bale-weight", "1,200 lb",
            "--bale-error", "100 lb", "--dm", "88").output
    )  # fmt: skip
    assert "$92.31 per short ton if they are heavy and $109.09" in text


def test_a_price_is_restated_for_wetter_hay():
    # Alberta Agriculture, FAQ 7094: 2.5 cents at 18 % moisture is 2.59 at 15 %.
    found = answer("price", "2.5", "--per", "lb", "--quoted-moisture", "18", "--lot-moisture", "15")
    assert float(found["price"]["amount"]) == pytest.approx(2.59, abs=0.005)
    by_dm = answer("price", "2.5", "--per", "lb", "--quoted-dm", "82", "--lot-dm", "85")
    assert by_dm["price"] == found["price"]


def test_hay_for_a_herd_by_the_pound_a_day():
    # Iowa Beef Center: 150 cows x 30 lb x 180 days, 85 % dry matter, 5 % waste: 405, 476, 501 tons.
    found = answer(
        "need", "--head", "150", "--daily", "30 lb", "--days", "180", "--dm", "85",
        "--feeding-loss", "5", "--bale-weight", "1,200 lb", "--on-hand", "900",
    )  # fmt: skip
    tons = found["short_tons"]
    assert [round(tons[n]) for n in ("dry_matter", "eaten", "to_have")] == [405, 476, 502]
    assert found["bales"] == 836
    assert found["bales_short"] == -64


def test_hay_that_is_short_is_said_first():
    text = plain(
        run("need", "--head", "46", "--weight", "1,250 lb", "--days", "150", "--bale-weight",
            "1,150 lb", "--on-hand", "200", "--feeding-loss", "15").output
    )  # fmt: skip
    assert text.startswith("You need 251 bales. You are 51 bales short.")


def test_no_loss_given_is_said():
    text = plain(run("need", "--head", "1", "--daily", "25 lb", "--days", "30").output)
    assert "No loss is counted" in text


def test_delivered_and_eaten():
    # $150 at the stack, $3.50 a mile over 300 miles, 18 tons by room: freight $58.33.
    found = answer(
        "delivered", "--price", "150", "--miles", "300", "--rate", "3.50", "--payload",
        "44,000 lb", "--bales", "30", "--bale-weight", "1,200 lb", "--storage-loss", "15",
        "--feeding-loss", "10",
    )  # fmt: skip
    assert float(found["freight"]["amount"]) == pytest.approx(58.33, abs=0.01)
    assert found["limited_by_room"]
    assert float(found["eaten"]["amount"]) == pytest.approx(208.33 / (0.85 * 0.9), abs=0.01)


def test_losses_added_on_are_said_to_be_too_low():
    found = run(
        "delivered", "--price", "150", "--miles", "0", "--rate", "1", "--payload", "44,000 lb",
        "--storage-loss", "15", "--losses", "added",
    )  # fmt: skip
    assert "dividing, which the weights ask for, gives more" in plain(found.output)


def test_hays_that_change_places_have_no_single_best_buy():
    text = plain(
        run("compare", "--hay", "name=grass price=80 dm=90 cp=5.5 tdn=50",
            "--hay", "name=alfalfa price=90 dm=90 cp=15 tdn=51").output
    )  # fmt: skip
    assert "no single best buy" in text
    assert "Cheapest by Crude protein: alfalfa." in text


def test_worth_by_yardstick_feeds_is_marked_recalled():
    text = plain(
        run("value", "--price", "180", "--dm", "88", "--cp", "12", "--tdn", "56", "--corn", "170",
            "--soybean-meal", "380").output
    )  # fmt: skip
    assert "(recalled)" in text
    assert "nitrate" in text


@pytest.mark.parametrize(
    "words",
    [
        ("value", "--price", "0", "--dm", "88"),
        ("value", "--price", "lots", "--dm", "88"),
        ("value", "--price", "80", "--dm", "0"),
        ("value", "--price", "80", "--dm", "88", "--cp", "120"),
        ("value", "--price", "80", "--dm", "88", "--nem", "0.55"),
        ("value", "--price", "80", "--dm", "88", "--per", "bushel"),
        ("value", "--price", "80", "--dm", "88", "--per", "bale"),
        ("value", "--price", "80", "--dm", "88", "--currency", "dollars"),
        ("value", "--price", "80", "--dm", "88", "--feeding-loss", "100"),
        ("value", "--price", "80", "--dm", "88", "--losses", "guessed"),
        ("value", "--price", "80", "--dm", "88", "--tdn", "50", "--corn", "170"),
        ("price", "80"),
        ("price", "80", "--quoted-moisture", "15", "--quoted-dm", "85", "--lot-dm", "80"),
        ("price", "80", "--quoted-moisture", "100", "--lot-dm", "80"),
        ("need", "--head", "5", "--days", "10"),
        ("need", "--head", "5", "--weight", "1,200", "--days", "10"),
        ("need", "--head", "5", "--weight", "12 ft", "--days", "10"),
        ("need", "--head", "0", "--daily", "25 lb", "--days", "10"),
        ("compare", "--hay", "grass 80"),
        ("compare", "--hay", "name=grass price=80"),
        ("compare", "--hay", 'name="grass price=80'),
        ("compare", "--hay", "name=grass price=80 dm=90 colour=5"),
    ],
)
def test_what_cannot_be_is_refused_in_words(words):
    found = run(*words)
    assert found.exit_code == 2
    assert found.stderr.strip()
    assert "Traceback" not in found.output + found.stderr
