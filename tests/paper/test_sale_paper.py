"""The sealed sale paper: its code is read by a machine, its lines by a person, both whole."""

from __future__ import annotations

import io
import re
from datetime import date
from decimal import Decimal
from functools import cache

import pytest
import segno
import zxingcpp
from PIL import Image

from haywright.gate.seal.keys import fingerprint, public_half
from haywright.gate.seal.paper import Seal, check, seal_lot
from haywright.gate.seal.record import LotRecord, SealedResult
from haywright.paper.sale_paper import Sealed, sale_data, sale_pdf
from haywright.paper.typeset import set_pages
from haywright.way.office import Office
from haywright.words import Reader
from tests.paper.reading import text_of

SECRET = bytes(range(32))
ISSUER = "Larkspur hay office"
OFFICE = Office(ISSUER, "LHO")
NITRATE = SealedResult("nitrate_n", Decimal(1065), Decimal(805), Decimal(1466))
OTHERS = (
    SealedResult("dm", Decimal("88.3"), Decimal("87.4"), Decimal("89.2")),
    SealedResult("cp", Decimal("10.0")),
)


def sealed(*results):
    record = LotRecord(
        serial="LHO-0007", issued=date(2026, 11, 3), lot="bench-oats", name="Bench oats",
        crop="oats", cored_on=date(2026, 9, 8), bales=64, bale_weight=508, bales_cored=20,
        laboratory="Larkspur forage bench", sampler="the county educator", results=results,
    )  # fmt: skip
    return Sealed(record, ISSUER, public_half(SECRET), seal_lot(record, ISSUER, SECRET))


WHOLE = sealed(*OTHERS, NITRATE)


@cache
def first_page(dots):
    data = sale_data(WHOLE, OFFICE, Reader())
    return Image.open(io.BytesIO(set_pages("decision", data, dots_per_inch=dots)[0]))


@pytest.mark.parametrize("dots", [150, 300])
def test_the_code_on_the_printed_page_reads_back_whole(dots):
    (found,) = zxingcpp.read_barcodes(first_page(dots))
    assert found.text == WHOLE.text
    assert found.ec_level == "M"
    assert check(found.text, held={WHOLE.public: ISSUER}).record == WHOLE.record


def test_the_code_is_45_mm_with_its_clear_edge():
    (found,) = zxingcpp.read_barcodes(first_page(300))
    place = found.position
    side = (place.top_right.x - place.top_left.x) / 300 * 25.4
    version = segno.make(WHOLE.text, error="m", boost_error=False).version
    modules = 17 + 4 * version  # ISO/IEC 18004
    assert version <= 14
    assert side * (modules + 8) / modules == pytest.approx(45, abs=1)
    assert 45 / (modules + 8) > 0.5


def test_the_lines_beside_it_are_the_same_paper():
    text = text_of(sale_pdf(WHOLE, OFFICE, Reader()))
    lines = re.search(r"HAY:.*?(?= The hay)", text).group()
    assert check(lines.replace(" ", ""), held={}).seal is Seal.KEY_NOT_HELD


def test_the_page_says_what_was_sealed_and_how_to_compare_the_key():
    text = text_of(sale_pdf(WHOLE, OFFICE, Reader()))
    for one in ("Bench oats", "20, 1 from each", "8 September 2026", "88.3 %", "87.4 % to 89.2 %",
                "the county educator", "This is no verdict", "veterinarian",
                fingerprint(WHOLE.public)):  # fmt: skip
        assert one in text
    # 1,065 mg/kg NO3-N as NO3 and KNO3, by atomic masses: 4,714 and 7,687, to three figures.
    assert "4,710 mg/kg" in text
    assert "7,690 mg/kg" in text


def test_hay_that_asks_for_a_nitrate_test_says_not_tested():
    text = text_of(sale_pdf(sealed(*OTHERS), OFFICE, Reader()))
    assert "NOT TESTED" in text
    assert "What each guide prints" not in text
