"""The winter plan meets the offers: what its nutrients are worth becomes the buyer's price."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from haywright.cli.gate import app
from haywright.files.office import demo_folder
from haywright.measure.errors import Refused
from haywright.way.ranch_prices import ranch_prices
from haywright.way.winter import NutrientPrices

RANCH = demo_folder() / "ranches" / "three-gates.toml"
HAY = "name=brome price=110 dm=88 cp=9 tdn=52 nem='0.5 Mcal/lb'"


@given(cp=st.floats(0, 5), energy=st.floats(0, 1))
def test_a_kilogram_of_protein_is_2_2046_pounds_and_a_megacalorie_stays_one(cp, energy):
    found = ranch_prices(NutrientPrices({"nem": energy}, cp))
    # UCUM: 1 lb is 0.45359237 kg.
    assert float(found["cp"].money) == pytest.approx(cp * 0.45359237)
    assert found["nem"].unit == "Mcal"
    assert float(found["nem"].money) == pytest.approx(energy)


@pytest.mark.parametrize("energy", ["", "nel"])
def test_herds_counted_in_several_energies_ask_for_one(energy):
    with pytest.raises(Refused):
        ranch_prices(NutrientPrices({"nem": 0.1, "tdn": 0.2}, 0.3), energy=energy)
    assert set(ranch_prices(NutrientPrices({"nem": 0.1, "tdn": 0.2}, 0.3), energy="tdn")) == {
        "cp", "tdn",
    }  # fmt: skip


def test_offers_are_priced_by_the_plan_of_a_ranch():
    words = ["offers", "--ranch", str(RANCH), "--energy", "nem", "--hay", HAY, "--json"]
    found = CliRunner().invoke(app, words)
    assert found.exit_code == 0, found.stderr
    answer = json.loads(found.output)
    prices = {one["nutrient"]: float(one["cost"]) for one in answer["prices"]}
    by_hand = 2000 * 0.88 * (0.09 * prices["cp"] + 0.5 * prices["nem"])
    worth = answer["offers"][0]["worth"]["eaten"]["amount"]
    assert float(worth) == pytest.approx(by_hand, abs=0.02)


def test_a_ranch_and_prices_beside_it_are_refused():
    found = CliRunner().invoke(
        app, ["offers", "--ranch", str(RANCH), "--worth", "cp=0.3/lb", "--hay", HAY]
    )
    assert found.exit_code == 2
    assert "one of these" in found.stderr
