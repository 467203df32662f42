"""A lot read from its form: what is written is what is meant, and every slip is named."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haywright.files.lots import bale_numbers, read_lot
from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.units import convert
from haywright.words import say

FORM = """
name = "Lower bench oats"
form = "cured_hay"
crop = ["oats", "field-pea"]
events = ["hail"]
cutting = 1
cut_on = 2026-08-02
baled_on = 2026-08-09
baling_hours = "30 h"
moisture = "17 %"
storage = "outside on the ground"
weathered_outside = "3 in"
purpose = "sale"
unreached = "21-24, 30"

[bales]
count = 30
package = "5x5"
weight = "1,150 lb"
weighed = "scale ticket"

[[faces]]
name = "South side"
tiers = 2
columns = 10
reach = 2

[[faces]]
name = "West end"
columns = [6, 4]

[[field_parts]]
name = "low end"
bales = "1-12, 15"

[weeds]
kochia = "15 %"
pigweed = "unknown"
"""


def read(tmp_path, text, name="oats.toml"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return read_lot(path)


def refusals(tmp_path, text):
    with pytest.raises(HaywrightError) as error:
        read(tmp_path, text)
    return [say(one) for one in error.value.messages()]


def test_a_whole_form_becomes_a_lot(tmp_path):
    lot = read(tmp_path, FORM)
    assert (lot.id, lot.name, lot.crops) == ("oats", "Lower bench oats", ("oats", "field-pea"))
    assert lot.packages.weight == pytest.approx(convert(1150, "lb", "kg"))
    assert lot.rind == pytest.approx(convert(3, "in", "m"))
    assert (lot.moisture, lot.baling_hours) == pytest.approx((17, 30))
    assert lot.baled_on == date(2026, 8, 9)
    assert [face.tiers for face in lot.faces] == [(10, 10), (6, 4)]
    assert lot.field_parts[0].bales == (*range(1, 13), 15)
    assert lot.unreached == (21, 22, 23, 24, 30)
    assert lot.weeds == {"kochia": 15.0, "pigweed": None}
    assert (lot.storage, lot.purpose) == ("exposed-ground", "sale")


def test_a_standing_crop_needs_no_bales(tmp_path):
    lot = read(tmp_path, 'form = "standing_crop"\ncrop = "corn"\n')
    assert lot.bales is None


def test_a_weight_of_the_whole_lot_is_shared_over_its_bales(tmp_path):
    lot = read(tmp_path, 'crop = "timothy"\n[bales]\ncount = 40\ntotal = "22 short tons"\n')
    assert lot.packages.weight == pytest.approx(convert(22, "short_ton", "kg") / 40)


def test_own_sides_make_a_package(tmp_path):
    text = 'crop = "timothy"\n[bales]\ncount = 4\ndiameter = "5 ft"\nwidth = "1.2 m"\n'
    package = read(tmp_path, text).packages.package
    assert package.sides == pytest.approx((1.524, 1.2))


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (("1,150 lb", "0.5 ton"), "2,000 lb, 2,240 lb or 1,000 kg"),
        (('"1,150 lb"', "1150"), "no unit"),
        (("3 in", "3 lb"), "3 lb"),
        (('["oats", "field-pea"]', '"otas"'), "Did you mean oats"),
        (('["oats", "field-pea"]', '"kelp"'), "not known"),
        (('["hail"]', '["hale"]'), "hail"),
        (('["hail"]', "[3]"), "3"),
        (("cured_hay", "hay"), "cured_hay"),
        (("outside on the ground", "the moon"), "storage"),
        (("count = 30", "count = 0"), "count"),
        (("count = 30", "count = 20"), "faces show 30 bales"),
        (("17 %", "170 %"), "170"),
        (("2026-08-09", '"last week"'), "last week"),
        (("21-24, 30", "21-x"), "21-x"),
        (("21-24, 30", "24-21"), "24-21"),
        (("21-24, 30", "31"), "31"),
        (("kochia", "triffid"), "triffid"),
        (('name = "South side"', 'nme = "South side"'), "nme"),
        (("tiers = 2", 'tiers = "two"'), "two"),
        (("[6, 4]", "[6, 0]"), "tiers"),
        (("5x5", "9x9"), "9x9"),
        (('weighed = "scale ticket"', 'total = "20 short tons"'), "one of the two"),
        (('purpose = "sale"', 'purpose = "gift"'), "sale"),
    ],
)
def test_each_slip_is_named_with_its_place_and_what_would_do(tmp_path, change, said):
    assert change[0] in FORM
    lines = refusals(tmp_path, FORM.replace(*change, 1))
    text = " ".join(lines).replace("\N{NO-BREAK SPACE}", " ")
    assert said in text
    assert "oats.toml" in text


def test_several_slips_are_told_at_once(tmp_path):
    lines = refusals(tmp_path, FORM.replace("hail", "hale").replace("3 in", "three"))
    assert len(lines) == 2


@pytest.mark.parametrize("text", ["", "crop = ", "\x00\x01\x02", "[[bales]]\ncount = 3\n"])
def test_a_broken_file_is_refused(tmp_path, text):
    with pytest.raises(HaywrightError):
        read(tmp_path, text or "", name="broken.toml")


def test_a_file_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(Refused):
        read_lot(tmp_path / "nowhere.toml")


VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-5, 500),
    st.floats(allow_nan=False),
    st.text(st.characters(codec="utf-8", exclude_categories=("C",)), max_size=20),
    st.sampled_from(["3 in", "17 %", "1-5", "oats", "10 ton", "unknown", "5x5"]),
    st.lists(st.integers(-3, 20), max_size=3),
    st.dictionaries(st.sampled_from(["count", "package", "kochia", "name"]), st.integers(0, 5)),
)
FIELDS = st.sampled_from(
    ["crop", "form", "bales", "faces", "weeds", "events", "storage", "moisture", "unreached",
     "field_parts", "weathered_outside", "baled_on", "cutting", "seed", "nonsense"]
)  # fmt: skip


@settings(
    max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.dictionaries(FIELDS, VALUES, max_size=8))
def test_whatever_a_form_holds_it_becomes_a_lot_or_a_clear_refusal(tmp_path, fields):
    from haywright.files import lots
    from haywright.files.reading import Checked

    form = Checked({k: v for k, v in fields.items() if v is not None}, "a.toml")
    try:
        found = lots._fields(form, "a")
        form.done()
    except HaywrightError as error:
        assert all(say(one) for one in error.messages())
    else:
        assert found is not None


@given(st.lists(st.integers(1, 500), min_size=1, max_size=30, unique=True))
def test_bale_numbers_are_read_as_written(numbers):
    assert bale_numbers(", ".join(map(str, numbers))) == tuple(numbers)


@pytest.mark.parametrize("text", ["", "0", "5-3", "1-999999999", "-4", "a", "1,,2", "1-2-3"])
def test_what_is_no_bale_number_is_refused(text):
    with pytest.raises(Refused):
        bale_numbers(text)
