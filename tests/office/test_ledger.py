"""What happened stays written, in order, for good."""

from __future__ import annotations

import pytest
from django.db import DatabaseError, connection, transaction

from haywright.office.ledger.chain import FIRST, check
from haywright.office.ledger.models import Entry


def test_every_deed_stands_in_the_chain_and_the_chain_holds(cast, sheet):
    entries = list(Entry.objects.filter(office=cast.office).order_by("number"))
    assert [one.number for one in entries] == list(range(1, len(entries) + 1))
    assert entries[0].previous == FIRST
    assert {one.deed for one in entries} >= {"lot.describe", "bag.seal", "result.type"}
    assert list(check(cast.office)) == []


@pytest.mark.parametrize(
    "table",
    ["ledger_entry", "bag_handover", "bench_result", "sheet_version"],
)
@pytest.mark.parametrize("verb", ["UPDATE {} SET id = id", "DELETE FROM {}"])
def test_the_database_itself_refuses_to_change_what_is_written_for_good(sheet, table, verb):
    with (
        pytest.raises(DatabaseError, match="written for good"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(verb.format(table))


def test_an_entry_changed_behind_the_program_s_back_is_found(cast, sheet):
    one = Entry.objects.filter(office=cast.office, number=2).get()
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET LOCAL session_replication_role = replica")
        else:
            cursor.execute("DROP TRIGGER ledger_entry_no_UPDATE")
        cursor.execute("UPDATE ledger_entry SET reason = 'other' WHERE number = 2")
    said = [one.key for one in check(cast.office)]
    assert said == ["office.ledger.changed"], one


def test_a_form_sent_twice_is_one_deed(cast):
    from datetime import date

    from haywright.office.action import DoneAlready
    from haywright.office.stack.actions import describe_lot
    from haywright.office.stack.models import Lot
    from tests.office.conftest import OATS

    actor = cast.actor("educator")
    describe_lot(actor, OATS, ranch=cast.ranch, today=date(2026, 8, 2), once="a")
    with pytest.raises(DoneAlready):
        describe_lot(actor, OATS, ranch=cast.ranch, today=date(2026, 8, 2), once="a")
    assert Lot.objects.count() == 1


def test_two_tabs_saving_the_same_lot_lose_nothing(cast, lot):
    from haywright.office.action import Stale
    from haywright.office.stack.actions import change_lot

    actor = cast.actor("educator")
    change_lot(actor, lot, {**lot.facts, "field": "creek"}, version=1)
    with pytest.raises(Stale):
        change_lot(actor, lot, {**lot.facts, "field": "hill"}, version=1)
    lot.refresh_from_db()
    assert lot.field == "creek"
