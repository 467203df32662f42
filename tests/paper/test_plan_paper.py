"""The printed sampling plan can be walked with: which bales, how deep, what it buys."""

from __future__ import annotations

import re

import pytest

from haywright.paper.plan_paper import core_picture, plan_data, plan_pdf, precision_picture
from haywright.paper.speaker import Speaker
from haywright.words import Reader
from tests.paper import hay
from tests.paper.reading import reader, text_of, words_in


@pytest.fixture(scope="module")
def printed():
    return text_of(plan_pdf(hay.yard(), Reader()))


def test_the_plan_says_how_many_bales_and_how_deep(printed):
    assert "Core 5 of the 26 bales" in printed
    assert "18 in deep, into the curved side" in printed


def test_the_bales_are_listed_in_walking_order(printed):
    assert "2, 6, 11, 19, 22." in printed
    assert "The crossed bale cannot be reached: 4 % of the stack" in printed


def test_what_the_cores_buy_is_drawn_and_said(printed):
    drawn = precision_picture(hay.yard(), Speaker(Reader()))
    assert drawn.twin.rows[2] == ("5", "± 0.89")
    assert "5 cores: ± 0.89" in " ".join(words_in(drawn.svg))
    assert "9 times in 10" in printed


def test_the_core_is_written_in_the_readers_units():
    us = core_picture(hay.yard().core, Speaker(Reader(units="us")))
    si = core_picture(hay.yard().core, Speaker(Reader(units="si")))
    assert {"18 in", "60 in", "outside, 3 in", "15.8 in"} <= {
        w.replace("\u00a0", " ") for w in words_in(us.svg)
    }
    assert {"46 cm", "152 cm"} <= {w.replace("\u00a0", " ") for w in words_in(si.svg)}


def test_steps_have_boxes_and_blanks_have_lines(printed):
    for said in ("Core at right angles", "Cored by", "Bag code", "Sent on"):
        assert said in printed


def test_bags_by_field_part_are_listed_when_there_are_several(printed):
    assert "never mixed" not in printed
    text = text_of(
        plan_pdf(hay.yard(bags=(("Upper end", (2, 6)), ("Lower end", (11, 19)))), Reader())
    )
    assert "1, Upper end 2, 6 2, Lower end 11, 19" in text


def test_a_plan_without_a_known_spread_has_no_curve():
    data = plan_data(hay.yard(precision=None), Reader())
    assert "What the cores buy" not in [one["side"] for one in data["sections"]]


def test_the_same_plan_gives_the_same_bytes():
    assert plan_pdf(hay.yard(), Reader()) == plan_pdf(hay.yard(), Reader())


def test_nothing_on_the_plan_is_smaller_than_eight_and_a_half_points():
    sizes = []

    def seen(text, _, matrix, __, size):
        if text.strip():
            sizes.append(round(size * abs(matrix[0] or matrix[1]), 2))

    for page in reader(plan_pdf(hay.yard(), Reader())).pages:
        page.extract_text(visitor_text=seen)
    assert min(sizes) >= 8.5


def test_hostile_face_names_stay_names():
    from dataclasses import replace

    yard = hay.yard()
    south = replace(yard.faces[0], name="#set page(width: 1cm) <South>")
    pdf = plan_pdf(replace(yard, faces=(south, *yard.faces[1:])), Reader())
    assert "#set page(width: 1cm) <South>" in re.sub(r"\s+", " ", text_of(pdf))
