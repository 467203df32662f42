"""A copy of an office in one file, the same for SQLite and PostgreSQL.

A ZIP archive of ``archive.json`` (form, migrations, digest and rows of every other member),
``tables/NAME.jsonl`` (one JSON object a row, by column) and ``photos/KEY.KIND``. The rows are
those of one instant, while the office goes on writing. What a session or a page keeps for a while
is left out; so is the secret that signs sessions, which every machine has of its own.
"""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import tempfile
import zipfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import IO, Any

from django.apps import apps
from django.conf import settings
from django.db import connection, connections, models, transaction
from django.db.migrations.recorder import MigrationRecorder

from haywright.measure.errors import Refused
from haywright.office.ledger.chain import plain
from haywright.office.stack.models import Photo

FORM = 1
HEAD = "archive.json"
_SNAPSHOT = "snapshot"
_PASSING = {"sessions", "contenttypes", "auth", "admin", "messages"}
_CHUNK = 1 << 20


@dataclass(frozen=True)
class Kept:
    """What an archive holds: rows by table, and photos."""

    rows: dict[str, int]
    photos: int

    @property
    def total(self) -> int:
        """Rows in all tables together."""
        return sum(self.rows.values())


def tables() -> dict[str, type[models.Model]]:
    """Every table that is kept, by name."""
    return {
        model._meta.db_table: model
        for model in apps.get_models(include_auto_created=True)
        if model._meta.managed
        and not model._meta.proxy
        and model._meta.app_label not in _PASSING
        and not _leads_to_passing(model)
    }


def _leads_to_passing(model: type[models.Model]) -> bool:
    """Whether it joins a person with what the framework makes anew itself."""
    return bool(model._meta.auto_created) and any(
        field.related_model is not None and field.related_model._meta.app_label in _PASSING
        for field in model._meta.concrete_fields
    )


def columns(model: type[models.Model]) -> list[models.Field[Any, Any]]:
    """The columns of a table."""
    return list(model._meta.concrete_fields)


def migrations() -> list[str]:
    """The migrations of the tables that are kept, as far as they have run."""
    ours = {model._meta.app_label for model in tables().values()}
    ran = MigrationRecorder(connection).applied_migrations()
    return sorted(f"{app}.{name}" for app, name in ran if app in ours)


def write_archive(path: Path) -> Kept:
    """Write the copy of an office; the file appears whole or not at all.

    Parameters
    ----------
    path
        The file; it must not exist yet.

    Raises
    ------
    Refused
        The file is there already, or its folder is not.
    """
    if path.exists():
        raise Refused("FILE", path, key="office.start.file_there")
    if not path.parent.is_dir():
        raise Refused("FILE", path, key="office.start.no_folder")
    part = path.with_name(f".{path.name}.part")
    try:
        handle = os.open(part, os.O_RDWR | os.O_CREAT | os.O_TRUNC, 0o600)
        with (
            os.fdopen(handle, "w+b") as out,
            zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive,
            snapshot() as alias,
        ):
            kept = _write(archive, alias)
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    return kept


def _write(archive: zipfile.ZipFile, alias: str) -> Kept:
    members: dict[str, dict[str, Any]] = {}
    rows = {}
    for name, model in tables().items():
        lines = (_line(model, row) for row in _rows(model, alias))
        members[f"tables/{name}.jsonl"] = held = _member(archive, f"tables/{name}.jsonl", lines)
        rows[name] = held["rows"]
    photos = 0
    for key, kind in Photo.objects.using(alias).order_by("pk").values_list("pk", "kind"):
        source = settings.MEDIA_ROOT / f"{key}.{kind}"
        if source.is_file():
            with source.open("rb") as stream:
                chunks = iter(partial(stream.read, _CHUNK), b"")
                members[f"photos/{source.name}"] = _member(
                    archive, f"photos/{source.name}", chunks, stored=True
                )
            photos += 1
    head = {"form": FORM, "migrations": migrations(), "members": members}
    archive.writestr(HEAD, json.dumps(head, indent=1, sort_keys=True))
    return Kept(rows, photos)


def _rows(model: type[models.Model], alias: str) -> Iterator[tuple[Any, ...]]:
    names = [field.attname for field in columns(model)]
    yield from model._base_manager.using(alias).order_by("pk").values_list(*names).iterator()


def _line(model: type[models.Model], row: Iterable[Any]) -> bytes:
    held = {f.column: plain(v) for f, v in zip(columns(model), row, strict=True)}
    return json.dumps(held, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"


def _member(
    archive: zipfile.ZipFile, name: str, chunks: Iterable[bytes], *, stored: bool = False
) -> dict[str, Any]:
    digest, rows = hashlib.sha256(), 0
    told = zipfile.ZipInfo(name)
    told.compress_type = zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
    with archive.open(told, "w", force_zip64=True) as out:
        for chunk in chunks:
            rows += 1
            digest.update(chunk)
            out.write(chunk)
    return {"sha256": digest.hexdigest(), "rows": rows}


@contextmanager
def snapshot() -> Iterator[str]:
    """A connection that sees the database of one instant, whatever is written meanwhile."""
    own = dict(connections.databases["default"])
    with tempfile.TemporaryDirectory(prefix="haywright-") as folder:
        if connection.vendor == "sqlite":
            own["NAME"] = str(Path(folder) / "copy.sqlite3")
            connection.ensure_connection()
            with sqlite3.connect(own["NAME"]) as copy:
                connection.connection.backup(copy)
            copy.close()
            own["OPTIONS"] = {}
        connections.databases[_SNAPSHOT] = own
        try:
            with transaction.atomic(using=_SNAPSHOT):
                if connection.vendor == "postgresql":
                    with connections[_SNAPSHOT].cursor() as cursor:
                        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
                yield _SNAPSHOT
        finally:
            connections[_SNAPSHOT].close()
            del connections[_SNAPSHOT]
            del connections.databases[_SNAPSHOT]


def digest_of(stream: IO[bytes]) -> str:
    """SHA-256 of what is left of a stream."""
    digest = hashlib.sha256()
    while chunk := stream.read(_CHUNK):
        digest.update(chunk)
    return digest.hexdigest()
