"""Ways in without a password: a letter with a link and a code, used once; a printed square."""

from __future__ import annotations

import hashlib
import secrets
from datetime import timedelta

from django.db import transaction
from django.db.models import Q
from django.utils import timezone

from haywright.office.people.models import Person, SignInLink

MINUTES = 20
PRINTED_DAYS = 400
# Letters and figures that are not taken for one another when read from a screen and typed.
ALPHABET = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
CODE_LENGTH = 8


def digest(secret: str) -> str:
    """What is kept of a secret."""
    return hashlib.sha256(secret.encode()).hexdigest()


def make_link(person: Person, *, printed: bool = False) -> str:
    """A new way in for a person; gives its secret, which is kept nowhere."""
    secret = secrets.token_urlsafe(24)
    lasts = timedelta(days=PRINTED_DAYS) if printed else timedelta(minutes=MINUTES)
    SignInLink.objects.create(
        person=person, digest=digest(secret), printed=printed, ends_at=timezone.now() + lasts
    )
    return secret


def make_letter(person: Person) -> tuple[str, str]:
    """A link and a code for the same letter; whichever is used first spends both."""
    secret = make_link(person)
    code = "".join(secrets.choice(ALPHABET) for _ in range(CODE_LENGTH))
    SignInLink.objects.filter(digest=digest(secret)).update(code_digest=_code_digest(person, code))
    return secret, code


def link_of(secret: str) -> SignInLink | None:
    """The way in a secret was made for, whether or not it still opens anything."""
    return SignInLink.objects.select_related("person").filter(digest=digest(secret)).first()


def still_opens(link: SignInLink) -> bool:
    """Whether a way in is neither used up, withdrawn nor over."""
    unspent = link.printed or link.used_at is None
    holds = link.withdrawn_at is None and link.ends_at > timezone.now()
    return unspent and holds and link.person.is_active


def take_link(secret: str) -> Person | None:
    """Whose way in a secret is; a link by letter is spent by it. ``None`` for any other."""
    return _take(Q(printed=True) | Q(used_at__isnull=True), Q(digest=digest(secret)))


def take_code(email: str, code: str) -> Person | None:
    """Whose way in a code typed for an e-mail address is; spent by it. ``None`` for any other."""
    person = Person.objects.filter(email=email.strip().lower()).first()
    typed = "".join(one for one in code.upper() if one.isalnum())
    if person is None or len(typed) != CODE_LENGTH:
        return None
    return _take(Q(used_at__isnull=True), Q(code_digest=_code_digest(person, typed)))


def _code_digest(person: Person, code: str) -> str:
    return digest(f"{person.pk}:{code}")


def _take(unspent: Q, which: Q) -> Person | None:
    now = timezone.now()
    with transaction.atomic():
        link = (
            SignInLink.objects.select_for_update(of=("self",))
            .select_related("person")
            .filter(unspent, which, withdrawn_at__isnull=True, ends_at__gt=now,
                    person__is_active=True)
            .first()
        )  # fmt: skip
        if link is None:
            return None
        link.used_at = now
        link.save(update_fields=["used_at"])
        return link.person
