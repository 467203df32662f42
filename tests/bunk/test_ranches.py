"""A ranch form is read in the trade's words, and every slip in it is named at once."""

from __future__ import annotations

import pytest

from haywright.bunk.hazards.nitrate.question import Fed
from haywright.files.ranches import read_ranch, read_ranches
from haywright.measure.errors import HaywrightError

FORM = """
name = "Cold Creek"
guide = "clemson"

[[group]]
name = "the bred cows"
animals = "bred cows"
head = 46
fed = "mixed"
weight = "1,250 lb"
intake = "25 lb"
water_nitrate = "22.1 mg/L NO3"
drinks = "11 gal"

[[group]]
animals = "ewes"
head = 120
fed = "free"
"""


def written(tmp_path, text, name="cold-creek"):
    path = tmp_path / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_ranch_is_read_in_the_words_and_units_it_is_written_in(tmp_path):
    ranch = read_ranch(written(tmp_path, FORM))
    cows, ewes = ranch.groups
    assert (ranch.id, ranch.name, ranch.guide) == ("cold-creek", "Cold Creek", "clemson")
    assert (cows.name, cows.stock.id, cows.head, cows.fed) == (
        "the bred cows", "bred-cows", 46, Fed.MIXED)  # fmt: skip
    assert cows.weight == pytest.approx(566.99, abs=0.01)  # 1250 x 0.45359237
    assert cows.water_nitrate == pytest.approx(22.1 / 4.4266, rel=1e-3)  # NO3 to NO3-N
    assert ewes.name == "ewes"


def test_water_that_nobody_tested_is_not_water_without_nitrate(tmp_path):
    assert read_ranch(written(tmp_path, FORM)).groups[1].water_nitrate is None


@pytest.mark.parametrize(
    ("line", "wrong", "named"),
    [
        ('"22.1 mg/L NO3"', '"22.1 mg/L"', "bunk.nitrate.typed.water"),
        ('"25 lb"', '"130 lb"', "bunk.ranch.intake"),
        ('"25 lb"', "25", "measure.unit_missing"),
        ('"bred cows"', '"unicorns"', "measure.unknown_name"),
        ('"mixed"', '"thrown about"', "measure.unknown_name"),
        ('guide = "clemson"', 'guide = "clemsn"', "measure.unknown_name"),
        ("head = 46", "head = -4", "files.whole"),
        ('animals = "ewes"', 'animals = "ewes"\nname = "the bred cows"', "bunk.ranch.twice"),
        ('animals = "ewes"', 'animals = "ewes"\ncolour = "white"', "measure.unknown_name"),
    ],
)
def test_what_is_wrong_in_a_form_is_named(tmp_path, line, wrong, named):
    with pytest.raises(HaywrightError) as refused:
        read_ranch(written(tmp_path, FORM.replace(line, wrong)))
    assert any(one.key.startswith(named) for one in refused.value.messages())


def test_every_form_of_a_folder_that_cannot_be_read_is_named(tmp_path):
    written(tmp_path, FORM, "good")
    written(tmp_path, "name = 3", "bad")
    written(tmp_path, "", "empty")
    with pytest.raises(HaywrightError) as refused:
        read_ranches(tmp_path)
    said = " ".join(str(one) for one in refused.value.messages())
    assert "bad.toml" in said
    assert "empty.toml" in said
