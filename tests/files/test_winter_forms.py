"""A winter form is read in the words of the trade; every slip is named at once, none passed."""

from __future__ import annotations

from datetime import date

import pytest
from typer.testing import CliRunner

from haywright.cli.main import app
from haywright.files.ranches import read_ranch, read_ranch_winter
from haywright.measure.errors import HaywrightError
from haywright.words import say

FORM = """
name = "Cold Creek"
turnout = 2027-05-01
plan_from = 2026-12-01

[[group]]
name = "cows"
animals = "bred cows"
head = 30
fed = "limited"
weight = "1,200 lb"
intake = "25 lb"
water_nitrate = "3 mg/L NO3-N"
drinks = "11 gal"
calving = 2027-03-15
condition = 5.0
feeder = "cone"

[[hay]]
name = "meadow"
bales = 150
weight = "1,100 lb"
dry_matter = "88 %"
tdn = 56
cp = 9.5
ndf = 60
nitrate = "200 ppm NO3-N"
storage = "barn"
baled_on = 2026-07-10

[[feed_to_buy]]
name = "cake"
tdn = 75
cp = 38
price_per_short_ton = 380

[[offer]]
lot = "meadow"
price_per_short_ton = 120
wanted = "20 short tons"
"""


def written(tmp_path, text, name="cold-creek"):
    path = tmp_path / f"{name}.toml"
    path.write_text(text, encoding="utf-8")
    return path


def ran(tmp_path, text):
    return CliRunner().invoke(app, ["bunk", "winter", str(written(tmp_path, text))])


def changed(**pairs):
    text = FORM
    for old, new in pairs.values():
        assert old in text
        text = text.replace(old, new)
    return text


def test_the_winter_is_read_in_the_units_it_is_written_in(tmp_path):
    ranch, asked = read_ranch_winter(written(tmp_path, FORM))
    (cows,), (meadow,), (bid,) = asked.groups, asked.hays, asked.bids
    assert (asked.first, asked.turnout) == (date(2026, 12, 1), date(2027, 5, 1))
    assert cows.due == date(2027, 3, 15)
    assert meadow.bale_weight == pytest.approx(1100 * 0.45359237)
    assert meadow.values == {"tdn": 56, "cp": 9.5, "ndf": 60}
    assert meadow.nitrate == pytest.approx(200)
    assert bid.most == pytest.approx(20 * 907.18474)
    assert asked.feeds[0].price == pytest.approx(380 / 907.18474)
    assert read_ranch(written(tmp_path, FORM)) == ranch  # one form serves both


def test_a_form_that_knows_nothing_of_winter_still_serves_the_nitrate_verdict(tmp_path):
    text = FORM[: FORM.index("[[hay]]")].replace("turnout = 2027-05-01\n", "")
    assert read_ranch(written(tmp_path, text)).groups[0].head == 30


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("head = 30", "head = -3", "head"),
        ('"1,200 lb"', '"1,150 kg"', "Is it in pounds?"),
        ("price_per_short_ton = 380\n", "", "price is missing"),
        ("price_per_short_ton = 120\n", "", "price is missing"),
        ('feeder = "cone"', 'feeder = "cone"\nwaste = "10 %"', "not both"),
        ("calving = 2027-03-15", "calving = 2027-03-15\nlambing = 2027-03-20", "two dates"),
        ("condition = 5.0", "condition = 14", "condition"),
        ("tdn = 56", 'tdn = "lots"', "tdn"),
        ('nitrate = "200 ppm NO3-N"', 'nitrate = "200 ppm"', "nitrate"),
        ("bales = 150", "bales = 150\nbails = 3", "bails"),
        ("tdn = 75\n", "", "needs its protein"),
        ("turnout = 2027-05-01", 'turnout = "in spring"', "turnout"),
        ('storage = "barn"', 'storage = "on the moon"', "moon"),
    ],
)
def test_a_slip_in_the_form_is_named_with_its_place(tmp_path, old, new, told):
    with pytest.raises(HaywrightError) as caught:
        read_ranch_winter(written(tmp_path, changed(one=(old, new))))
    text = " ".join(say(one) for one in caught.value.messages())
    assert told in text
    assert "cold-creek" in text


def test_every_slip_is_told_at_once(tmp_path):
    text = changed(
        a=("head = 30", "head = -3"),
        b=("price_per_short_ton = 380\n", ""),
        c=("tdn = 56", "tdn = -4"),
    )
    found = ran(tmp_path, text)
    assert found.exit_code == 2
    assert len(found.stderr.strip().splitlines()) >= 3


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (FORM[FORM.index("[[hay]]") : FORM.index("[[feed_to_buy]]")], "hay = []\n", "no hay"),
        ("turnout = 2027-05-01", "turnout = 2026-05-01", "Is the year right?"),
        ("turnout = 2027-05-01\n", "", "when do they go to grass?"),
        ("calving = 2027-03-15", "calving = 2028-03-15", "Is the year right?"),
        ("calving = 2027-03-15\n", "", "when do cows calve"),
        ("tdn = 56\n", "", "energy of meadow is missing"),
        ("cp = 9.5\n", "", "protein of meadow is missing"),
        ("bales = 150\n", "", "how much of meadow"),
        ('lot = "meadow"', 'lot = "medow"', "no lot of this plan"),
        ("condition = 5.0", "condition = 5.0\nleast_condition = 6", "stand at 5"),
        (
            "condition = 5.0",
            "condition = 5.0\nleast_condition = 4.5\ntarget_condition = 4",
            "One of the two must change",
        ),
        ("condition = 5.0", "condition = 5.0\ntarget_condition = 9", "No plan keeps everything"),
    ],
)
def test_what_cannot_be_planned_is_refused_in_words_and_exit_code_2(tmp_path, old, new, told):
    text = FORM.replace(old, new)
    if new == "hay = []\n":
        text = new + FORM.replace(old, "")[: -len(FORM[FORM.index("[[offer]]") :])]
    found = ran(tmp_path, text)
    assert found.exit_code == 2, found.output
    assert told in found.stderr
    assert "Traceback" not in found.output + found.stderr


def test_hay_over_every_nitrate_limit_is_named_and_nobody_is_fed_it(tmp_path):
    text = changed(one=('"200 ppm NO3-N"', '"9,000 ppm NO3-N"'))
    found = ran(tmp_path, text)
    assert found.exit_code == 0, found.stderr
    assert "Left out of the feed:\n  meadow, cows: Nitrate: not to be fed" in found.output
    assert "If an animal breathes hard" in found.output
    bare = text[: text.index("[[feed_to_buy]]")]
    alone = ran(tmp_path, bare)
    assert alone.exit_code == 2
    assert "nothing here may be fed to anybody" in alone.stderr


def test_calving_after_turnout_is_asked_about_and_not_silently_dropped(tmp_path):
    found = ran(tmp_path, changed(one=("calving = 2027-03-15", "calving = 2027-06-01")))
    assert found.exit_code == 0, found.stderr
    assert "after turnout on 1 May 2027. Is that right?" in found.output.replace("\xa0", " ")


def test_hay_that_must_be_tested_and_is_not_stands_as_not_tested(tmp_path):
    text = changed(one=('nitrate = "200 ppm NO3-N"', 'crop = "oats"'))
    found = ran(tmp_path, text)
    assert "NOT TESTED" in found.output
    unwatered = ran(tmp_path, changed(one=('water_nitrate = "3 mg/L NO3-N"\n', "")))
    assert "the water is not tested for nitrate" in unwatered.output
