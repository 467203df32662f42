"""What goes with a bag tells the laboratory what it needs, and nobody's name who owns the hay."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
import zxingcpp
from PIL import Image

from haywright.bag.bag import Bag
from haywright.bag.codes import BagCode
from haywright.bag.custody import HandOver, Stage
from haywright.bag.tests import all_tests, lab_test
from haywright.paper.slip_paper import Slip, shipment_data, shipment_pdf, slip_data, slip_pdf
from haywright.paper.typeset import set_pages
from haywright.stack.lot import Lot, Packages
from haywright.way.office import Office
from haywright.words import Reader
from tests.paper.reading import fonts_of, reader, text_of

OFFICE = Office(name="Sedge County hay office", code="SDG", phone="555 0100")
OATS = Lot("31", "cured_hay", ("oats",), name="Creek oats", ranch="Juniper Flat",
           packages=Packages(64), events=("hail",))  # fmt: skip


def bag(number=117, tests=("dm", "cp", "nitrate"), taken="probe", mass=210.0):
    day = date(2026, 9, 22)
    journey = (HandOver(Stage.SEALED, datetime(2026, 9, 22, 15, tzinfo=UTC), "Sampler"),)
    return Bag(BagCode("SDG", number), "31", day, taken, tests, bale_count=20,
               mass_sealed_g=mass, journey=journey)  # fmt: skip


def slip(**held):
    return Slip(bag(**held), OATS, laboratory="Plain laboratory", sampler="A. Sampler")


@pytest.mark.parametrize("number", [1, 117, 99999999])
def test_the_square_on_the_slip_reads_back_as_the_code(number):
    one = slip(number=number)
    page = set_pages("slip", slip_data(one, OFFICE, Reader()), dots_per_inch=150)[0]
    (found,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(page)))
    assert found.text == str(one.bag.code)


def test_the_slip_says_tests_masses_sampler_and_cautions_but_no_owner():
    text = text_of(slip_pdf(slip(), OFFICE, Reader()))
    for said in ("Crude protein", "NO", "210 g", "A. Sampler", "20 cored, 1 from each", "Caution",
                 "hail", "Report nitrate with its form", "Lot 31", "Plain laboratory"):  # fmt: skip
        assert said in text, said
    for name in ("Juniper Flat", "Creek oats"):
        assert name not in text


def test_every_test_that_can_be_ordered_stands_on_the_slip():
    text = text_of(slip_pdf(slip(tests=tuple(all_tests())), OFFICE, Reader()))
    missing = [one.name for one in all_tests().values() if one.name not in text]
    assert not missing


def test_the_sum_is_of_the_tests_that_have_a_price():
    prices = {"dm": Decimal("4.00"), "nitrate": Decimal("15.50"), "adf": Decimal(9)}
    one = Slip(bag(), OATS, prices=prices)
    assert (one.total, one.unpriced) == (Decimal("19.50"), ("cp",))
    text = text_of(slip_pdf(one, OFFICE, Reader()))
    assert "19.50 USD" in text
    assert "One test has no price" in text


def test_a_hand_grab_is_marked_as_a_screen_and_a_light_bag_as_short():
    text = text_of(slip_pdf(slip(taken="grab", mass=20.0), OFFICE, Reader()))
    assert "a screen only" in text
    assert "too little" in text


@pytest.mark.parametrize("n", [1, 4, 90])
def test_every_bag_of_a_shipment_stands_on_its_list_with_lines_to_sign(n):
    slips = [slip(number=one) for one in range(1, n + 1)]
    text = text_of(shipment_pdf(slips, OFFICE, Reader(), made_on=date(2026, 9, 23)))
    assert all(str(one.bag.code) in text for one in slips)
    assert text.count("(signature)") == 6
    assert "Juniper Flat" not in text


def test_paper_and_data_name_the_same_bags_in_the_same_order():
    slips = [slip(number=one) for one in (3, 1, 2)]
    table = shipment_data(slips, OFFICE, Reader())["sections"][0]["blocks"][0]
    assert [row[0] for row in table["rows"]] == [str(one.bag.code) for one in slips]
    assert lab_test("cp").name in table["rows"][0][3]


def test_the_slip_is_tagged_named_and_carries_its_fonts():
    pdf = slip_pdf(slip(), OFFICE, Reader())
    assert "SDG-0117" in reader(pdf).metadata.title
    assert reader(pdf).trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert all(inside for _, inside in fonts_of(pdf))


def test_markup_in_a_name_stays_a_name():
    hostile = '#import "x"; <script> $x$ */'
    one = Slip(bag(), OATS, laboratory=hostile, sampler=hostile)
    assert hostile in text_of(slip_pdf(one, OFFICE, Reader()))


def test_a_slip_is_of_one_language_whoever_prints_it():
    spanish = Reader(language="es")
    assert slip_data(slip(), OFFICE, spanish) == slip_data(slip(), OFFICE, Reader())
