"""What can happen to an office itself: begun, and told what it has chosen."""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterator, Mapping
from datetime import timedelta
from decimal import Decimal
from functools import cache
from typing import Any
from zoneinfo import available_timezones

from babel.numbers import get_currency_name, list_currencies
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction
from django.utils import timezone

from haywright.measure.errors import HaywrightError, Problems, Refused
from haywright.office.action import acting, unchanged
from haywright.office.bag.models import Bag
from haywright.office.ledger.chain import Deed, changed
from haywright.office.ledger.models import Entry
from haywright.office.people.actions import INVITED_DAYS
from haywright.office.people.actor import Actor
from haywright.office.people.links import digest
from haywright.office.people.models import Invitation, Office, Person, Role
from haywright.office.people.policies import may
from haywright.office.people.telephone import no_telephone
from haywright.sources.guides import guides
from haywright.words.catalogue import LANGUAGES
from haywright.words.numbers import SCALES

CHOSEN = (
    "name", "code", "phone", "call_name", "call_phone", "guide", "units", "paper", "currency",
    "time_zone", "call_line",
)  # fmt: skip
PAPERS = ("letter", "a4")
LANGUAGE_NAMES = dict(zip(LANGUAGES, ("English", "español"), strict=True))
_CODE = re.compile(r"[A-Z]{3}")


def change_office(
    actor: Actor,
    told: Mapping[str, Any],
    *,
    language: str = "",
    version: int | None = None,
    once: str = "",
) -> Office:
    """Write down what an office has chosen; the person's own language and units go with it.

    Parameters
    ----------
    actor
        Who does it.
    told
        Some of ``CHOSEN``; what is left out stays as it is.
    language
        In which the person reads; left out, it stays.
    version
        Of the office as the page was opened.
    once
        So that a form sent twice is one change.

    Raises
    ------
    Refused, Problems
        Every choice that cannot be, and a code that stands on sealed bags already.
    """
    with acting(actor, "office.change", allowed=may(actor, "office.change"), once=once) as deed:
        held = Office.objects.select_for_update().get(pk=deed.office.pk)
        unchanged(held, version)
        before = {name: getattr(held, name) for name in CHOSEN}
        after = {name: _tidy(told.get(name, before[name])) for name in CHOSEN}
        _look_at(held, before, after, language)
        for name, value in after.items():
            setattr(held, name, value)
        held.version += 1
        held.save()
        _remember_reader(actor.person, language, str(after["units"]) if "units" in told else "")
        was, now = changed(before, after)
        deed.enter("office", held.pk, before=was, after=now)
    return held


def begin_office(name: str, code: str, email: str) -> tuple[Office, str]:
    """An office with nobody in it yet, and the secret of its first admin's invitation.

    Parameters
    ----------
    name
        Of the office.
    code
        Three capital letters, for its bags.
    email
        Of whoever will be its office admin.

    Raises
    ------
    Refused, Problems
        A name, code or address that cannot be, or a code another office here has.
    """
    told = {"name": _tidy(name), "code": _tidy(code)}
    try:
        validate_email(email)
    except ValidationError:
        raise Refused("EMAIL", email, key="office.begin.email") from None
    with transaction.atomic():
        office = Office(**told)
        _look_at(office, {}, told, "")
        office.save(force_insert=True)
        deed = Deed(office, "office.begin")
        deed.enter("office", office.pk, after=told)
        secret = secrets.token_urlsafe(24)
        asking = Person.objects.filter(email=email.lower()).first()
        row = Invitation.objects.create(
            office=office,
            role=Role.OFFICE_ADMIN,
            name=email.partition("@")[0],
            email=email.lower(),
            digest=digest(secret),
            made_by=asking,
            ends_at=timezone.now() + timedelta(days=INVITED_DAYS),
        )
        deed.enter("invitation", row.pk, after={"role": Role.OFFICE_ADMIN, "ranch": None})
    return office, secret


def is_new(office: Office) -> bool:
    """Whether nobody has said yet what the office is called and what it has chosen."""
    return not Entry.objects.filter(office=office, thing="office").exists()


@cache
def currencies() -> frozenset[str]:
    """Codes of currencies, as ISO 4217 gives them."""
    return frozenset(list_currencies())


@cache
def currency_names(language: str) -> tuple[tuple[str, str], ...]:
    """Code and name of every currency, for a reader of a language."""
    return tuple((one, get_currency_name(one, locale=language)) for one in sorted(currencies()))


@cache
def time_zones() -> tuple[str, ...]:
    """Names of time zones, as the IANA database gives them."""
    return tuple(sorted(available_timezones()))


def _tidy(value: Any) -> Any:
    return " ".join(value.split()) if isinstance(value, str) else value


def _look_at(
    office: Office, before: Mapping[str, Any], after: Mapping[str, Any], language: str
) -> None:
    problems = list(_problems(office, before, after))
    if language and language not in LANGUAGES:
        problems.append(Refused("language", language, key="office.settings.choice"))
    if problems:
        raise problems[0] if len(problems) == 1 else Problems(problems)


def _problems(
    office: Office, before: Mapping[str, Any], after: Mapping[str, Any]
) -> Iterator[HaywrightError]:
    code = str(after["code"])
    if not after["name"]:
        yield Refused("name", after["name"], key="office.settings.name")
    if not _CODE.fullmatch(code):
        yield Refused("code", code, key="office.settings.code")
    elif Office.objects.filter(code=code).exclude(pk=office.pk).exists():
        yield Refused("code", code, key="office.settings.code_there")
    elif before and code != before["code"] and Bag.objects.filter(office=office).exists():
        yield Refused("code", code, str(before["code"]), key="office.settings.code_stays")
    open_to = {
        "guide": ("", *guides()),
        "units": SCALES,
        "paper": PAPERS,
        "currency": currencies(),
        "time_zone": time_zones(),
    }
    for name, choices in open_to.items():
        if name in after and after[name] not in choices:
            yield Refused(name, after[name], key=f"office.settings.{_SAYS.get(name, 'choice')}")
    for name in ("phone", "call_phone"):
        wrong = no_telephone(name, str(after.get(name, "")))
        if wrong is not None:
            yield wrong
    line = after.get("call_line", 1)
    if not Decimal(0) < Decimal(line) < Decimal(10**6):
        yield Refused("call_line", line, key="office.settings.call_line")


_SAYS = {"currency": "currency", "time_zone": "time_zone"}


def _remember_reader(person: Person | None, language: str, units: str) -> None:
    if person is None or not (language or units):
        return
    person.language, person.units = language or person.language, units or person.units
    person.save(update_fields=["language", "units"])
