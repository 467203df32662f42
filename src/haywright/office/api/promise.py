"""The API as its document tells it: statuses, scopes, keys against doubles, examples."""

from __future__ import annotations

import math
from http import HTTPStatus
from typing import Any

from ninja import NinjaAPI
from ninja.errors import ValidationError, ValidationErrorContext

from haywright.office.api.door import AGAIN, LONGEST_ONCE, ONCE, ONCE_LOOKS, Strict
from haywright.office.api.examples import EXAMPLES
from haywright.office.api.problems import KIND, RETRY

_LONGEST = 200
_SAYS = {
    HTTPStatus.BAD_REQUEST: "What was sent does not fit this document.",
    HTTPStatus.UNAUTHORIZED: "No key, or one that opens nothing or was withdrawn.",
    HTTPStatus.FORBIDDEN: "The key does not hold the scope, or its person may not do it.",
    HTTPStatus.NOT_FOUND: "Not there, or not for this key's person to see.",
    HTTPStatus.CONFLICT: "Somebody saved it since, or the idempotency key was used before.",
    HTTPStatus.REQUEST_ENTITY_TOO_LARGE: "More was sent than the office takes in at once.",
    HTTPStatus.UNSUPPORTED_MEDIA_TYPE: "What was sent is not application/json.",
    HTTPStatus.UNPROCESSABLE_ENTITY: "It fits this document, but a rule of the trade refuses it.",
    HTTPStatus.TOO_MANY_REQUESTS: "The key asked too often; wait as long as Retry-After says.",
}
_ABOUT = (
    "Everything the office's pages can do, for programs. A key speaks for the person who made it "
    "and may no more than that person. Every number has its unit and basis beside it; every "
    "instant its offset. A decision about feeding comes with its guide, its limit, its cautions "
    "and whom to call: show them with it."
)


class Promise(NinjaAPI):
    """An API whose document says everything its answers do."""

    def __init__(self) -> None:
        # No page of documents: its scripts are what the content security policy forbids.
        super().__init__(title="Haywright", version="1", description=_ABOUT, docs_url=None,
                         urls_namespace="api", parser=Strict())  # fmt: skip

    def get_openapi_operation_id(self, operation: Any) -> str:
        """The operation's own name, which no module that moves changes."""
        return str(operation.view_func.__name__)

    def validation_error_from_error_contexts(
        self, error_contexts: list[ValidationErrorContext[Any]]
    ) -> ValidationError:
        """The errors, each with the value that was sent."""
        found = super().validation_error_from_error_contexts(error_contexts)
        sent = (i for c in error_contexts for i in c.pydantic_validation_error.errors())
        for told, own in zip(found.errors, sent, strict=True):
            plain = own["type"] != "missing" and not isinstance(own["input"], dict | list)
            told["value"] = _shown(own["input"]) if plain else ""
        return found

    def get_openapi_schema(self, **more: Any) -> Any:
        """The document, each operation with its statuses, scope, header fields and example."""
        document = super().get_openapi_schema(**more)
        for path in document["paths"].values():
            for one in path.values():
                _told(one)
        components = document["components"]
        components["securitySchemes"]["Key"]["description"] = (
            "A key made on the page of one's keys; each operation names the scope it needs."
        )
        return document


def _shown(value: Any) -> str:
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    return str(value).encode("ascii", "backslashreplace").decode().replace("\0", "\\0")[:_LONGEST]


def _told(one: dict[str, Any]) -> None:
    answers = one["responses"] = {str(s): a for s, a in one["responses"].items()}
    for status, told in answers.items():
        if int(status) < HTTPStatus.BAD_REQUEST:
            told["description"] = HTTPStatus(int(status)).phrase
            continue
        told["description"] = _SAYS[HTTPStatus(int(status))]
        told["content"] = {KIND: next(iter(told["content"].values()))}
    late = answers[str(int(HTTPStatus.TOO_MANY_REQUESTS))]
    late["headers"] = {RETRY: {"schema": {"type": "integer", "minimum": 1}, "required": True,
                               "description": "Seconds to wait."}}  # fmt: skip
    scope = one.pop("x-scope")
    one["security"] = [{"Key": [scope]}]
    one["description"] = f"{one['description']}\n\nScope: `{scope}`"
    given = one.pop("x-file", None)
    if given:
        answers["200"]["content"] = {given: {"schema": {"type": "string", "format": "binary"}}}
    if one.pop("x-once", False):
        _once(one, answers)
    example = EXAMPLES.get(one["operationId"])
    if example is not None:
        next(iter(one["requestBody"]["content"].values()))["example"] = example


def _once(one: dict[str, Any], answers: dict[str, Any]) -> None:
    """The header field that keeps a request sent twice from being done twice."""
    about = "A text of your own, a new one for each deed; the same again is answered alike."
    schema = {"type": "string", "minLength": 1, "maxLength": LONGEST_ONCE,
              "pattern": ONCE_LOOKS}  # fmt: skip
    field = {"in": "header", "name": ONCE, "required": True, "schema": schema,
             "description": about, "example": "7d1f-monday-1"}  # fmt: skip
    one["parameters"] = [*one["parameters"], field]
    again = {AGAIN: {"schema": {"type": "string"}, "description": "true when it was done before."}}
    for status, told in answers.items():
        if int(status) < HTTPStatus.BAD_REQUEST:
            told["headers"] = again
