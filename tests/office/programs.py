"""A program that holds a key, as tests let one ask."""

from __future__ import annotations

import json
from uuid import uuid4


class Program:
    """A program that speaks for one of the cast."""

    def __init__(self, cast, name, scopes=None):
        from django.core.cache import cache
        from django.test import Client

        from haywright.office.people.tokens import SCOPES, make_token

        cache.clear()
        self.secret = make_token(cast.actor(name), "program", scopes or SCOPES)
        self.client = Client(raise_request_exception=False)

    def ask(self, method, path, body=None, **headers):
        """What the API answers; every deed with a key of its own against being done twice."""
        sent = {"Authorization": f"Bearer {self.secret}", **headers}
        if method == "POST":
            sent.setdefault("Idempotency-Key", uuid4().hex)
        data = body if isinstance(body, bytes) else b"" if body is None else json.dumps(body)
        kind = sent.pop("Content-Type", "application/json")
        return self.client.generic(method, f"/api{path}", data, content_type=kind, headers=sent)

    def get(self, path):
        """What is there."""
        found = self.ask("GET", path)
        assert found.status_code == 200, found.content
        return found.json()

    def done(self, path, body=None, method="POST", **headers):
        """What came of a deed."""
        found = self.ask(method, path, body, **headers)
        assert found.status_code in (200, 201), found.content
        return found.json()
