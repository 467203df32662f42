"""A bag label is read by a machine and by a person, and names no owner."""

from __future__ import annotations

import io
from datetime import date

import pytest
import zxingcpp
from PIL import Image

from haywright.bag.bag import Bag
from haywright.bag.codes import BagCode
from haywright.paper.label_paper import labels_data, labels_pdf
from haywright.paper.typeset import set_pages
from haywright.words import Reader
from tests.paper.reading import reader, text_of


def bag(number=117, tests=("dm", "cp", "nitrate"), taken="probe"):
    day = date(2026, 9, 22)
    return Bag(BagCode("TFK", number), "31", day, taken, tests, bale_count=20)


@pytest.mark.parametrize("number", [1, 117, 99999999])
@pytest.mark.parametrize("dots", [110, 203])
def test_the_code_on_the_printed_label_reads_back(number, dots):
    one = bag(number)
    (png,) = set_pages("label", labels_data([one], Reader()), dots_per_inch=dots)
    (found,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(png)))
    assert found.text == str(one.code)


def test_a_quarter_of_the_code_may_be_dirt():
    (png,) = set_pages("label", labels_data([bag()], Reader()), dots_per_inch=203)
    image = Image.open(io.BytesIO(png)).convert("L")
    (found,) = zxingcpp.read_barcodes(image)
    assert found.ec_level == "Q"
    corner = found.position.bottom_right
    image.paste(255, (corner.x - 30, corner.y - 30, corner.x, corner.y))
    assert zxingcpp.read_barcodes(image)[0].text == str(bag().code)


def test_the_label_says_the_code_in_letters_too():
    text = text_of(labels_pdf([bag()], Reader()))
    assert "TFK-0117-63" in text
    assert "22 September 2026" in text
    assert "20 cored, 1 from each" in text


def test_each_bag_has_its_own_label():
    pages = reader(labels_pdf([bag(1), bag(2), bag(3)], Reader())).pages
    assert len(pages) == 3
    assert [str(bag(n).code) in pages[n - 1].extract_text() for n in (1, 2, 3)] == [True] * 3


def test_a_hand_grab_is_marked_as_a_screen():
    assert "a screen only" in text_of(labels_pdf([bag(taken="grab")], Reader()))


def test_many_tests_are_counted_so_that_the_label_holds_them():
    many = ("dm", "cp", "nitrate", "adf", "ndf", "ash", "fat")
    pdf = labels_pdf([bag(tests=many)], Reader())
    assert len(reader(pdf).pages) == 1
    assert "more as ordered" in text_of(pdf)
