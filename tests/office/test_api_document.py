"""What the document promises is what is answered, for whatever a program sends.

Outside check: schemathesis reads docs/openapi.json's own text from the running application and
asks every operation with data that fits it and data that does not (OpenAPI 3.1, JSON Schema
2020-12; statuses by RFC 9110, problems by RFC 9457).
"""

from __future__ import annotations

import json
from contextlib import closing
from uuid import UUID

import pytest
import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis.config import SchemathesisConfig

from tests.office.programs import Program
from tools.openapi import PAGE, broken, page

# What a rule of the trade refuses fits the document and is told apart from what does not (400).
RULES = ["2xx", "401", "403", "404", "409", "422", "429"]
PLACES = {"lots": "lot", "bags": "bag", "sheets": "sheet", "results": "result",
          "batches": "batch", "ranches": "ranch", "laboratories": "laboratory"}  # fmt: skip
NAMES = (*PLACES.values(), "link")
STAND_INS = {name: str(UUID(int=n)) for n, name in enumerate(NAMES, start=1)}


@pytest.fixture
def things(cast, lot, bag, sheet):
    """A key of each kind of thing that is there."""
    from haywright.office.bench.actions import keep_laboratory
    from haywright.office.bench.models import Batch, Result
    from haywright.office.people.models import Membership
    from haywright.office.sheet.actions import make_link

    for role in ("lab_manager", "office_admin"):
        Membership.objects.create(person=cast.people["educator"], office=cast.office, role=role)
    actor = cast.actor("educator")
    make_link(actor, sheet)
    batch = Batch.objects.create(
        office=cast.office, name="cp 1", determination="nitrogen", run_on="2026-09-14", held=True
    )
    return {
        "lot": lot, "bag": bag, "sheet": sheet, "link": sheet.links.get(), "ranch": cast.ranch,
        "result": Result.objects.filter(lot=lot).first(), "batch": batch,
        "laboratory": keep_laboratory(actor, None, {"name": "Plain laboratory"}),
    }  # fmt: skip


def document():
    """The frozen document, with a stand-in for a key that is there beside any other key."""
    held = json.loads(PAGE.read_text("utf-8"))
    for address, operations in held["paths"].items():
        place = address.split("/")[2]
        for one in operations.values():
            for given in one["parameters"]:
                if given["in"] == "path" and given["schema"].get("format") == "uuid":
                    name = "link" if given["name"] == "link" else PLACES[place]
                    there = {"type": "string", "const": STAND_INS[name]}
                    given["schema"] = {"anyOf": [there, given["schema"]]}
    return held


CONFIG = SchemathesisConfig.from_dict(
    {
        "seed": 1402,
        "generation": {"max-examples": 4, "deterministic": True, "mode": "all",
                       "database": "none", "no-shrink": True},
        "checks": {"positive_data_acceptance": {"expected-statuses": RULES}},
    }
)  # fmt: skip
promise = schemathesis.openapi.from_dict(document(), config=CONFIG)


def office(environ, start):
    """The application, in this process and inside the test's own transaction."""
    from django.core.signals import request_finished, request_started
    from django.db import close_old_connections

    from haywright.office.wsgi import application

    request_started.disconnect(close_old_connections)
    request_finished.disconnect(close_old_connections)
    try:
        with closing(application(environ, start)) as answer:
            return [b"".join(answer)]
    finally:
        request_started.connect(close_old_connections)
        request_finished.connect(close_old_connections)


promise.app = office


@pytest.fixture
def program(cast, things, monkeypatch):
    """A program that may everything, and is never told to slow down."""
    from haywright.office.api import door

    monkeypatch.setattr(door, "PER_MINUTE", 10_000_000)
    return Program(cast, "educator")


# one office for all the requests of an operation, as a real one stands there for everybody
@promise.parametrize()
@settings(max_examples=25, suppress_health_check=list(HealthCheck), deadline=None)
def test_every_answer_is_one_the_document_promises(case, program, things):
    there = {held: str(things[name].pk) for name, held in STAND_INS.items()}
    case.path_parameters = {
        name: there.get(one, one) if isinstance(one, str) else one
        for name, one in (case.path_parameters or {}).items()
    }
    plain = {"Authorization": f"Bearer {program.secret}", "Accept-Encoding": "identity"}
    case.call_and_validate(headers=plain)


def test_the_promise_to_programs_is_the_frozen_one():
    frozen, now = PAGE.read_text("utf-8"), page()
    breaks = broken(json.loads(frozen), json.loads(now))
    assert frozen == now, "\n".join(breaks) or "run python -m tools.openapi"


def test_every_operation_names_its_scope_its_statuses_and_what_it_says_then():
    from haywright.office.people.tokens import SCOPES

    promised = json.loads(PAGE.read_text("utf-8"))
    assert promised["openapi"].startswith("3.1")
    for path in promised["paths"].values():
        for method, one in path.items():
            (scope,) = one["security"][0]["Key"]
            assert scope in SCOPES
            assert scope in one["description"]
            wanted = {"401", "403", "404", "422", "429"}
            wanted |= {"409", "413"} if method != "get" else set()
            wanted |= {"415"} if "requestBody" in one else set()
            assert wanted <= set(one["responses"]), one["operationId"]
            told = [a for s, a in one["responses"].items() if s >= "4"]
            assert all(list(a["content"]) == ["application/problem+json"] for a in told)
            assert "Retry-After" in one["responses"]["429"]["headers"]
            if "requestBody" in one:
                assert "example" in one["requestBody"]["content"]["application/json"]
            names = {given["name"] for given in one["parameters"]}
            assert ("Idempotency-Key" in names) == (method == "post")


def _gone(held):
    del held["paths"]["/api/lots/{key}/history"]


def _field(held):
    del held["components"]["schemas"]["LotOut"]["properties"]["bale_weight"]


def _needed(held):
    held["components"]["schemas"]["Seal"]["required"].append("laboratory")


def _asked(held):
    held["paths"]["/api/lots"]["get"]["parameters"].append(
        {"in": "query", "name": "county", "required": True}
    )


def _scope(held):
    held["paths"]["/api/lots"]["get"]["security"] = [{"Key": ["office:read"]}]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (_gone, "GET /api/lots/{key}/history is gone"),
        (_field, "LotOut: field bale_weight is gone"),
        (_needed, "Seal: field laboratory is newly required"),
        (_asked, "GET /api/lots: parameter county is newly required"),
        (_scope, "GET /api/lots: needs another scope"),
    ],
)
def test_a_change_that_breaks_a_program_is_told_in_words(change, says):
    old, new = (json.loads(PAGE.read_text("utf-8")) for _ in range(2))
    assert broken(old, new) == []
    change(new)
    assert broken(old, new) == [says]


def test_what_is_only_added_breaks_no_program():
    old, new = (json.loads(PAGE.read_text("utf-8")) for _ in range(2))
    new["paths"]["/api/new"] = new["paths"]["/api/me"]
    new["components"]["schemas"]["LotOut"]["properties"]["colour"] = {"type": "string"}
    new["components"]["schemas"]["Seal"]["properties"]["remark"] = {"type": "string"}
    assert broken(old, new) == []
