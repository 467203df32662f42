"""An office with much in it: invented lots, bags, results and sheets, made by number.

A few lots are written through the office's own actions; the rest are copies of their rows, with
keys, numbers and codes of their own, made inside the database. The history of a copy reads like
that of its original but is no part of the chain: ``haywright ledger check`` speaks of offices in
use, not of this one.

    python -m benchmarks.office_load LOTS     into the office the settings name
"""

from __future__ import annotations

import sys
from datetime import UTC, date, datetime, timedelta
from typing import Any

BASE, RANCHES, YEARS = 20, 10, 20
HISTORIES = 10  # one copy in ten has its history; the others' would be the larger part of all
LAST_YEAR = 2026
SEALED = datetime(2026, 9, 8, 15, tzinfo=UTC)
CROPS = ("oats", "triticale", "alfalfa", "bromegrass", "sorghum-sudangrass")
TESTS = ["dry matter", "crude protein", "adf", "ndf", "nitrate"]
MORE = ("ca=0.31 %", "p=0.22 %", "mg=0.17 %", "k=1.94 %", "s=0.16 %")


def fill(lots: int) -> None:
    """Fill an empty office with lots, two bags and twenty results each."""
    _base()
    copies = lots // BASE - 1
    if copies > 0:
        _copied(copies)


def _base() -> None:
    from haywright.bag.custody import Stage
    from haywright.office.bag.actions import pass_on, seal_bag
    from haywright.office.bench.actions import type_report
    from haywright.office.people.actor import actor_of
    from haywright.office.people.models import Membership, Office, Person, Ranch
    from haywright.office.stack.actions import describe_lot
    from haywright.sheet.typed import Laboratory

    office = Office.objects.create(name="Wide Valley hay office", code="WVH", call_phone="555 0142")
    person = Person.objects.create_user("educator@example.org", name="Educator")
    for role in ("educator", "office_admin", "lab_manager"):
        Membership.objects.create(person=person, office=office, role=role)
    actor = actor_of(person)
    ranches = [Ranch.objects.create(office=office, name=f"Ranch {n}") for n in range(RANCHES)]
    lab = Laboratory(name="Plain laboratory")
    for n in range(BASE):
        told = {
            "name": f"Field {n} {CROPS[n % len(CROPS)]}", "crop": CROPS[n % len(CROPS)],
            "field": f"field {n}", "baled_on": "2026-08-02", "storage": "outside on the ground",
            "bales": {"count": 64, "package": "5x4", "weight": "1,120 lb"},
            "faces": [{"name": "South", "tiers": 4, "columns": 16}],
        }  # fmt: skip
        ranch = ranches[n % RANCHES]
        lot = describe_lot(actor, told, ranch=ranch, today=date(2026, 8, 2))
        for half in range(2):
            facts = {"cored_on": "2026-09-08", "taken": "probe", "tests": TESTS,
                     "bales": "1-20" if half == 0 else "21-40"}  # fmt: skip
            bag = seal_bag(actor, lot, facts, at=SEALED)
            at = SEALED + timedelta(days=2)
            pass_on(actor, bag, Stage.RECEIVED, at=at, who="Plain laboratory")
            nitrate = 300 + 90 * n + 20 * half
            typed = ("dm=88.4 %", f"cp={9 + n / 10} %", "adf=38.2 %", "ndf=61.5 %",
                     f"nitrate={nitrate} ppm NO3-N", *MORE)  # fmt: skip
            texts = [f"{one} dry matter" for one in typed]
            type_report(actor, lot, texts, profile=lab, bag=bag, reason="the second bag")


def _copied(copies: int) -> None:
    """The rows of the base again and again, each copy with keys of its own."""
    from django.db import connection
    from django.db.models import Max

    from haywright.office.bag.models import Bag, HandOver
    from haywright.office.bench.models import Result
    from haywright.office.ledger.models import Entry
    from haywright.office.sheet.models import Sheet, Version
    from haywright.office.stack.models import Lot
    from haywright.office.stack.waits import wait

    postgres = connection.vendor == "postgresql"
    if not postgres:
        connection.ensure_connection()
        connection.connection.create_function("later", 2, _later, deterministic=True)
        for pragma in ("journal_mode=OFF", "synchronous=OFF", "cache_size=-1000000"):
            connection.connection.execute(f"PRAGMA {pragma}")

    def key(column: str) -> str:
        return _LATER.format(column=f"b.{column}") if postgres else f"later(b.{column}, k)"

    def number(model: Any) -> str:
        return f"b.number + k * {model.objects.aggregate(n=Max('number'))['n']}"

    def digest(column: str) -> str:
        return f"substr(b.{column}, 1, 50) || '-' || k"

    frozen = "CASE WHEN k % 100 = 0 THEN b.snapshot ELSE '{}' END"
    frozen = frozen.replace("'{}'", "'{}'::jsonb") if postgres else frozen
    state = f"CASE WHEN k % {YEARS} = 0 THEN b.state ELSE 'fed' END"
    # the same forty of an office of any size, looked for by a name few have
    name = "CASE WHEN k <= 2 THEN 'Old ' || b.name ELSE b.name END"
    tables: list[tuple[Any, dict[str, str]]] = [
        (Lot, {"id": key("id"), "number": number(Lot), "state": state, "name": name,
               "hay_year": f"{LAST_YEAR} - k % {YEARS}"}),
        (Bag, {"id": key("id"), "lot_id": key("lot_id"), "number": number(Bag),
               "code": _code(number(Bag), postgres=postgres)}),
        (HandOver, {"id": key("id"), "bag_id": key("bag_id")}),
        (Result, {"id": key("id"), "lot_id": key("lot_id"), "bag_id": key("bag_id"),
                  "replaces_id": key("replaces_id")}),
        (Sheet, {"id": key("id"), "lot_id": key("lot_id"), "number": number(Sheet),
                 "to_call": _recent("b.to_call"), "to_explain": _recent("b.to_explain"),
                 "interim": _recent("b.interim")}),
        (Version, {"id": key("id"), "sheet_id": key("sheet_id"), "snapshot": frozen}),
        (Entry, {"id": key("id"), "lot_id": key("lot_id"), "number": number(Entry),
                 "thing_id": key("thing_id"), "once": "NULL", "digest": digest("digest"),
                 "previous": digest("previous")}),
    ]  # fmt: skip
    with connection.cursor() as cursor:
        if postgres:  # rows of rows that were checked: their keys need not be looked up each
            cursor.execute("SET session_replication_role = replica")
        for model, changed in tables:
            some = f"k % {HISTORIES} = 0" if model is Entry else "true"
            _copy(cursor, model, changed, copies, some=some, postgres=postgres)
        if postgres:
            cursor.execute("RESET session_replication_role")
        wait(Lot, Bag, Result)
        if postgres:  # as its own housekeeping does; SQLite has none
            cursor.execute("ANALYZE")
    if not postgres:
        connection.connection.execute("PRAGMA journal_mode=WAL")


def _code(number: str, *, postgres: bool) -> str:
    """A code of the shape codes have; what it ends in checks nothing."""
    plain = f"({number})::text" if postgres else f"({number})"
    long = f"lpad({plain}, greatest(4, length({plain})), '0')"
    shown = long if postgres else f"printf('%04d', {plain})"
    return f"substr(b.code, 1, 4) || {shown} || '-' || (10 + ({number}) % 90)"


def _recent(column: str) -> str:
    """What is to be done about this year's; of the years before, all was done."""
    return f"({column} AND k % {YEARS} = 0)"


# A key begins with its instant in milliseconds; a copy's is minutes later, the rest as it was.
_MINUTE_MS = 60_000
_HEX = "replace({column}::text, '-', '')"
_LATER = (
    f"(lpad(to_hex(('x' || substr({_HEX}, 1, 12))::bit(48)::bigint + k * {_MINUTE_MS}), 12, '0')"
    f" || substr({_HEX}, 13))::uuid"
)


def _later(key: str | None, k: int) -> str | None:
    return key and f"{int(key[:12], 16) + k * _MINUTE_MS:012x}{key[12:]}"


def _copy(
    cursor: Any, model: Any, changed: dict[str, str], copies: int, *, some: str, postgres: bool
) -> None:
    table = model._meta.db_table
    columns = [one.column for one in model._meta.concrete_fields if one.column in changed
               or not one.primary_key]  # fmt: skip
    told = ", ".join(changed.get(one, f"b.{one}") for one in columns)
    names = ", ".join(columns)
    if postgres:
        rows = f"SELECT {told} FROM generate_series(1, {copies}) k, {table} b WHERE {some}"
        cursor.execute(f"INSERT INTO {table} ({names}) {rows}")
        return
    cursor.execute("DROP TABLE IF EXISTS temp.base")
    cursor.execute(f"CREATE TEMP TABLE base AS SELECT * FROM {table}")
    counted = f"n(k) AS (SELECT 1 UNION ALL SELECT k + 1 FROM n WHERE k < {copies})"
    rows = f"WITH RECURSIVE {counted} SELECT {told} FROM n CROSS JOIN temp.base b WHERE {some}"
    cursor.execute(f"INSERT INTO {table} ({names}) {rows}")


if __name__ == "__main__":
    from haywright.office import start

    start.ready(desk=start.is_desk())
    start.migrate()
    fill(int(sys.argv[1]))
