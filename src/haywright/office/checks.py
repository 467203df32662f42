"""Whether the settings are right, told in the words of whoever runs the office.

Django's own checks look after the rest (``check --deploy``).
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Tags, register
from django.core.exceptions import ImproperlyConfigured

from haywright.measure.message import Message, message
from haywright.words import say

SECRET_LETTERS = 50  # what Django's own check asks for


def found() -> Iterator[tuple[str, Message]]:
    """Every setting that is wrong: the id of its check, and what to do about it."""
    try:
        secret = str(settings.SECRET_KEY)
    except ImproperlyConfigured:
        secret = ""
    if not secret:
        yield "haywright.E001", message("office.start.no_secret")
    elif len(secret) < SECRET_LETTERS:
        n = len(secret)
        yield (
            "haywright.E002",
            message("office.start.short_secret", letters=n, least=SECRET_LETTERS),
        )
    if not settings.ALLOWED_HOSTS:
        yield "haywright.E003", message("office.start.no_hosts")
    if settings.HTTPS and not (settings.PROXY or settings.CERTIFICATE):
        yield "haywright.E004", message("office.start.no_https")
    if bool(settings.CERTIFICATE) != bool(settings.CERTIFICATE_KEY):
        yield "haywright.E005", message("office.start.half_certificate")


def folder_writable(folder: Path) -> bool:
    """Whether the data folder can be written in, or made."""
    above = folder
    while not above.exists() and above != above.parent:
        above = above.parent
    return above.is_dir() and os.access(above, os.W_OK | os.X_OK)


@register(Tags.security, deploy=True)
def settings_are_right(**_: Any) -> list[CheckMessage]:
    """The settings of an office of many."""
    return [Error(say(one), id=name) for name, one in found()]


@register(Tags.files)
def data_folder_is_writable(**_: Any) -> list[CheckMessage]:
    """Where the photos go, and the database of a desk."""
    if folder_writable(Path(settings.DATA)):
        return []
    one = message("office.start.not_writable", folder=str(settings.DATA))
    return [Error(say(one), id="haywright.E006")]
