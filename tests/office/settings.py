"""The office in tests: SQLite in a folder that goes, or the HAYWRIGHT_TEST_DATABASE."""

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
from haywright.office.settings import CACHES, DATABASES, STATIC_ROOT

Path(STATIC_ROOT).mkdir(parents=True, exist_ok=True)
# In a file, as people have it: in memory, two hands at once are refused rather than kept waiting.
DATABASES["default"]["TEST"] = (
    {}
    if "DATABASE_URL" in os.environ
    else {"NAME": Path(os.environ["HAYWRIGHT_DATA"]) / "tests.sqlite3"}
)
CACHES["default"] = {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
