"""The demo ranch's winter, printed from its answer, says what the terminal says."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from functools import cache

import pytest
from typer.testing import CliRunner

from haywright.cli.main import app
from haywright.measure.message import message
from haywright.paper.winter_answer import feeding_cards, matter_of, winter_paper
from haywright.way.office import Office
from haywright.words import Reader
from tests.paper.reading import reader, text_of
from tests.way.demo_winter import FORM, answered

OFFICE = Office("Sagebow Valley hay office", "SVH", "555 0150", "A practice", "555 0160")
PRINTED_ON = date(2026, 11, 25)


@cache
def paper():
    answer, changes = answered()
    made = winter_paper(answer, Reader(), office=OFFICE, changes=changes, made_on=PRINTED_ON)
    return text_of(made)


def test_the_sentence_is_the_answers():
    answer, _ = answered()
    until = answer.lasts.until
    assert f"The hay lasts to {until.day} {until:%B} in a usual winter." in paper()
    assert re.search(rf"In {answer.sooner or 'none'} (of 10 )?winters? ", paper())


def test_offers_gains_and_changes_are_the_answers():
    answer, changes = answered()
    for one in answer.offers:
        assert (f"${one.gain:,.0f}" if one.sell > 1 else "keep it") in paper()
    for one in changes:
        assert f"${abs(one.saves):,.0f} {'more' if one.saves < 0 else 'less'}" in paper()
    for one in answer.heads:
        assert f"Wintering one head more, {one.herd} ${one.cost:,.0f}" in paper()


def test_a_hard_winter_leaves_less_hay_than_the_usual_one_could():
    answer, _ = answered()
    m = matter_of(answer, OFFICE)
    assert m.hard[0] == pytest.approx(sum(
        h.stock * 100 / h.feed.dm for h in answer.question.hays))  # fmt: skip
    assert len(m.hard) == answer.question.weeks + 1


def test_every_lot_no_herd_may_have_is_told_with_the_reason():
    answer, _ = answered()
    for hay in answer.counted.hays:
        if not hay.hay.tested:
            assert f"NOT TESTED: {hay.name}" in paper()
        elif all(hay.why_not(herd.name) for herd in answer.question.herds):
            assert f"{hay.name}, " in paper()


def test_worths_are_left_out_where_needs_cannot_be_met():
    answer, changes = answered()
    conflict = message("winter.row.energy", name="bred cows")
    m = matter_of(replace(answer, conflict=conflict), OFFICE, changes=changes)
    assert m.conflict == conflict
    assert (m.keep, m.offers, m.one_more, m.changes) == ({}, (), {}, ())


def test_cards_are_printed_for_the_coming_weeks():
    answer, _ = answered()
    few = feeding_cards(answer, Reader(), office=OFFICE, weeks=1)
    assert len(reader(few).pages) == len(answer.question.herds)


def test_plan_and_cards_are_written_at_the_command_line(tmp_path):
    plan, cards = tmp_path / "plan.pdf", tmp_path / "cards.pdf"
    done = CliRunner().invoke(
        app, ["bunk", "winter", str(FORM), "--pdf", str(plan), "--cards", str(cards)]
    )
    assert done.exit_code == 0, done.output
    assert "The hay lasts to" in text_of(plan.read_bytes())
    assert "card 1 of" in text_of(cards.read_bytes())
