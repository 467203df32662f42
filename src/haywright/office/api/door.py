"""The door programs come through: key, scope and size before anything is read."""

from __future__ import annotations

import hashlib
from http import HTTPStatus
from typing import Any

from django.conf import settings
from django.http import HttpRequest
from ninja.security import HttpBearer

from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.message import message
from haywright.office.action import NotAllowed
from haywright.office.api.problems import Problem
from haywright.office.ledger.models import Entry
from haywright.office.people.actor import actor_of
from haywright.office.people.models import Token
from haywright.office.people.policies import MAY
from haywright.office.people.tokens import token_of

_STATUSES = (
    HTTPStatus.BAD_REQUEST,
    HTTPStatus.UNAUTHORIZED,
    HTTPStatus.FORBIDDEN,
    HTTPStatus.NOT_FOUND,
    HTTPStatus.CONFLICT,
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    HTTPStatus.UNPROCESSABLE_ENTITY,
    HTTPStatus.TOO_MANY_REQUESTS,
)
ONCE = "Idempotency-Key"


class TooLarge(HaywrightError):
    """More was sent than the office takes in."""


class OtherBody(Refused):
    """The key of an earlier request came with something else."""


class Key(HttpBearer):
    """A bearer's key that may do one deed in one place.

    Parameters
    ----------
    scope
        Name of ``people.tokens.SCOPES`` the key must hold.
    deed
        What the roles of its person must allow.
    """

    def __init__(self, scope: str, deed: str) -> None:
        super().__init__()
        self.scope, self.deed = scope, deed

    def authenticate(self, request: HttpRequest, token: str) -> Token | None:
        """The key, with the request's actor set; ``None`` for a key that opens nothing."""
        held = token_of(token)
        if held is None:
            return None
        actor = actor_of(held.person, str(held.office_id))
        request.actor = actor  # type: ignore[attr-defined]
        if actor.office is None or actor.office.pk != held.office_id:
            return None
        if self.scope not in held.scopes or not MAY[self.deed] & actor.roles:
            raise NotAllowed(self.deed)
        most = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        if int(request.headers.get("Content-Length") or 0) > most:
            raise TooLarge(message("office.api.too_large", most=most // 1_000_000))
        return held


def answers(done: Any, status: HTTPStatus = HTTPStatus.OK) -> dict[int, Any]:
    """Every status an operation may answer with, and what it then says."""
    return {int(status): done, **{int(one): Problem for one in _STATUSES}}


def once_of(request: HttpRequest) -> str:
    """What keeps a request sent twice from being done twice; "" without an idempotency key.

    Raises
    ------
    OtherBody
        The same key came before with another address or body.
    """
    sent = request.headers.get(ONCE, "")
    if not sent:
        return ""
    actor = request.actor  # type: ignore[attr-defined]
    start = f"{_short(f'{actor.person.pk} {sent}')}."
    body = _short(f"{request.method} {request.path} {request.body.hex()}")
    held = Entry.objects.filter(office=actor.office, once__startswith=start).first()
    if held is not None and held.once != start + body:
        raise OtherBody(ONCE, sent, key="office.api.other_body")
    return start + body


def _short(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:36]
