"""Who may open what: every address and every deed, by role and by whose hay it is, as written."""

from __future__ import annotations

import json
import tomllib
from http import HTTPStatus
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

HERE = Path(__file__).parent
TABLE = tomllib.loads((HERE / "rights.toml").read_text(encoding="utf-8"))
WHO: list[str] = TABLE["who"]
OPENAPI = json.loads((HERE.parents[1] / "docs" / "openapi.json").read_text(encoding="utf-8"))
OPEN, REFUSED, ABSENT, SIGN_IN, NO_DEED = "o", "r", "x", "s", "-"
ASKING = ("/sign-in/", "/account/login/", "/account/reauthenticate/")
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
    from haywright.office.people.models import Membership, Token
    from haywright.office.people.tokens import make_token
    from haywright.office.sheet.actions import make_link
    from haywright.office.sheet.models import ReadLink
    from haywright.office.stack.kept import keep_photo

    settings.MEDIA_ROOT = tmp_path
    make_token(cast.actor("educator"), "program", ["stack:read"])
    picture = keep_photo(
        cast.actor("educator"), lot, b"\xff\xd8\xff photo", "the stack", folder=tmp_path
    )
    secret = make_link(cast.actor("educator"), sheet)
    member = Membership.objects.get(person=cast.people["rancher"])
    things = {"lot": lot, "bag": bag, "sheet": sheet, "ranch": cast.ranch, "member": member,
              "key": Token.objects.get()}  # fmt: skip
    return {
        "things": things,
        "arguments": {
            "picture": picture.pk,
            "fact": "name",
            "kind": "csv",
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
    return reverse(name, kwargs=given)


def undone(ask: Any) -> Any:
    """What is answered, with all that it did undone."""
    cache.clear()  # so many in a row would be asked to wait
    with transaction.atomic():
        answer = ask()
        answer.close()
        transaction.set_rollback(True)
    return answer


def asked(method: str, path: str, secret: str) -> Any:
    """How a program asks."""
    held = {"Authorization": f"Bearer {secret}"}
    kind = "application/json"
    client = Client(raise_request_exception=False)
    return lambda: client.generic(method, path, "{}", content_type=kind, headers=held)


def compared(part: str, got: dict[str, list[str]]) -> str:
    """Every row that is not as written."""
    wrong = [
        f"{name}: {who} gets {now}, written {was}"
        for name, held in rows(part).items()
        for who, was, now in zip(WHO, held, got[name], strict=True)
        if was != now
    ]
    return "\n".join(wrong)


def test_every_address_has_its_row_and_every_row_its_address():
    there = set(addresses())
    for part in ("read", "done"):
        written = set(TABLE[part])
        assert not there - written, f"rights.toml [{part}] has no row for {sorted(there - written)}"
        assert not written - there, f"rights.toml [{part}] has {sorted(written - there)} too many"
    assert sorted(TABLE["api"]) == sorted(operations())


@pytest.mark.parametrize(("part", "method"), [("read", "get"), ("done", "post")])
def test_each_opens_and_does_what_the_table_says(cast, keys, part, method):
    there = addresses()
    got: dict[str, list[str]] = {name: [] for name in there}
    for who in WHO:
        for name, arguments in there.items():
            client = cast.client(who)
            client.raise_request_exception = False
            address = address_of(name, arguments, keys)
            got[name].append(told(undone(lambda c=client, a=address: getattr(c, method)(a))))
    assert not compared(part, got), compared(part, got)


def test_a_program_opens_and_does_what_the_table_says(cast, keys):
    from haywright.office.action import NotAllowed
    from haywright.office.people.tokens import SCOPES, make_token

    secrets = {}
    for who in WHO:
        try:
            secrets[who] = make_token(cast.actor(who), "program", SCOPES)
        except (NotAllowed, KeyError):
            secrets[who] = "no key"
    got: dict[str, list[str]] = {}
    for operation in operations():
        method, path = operation.split(" ")
        thing = path.split("/")[2].removesuffix("s")
        for name, value in {"key": keys["things"].get(thing), **keys["arguments"]}.items():
            path = path.replace(f"{{{name}}}", str(getattr(value, "pk", value)))
        got[operation] = [told(undone(asked(method, path, secrets[who]))) for who in WHO]
    assert not compared("api", got), compared("api", got)
