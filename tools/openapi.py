"""Writes docs/openapi.json: what the API promises, frozen; says what a change would break."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

PAGE = Path(__file__).resolve().parents[1] / "docs" / "openapi.json"
MEANT = "--break"


def page() -> str:
    """The OpenAPI document as text."""
    from haywright.office.api.doors import api

    return json.dumps(api.get_openapi_schema(), indent=1, sort_keys=True, ensure_ascii=False) + "\n"


def broken(old: dict[str, Any], new: dict[str, Any]) -> list[str]:
    """What a program written for the old document would trip over in the new one, in words."""
    return [*_operations(old, new), *_fields(old, new)]


def _operations(old: dict[str, Any], new: dict[str, Any]) -> Iterator[str]:
    for path, held in old["paths"].items():
        for method, was in held.items():
            name, now = f"{method.upper()} {path}", new["paths"].get(path, {}).get(method)
            if now is None:
                yield f"{name} is gone"
                continue
            before = {(one["in"], one["name"]) for one in was["parameters"]}
            after = {(one["in"], one["name"]): one for one in now["parameters"]}
            yield from (f"{name}: parameter {one[1]} is gone" for one in before - after.keys())
            yield from (
                f"{name}: parameter {one['name']} is newly required"
                for key, one in after.items()
                if one["required"] and key not in before
            )
            gone = [s for s in was["responses"] if s < "3" and s not in now["responses"]]
            yield from (f"{name}: no longer answers {status}" for status in gone)
            if was["security"] != now["security"]:
                yield f"{name}: needs another scope"


def _fields(old: dict[str, Any], new: dict[str, Any]) -> Iterator[str]:
    shapes = new["components"]["schemas"]
    for name, was in old["components"]["schemas"].items():
        now = shapes.get(name)
        if now is None:
            yield f"{name} is gone"
            continue
        gone = was.get("properties", {}).keys() - now.get("properties", {}).keys()
        yield from (f"{name}: field {field} is gone" for field in sorted(gone))
        if was.get("additionalProperties") is False:  # what programs send
            needed = set(now.get("required", ())) - set(was.get("required", ()))
            yield from (f"{name}: field {field} is newly required" for field in sorted(needed))


def _write() -> None:
    new = page()
    if PAGE.exists() and MEANT not in sys.argv:
        found = broken(json.loads(PAGE.read_text("utf-8")), json.loads(new))
        if found:
            sys.exit("\n".join([*found, f"Nothing was written; {MEANT} if it is meant."]))
    PAGE.write_text(new, "utf-8")


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "haywright.office.settings")
    os.environ.setdefault("HAYWRIGHT_SECRET", "only to read the addresses")
    import django

    django.setup()
    _write()
