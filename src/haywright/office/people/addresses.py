"""E-mail addresses: the library of accounts keeps rows of its own, held in step with a person."""

from __future__ import annotations

from typing import Any

from allauth.account.models import EmailAddress

from haywright.office.people.models import Person


def in_step(person: Person) -> None:
    """Have the one address of a person be their ``email``.

    It counts as theirs: the office wrote it into the invitation. A row that is not verified is
    one they are changing to, and waits for its letter to be opened.
    """
    held = EmailAddress.objects.filter(user=person)
    if not person.email:
        held.delete()
        return
    if held.filter(email=person.email, primary=True, verified=True).exists():
        return
    held.filter(primary=True).exclude(email=person.email).delete()
    EmailAddress.objects.update_or_create(
        user=person, email=person.email, defaults={"primary": True, "verified": True}
    )


def after_saving(instance: Person, *, raw: bool = False, **_: Any) -> None:
    """Called whenever a person is saved."""
    if not raw:
        in_step(instance)
