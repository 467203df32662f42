"""A throw-away PostgreSQL on a Unix socket, run by a user without rights, gone afterwards."""

from __future__ import annotations

import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any
from urllib.parse import quote

import psycopg

UNPRIVILEGED = ("postgres", "nobody")
WAIT_SECONDS = 60


def programs() -> Path:
    """The folder of PostgreSQL's programs; Debian keeps them off the path."""
    on_path = shutil.which("initdb")
    if on_path and shutil.which("postgres"):
        return Path(on_path).parent
    versions = sorted(
        Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: int(p.parts[-3])
    )
    if not versions:
        raise FileNotFoundError("initdb")
    return versions[-1].parent


def _as_whom() -> dict[str, Any]:
    """Root may not run it: somebody without rights does."""
    if os.geteuid() != 0:
        return {}
    names = {one.pw_name: one for one in pwd.getpwall()}
    who = next(names[name] for name in UNPRIVILEGED if name in names)
    return {"user": who.pw_uid, "group": who.pw_gid, "extra_groups": []}


@contextmanager
def cluster() -> Iterator[str]:
    """Address of a database in a cluster of its own, as DATABASE_URL takes it."""
    whom, found = _as_whom(), programs()
    folder = Path(tempfile.mkdtemp(prefix="hw-pg-"))  # a socket's path has at most 107 bytes
    quiet: dict[str, Any] = {"cwd": folder, "stdout": subprocess.DEVNULL, **whom}
    try:
        if whom:
            os.chown(folder, whom["user"], whom["group"])
        data = folder / "data"
        subprocess.run(
            [found / "initdb", "-D", data, "-U", "haywright", "-A", "trust", "-E", "UTF8",
             "--no-sync", "--locale=C"],
            check=True, **quiet,
        )  # fmt: skip
        with (folder / "log").open("wb") as log:
            server = subprocess.Popen(
                [found / "postgres", "-D", data, "-k", folder, "-c", "listen_addresses=",
                 "-c", "fsync=off"],
                stderr=log, **quiet,
            )  # fmt: skip
            try:
                _answering(folder, server)
                yield f"postgresql://haywright@{quote(str(folder), safe='')}/postgres"
            finally:
                server.send_signal(signal.SIGINT)
                server.wait(WAIT_SECONDS)
    finally:
        shutil.rmtree(folder)


def _answering(folder: Path, server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + WAIT_SECONDS
    while server.poll() is None and time.monotonic() < until:
        with suppress(psycopg.OperationalError):
            psycopg.connect(host=str(folder), user="haywright", dbname="postgres").close()
            return
        time.sleep(0.1)
    raise RuntimeError((folder / "log").read_text("utf-8"))
