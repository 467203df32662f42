"""Who may open what: every address and every deed, by role and by whose hay it is, as written."""

from __future__ import annotations

import json
import tomllib
from http import HTTPStatus
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core import signals
from django.core.cache import cache
from django.db import close_old_connections, transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from pypdf import PdfReader

from tests.office.test_reports import report_of

HERE = Path(__file__).parent
TABLE = tomllib.loads((HERE / "rights.toml").read_text(encoding="utf-8"))
WHO: list[str] = TABLE["who"]
OPENAPI = json.loads((HERE.parents[1] / "docs" / "openapi.json").read_text(encoding="utf-8"))
OWNER: str = TABLE["owner"]
OPEN, REFUSED, ABSENT, SIGN_IN, NO_DEED = "o", "r", "x", "s", "-"
ASKING = ("/sign-in/", "/account/login/", "/account/reauthenticate/")
IRREGULAR = {"batches": "batch", "laboratories": "laboratory", "ranches": "ranch"}
ANSWERED = {
    HTTPStatus.FORBIDDEN: REFUSED,
    HTTPStatus.NOT_FOUND: ABSENT,
    HTTPStatus.METHOD_NOT_ALLOWED: NO_DEED,
    HTTPStatus.UNAUTHORIZED: SIGN_IN,
}
OPENED = {
    HTTPStatus.OK,
    HTTPStatus.CREATED,
    HTTPStatus.UNPROCESSABLE_ENTITY,
    HTTPStatus.CONFLICT,
    HTTPStatus.BAD_REQUEST,
    HTTPStatus.PRECONDITION_FAILED,
}


def addresses(patterns: Any = None) -> dict[str, list[str]]:
    """Name and arguments of every page; the API's addresses are walked by their operations."""
    found: dict[str, list[str]] = {}
    for one in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(one, URLResolver) and not one.namespace:
            found |= addresses(one.url_patterns)
        elif isinstance(one, URLPattern) and one.name:
            held = getattr(one.pattern, "converters", None) or one.pattern.regex.groupindex
            found[one.name] = list(held)
    return found


def operations() -> list[str]:
    return [f"{m.upper()} {path}" for path, held in OPENAPI["paths"].items() for m in held]


def rows(part: str) -> dict[str, list[str]]:
    return {name: held.split() for name, held in TABLE[part].items()}


def told(answer: Any) -> str:
    """What an answer amounts to."""
    if HTTPStatus.MOVED_PERMANENTLY <= answer.status_code < HTTPStatus.BAD_REQUEST:
        return SIGN_IN if answer["Location"].startswith(ASKING) else OPEN
    if answer.status_code in OPENED:
        return OPEN
    return ANSWERED[HTTPStatus(answer.status_code)]


@pytest.fixture
def keys(cast, lot, bag, sheet, settings, tmp_path) -> dict[str, dict[str, Any]]:
    """What there is of the rancher's own: what each address asks for."""
    from haywright.office.bench.actions import keep_laboratory, receive_results
    from haywright.office.people.models import Membership, Token
    from haywright.office.people.tokens import make_token
    from haywright.office.sheet.actions import make_link
    from haywright.office.sheet.models import ReadLink
    from haywright.office.stack.kept import keep_photo

    settings.MEDIA_ROOT = tmp_path
    cast.people["rancher"].name = OWNER
    cast.people["rancher"].save()
    make_token(cast.actor("educator"), "program", ["stack:read"])
    picture = keep_photo(
        cast.actor("educator"), lot, b"\xff\xd8\xff photo", "the stack", folder=tmp_path
    )
    secret = make_link(cast.actor("educator"), sheet)
    (batch,) = receive_results(cast.actor("lab_manager"), [report_of(bag.code, held=True)])
    laboratory = keep_laboratory(cast.actor("educator"), None, {"name": "Ridge laboratory"})
    member = Membership.objects.get(person=cast.people["rancher"])
    things = {"lot": lot, "bag": bag, "sheet": sheet, "ranch": cast.ranch, "member": member,
              "key": Token.objects.get(), "batch": batch, "laboratory": laboratory,
              "result": lot.results.get(analyte="cp")}  # fmt: skip
    return {
        "things": things,
        "arguments": {
            "picture": picture.pk,
            "fact": "name",
            "kind": "csv",
            "year": 2026,
            "number": 1,
            "name": "nitrate_n",
            "link": ReadLink.objects.get().pk,
            "secret": secret,
        },
    }


def address_of(name: str, arguments: list[str], keys: dict[str, dict[str, Any]]) -> str:
    """The address of a name, of the rancher's own thing."""
    given = {}
    for one in arguments:
        if name.startswith("account_"):
            given[one] = "no-such"
        elif one == "key":
            first = TABLE["of"].get(name) or name.partition("-")[0]
            given[one] = keys["things"][first].pk
        else:
            given[one] = keys["arguments"][one]
    asked = TABLE["asked"].get(name, "")
    return reverse(name, kwargs=given) + filled(asked, "", keys)


def closed(answer: Any) -> None:
    """Close what an answer holds open, not the database it is asked of."""
    signals.request_finished.disconnect(close_old_connections)
    answer.close()
    signals.request_finished.connect(close_old_connections)


def undone(who: str, ask: Any) -> tuple[str, str]:
    """What an answer amounts to, and what stands in it that may be too much for somebody.

    All that was done is undone.
    """
    cache.clear()  # so many in a row would be asked to wait
    with transaction.atomic():
        answer = ask()
        amounts = told(answer)
        looked_at = who in TABLE["never_reads"] and amounts != SIGN_IN
        stands = read(answer) if looked_at else ""
        closed(answer)
        transaction.set_rollback(True)
    return amounts, stands


def filled(text: str, thing: str, keys: dict[str, dict[str, Any]]) -> str:
    """An address or a body with the rancher's own keys in it."""
    held = {**keys["things"], **keys["arguments"], "key": keys["things"].get(thing)}
    for name, value in held.items():
        text = text.replace(f"{{{name}}}", str(getattr(value, "pk", value)))
    return text


def browser_of(cast: Any, who: str) -> Client:
    """A browser in which somebody is signed in, that shows what went wrong as a page."""
    client = cast.client(who)
    client.raise_request_exception = False
    return client


def read(answer: Any) -> str:
    """What stands in an answer, papers too."""
    held = b"".join(answer) if answer.streaming else answer.content
    if held.startswith(b"%PDF"):
        return " ".join(page.extract_text() for page in PdfReader(BytesIO(held)).pages)
    return held.decode("utf-8", "replace")


def compared(part: str, got: dict[str, dict[str, str]]) -> str:
    """Every row that is not as written."""
    wrong = [
        f"{name}: {who} gets {got[name][who]}, written {was}"
        for name, held in rows(part).items()
        for who, was in zip(WHO, held, strict=True)
        if was != got[name][who]
    ]
    return "\n".join(wrong)


def leaked(name: str, who: str, text: str) -> list[str]:
    """What somebody reads that is not for them; a link to read opens the sheet to its holder."""
    return [
        f"{name}: {who} reads {one}"
        for one in TABLE["never_reads"].get(who, ())
        if name != "read" and one.casefold() in text.casefold()
    ]


def test_every_address_has_its_row_and_every_row_its_address():
    there = set(addresses())
    for part in ("read", "done"):
        written = set(TABLE[part])
        assert not there - written, f"rights.toml [{part}] has no row for {sorted(there - written)}"
        assert not written - there, f"rights.toml [{part}] has {sorted(written - there)} too many"
    there = set(operations())
    written = {" ".join(one.split()[:2]) for one in TABLE["api"]}
    assert not there - written, f"rights.toml [api] has no row for {sorted(there - written)}"
    assert not written - there, f"rights.toml [api] has {sorted(written - there)} too many"


@pytest.mark.parametrize(("part", "method"), [("read", "get"), ("done", "post")])
def test_each_opens_and_does_what_the_table_says_and_reads_no_more(cast, keys, part, method):
    there = {name: address_of(name, held, keys) for name, held in addresses().items()}
    got: dict[str, dict[str, str]] = {name: {} for name in there}
    leaks: list[str] = []
    for who in WHO:
        signed_in = browser_of(cast, who).cookies
        for name, address in there.items():
            client = Client(raise_request_exception=False)
            client.cookies = signed_in.copy()
            ask = getattr(client, method)
            got[name][who], text = undone(who, lambda ask=ask, at=address: ask(at))
            leaks += leaked(name, who, text)
    assert not compared(part, got), compared(part, got)
    assert not leaks, "\n".join(leaks)


def test_a_program_opens_and_does_what_the_table_says_and_reads_no_more(cast, keys):
    from haywright.office.action import NotAllowed
    from haywright.office.people.tokens import SCOPES, make_token

    secrets = {}
    for who in WHO:
        try:
            secrets[who] = make_token(cast.actor(who), "program", SCOPES)
        except (NotAllowed, KeyError):
            secrets[who] = "no key"
    got: dict[str, dict[str, str]] = {}
    leaks: list[str] = []
    for row in TABLE["api"]:
        method, path = row.split()[:2]
        place = path.split("/")[2]
        thing = IRREGULAR.get(place, place.removesuffix("s"))
        path = filled(path, thing, keys)
        body = filled(TABLE["sent"].get(row, "{}"), thing, keys)
        got[row] = {}
        for who in WHO:
            held = {"Authorization": f"Bearer {secrets[who]}", "Idempotency-Key": "once"}
            ask = Client(raise_request_exception=False).generic
            got[row][who], text = undone(
                who,
                lambda ask=ask, at=(method, path, body, "application/json"), held=held: ask(
                    *at, headers=held
                ),
            )
            leaks += leaked(row, who, text)
    assert not compared("api", got), compared("api", got)
    assert not leaks, "\n".join(leaks)
