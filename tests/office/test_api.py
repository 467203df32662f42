"""Programs at the door: the same rules as the pages, each deed once, each refusal in words."""

from __future__ import annotations

from datetime import date

import pytest

from tests.office.conftest import OATS, ROLES
from tests.office.programs import Program

# what a role without office rows gets: status of reading lots, a lot, bags, sheets, describing
TABLE = {
    "rancher": (200, 200, 200, 200, 201),
    "educator": (200, 200, 200, 200, 201),
    "lab_manager": (200, 200, 200, 200, 403),
    "office_admin": (200, 200, 200, 200, 201),
    "neighbour": (200, 404, 200, 200, 404),
    "stranger": (200, 404, 200, 200, 404),
}


@pytest.mark.parametrize("name", TABLE)
def test_a_program_may_what_its_person_may(cast, lot, sheet, name):
    program = Program(cast, name)
    new = {"facts": OATS, "ranch": str(cast.ranch.pk)}
    asked = [
        ("GET", "/lots", None), ("GET", f"/lots/{lot.pk}", None), ("GET", "/bags", None),
        ("GET", "/sheets", None), ("POST", "/lots", new),
    ]  # fmt: skip
    got = tuple(program.ask(*one).status_code for one in asked)
    assert got == TABLE[name]


def test_a_technician_holds_no_keys(cast):
    from haywright.office.action import NotAllowed

    assert "technician" in ROLES
    with pytest.raises(NotAllowed):
        Program(cast, "technician")


def test_a_key_for_reading_writes_nothing(cast):
    from haywright.office.stack.models import Lot

    answer = Program(cast, "educator", ["stack:read"]).ask("POST", "/lots", {"facts": OATS})
    assert answer.status_code == 403
    assert not Lot.objects.exists()


def test_no_key_and_a_withdrawn_key_open_nothing(cast):
    from haywright.office.people.tokens import token_of, withdraw_token

    program = Program(cast, "educator")
    withdraw_token(cast.actor("educator"), token_of(program.secret))
    assert program.ask("GET", "/lots").status_code == 401
    assert program.client.get("/api/lots").status_code == 401


def test_a_lot_sent_twice_is_one_lot_and_another_body_is_refused(cast):
    from haywright.office.stack.models import Lot

    program, head = Program(cast, "educator"), {"Idempotency-Key": "monday-1"}
    first = program.ask("POST", "/lots", {"facts": OATS}, **head)
    again = program.ask("POST", "/lots", {"facts": OATS}, **head)
    other = program.ask("POST", "/lots", {"facts": {**OATS, "name": "Upper"}}, **head)
    assert (first.status_code, again.status_code, other.status_code) == (201, 201, 409)
    assert first.json() == again.json()
    assert Lot.objects.count() == 1


def test_a_lot_saved_in_between_is_not_overwritten(cast, lot):
    program = Program(cast, "educator")
    body = {"facts": {**OATS, "name": "Oats by the river"}, "version": lot.version}
    assert program.ask("PUT", f"/lots/{lot.pk}", body).json()["version"] == lot.version + 1
    late = program.ask("PUT", f"/lots/{lot.pk}", body)
    assert late.status_code == 409
    assert late.json()["errors"][0]["field"] == "version"


def test_turning_the_pages_meets_every_lot_once(cast):
    from haywright.office.stack.actions import describe_lot

    made = {
        str(describe_lot(cast.actor("educator"), OATS, ranch=cast.ranch, today=date(2026, 8, 2)).pk)
        for _ in range(53)
    }
    program, met, after = Program(cast, "educator"), [], ""
    while True:
        got = program.ask("GET", f"/lots?after={after}" if after else "/lots").json()
        met += [one["id"] for one in got["items"]]
        after = got["after"]
        if not after:
            break
    assert len(met) == len(made)
    assert set(met) == made


def test_a_refusal_names_field_and_value_as_problem_details(cast, lot):
    sold = {"bales": 65, "on": "2026-09-09"}
    answer = Program(cast, "educator").ask("POST", f"/lots/{lot.pk}/sold", sold)
    assert answer.status_code == 422
    assert answer["Content-Type"] == "application/problem+json"  # RFC 9457
    one = answer.json()["errors"][0]
    assert (one["field"], one["value"], one["accepted"]) == ("bales", "65", "64")


def test_a_field_not_known_and_what_is_no_json_are_refused(cast):
    program = Program(cast, "educator")
    unknown = program.ask("POST", "/lots", {"facts": OATS, "colour": "green"})
    assert unknown.status_code == 400
    assert unknown.json()["errors"][0]["field"].endswith("colour")
    broken = program.client.generic(
        "POST", "/api/lots", "{", content_type="application/json",
        headers={"Authorization": f"Bearer {program.secret}"},
    )  # fmt: skip
    assert broken.status_code == 400


def test_more_than_the_office_takes_is_turned_away(cast, settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1000
    body = {"facts": {**OATS, "field": "x" * 2000}}
    assert Program(cast, "educator").ask("POST", "/lots", body).status_code == 413


def test_a_bag_is_sealed_and_passed_on(cast, lot):
    program = Program(cast, "educator")
    facts = {"cored_on": "2026-09-08", "taken": "probe", "tests": ["nitrate"], "bales": "1-20"}
    body = {"lot": str(lot.pk), "facts": facts, "at": "2026-09-08T15:00:00Z"}
    bag = program.ask("POST", "/bags", body)
    assert bag.status_code == 201, bag.content
    on = {"stage": "shipped", "at": "2026-09-09T15:00:00Z", "who": "mail"}
    assert (
        program.ask("POST", f"/bags/{bag.json()['id']}/passed-on", on).json()["stage"] == "shipped"
    )


def test_a_sheet_s_version_is_what_was_frozen(cast, sheet):
    got = Program(cast, "rancher").ask("GET", f"/sheets/{sheet.pk}/versions/0").json()
    held = sheet.versions.get()
    assert (got["digest"], got["snapshot"]) == (held.digest, held.snapshot)


def test_a_key_is_made_on_its_page_shown_once_and_withdrawn(cast):
    from haywright.office.ledger.models import Entry
    from haywright.office.people.models import Token
    from haywright.office.people.tokens import token_of

    browser = cast.client("educator")
    sent = {"name": "barn scale", "scopes": ["stack:read"], "once": "k-1"}
    text = browser.post("/people/me/keys", sent).content.decode()
    token = Token.objects.get()
    secret = text.split('<strong class="long">')[1].split("</strong>")[0]
    assert token_of(secret) == token
    assert token.scopes == ["stack:read"]
    assert Entry.objects.filter(deed="token.make", thing_id=token.pk).exists()
    assert secret not in browser.get("/people/me/keys").content.decode()
    browser.post(f"/people/me/keys/{token.pk}/withdraw")
    assert token_of(secret) is None
    assert cast.client("neighbour").post(f"/people/me/keys/{token.pk}/withdraw").status_code == 404
