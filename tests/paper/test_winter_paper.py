"""The winter plan on paper says the plan's numbers, and what must not be missed."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from functools import cache

import pytest

from haywright.bunk.winter.keep_price import worth_of
from haywright.gate.need import mass_from_dry_matter
from haywright.measure.message import message
from haywright.paper.stretches import stretches
from haywright.paper.winter_matter import Offer, gain_over_keeping, on_hand, sold_up_to
from haywright.paper.winter_paper import winter_data, winter_pdf
from haywright.words import Reader
from tests.paper.reading import reader, text_of
from tests.paper.winter_ranch import OATS, POUND, TON, matter, question, small

CARD = "say “nitrate”. Keep the feed and any carcass."


@cache
def pages():
    pdf = winter_pdf(matter(), Reader())
    return [
        re.sub(r"\s+", " ", page.extract_text().replace("\N{NO-BREAK SPACE}", " "))
        for page in reader(pdf).pages
    ]


@cache
def printed():
    return " ".join(pages())


def plain(said):
    return said.replace("\N{NO-BREAK SPACE}", " ")


def money(value):
    return f"{'−' if value < 0 else ''}${abs(value):,.0f}"


def test_the_sentence_says_until_when_the_hay_lasts_and_in_how_many_winters_not():
    until = matter().lasts.until
    assert f"The hay lasts to {until.day} {until:%B} in a usual winter." in pages()[0]
    assert "In 2 winters of 10 it runs out sooner." in pages()[0]
    assert "Grass is ready about 3 May." in pages()[0]
    none = winter_data(replace(matter(), in_ten=0), Reader())["lede"]
    assert "In none of 10 winters it runs out sooner." in none
    one = winter_data(replace(matter(), in_ten=1), Reader())["lede"]
    assert "In 1 winter of 10 it runs out sooner." in one


def test_hay_that_lasts_to_the_end_is_said_so():
    whole = replace(matter(), lasts=replace(matter().lasts, until=None))
    assert "The hay lasts to turnout, 3 May," in plain(winter_data(whole, Reader())["verdict"][-1])
    open_ended = winter_data(replace(whole, turnout=None), Reader())["verdict"][-1]
    assert "to the end of this plan, 10 May," in plain(open_ended)


def test_not_tested_stands_in_the_sentence_and_among_the_cautions_with_its_tons():
    assert pages()[0].index("NOT TESTED: Sudangrass, north") < pages()[0].index("The hay lasts")
    lot = matter().hay("Sudangrass, north")
    tons = float(mass_from_dry_matter(lot.stock, lot.feed.dm)) / TON
    assert f"NOT TESTED: Sudangrass, north, {tons:.1f} tons." in pages()[0]


def test_page_one_holds_the_card_the_cautions_and_how_held_back_hay_is_fed():
    for said in ("Whom to call", "555 0142", "Caution", "Held back for nitrate, Lower bench oats",
                 "Cows: no more than half", "First-calf heifers: no more than a quarter",
                 "Calves: none of it.", "A day off feed starts the step-up again.",
                 "never turn hungry stock onto it", "Talk to your veterinarian"):  # fmt: skip
        assert said in pages()[0]


def test_every_page_has_the_emergency_line_in_its_foot():
    for page in pages():
        assert CARD in page


def test_a_ranch_with_nothing_held_back_has_no_card_and_fewer_pages():
    pdf = winter_pdf(small(), Reader())
    text = text_of(pdf)
    assert CARD not in text
    assert "Whom to call" not in text
    assert len(reader(pdf).pages) <= 3


def test_each_week_stands_with_bales_of_each_lot_and_tons_on_hand():
    q, plan = question(), matter().plan
    lots = [hay.name for hay in q.hays if plan.put_out(hay.name).sum() > 1]
    left = sum(on_hand(plan, hay.name) for hay in q.hays) / TON
    table = printed().partition("Week by week")[2]
    for week in range(q.weeks):
        day = q.day(week)
        cells = []
        for lot in lots:
            count = plan.bales_per_day(lot)[week]
            fed = plan.put_out(lot)[week] > 1
            cells.append(f"{count:.{2 if count < 1 else 1}f}" if fed else "–")
        row = f"{day.day} {day:%b} {' '.join(cells)} {left[week]:,.1f}"
        assert row in table


def test_what_is_bought_stands_with_tons_day_and_cost():
    eaten = sum(matter().plan.eaten(h.name)[:, -1].sum() for h in question().herds)
    corn = question().feeds[1]
    tons = float(mass_from_dry_matter(eaten, corn.dm)) / TON
    assert f"corn {tons:.1f} 9 November 2026 {money(eaten * corn.cost)}" in printed()


def test_each_offer_stands_beside_what_the_hay_is_worth():
    for one in matter().offers:
        steps, dm = matter().keep[one.lot], matter().hay(one.lot).feed.dm
        a_ton = dm / 100 * TON
        row = f"{one.lot} {one.who} {money(one.price * a_ton)}"
        row += f" {money(steps[0].worth * a_ton)} to {money(steps[-1].worth * a_ton)}"
        assert row in printed()


def test_the_gain_of_a_sale_is_what_solving_without_that_hay_gives():
    store = matter().offers[0]
    sold = sold_up_to(matter().keep[OATS], store)
    assert sold == 9000.0
    lost = worth_of(question(), OATS, sold)
    gain = gain_over_keeping(matter().keep[OATS], store)
    # Steps of nearly one worth are told as one: they may differ by a fiftieth.
    assert gain == pytest.approx(store.price * sold - lost, abs=0.02 * lost)
    assert f"19 bales, 11.3 tons {money(gain)}" in printed()


def test_an_offer_under_every_step_says_keep_it():
    row = printed().partition("Trader")[2].partition("A ton of")[0]
    trader = matter().offers[2]
    assert all(step.worth > trader.price for step in matter().keep[trader.lot])
    assert row.strip().endswith("none keep it")


def test_a_gain_confirmed_elsewhere_is_printed_as_it_is():
    told = Offer("Cousin", OATS, 0.2, sell=4000.0, gain=321.0)
    data = str(winter_data(replace(matter(), offers=(told,)), Reader())["sections"])
    assert "$321" in data
    assert sold_up_to(matter().keep[OATS], told) == 4000.0


def test_costs_a_head_and_day_are_the_plans():
    costs = matter().plan.costs()
    spent = costs["feeds"] + costs["handling"] + costs["hay_bought"] + costs["hay_sold"]
    days = 107 * 7 * 26
    assert f"Feed and handling less hay sold {money(spent)}" in printed()
    assert f"A head and day ${spent / days:.2f}" in printed()
    assert "Wintering one head more, Cows $96" in printed()


def test_who_gets_what_first_is_the_first_stretch_of_the_plan():
    for herd in question().herds:
        for part in stretches(matter().plan, herd)[0].portions:
            row = f"{herd.name}: {part.name} {part.each / POUND:,.1f} lb {part.out / POUND:,.0f} lb"
            assert row in printed()


def test_what_changes_are_worth_what_binds_and_what_was_counted_are_printed():
    assert "What Cows can hold $212 less" in printed()
    assert "What there is of Lower bench oats $80 more" in printed()
    assert "What stands in the way of a cheaper plan: protein of Calves." in printed()
    assert "What was counted" in printed()


def test_what_is_short_is_told_in_tons_and_in_what_conflicts():
    short = replace(matter(), missing=20 * TON, conflict=message("winter.row.room", name="Bulls"))
    section = next(
        one for one in winter_data(short, Reader())["sections"] if one["side"] == "What is short"
    )
    said = str(section)
    assert "20.0 tons short until turnout" in said
    assert "what Bulls can hold" in said


def test_a_metric_office_reads_tonnes_kilograms_and_its_own_money():
    office = replace(matter().office, currency="EUR", paper="a4")
    text = text_of(winter_pdf(replace(matter(), office=office), Reader(units="si")))
    assert " kg " in text
    assert " lb " not in text
    assert "$" not in text.replace("per short ton", "").partition("What to buy")[0]
    assert "Tonnes on hand" in text


def test_the_plan_promises_nothing():
    assert not re.search(r"\b(un)?safe", printed(), re.IGNORECASE)


def test_a_name_with_markup_stays_a_name():
    odd = replace(matter(), ranch='#let x = "[*Dahl*]"', made_on=date(2026, 11, 2))
    assert '#let x = "[*Dahl*]"' in text_of(winter_pdf(odd, Reader()))
