"""Bag forms of an office in small: read whole, every slip named."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haywright.bag.codes import BagCode
from haywright.files.bags import read_bag, read_bags
from haywright.measure.errors import HaywrightError, Problems, Refused
from haywright.words import say

FORM = """
lot = "river-oats"
cored_on = 2026-09-14
bales = "3, 7, 12-15"
tests = ["nitrate", "cp", "adf", "ndf"]
mass_sealed_g = 182
mass_received_g = "0.4 lb"

[[journey]]
stage = "sealed"
when = 2026-09-14T10:30:00
who = "educator"

[[journey]]
stage = "received"
when = 2026-09-15T09:00:00
who = "laboratory"
"""
CODE = str(BagCode("VLY", 42))


def written(tmp_path, text=FORM, name=f"{CODE}.toml"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def said(error):
    return " ".join(say(one) for one in error.messages())


def test_a_form_becomes_a_bag(tmp_path):
    bag = read_bag(written(tmp_path))
    assert str(bag.code) == CODE
    assert bag.bales == (3, 7, 12, 13, 14, 15)
    assert bag.mass_received_g == pytest.approx(181.4, abs=0.05)
    assert bag.stage == "received"
    assert bag.taken == "probe"


def test_one_code_in_two_files_is_refused_naming_both(tmp_path):
    written(tmp_path)
    written(tmp_path, name="vly 42 05.toml")
    with pytest.raises(Refused) as error:
        read_bags(tmp_path)
    assert CODE + ".toml" in said(error.value)
    assert "vly 42 05.toml" in said(error.value)


def test_a_form_whose_code_and_name_differ_is_refused(tmp_path):
    other = str(BagCode("VLY", 43))
    with pytest.raises(Refused) as error:
        read_bag(written(tmp_path, f'code = "{other}"\n' + FORM))
    assert error.value.message.key == "bag.file.name"


def test_a_mistyped_code_names_the_one_that_was_meant(tmp_path):
    with pytest.raises(Refused) as error:
        read_bag(written(tmp_path, name="VLY-0024-05.toml"))
    assert CODE in said(error.value)


def test_every_slip_of_a_form_is_named_at_once(tmp_path):
    text = FORM.replace('"nitrate"', '"nitrat"').replace("2026-09-14\n", '"yesterday"\n')
    text = text.replace("mass_sealed_g = 182", 'mass_sealed_g = "a lot"\ncolour = "green"')
    with pytest.raises(Problems) as error:
        read_bag(written(tmp_path, text))
    words = said(error.value)
    for part in ("nitrate", "cored_on", "a lot", "colour"):
        assert part in words


@pytest.mark.parametrize(
    ("old", "new", "part"),
    [
        ('bales = "3, 7, 12-15"', 'bales = "three"', "three"),
        ('bales = "3, 7, 12-15"', 'bales = "15-12"', "15-12"),
        ('bales = "3, 7, 12-15"', 'bales = "1-999999999"', "1-999999999"),
        ('bales = "3, 7, 12-15"', "bales = [3, 3]", "once"),
        ("mass_sealed_g = 182", "mass_sealed = 182", "mass_sealed"),
        ("mass_sealed_g = 182", "mass_sealed_g = -5", "-5"),
        ("2026-09-15T09:00:00", "2026-09-13T09:00:00", "before"),
        ("2026-09-15T09:00:00", '"soon"', "soon"),
        ('"received"', '"eaten"', "eaten"),
        ('lot = "river-oats"', "", "lot"),
    ],
)
def test_a_wrong_field_is_named_with_its_file(tmp_path, old, new, part):
    with pytest.raises(HaywrightError) as error:
        read_bag(written(tmp_path, FORM.replace(old, new)))
    assert part in said(error.value)
    assert f"{CODE}.toml" in said(error.value)


def test_a_folder_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(Refused):
        read_bags(tmp_path / "bags")


@given(text=st.text(max_size=200))
def test_whatever_stands_in_a_form_is_read_or_refused_in_words(tmp_path_factory, text):
    path = tmp_path_factory.mktemp("bags") / f"{CODE}.toml"
    path.write_text(text, encoding="utf-8")
    try:
        read_bag(path)
    except HaywrightError as error:
        assert said(error)
