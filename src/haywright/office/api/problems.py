"""Refusals as problem details (RFC 9457), in the reader's language."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from http import HTTPStatus
from typing import Any

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from ninja import NinjaAPI, Schema
from ninja.errors import AuthenticationError, HttpError, ValidationError

from haywright.measure.errors import HaywrightError, Refused
from haywright.measure.message import Message, message
from haywright.office.action import DoneAlready, NotAllowed, Stale
from haywright.office.web.words import language_of, reader_of
from haywright.words import Reader, say

KIND = "application/problem+json"
ROOT = "/api/"
RETRY = "Retry-After"
# What stood in place of a value that is too long to be said back.
_LONGEST = 200
_KINDS = {
    "missing": "missing",
    "extra_forbidden": "unknown",
    "text": "text",
    "number": "number",
    "string_type": "text",
    "int_type": "whole",
    "bool_type": "yes_or_no",
    "dict_type": "object",
    "model_type": "object",
    "model_attributes_type": "object",
    "list_type": "list",
    "timezone_aware": "offset",
}
_STARTS = (("uuid", "key"), ("date_", "day"), ("datetime", "instant"), ("int_", "whole"),
           ("bool_", "yes_or_no"), ("date", "day"))  # fmt: skip


class TooLarge(HaywrightError):
    """More was sent than the office takes in."""


class WrongKind(Refused):
    """What was sent is not JSON, by its own word."""


class OtherBody(Refused):
    """The key of an earlier request came with something else."""


class TooOften(HaywrightError):
    """A key asked more often than it may; ``seconds`` later it may again."""

    def __init__(self, seconds: int) -> None:
        super().__init__(message("office.api.slower", n=seconds))
        self.seconds = seconds


class Wrong(Schema):
    """One thing that was not accepted."""

    field: str
    value: str
    accepted: str
    detail: str


class Problem(Schema):
    """Why a request was not done (RFC 9457)."""

    type: str
    title: str
    status: int
    detail: str
    errors: list[Wrong]


_STATUS: dict[type[HaywrightError], HTTPStatus] = {
    NotAllowed: HTTPStatus.FORBIDDEN,
    Stale: HTTPStatus.CONFLICT,
    DoneAlready: HTTPStatus.CONFLICT,
    OtherBody: HTTPStatus.CONFLICT,
    TooLarge: HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
    WrongKind: HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
    TooOften: HTTPStatus.TOO_MANY_REQUESTS,
}


def too_large() -> TooLarge:
    """The refusal of more than the office takes in at once."""
    most = settings.DATA_UPLOAD_MAX_MEMORY_SIZE // 1_000_000
    return TooLarge(message("office.api.too_large", most=most))


def reader_for(request: HttpRequest) -> Reader:
    """Who reads the answer: the language asked for, else the person's; units are the person's."""
    asked, held = request.headers.get("Accept-Language", ""), reader_of(request)
    return Reader(language=language_of(asked), units=held.units) if asked else held


def answer(
    status: HTTPStatus, says: str, errors: list[dict[str, Any]] | None = None
) -> HttpResponse:
    """A problem as an answer."""
    body = {
        "type": "about:blank",
        "title": status.phrase,
        "status": int(status),
        "detail": says,
        "errors": errors or [],
    }
    return HttpResponse(json.dumps(body), status=status, content_type=KIND)


def refused(request: HttpRequest, error: HaywrightError) -> HttpResponse:
    """The answer to a request that was refused by a rule."""
    reader = reader_for(request)
    errors = [_wrong(one, reader) for one in error.messages()]
    says = " ".join(one["detail"] for one in errors)
    status = _STATUS.get(type(error), HTTPStatus.UNPROCESSABLE_ENTITY)
    told = answer(status, says, [one for one in errors if one["field"]])
    if isinstance(error, TooOften):
        told[RETRY] = str(error.seconds)
    if status is HTTPStatus.UNAUTHORIZED:
        told["WWW-Authenticate"] = "Bearer"
    return told


def _written(held: object) -> str:
    """A day or an instant as JSON has it (ISO 8601), anything else as it is."""
    return held.isoformat() if isinstance(held, date) else str(held)


def _wrong(one: Message, reader: Reader) -> dict[str, str]:
    accepted, held = one.args.get("accepted", ""), one.args.get("value", "")
    value = _cut(_written(held))
    if isinstance(held, str):
        one = Message(one.key, {**one.args, "value": value})
    return {
        "field": _cut(str(one.args.get("field", "")).rpartition(": ")[2]),
        "value": value,
        "accepted": say(accepted, reader) if isinstance(accepted, Message) else _written(accepted),
        "detail": say(one, reader),
    }


def _cut(text: str) -> str:
    """A text as it is said back: the beginning of one that is too long for that."""
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"


def _misshapen(request: HttpRequest, error: ValidationError) -> HttpResponse:
    """What does not fit the document, field by field."""
    reader, errors = reader_for(request), []
    for one in error.errors:
        where = [str(part) for part in one["loc"]]
        field = ".".join(where[2:] if where[0] == "body" else where[1:]) or where[-1]
        accepted = say(_accepted(one), reader)
        said = say(message("office.api.shape", field=field, accepted=accepted), reader)
        value = one.get("value", "")
        errors.append({"field": field, "value": value, "accepted": accepted, "detail": said})
    says = " ".join(one["detail"] for one in errors)
    return answer(HTTPStatus.BAD_REQUEST, says, errors)


def _accepted(one: dict[str, Any]) -> Message:
    """What would have been accepted, by the kind of the error."""
    kind, bounds = one["type"], one.get("ctx", {})
    if "max_length" in bounds or "min_length" in bounds:
        n = bounds.get("max_length", bounds.get("min_length"))
        return message("office.api.accepts.length", n=n)
    for name in ("ge", "gt", "le", "lt"):
        if name in bounds:
            return message(f"office.api.accepts.{name}", bound=str(bounds[name]))
    if "expected" in bounds:
        return message("office.api.accepts.one_of", choices=str(bounds["expected"]))
    named = _KINDS.get(kind) or next((k for s, k in _STARTS if kind.startswith(s)), "document")
    return message(f"office.api.accepts.{named}")


def refusals(api: NinjaAPI) -> None:
    """Have every refusal of an API answered as a problem."""

    def plain(status: HTTPStatus, key: str) -> Any:
        def told(request: HttpRequest, error: Exception) -> HttpResponse:  # noqa: ARG001
            return _plain(request, status, key)

        return told

    api.exception_handler(HaywrightError)(refused)
    api.exception_handler(ValidationError)(_misshapen)
    api.exception_handler(HttpError)(plain(HTTPStatus.BAD_REQUEST, "office.api.unreadable"))
    api.exception_handler(AuthenticationError)(plain(HTTPStatus.UNAUTHORIZED, "office.api.no_key"))
    api.exception_handler(Http404)(plain(HTTPStatus.NOT_FOUND, "office.api.not_there"))


def _plain(request: HttpRequest, status: HTTPStatus, key: str) -> HttpResponse:
    told = answer(status, say(message(key), reader_for(request)))
    if status is HTTPStatus.UNAUTHORIZED:
        told["WWW-Authenticate"] = "Bearer"
    return told


_ELSEWHERE = {
    HTTPStatus.NOT_FOUND: "office.api.not_there",
    HTTPStatus.METHOD_NOT_ALLOWED: "office.api.no_such_method",
    HTTPStatus.INTERNAL_SERVER_ERROR: "office.api.our_fault",
}


class ProblemsMiddleware:
    """Has what goes wrong before or behind the API answered as a problem too, never as a page."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Put words in place of a page."""
        found = self.get_response(request)
        if not request.path.startswith(ROOT) or found.status_code < HTTPStatus.BAD_REQUEST:
            return found
        if found.get("Content-Type", "").startswith(KIND):
            return found
        status = HTTPStatus(found.status_code)
        if status is HTTPStatus.REQUEST_ENTITY_TOO_LARGE:
            return refused(request, too_large())
        told = _plain(request, status, _ELSEWHERE.get(status, "office.api.unreadable"))
        if "Allow" in found:
            told["Allow"] = found["Allow"]
        return told
