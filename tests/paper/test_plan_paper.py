"""The printed sampling plan can be walked with: which bales, how deep, what it buys."""

from __future__ import annotations

import re

import pytest

from haywright.paper.drawings import State
from haywright.paper.plan_paper import core_picture, plan_data, plan_pdf, precision_picture
from haywright.paper.speaker import Speaker
from haywright.paper.yard import yard_sheet
from haywright.stack.lot import Face as StackFace
from haywright.stack.lot import Lot, Packages
from haywright.stack.packages import Package
from haywright.stack.plan import Choices, make_plan
from haywright.words import Reader, say
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


ROUND = Package("round", 1.524, 1.22)


def lot(**changes) -> Lot:
    given = {
        "crops": ("oats",),
        "packages": Packages(64, ROUND, 535.0, "scale"),
        "name": "Lower bench oats",
        "events": ("hail",),
        "rind": 0.0762,
        "faces": (StackFace("South side", (12, 11, 9)), StackFace("North side", (12, 11, 9))),
        "unreached": (33, 34),
        **changes,
    }
    return Lot("31", given.pop("form", "cured_hay"), given.pop("crops"), **given)


def printed_plan(one, **choices):
    plan = make_plan(one, Choices(**choices))
    return plan, text_of(plan_pdf(yard_sheet(plan, hay.OFFICE, Reader()), Reader()))


def test_a_real_plan_prints_its_own_walk_and_rule():
    plan, text = printed_plan(lot())
    assert f"Core {len(plan.picks)} of the 64 bales" in text
    assert ", ".join(map(str, plan.walk)) in text
    assert plan.rule.name in text
    assert f"“{plan.seed}”" in text
    assert "The 2 crossed bales cannot be reached: 3 % of the stack" in text


def test_a_real_plan_prints_every_step_and_caution_of_its_own():
    plan, text = printed_plan(lot())
    for one in (*plan.protocol.steps, *plan.cautions, *plan.always):
        assert re.sub(r"\s+", " ", say(one, Reader()).replace("\u00a0", " ")) in text


def test_every_picked_bale_stands_dark_on_the_map_with_its_place_in_the_walk():
    plan = make_plan(lot())
    marks = [b for face in yard_sheet(plan, hay.OFFICE, Reader()).faces for b in face.bales]
    assert {b.number: b.walk for b in marks if b.state is State.PICKED} == {
        one.bale: one.walk for one in plan.picks
    }
    assert {b.number for b in marks if b.state is State.UNREACHED} == {33, 34}


def test_the_core_and_what_it_buys_are_the_plans_own():
    plan = make_plan(lot(), Choices(target=("cp", 1.0)))
    yard = yard_sheet(plan, hay.OFFICE, Reader())
    assert yard.core.rind_factor == plan.probe.factor
    assert yard.core.once == plan.probe.once
    cp = next(one for one in plan.precision if one.quantity == "cp")
    assert yard.precision.quantity == "cp"
    assert dict(yard.precision.points)[yard.precision.at] == cp.at.half


def test_a_field_is_cut_and_no_probe_is_drawn():
    standing = Lot("9", "standing_crop", ("sorghum-sudan",), name="Creek field")
    plan, text = printed_plan(standing)
    assert f"Cut plants at {plan.cores} places" in text
    assert "does not speak for bales" in text
    assert "Map of the stack" not in text
    assert "In the field" in text


def test_bales_kept_outdoors_are_cored_at_an_hour_of_the_clock():
    plan, text = printed_plan(lot(storage="ground"))
    assert all(one.clock for one in plan.picks)
    assert f"{plan.picks[0].clock} o’clock" in text
