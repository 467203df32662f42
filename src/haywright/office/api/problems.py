"""Refusals as problem details (RFC 9457), in the reader's language."""

from __future__ import annotations

import json
from http import HTTPStatus
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from ninja import NinjaAPI, Schema
from ninja.errors import AuthenticationError, HttpError, Throttled, ValidationError

from haywright.measure.errors import HaywrightError
from haywright.measure.message import Message, message
from haywright.office.action import NotAllowed, Stale
from haywright.office.web.words import language_of, reader_of
from haywright.words import Reader, say

KIND = "application/problem+json"


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


def _reader(request: HttpRequest) -> Reader:
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


def _wrong(one: Message, reader: Reader) -> dict[str, str]:
    accepted = one.args.get("accepted", "")
    return {
        "field": str(one.args.get("field", "")).rpartition(": ")[2],
        "value": str(one.args.get("value", "")),
        "accepted": say(accepted, reader) if isinstance(accepted, Message) else str(accepted),
        "detail": say(one, reader),
    }


def _status(error: HaywrightError) -> HTTPStatus:
    from haywright.office.api.door import OtherBody, TooLarge

    if isinstance(error, NotAllowed):
        return HTTPStatus.FORBIDDEN
    if isinstance(error, Stale | OtherBody):
        return HTTPStatus.CONFLICT
    too_large = isinstance(error, TooLarge)
    return HTTPStatus.REQUEST_ENTITY_TOO_LARGE if too_large else HTTPStatus.UNPROCESSABLE_ENTITY


def refusals(api: NinjaAPI) -> None:
    """Have every refusal of an API answered as a problem."""

    def ours(request: HttpRequest, error: HaywrightError) -> HttpResponse:
        reader = _reader(request)
        errors = [_wrong(one, reader) for one in error.messages()]
        says = " ".join(one["detail"] for one in errors)
        return answer(_status(error), says, errors)

    def shape(request: HttpRequest, error: ValidationError) -> HttpResponse:
        reader = _reader(request)
        errors = []
        for one in error.errors:
            field = ".".join(str(part) for part in one["loc"][2:]) or str(one["loc"][-1])
            said = say(message("office.api.shape", field=field), reader)
            errors.append({"field": field, "value": "", "accepted": one["msg"], "detail": said})
        says = " ".join(one["detail"] for one in errors)
        return answer(HTTPStatus.UNPROCESSABLE_ENTITY, says, errors)

    def plain(status: HTTPStatus, key: str) -> Any:
        def told(request: HttpRequest, error: Exception) -> HttpResponse:  # noqa: ARG001
            return answer(status, say(message(key), _reader(request)))

        return told

    api.exception_handler(HaywrightError)(ours)
    api.exception_handler(ValidationError)(shape)
    api.exception_handler(HttpError)(plain(HTTPStatus.BAD_REQUEST, "office.api.unreadable"))
    api.exception_handler(Throttled)(plain(HTTPStatus.TOO_MANY_REQUESTS, "office.api.slower"))
    api.exception_handler(AuthenticationError)(plain(HTTPStatus.UNAUTHORIZED, "office.api.no_key"))
    api.exception_handler(Http404)(plain(HTTPStatus.NOT_FOUND, "office.api.not_there"))
