"""An office in processes of its own, as people run it: commands, and a hand that keeps writing."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

COMMAND = "from haywright.cli.main import main; main()"
WRITER = """
import sys
from haywright.office import start
start.ready(desk=start.is_desk())
start.migrate()
from haywright.office.people.actions import describe_ranch
from haywright.office.people.actor import actor_of
person, office = start.desk_person()
for n in range(int(sys.argv[1])):
    describe_ranch(actor_of(person), f"Ranch {sys.argv[2]} {n}")
    print(n, flush=True)
if sys.argv[2] == "photo":
    from datetime import date
    from django.conf import settings
    from haywright.office.stack.actions import describe_lot
    from haywright.office.stack.kept import KINDS, keep_photo
    told = {"name": "Oats", "crop": "oats", "bales": {"count": 3, "weight": "1,000 lb"}}
    lot = describe_lot(actor_of(person), told, ranch=None, today=date(2026, 8, 2))
    data = next(iter(KINDS)) + sys.stdin.buffer.read()
    keep_photo(actor_of(person), lot, data, "the stack", folder=settings.MEDIA_ROOT)
"""
SECRET = "only-for-tests-" + "0123456789abcdef" * 4
TAKEN = ("HAYWRIGHT_", "DATABASE_URL", "DJANGO_SETTINGS_MODULE")


def environment(data: Path, database: str = "") -> dict[str, str]:
    """The desk in a folder, or an office of many on a database."""
    held = {k: v for k, v in os.environ.items() if not k.startswith(TAKEN)}
    held |= {"HAYWRIGHT_DATA": str(data)}
    if database:
        held |= {
            "DATABASE_URL": database,
            "HAYWRIGHT_SECRET": SECRET,
            "HAYWRIGHT_HOSTS": "hay.example.org",
            "HAYWRIGHT_PROXY": "127.0.0.1",
        }
    return held


def haywright(env: dict[str, str], *words: object) -> subprocess.CompletedProcess[str]:
    """Run a command."""
    return subprocess.run(
        [sys.executable, "-c", COMMAND, *map(str, words)],
        env=env,
        capture_output=True,
        text=True,
        check=False,
    )


def write(
    env: dict[str, str], ranches: int, name: str = "first", *, stdin: int | None = None
) -> subprocess.Popen[Any]:
    """Start writing ranches, one deed each; every one written is a line."""
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(ranches), name],
        env=env,
        stdin=stdin,
        stdout=subprocess.PIPE,
    )
