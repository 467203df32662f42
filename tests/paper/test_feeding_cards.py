"""Feeding cards hold the plan to the pound, a page each, and warn where a lot is held back."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from datetime import timedelta
from functools import cache

import numpy as np
import pytest

from haywright.bunk.hazards.nitrate.rules import rules
from haywright.bunk.hazards.nitrate.stepup import step_up_to
from haywright.bunk.winter.plan import short_prices, solve_plan
from haywright.gate.need import mass_from_dry_matter
from haywright.paper.feeding_cards import cards_data, cards_pdf, packed
from haywright.paper.stretches import stretches
from haywright.words import Reader
from tests.paper.reading import reader
from tests.paper.winter_ranch import OATS, POUND, matter, question, small

HERDS = [herd.name for herd in question().herds]


def herd_of(name):
    return next(one for one in question().herds if one.name == name)


@cache
def every(name):
    return stretches(matter().plan, herd_of(name))


@cache
def cards():
    return cards_data(matter(), Reader())["cards"]


@cache
def pages():
    return [
        re.sub(r"\s+", " ", page.extract_text().replace("\N{NO-BREAK SPACE}", " "))
        for page in reader(cards_pdf(matter(), Reader())).pages
    ]


@pytest.mark.parametrize("name", HERDS)
def test_stretches_follow_each_other_without_a_day_between(name):
    found = every(name)
    assert found[0].first == question().first
    assert found[-1].last == question().last - timedelta(days=1)
    for one, following in itertools.pairwise(found):
        assert following.first == one.last + timedelta(days=1)


@pytest.mark.parametrize("name", HERDS)
def test_what_the_cards_put_out_is_what_the_plan_takes_from_the_stack(name):
    plan, herd = matter().plan, herd_of(name)
    for k, hay in enumerate(question().hays):
        planned = mass_from_dry_matter(
            plan.eaten(name)[:, k].sum() / (1 - herd.waste / 100), hay.feed.dm
        )
        out = sum(p.out * s.days for s in every(name) for p in s.portions if p.name == hay.name)
        # A feed of less than a handful a head is left off its card.
        dust = 0.05 * herd.group.head * 7 * 26 / 0.88
        assert out <= planned + 1e-6
        assert out == pytest.approx(planned, abs=dust)


@pytest.mark.parametrize("name", HERDS)
def test_bales_pounds_and_heads_agree_with_each_other(name):
    herd = herd_of(name)
    for one in every(name):
        for part in one.portions:
            eaten = part.each * one.head
            hay = part.bale is not None
            assert part.out == pytest.approx(eaten / (1 - herd.waste / 100) if hay else eaten)
            if hay:
                assert part.bales * part.bale == pytest.approx(part.out)


@pytest.mark.parametrize("name", HERDS)
def test_a_week_is_fed_as_its_stretch_says_to_a_pound_or_a_tenth(name):
    names = [feed.name for feed in matter().plan.feeds]
    per_head = matter().plan.per_head(name)
    for one in every(name):
        first, end = one.weeks
        each = {part.name: part.each for part in one.portions}
        for k, feed in enumerate(matter().plan.feeds):
            said = each.get(names[k], 0.0) * feed.dm / 100
            weeks = per_head[first:end, k]
            assert np.abs(weeks - said).max() <= max(0.5, 0.1 * weeks.max()) + 0.05


@pytest.mark.parametrize("name", HERDS)
def test_a_held_back_lot_stays_within_its_share_and_within_its_steps(name):
    share = question().hays[0].share_for(name)
    for one in every(name):
        for part in one.held_back:
            assert part.name == OATS
            assert part.part <= share + 1e-6
            assert part.each <= part.most * (1 + 1e-6)
            day = (one.first - part.since).days + 1
            assert part.part <= step_up_to(share).on(day) + 1e-6
    assert any(one.stepping for one in every(name)) is (name in ("Cows", "First-calf heifers"))


def test_a_share_that_falls_as_nitrate_concentrates_is_held_week_by_week():
    q = question()
    falling = tuple(0.5 - 0.005 * week for week in range(q.weeks))
    hays = (replace(q.hays[0], shares={**q.hays[0].shares, "Cows": falling}), *q.hays[1:])
    plan = solve_plan(q.with_hays(hays))
    for one in stretches(plan, q.herds[0]):
        for part in one.held_back:
            assert part.share == pytest.approx(falling[one.weeks[1] - 1])
            assert part.each <= part.most * (1 + 1e-6)


def test_every_card_is_one_page():
    assert len(pages()) == len(cards())
    a4 = replace(matter(), office=replace(matter().office, paper="a4"))
    assert len(reader(cards_pdf(a4, Reader(units="si"))).pages) == len(cards())


def test_each_card_says_who_when_what_and_how_much():
    for page, card in zip(pages(), cards(), strict=True):
        assert card["herd"] in page
        assert card["number"] in page
        assert card["dates"].replace("\N{NO-BREAK SPACE}", " ") in page
        for one in card["stretches"]:
            for feed in one["feeds"]:
                assert feed["name"] in page
                for said in (feed["bales"], feed["each"], feed["out"]):
                    assert said.replace("\N{NO-BREAK SPACE}", " ") in page


def test_the_numbers_of_a_card_are_its_stretchs():
    card, one = cards()[0]["stretches"][0], every("Cows")[0]
    for feed, part in zip(card["feeds"], one.portions, strict=True):
        assert feed["name"] == part.name
        assert feed["each"] == f"{part.each / POUND:,.1f}\N{NO-BREAK SPACE}lb"
        assert feed["out"] == f"{part.out / POUND:,.0f}\N{NO-BREAK SPACE}lb"
        assert float(feed["bales"]) == pytest.approx(part.bales, abs=0.051)


def test_the_tally_has_a_box_for_each_lot_and_day_and_the_weeks_bales():
    for name in HERDS:
        boxed = [
            (week["days"], row)
            for card in cards() if card["herd"] == name
            for one in card["stretches"] for week in one["weeks"] for row in week["rows"]
        ]  # fmt: skip
        wanted = sum(one.days * len(one.portions) for one in every(name))
        assert sum(days for days, _ in boxed) == wanted
    first = cards()[0]["stretches"][0]
    goal = float(first["weeks"][0]["rows"][0]["goal"])
    assert goal == pytest.approx(7 * every("Cows")[0].portions[0].bales, abs=0.051)


def test_the_days_over_the_boxes_begin_with_the_stretchs_own():
    for card in cards():
        for one in card["stretches"]:
            assert one["days"][0] == "Mon"  # the plan begins on Monday, 9 November 2026
            assert len(one["days"]) == 7


def test_a_card_with_held_back_hay_says_how_it_is_fed_and_whom_to_call():
    held = [
        (page, card) for page, card in zip(pages(), cards(), strict=True)
        if any(feed["held"] for one in card["stretches"] for feed in one["feeds"])
    ]  # fmt: skip
    assert held
    for page, card in held:
        assert card["call"] is not None
        for said in ("Held back for nitrate, Lower bench oats", "555 0142",
                     "A day off feed starts the step-up again.", "Clean water always",
                     "Keep the animals quiet", "lb a head at most",
                     "Talk to your veterinarian"):  # fmt: skip
            assert said in page


def test_the_step_up_is_printed_with_its_days_and_pounds():
    stepping = [c for c in cards() if any(one["stepping"] for one in c["stretches"])]
    assert {card["herd"] for card in stepping} == {"Cows", "First-calf heifers"}
    one = next(s for s in every("Cows") if s.stepping)
    part = one.held_back[0]
    card = next(c for c in stepping if c["herd"] == "Cows")
    said = next(i for i in card["caution"]["items"] if "step up" in i)
    said = said.replace("\N{NO-BREAK SPACE}", " ")
    rise = step_up_to(part.share, rules())
    for day, share in rise.schedule:
        when = part.since + timedelta(days=day - 1)
        pounds = part.most * share / part.share / POUND
        assert f"from {when.day} {when:%B} at most {pounds:.1f} lb a head" in said


def test_every_card_warns_of_the_lot_that_is_not_tested_and_of_hay_a_group_may_not_have():
    for page in pages():
        assert "NOT TESTED, feed none of it: Sudangrass, north." in page
    calves = [p for p, c in zip(pages(), cards(), strict=True) if c["herd"] == "Calves"]
    assert all("None of this for Calves: Lower bench oats." in page for page in calves)


def test_a_card_without_held_back_hay_has_no_emergency_card():
    for card in cards_data(small(), Reader())["cards"]:
        assert card["call"] is None
        assert card["caution"] is None


def test_only_the_first_weeks_when_so_asked():
    few = cards_data(matter(), Reader(), weeks=2)["cards"]
    assert len(few) == len(HERDS)
    for card in few:
        weeks = [week["label"] for one in card["stretches"] for week in one["weeks"]]
        assert weeks == ["9\N{NO-BREAK SPACE}Nov", "16\N{NO-BREAK SPACE}Nov"]


def test_a_long_stretch_goes_on_over_several_cards():
    bulls = max(every("Bulls"), key=lambda one: one.days)
    parts = [one for pack in packed([bulls]) for one in pack]
    assert len(parts) > 1
    assert sum(one.days for one in parts) == bulls.days
    assert {one.portions for one in parts} == {bulls.portions}


def test_a_group_with_nothing_left_is_told_so():
    q = question()
    none = replace(q, hays=tuple(replace(hay, stock=0.0) for hay in q.hays), feeds=())
    plan = solve_plan(none, short=short_prices(none))
    card = cards_data(replace(matter(), plan=plan), Reader(), weeks=1)["cards"][0]
    assert card["stretches"][0]["feeds"] == []
    text = reader(cards_pdf(replace(matter(), plan=plan), Reader(), weeks=1)).pages[0]
    assert "Nothing is left to feed." in text.extract_text()


def test_no_card_promises():
    for page in pages():
        assert not re.search(r"\b(un)?safe", page, re.IGNORECASE)
