"""Writes docs/openapi.json: what the API promises, frozen."""

from __future__ import annotations

import json
import os
from pathlib import Path

PAGE = Path(__file__).resolve().parents[1] / "docs" / "openapi.json"


def page() -> str:
    """The OpenAPI document as text."""
    from haywright.office.api.doors import api

    return json.dumps(api.get_openapi_schema(), indent=1, sort_keys=True, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "haywright.office.settings")
    os.environ.setdefault("HAYWRIGHT_SECRET", "only to read the addresses")
    import django

    django.setup()
    PAGE.write_text(page(), "utf-8")
