"""The office in tests: SQLite in memory, or PostgreSQL where HAYWRIGHT_TEST_DATABASE names one."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

os.environ.setdefault("HAYWRIGHT_SECRET", "only-for-tests-" + "0123456789abcdef" * 4)
os.environ.setdefault("HAYWRIGHT_DATA", tempfile.mkdtemp(prefix="haywright-tests-"))
os.environ.setdefault("HAYWRIGHT_HOSTS", "testserver,localhost,127.0.0.1")
os.environ.setdefault("HAYWRIGHT_HTTPS", "no")
if "HAYWRIGHT_TEST_DATABASE" in os.environ:
    os.environ["DATABASE_URL"] = os.environ["HAYWRIGHT_TEST_DATABASE"]

from haywright.office.settings import *  # noqa: F403
from haywright.office.settings import DATABASES, STATIC_ROOT

Path(STATIC_ROOT).mkdir(parents=True, exist_ok=True)
DATABASES["default"].setdefault("TEST", {})
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
