"""The nitrate decision on paper: the limits, what bound, every guide, the bales past each line."""

from __future__ import annotations

import re
from functools import cache

import pytest

from haywright.bunk.hazards.nitrate import told
from haywright.bunk.hazards.nitrate.doubt import Sampling
from haywright.bunk.hazards.nitrate.question import NitrateQuestion, Rest
from haywright.bunk.hazards.nitrate.verdict import decide
from haywright.measure.estimate import Estimate
from haywright.paper.decision_paper import decision_data, decision_pdf
from haywright.paper.nitrate_matter import hill_picture
from haywright.paper.sheet_paper import sheet_pdf
from haywright.paper.speaker import Speaker
from haywright.paper.verdict_matter import bales_over, guide_rows, hill_of, opening_of
from haywright.sources.guides import guides
from haywright.words import Reader, say
from tests.paper import hay
from tests.paper.reading import reader, text_of, words_in

CARD = "say “nitrate”. Keep the feed and any carcass."


@cache
def verdict(no3n=1120.0, **changes):
    """A bag of 20 of 64 bales, for bred cows, by the first guide that was fully read."""
    guide = next(one for one in guides().values() if one.fully_read)
    given = {"sampling": Sampling(20, 64), "rest": Rest(140, 26), "animals": "Bred cows", **changes}
    result = None if no3n is None else Estimate.of(no3n)
    return decide(NitrateQuestion(result, ("pregnant",), guide, **given))


def plain(text):
    """Words with plain blanks, as a reader of the file gives them."""
    text = text.replace("NO3", "NO₃").replace("\N{NO-BREAK SPACE}", " ")
    return re.sub(r"\s+", " ", text).strip()


@cache
def printed(no3n=1120.0):
    return text_of(decision_pdf(verdict(no3n), hay.ABOUT, Reader()))


def test_the_sentence_reason_and_standing_are_the_verdicts_own():
    v = verdict()
    for one in (*told.sentence(v), told.reason(v), *told.standing(v)):
        assert plain(say(one, Reader())) in printed()


def test_the_three_limits_are_printed_with_the_one_that_bound():
    v = verdict()
    assert len(v.shares) == 3
    for name, one in zip(("The guide", "An average day", "A bad bale"), v.shares, strict=True):
        assert name in printed()
        assert plain(say(one.why, Reader())) in printed()
        assert f"{round(100 * one.share)} %" in printed()
    table = printed().partition("Of the day’s feed")[2]
    assert table.count("sets the limit") == 1


def test_a_limit_withheld_for_want_of_a_number_says_so():
    text = text_of(decision_pdf(verdict(rest=Rest()), hay.ABOUT, Reader()))
    assert "no number" in text
    assert "an unknown is never counted as nothing" in text


def test_every_way_of_feeding_has_its_share():
    for way, share in told.fed_shares(verdict()):
        said = "none" if not share else f"{round(100 * share)} %"
        assert f"{plain(say(way, Reader()))} {said}" in printed()


def test_every_guide_stands_with_its_row_and_a_recalled_one_with_its_dagger():
    rows = guide_rows(verdict(), Speaker(Reader()))
    assert len(rows) == len(guides())
    assert rows[0].name == verdict().question.guide.institution
    for one in rows:
        assert plain(one.name) in printed()
        assert plain(f"† {one.row}" if one.recalled else one.row) in printed()
    assert any(one.recalled for one in rows)
    assert "† Recalled, not read in the publication." in printed()


def test_chances_are_told_of_a_hundred():
    for _, chance in told.settle_lines(verdict()):
        assert f"{round(100 * chance)} chances in 100" in printed()


def test_bales_past_each_line_stand_in_both_chemical_forms():
    # 2,000 and 4,000 mg/kg NO3-N times 62.0049/14.0067 (IUPAC abridged atomic masses), to tens
    assert "2,000 8,850" in printed()
    assert "4,000 17,710" in printed()
    for one in bales_over(verdict()):
        assert f"{one.low:.0f} to {one.high:.0f}" in printed()


def test_the_hill_says_how_many_bales_are_past_the_fence():
    drawn = hill_picture(hill_of(verdict()), Speaker(Reader()))
    said = f"about {verdict().over[0].expected:.0f} of your 64 bales"
    assert said in " ".join(words_in(drawn.svg))
    assert said in drawn.description
    assert len(verdict().hill) == 64


@pytest.mark.parametrize("no3n", [1120.0, 3000.0, 9000.0])
def test_the_card_stands_on_page_one_and_in_every_foot_of_a_restricted_paper(no3n):
    assert verdict(no3n).restricted
    pages = [
        re.sub(r"\s+", " ", page.extract_text())
        for pdf in (
            decision_pdf(verdict(no3n), hay.ABOUT, Reader()),
            sheet_pdf(hay.sheet(), hay.ABOUT, opening_of(verdict(no3n), Reader()), Reader()),
        )
        for page in reader(pdf).pages[:1]
    ]
    for page in pages:
        assert "Whom to call" in page
        assert CARD in page


def test_an_unrestricted_paper_has_no_card():
    v = verdict(30.0)
    assert not v.restricted
    assert CARD not in text_of(decision_pdf(v, hay.ABOUT, Reader()))


def test_not_tested_stands_in_the_verdicts_place_on_decision_and_sheet():
    v = verdict(None, must_test=("accumulator",))
    untested = hay.sheet(without=("nitrate_n",))
    for pdf in (
        decision_pdf(v, hay.ABOUT, Reader()),
        sheet_pdf(untested, hay.ABOUT, opening_of(v, Reader()), Reader()),
    ):
        first = re.sub(r"\s+", " ", reader(pdf).pages[0].extract_text())
        assert "NOT TESTED" in first
        assert first.index("NOT TESTED") < first.index("Whom to call")


def test_the_sheet_prints_the_verdict_with_its_range_and_all_guides():
    text = text_of(sheet_pdf(hay.sheet(), hay.ABOUT, opening_of(verdict(), Reader()), Reader()))
    words = Speaker(Reader())
    assert words.between(verdict().low, verdict().high, "nitrate_n") in text
    for one in guides().values():
        assert plain(one.institution) in text


def test_page_one_of_the_sheet_holds_verdict_numbers_card_and_cautions():
    opening = opening_of(verdict(), Reader())
    pdf = sheet_pdf(hay.sheet(), hay.ABOUT, opening, Reader())
    first = re.sub(r"\s+", " ", reader(pdf).pages[0].extract_text())
    for said in ("Too close to call", "88.4", "1,120", "Whom to call", "Caution"):
        assert said in first
    assert "What each guide says" not in first


def test_the_word_that_promises_stands_only_beside_a_guides_name():
    notes = {row.note for one in guides().values() for row in one.rows}
    mine = [row for row in decision_data(verdict(), hay.ABOUT, Reader())["sections"]
            if row["side"] != "What each guide says"]  # fmt: skip
    assert not re.search(r"\bsafe", str(mine), re.IGNORECASE)
    assert any("safe" in note.lower() for note in notes)


@pytest.mark.parametrize("no3n", [240.0, 1120.0, 5300.0])
@pytest.mark.parametrize("language", ["en", "es"])
def test_the_letters_of_the_hill_on_a_phone_are_13_px_at_least(no3n, language):
    """A phone of 390 px leaves 354 for a picture (18 px on each side, LOOK)."""
    from haywright.paper.decision_paper import NARROW
    from haywright.paper.nitrate_matter import hill_picture
    from haywright.paper.speaker import Speaker
    from haywright.paper.verdict_matter import hill_of

    drawn = hill_picture(hill_of(verdict(no3n)), Speaker(Reader(language=language)), **NARROW)
    assert NARROW["text"] * 354 / drawn.width >= 13


def test_a_telephone_number_is_never_parted_at_the_end_of_a_line():
    from haywright.paper.emergency import unparted

    assert "\N{NO-BREAK SPACE}" in unparted("555 0160")
    assert " " not in unparted("555 0160")
