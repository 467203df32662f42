"""The nitrate decision on paper: the limits, what bound, every guide, the bales past each line."""

from __future__ import annotations

import re

import pytest

from haywright.measure.message import message
from haywright.paper.decision_paper import decision_data, decision_pdf
from haywright.paper.nitrate_matter import BalesOver, GuideSays, Hill, Share, hill_picture
from haywright.paper.sheet_paper import Opening
from haywright.paper.speaker import Speaker
from haywright.words import Reader
from tests.paper import hay
from tests.paper.reading import reader, text_of, words_in


def said(text):
    """A message whose text is the one given, as a verdict would bring it."""
    return message("paper.bag", code=text)


SHARES = [Share(said("guide"), 0.5, said("its row"), binds=True), Share(said("average day"), 0.63),
          Share(said("bad bale"), None)]  # fmt: skip
FED = [Share(said("ground and mixed"), 0.5), Share(said("free choice"), 0.0)]
GUIDES = [
    GuideSays("Guide of one state", "1,000 to 1,500 ppm NO3-N", said("half for bred stock"), 0.5),
    GuideSays("Guide of another", "1,400 ppm NO3-N", said("a quarter"), 0.25, recalled=True),
    GuideSays("Guide for horses", "2024", said("nothing of cows"), None, said("nothing said")),
]
OVER = (
    BalesOver(2000.0, said("bred cows"), 5.9, 0, 14),
    BalesOver(4000.0, said("all"), 0.65, 0, 3),
)
HILL = Hill(
    tuple(400.0 + 40 * n for n in range(64)), (1120, 890, 1460),
    ((0, 1000, said("no limit")), (1000, None, said("half"))), "Guide of one state", OVER,
)  # fmt: skip


@pytest.fixture(scope="module")
def printed():
    opening = Opening(sentence=(said("verdict"),), restricted=True, cautions=(said("mind"),))
    data = decision_data(hay.ABOUT, opening, Reader(), shares=SHARES, fed=FED, guides=GUIDES,
                         hill=HILL, settle=[(said("20 more cores"), 0.38)])  # fmt: skip
    return text_of(decision_pdf(data))


def test_the_limit_that_bound_is_named_and_one_without_a_number_says_so(printed):
    assert re.search(r"guide bag its row sets the limit 50 %", printed)
    assert "bad bale no number" in printed
    assert "free choice none" in printed


def test_each_guide_stands_with_its_row_and_a_recalled_one_with_its_dagger(printed):
    assert "1,000 to 1,500 ppm NO₃-N" in printed
    assert "† 1,400 ppm NO₃-N" in printed
    assert "25 % †" in printed
    assert "nothing said" in printed
    assert "† Recalled, not read in the publication." in printed


def test_chances_are_told_of_a_hundred(printed):
    assert "38 chances in 100" in printed


def test_bales_past_each_line_stand_in_both_chemical_forms(printed):
    # 2,000 and 4,000 mg/kg NO3-N times 62.0049/14.0067 (IUPAC abridged atomic masses), to tens
    assert "2,000 8,850 6 0 to 14" in printed
    assert "4,000 17,710 0.6 0 to 3" in printed


def test_the_hill_says_how_many_bales_are_past_the_fence():
    drawn = hill_picture(HILL, Speaker(Reader()))
    seen = " ".join(words_in(drawn.svg))
    assert "about 6 of your 64 bales" in seen
    assert "about 6 of your 64 bales" in drawn.description
    assert drawn.twin.rows[1][2] == "0.6"


def test_the_card_stands_on_page_one_and_in_every_foot():
    opening = Opening(sentence=(said("verdict"),), restricted=True)
    pdf = decision_pdf(decision_data(hay.ABOUT, opening, Reader(), hill=HILL, guides=GUIDES))
    pages = [re.sub(r"\s+", " ", page.extract_text()) for page in reader(pdf).pages]
    assert "Whom to call" in pages[0]
    assert all("say “nitrate”. Keep the feed and any carcass." in page for page in pages)
