"""Bodies meant to break the office: each refused as a problem, with nothing written.

Outside checks: an independent JSON Schema validator (jsonschema-rs, draft 2020-12) says of each
body whether it fits the frozen document; RFC 8259 says what JSON is (no NaN, no Infinity, UTF-8
only); RFC 9457 how a refusal is told.
"""

from __future__ import annotations

import json
from copy import deepcopy
from functools import cache
from uuid import UUID

import pytest
from django.apps import apps
from django.db import connection, transaction
from jsonschema_rs import Draft202012Validator

from haywright.office.api.examples import EXAMPLES
from tests.office.programs import Program
from tests.office.test_api_document import PLACES, things
from tools.openapi import PAGE

__all__ = ["things"]
DOCUMENT = json.loads(PAGE.read_text("utf-8"))
WRITES = {
    one["operationId"]: (method.upper(), path, one)
    for path, operations in DOCUMENT["paths"].items()
    for method, one in operations.items()
    if "requestBody" in one
}
STAND_IN = "0198f0a2-7c11-7cc3-9d10-5f2f4a6b1e01"
SCRIPT = '"><script>alert(1)</script>'
PROBLEM = "application/problem+json"
TWO_HUNDRED_MEGABYTES = "200000000"
DEEP = 10_000
RAW = {
    "nothing": b"",
    "half of a lot": b'{"facts": {"name": "Lower',
    "two bodies": b"{}{}",
    "a text of bytes that are no UTF-8": b'{"reason": "\xff\xfe\xc3"}',
    "UTF-16": '{"reason": "frost"}'.encode("utf-16"),
    "ten thousand lists in each other": b"[" * DEEP + b"]" * DEEP,
    "ten thousand lists that never end": b"[" * DEEP,
    "ten thousand objects in each other": b'{"facts":' * DEEP + b"1" + b"}" * DEEP,
    "a bare nothing": b"null",
    "a list": b"[]",
    "a text": b'"oats"',
    "a number": b"64",
    "an integer of ten thousand figures": b'{"version": ' + b"9" * DEEP + b"}",
    "no number": b'{"version": NaN}',
    "a number without end": b'{"version": -Infinity}',
    "a nul between": b'{"reason":\0 "frost"}',
}
# What stands in place of each value in turn; only what the document does not allow is sent on.
WRONG = {
    "no number": float("nan"),
    "without end": float("inf"),
    "so large that it has no end": 1e308,
    "an integer of four hundred figures": 10**400,
    "a nul": "oats\0",
    "half a character": "oats\ud800",
    "nothing": None,
    "a list": [["oats"]],
    "an object": {"oats": {"oats": 1}},
    "yes": True,
    "a number": 1.5,
    "less than nothing": -1,
    "a text": "neither day nor number",
    "a text of a hundred thousand letters": "o" * 100_000,
}
# No register keeps any of these, whatever the document leaves open.
NEVER = ("no number", "without end", "an integer of four hundred figures", "a nul",
         "half a character")  # fmt: skip


@pytest.fixture
def program(cast, things, monkeypatch):
    """A program that may everything, and is never told to slow down."""
    from haywright.office.api import door

    monkeypatch.setattr(door, "PER_MINUTE", 10_000_000)
    made = Program(cast, "educator")
    made.rows = rows()
    return made


def there(name, things):
    """Method, address and body of an operation on things that are there."""
    method, path, _ = WRITES[name]
    path = path.removeprefix("/api").replace("{key}", str(things[PLACES[path.split("/")[2]]].pk))
    body = json.dumps(EXAMPLES[name])
    lot, bag = str(things["lot"].pk), str(things["bag"].pk)
    body = json.loads(body.replace(STAND_IN, bag if name == "bags_ship" else lot))
    if name == "batch_receive":
        body["results"] = {things["bag"].code: next(iter(body["results"].values()))}
    if name == "lot_replace":
        body["facts"] = EXAMPLES["lot_describe"]["facts"]
    if name in ("ranch_describe", "laboratory_new"):
        body["name"] = "Pond"  # there is one of the example's name already
    if name == "result_correct":
        path = f"/results/{things['lot'].results.get(analyte='cp').pk}/correct"
        body["right"]["value"] = "9.8"
    return method, path, body


@cache
def shape(name):
    """What the document says of the body of an operation."""
    schema = next(iter(WRITES[name][2]["requestBody"]["content"].values()))["schema"]
    return Draft202012Validator({**schema, "components": DOCUMENT["components"]})


def fits(name, body):
    """Whether a body fits the document, by an independent reader of schemas."""
    return shape(name).is_valid(body)


def leaves(held, at=()):
    """Where each value of a body stands, groups of them too."""
    if at:
        yield at
    if isinstance(held, dict):
        for name, one in held.items():
            yield from leaves(one, (*at, name))
    elif isinstance(held, list):
        for n, one in enumerate(held):
            yield from leaves(one, (*at, n))


def value_at(body, at):
    """What stands in one place of a body."""
    for step in at:
        body = body[step]
    return body


def with_in(body, at, value):
    """The body with another value in one place."""
    held = deepcopy(body)
    value_at(held, at[:-1])[at[-1]] = value
    return held


def rows():
    """How much the office has written: the rows of every table, counted in one question."""
    tables = [one._meta.db_table for one in apps.get_models()
              if one.__module__.startswith("haywright")]  # fmt: skip
    counts = ", ".join(f'(SELECT COUNT(*) FROM "{one}")' for one in tables)  # noqa: S608
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {counts}")
        return dict(zip(tables, cursor.fetchone(), strict=True))


def sent(program, name, method, path, body, **headers):
    """What comes of a body, and what was written by it; all of that is undone again."""
    with transaction.atomic():
        answer = program.ask(method, path, body, **headers)
        unwritten = rows() == program.rows
        transaction.set_rollback(True)
    assert str(answer.status_code) in WRITES[name][2]["responses"], (body, answer.content[:500])
    return answer, unwritten


def is_refused(answer, unwritten, of):
    """A refusal is a problem that says its own status, with words, and nothing was written."""
    assert 400 <= answer.status_code < 500, (of, answer.status_code, answer.content[:300])
    assert answer["Content-Type"] == PROBLEM, of
    told = answer.json()
    assert told["status"] == answer.status_code
    assert told["detail"].strip(), of
    assert len(answer.content) < 20_000, of  # what is sent back is no echo of what was sent
    assert unwritten, of


def test_every_operation_that_takes_a_body_is_tried():
    assert set(WRITES) == set(EXAMPLES)
    assert len(WRITES) > 20


def every(things):
    """Each operation that takes a body, with its address and a body that could be done."""
    return [(name, *there(name, things)) for name in WRITES]


def test_a_body_that_is_no_json_or_no_object_writes_nothing(program, things):
    for name in ("lot_describe", "lot_replace", "lot_change", "batch_receive", "report_type"):
        method, path, _ = there(name, things)
        for what, body in RAW.items():
            is_refused(*sent(program, name, method, path, body), (name, what))


def test_two_hundred_megabytes_are_turned_away_by_their_declared_length(program, things):
    told = {"Content-Length": TWO_HUNDRED_MEGABYTES}
    for name, method, path, body in every(things):
        answer, unwritten = sent(program, name, method, path, body, **told)
        is_refused(answer, unwritten, name)
        assert answer.status_code == 413


def test_what_calls_itself_something_else_is_not_read(program, things):
    for name, method, path, body in every(things):
        for kind in ("text/plain", "application/x-www-form-urlencoded", "multipart/form-data"):
            answer, unwritten = sent(program, name, method, path, body, **{"Content-Type": kind})
            is_refused(answer, unwritten, (name, kind))
            assert answer.status_code == 415


@pytest.mark.parametrize("place", sorted({path.split("/")[2] for _, path, _ in WRITES.values()}))
def test_no_value_of_the_wrong_kind_is_taken_in_any_place(program, things, place):
    for name, method, path, body in every(things):
        if WRITES[name][1].split("/")[2] != place:
            continue
        for at in leaves(body):
            for what, value in WRONG.items():
                wrong = with_in(body, at, value)
                answer, unwritten = sent(program, name, method, path, wrong)
                if answer.status_code >= 400 or what in NEVER or not fits(name, wrong):
                    is_refused(answer, unwritten, (name, at, what))


def test_a_field_nobody_knows_is_refused_by_its_name(program, things):
    for name, method, path, body in every(things):
        for at in [(), *leaves(body)]:
            if not isinstance(value_at(body, at), dict):
                continue
            wrong = with_in(body, (*at, "__proto__"), {"colour": SCRIPT})
            answer, unwritten = sent(program, name, method, path, wrong)
            if answer.status_code >= 400 or not fits(name, wrong):
                is_refused(answer, unwritten, (name, at))


def test_a_script_is_kept_as_the_letters_it_is_or_refused(program, things):
    for name, method, path, body in every(things):
        for at in leaves(body):
            if not isinstance(value_at(body, at), str):
                continue
            answer, unwritten = sent(program, name, method, path, with_in(body, at, SCRIPT))
            assert answer["X-Content-Type-Options"] == "nosniff"
            if answer.status_code >= 400:
                is_refused(answer, unwritten, (name, at))
            else:
                assert answer["Content-Type"].startswith("application/json")


def test_a_key_against_doubles_that_is_none_writes_nothing(program, things):
    method, path, body = there("lot_heat", things)
    for value in ("", " ", "x" * 201, "a\nb", "\0", "é", "\x7f"):
        told = {"Idempotency-Key": value}
        is_refused(*sent(program, "lot_heat", method, path, body, **told), value)


def test_the_bodies_themselves_are_taken_when_nothing_is_wrong_with_them(program, things):
    """So that what is refused above is refused for the one thing that is wrong with it."""
    taken = set()
    for name in WRITES:
        method, path, body = there(name, things)
        if sent(program, name, method, path, body)[0].status_code < 300:
            taken.add(name)
    # one lot is not stacked with itself, a bag not mixed up with one there is not
    assert set(WRITES) - taken == {"lot_merge", "bag_swap"}


def test_an_address_that_is_no_key_is_a_problem_too(program):
    for of in PLACES:
        for one in ("0", "1'--", "%00", str(UUID(int=0)), "..%2f..", "x" * 5000, "NaN", "%ff"):
            answer = program.ask("GET", f"/{of}/{one}")
            assert answer.status_code in (400, 404), (of, one, answer.content[:200])
            assert answer["Content-Type"] == PROBLEM
