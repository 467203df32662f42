"""The door programs come through: key, scope, size and pace before anything is read."""

from __future__ import annotations

import base64
import hashlib
import inspect
import json
import math
import re
import time
from collections.abc import Callable
from datetime import UTC
from functools import wraps
from http import HTTPStatus
from typing import Any, get_args

from cryptography.fernet import Fernet, InvalidToken
from django.conf import settings
from django.core.cache import cache
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from ninja import Router, Schema
from ninja.decorators import decorate_view
from ninja.errors import ValidationError
from ninja.parser import Parser
from ninja.security import HttpBearer

from haywright.measure.errors import Refused
from haywright.office.action import DoneAlready, NotAllowed
from haywright.office.api.problems import OtherBody, Problem, TooOften, WrongKind, too_large
from haywright.office.ledger.models import Entry
from haywright.office.people.actor import actor_of
from haywright.office.people.models import Token
from haywright.office.people.policies import MAY
from haywright.office.people.tokens import token_of

ONCE, AGAIN = "Idempotency-Key", "Idempotency-Replayed"
LONGEST_ONCE = 200
ONCE_LOOKS = f"^[!-~]{{1,{LONGEST_ONCE}}}$"
KEPT_SECONDS = 24 * 60 * 60
A_MINUTE, PER_MINUTE = 60, 600
JSON = "application/json"
_BEYOND = 10**300  # no measure of hay comes near; what is kept is bounded at its own place
_READS = (HTTPStatus.UNAUTHORIZED, HTTPStatus.FORBIDDEN, HTTPStatus.TOO_MANY_REQUESTS)
_SENDS = (HTTPStatus.REQUEST_ENTITY_TOO_LARGE, HTTPStatus.UNSUPPORTED_MEDIA_TYPE)


class Key(HttpBearer):
    """A bearer's key that may do one deed in one place.

    Parameters
    ----------
    scope
        Name of ``people.tokens.SCOPES`` the key must hold.
    deed
        What the roles of its person must allow; "" for what everybody may.
    body
        Whether something is sent.
    """

    def __init__(self, scope: str, deed: str, *, body: bool = False) -> None:
        super().__init__()
        self.scope, self.deed, self.body = scope, deed, body

    def authenticate(self, request: HttpRequest, token: str) -> Token | None:
        """The key, with the request's actor set; ``None`` for a key that opens nothing."""
        held = token_of(token)
        if held is None:
            return None
        actor = actor_of(held.person, str(held.office_id))
        request.actor = actor  # type: ignore[attr-defined]
        timezone.activate(actor.office.zone if actor.office else UTC)
        if actor.office is None or actor.office.pk != held.office_id:
            return None
        request.secret = token  # type: ignore[attr-defined]
        _paced(held)
        if self.scope not in held.scopes or (self.deed and not MAY[self.deed] & actor.roles):
            raise NotAllowed(self.deed or "token.make")
        _sized(request)
        if self.body and request.content_type != JSON:
            kind = request.content_type or ""
            raise WrongKind("Content-Type", kind, JSON, key="office.api.wrong_kind")
        return held


def _paced(held: Token) -> None:
    """Count a request of a key; refuse the one too many of a minute."""
    now = time.time()
    window = int(now // A_MINUTE)
    name = f"api:{held.pk}:{window}"
    asked_for = cache.get(name, 0) + 1
    cache.set(name, asked_for, 2 * A_MINUTE)
    if asked_for > PER_MINUTE:
        raise TooOften(max(1, math.ceil((window + 1) * A_MINUTE - now)))


def _sized(request: HttpRequest) -> None:
    """Refuse by its length what is too large, before any of it is read."""
    told, most = request.headers.get("Content-Length") or "0", settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    if not told.isdecimal() or int(told) > most:
        raise too_large()


class Strict(Parser):
    """Reads JSON as RFC 8259 has it: no NaN, no Infinity."""

    def parse_body(self, request: HttpRequest) -> Any:
        """What was sent; kept on the request, to be looked through."""
        request.sent = held = json.loads(request.body, parse_constant=_no_number)  # type: ignore[attr-defined]
        return held


def _no_number(text: str) -> float:
    raise ValueError(text)


def looked_through(held: Any) -> None:
    """Refuse texts and numbers that no register can keep, wherever they stand.

    Raises
    ------
    Refused
        A nul, half a character, or a number beyond every measure.
    """
    waiting = [("", held)]
    while waiting:
        field, one = waiting.pop()
        if isinstance(one, dict):
            waiting += [(field, name) for name in one]
            waiting += [(f"{field}.{name}".strip("."), kept) for name, kept in one.items()]
        elif isinstance(one, list):
            waiting += [(field, kept) for kept in one]
        elif isinstance(one, str) and not _kept_whole(one):
            shown = one.encode("ascii", "backslashreplace").decode().replace("\0", "\\0")
            raise Refused(field, shown, key="office.api.text")
        elif isinstance(one, int | float) and not abs(one) < _BEYOND:
            raise Refused(field, one, key="office.api.number")


def _kept_whole(text: str) -> bool:
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return "\0" not in text


def answers(done: Any, status: HTTPStatus, *others: HTTPStatus) -> dict[int, Any]:
    """Every status an operation may answer with, and what it then says."""
    return {int(status): done, **{int(one): Problem for one in sorted((*_READS, *others))}}


def asked(
    router: Router, path: str, gives: Any, scope: str, deed: str, *, pdf: bool = False
) -> Callable[[Any], Any]:
    """An operation that reads.

    Parameters
    ----------
    router, path
        Where it stands.
    gives
        What it answers with.
    scope, deed
        What the key must hold, and its person be allowed.
    pdf
        Whether it answers with a file instead.
    """
    others = (HTTPStatus.BAD_REQUEST, HTTPStatus.NOT_FOUND, HTTPStatus.UNPROCESSABLE_ENTITY)
    route = router.get(
        path,
        response=answers(None if pdf else gives, HTTPStatus.OK, *others),
        auth=Key(scope, deed),
        openapi_extra={"x-scope": scope, **({"x-file": gives} if pdf else {})},
    )
    return lambda operation: route(_known_only(operation))


def done(
    router: Router,
    path: str,
    gives: Any,
    scope: str,
    deed: str,
    *,
    made: bool = False,
    method: str = "post",
    body: bool = True,
) -> Callable[[Any], Any]:
    """An operation that writes: once for each idempotency key, answered alike each time.

    Parameters
    ----------
    router, path, gives, scope, deed
        As for ``asked``.
    made
        Whether something new comes of it.
    method
        Name of the method.
    body
        Whether something is sent.
    """
    status = HTTPStatus.CREATED if made else HTTPStatus.OK
    others = [HTTPStatus.BAD_REQUEST, HTTPStatus.CONFLICT, HTTPStatus.UNPROCESSABLE_ENTITY,
              HTTPStatus.NOT_FOUND, HTTPStatus.REQUEST_ENTITY_TOO_LARGE]  # fmt: skip
    others += [HTTPStatus.UNSUPPORTED_MEDIA_TYPE] if body else []
    route = getattr(router, method)(
        path,
        response=answers(gives, status, *others),
        auth=Key(scope, deed, body=body),
        openapi_extra={"x-scope": scope, "x-once": method == "post"},
    )

    def wrapped(operation: Callable[..., Any]) -> Any:
        return route(decorate_view(_answered)(_once(operation, needed=method == "post")))

    return wrapped


def _answered(run: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Keep the answer in the same transaction as the deed."""

    @wraps(run)
    def inner(request: HttpRequest, **sent: Any) -> HttpResponse:
        with transaction.atomic():
            answer = run(request, **sent)
            if getattr(request, "once", "") and answer.status_code < HTTPStatus.BAD_REQUEST:
                _keep(request, answer)
        return answer

    return inner


def _once(operation: Callable[..., Any], *, needed: bool) -> Callable[..., Any]:
    """Answer a request that came before as it was answered then."""
    known = _names(operation)

    @wraps(operation)
    def inner(request: HttpRequest, **sent: Any) -> Any:
        _look(request, known)
        looked_through(getattr(request, "sent", None))
        request.once = once = _once_of(request, needed=needed)  # type: ignore[attr-defined]
        before = _recall(request) if once else None
        if before is not None:
            return before
        try:
            return operation(request, **sent)
        except DoneAlready:
            before = _recall(request)
            if before is None:
                raise
            return before

    # its annotations are read where it was written, not where it is wrapped
    inner.__signature__ = inspect.signature(operation, eval_str=True)  # type: ignore[attr-defined]
    return inner


def _known_only(operation: Callable[..., Any]) -> Callable[..., Any]:
    """Refuse what is asked by a name there is not: a filter misspelt would find everything."""
    known = _names(operation)

    @wraps(operation)
    def inner(request: HttpRequest, **sent: Any) -> Any:
        _look(request, known)
        return operation(request, **sent)

    inner.__signature__ = inspect.signature(operation, eval_str=True)  # type: ignore[attr-defined]
    return inner


def _names(operation: Callable[..., Any]) -> set[str]:
    """Names an operation knows, those of a group of them too."""
    known: set[str] = set()
    for name, one in inspect.signature(operation, eval_str=True).parameters.items():
        inside = [kind for kind in get_args(one.annotation)[:1]
                  if isinstance(kind, type) and issubclass(kind, Schema)]  # fmt: skip
        known |= {field for kind in inside for field in kind.model_fields} or {name}
    return known


def _look(request: HttpRequest, known: set[str]) -> None:
    for name in request.GET:
        if name not in known:
            told = {"type": "extra_forbidden", "loc": ("query", name), "value": request.GET[name]}
            raise ValidationError([told])


def once_in(request: HttpRequest) -> str:
    """What keeps a request sent twice from being done twice."""
    return request.once  # type: ignore[attr-defined,no-any-return]


def _once_of(request: HttpRequest, *, needed: bool) -> str:
    sent = request.headers.get(ONCE, "")
    if not sent and not needed:
        return ""
    if not re.fullmatch(ONCE_LOOKS, sent):
        raise Refused(ONCE, sent, str(LONGEST_ONCE), key="office.api.once")
    actor = request.actor  # type: ignore[attr-defined]
    start = f"{_short(f'{actor.person.pk} {sent}')}."
    body = _short(f"{request.method} {request.path} {hashlib.sha256(request.body).hexdigest()}")
    held = Entry.objects.filter(office=actor.office, once__startswith=start).first()
    if held is not None and held.once != start + body:
        raise OtherBody(ONCE, sent, key="office.api.other_body")
    return start + body


def _short(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:36]


def _sealed(request: HttpRequest) -> tuple[str, Fernet]:
    """Where an answer is kept, and what opens it: only who sent the request can."""
    once = once_in(request)
    secret = f"{request.secret} {request.headers[ONCE]} {once}"  # type: ignore[attr-defined]
    opens = hashlib.sha256(secret.encode()).digest()
    return f"answer:{once}", Fernet(base64.urlsafe_b64encode(opens))


def _keep(request: HttpRequest, answer: HttpResponse) -> None:
    name, seal = _sealed(request)
    body = json.dumps([answer.status_code, answer["Content-Type"], answer.content.decode()])
    cache.set(name, seal.encrypt(body.encode()), KEPT_SECONDS)


def _recall(request: HttpRequest) -> HttpResponse | None:
    name, seal = _sealed(request)
    held = cache.get(name)
    if held is None:
        return None
    try:
        status, kind, content = json.loads(seal.decrypt(held))
    except InvalidToken:
        return None
    return HttpResponse(content, status=status, content_type=kind, headers={AGAIN: "true"})
