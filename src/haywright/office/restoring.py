"""Bringing an archive into an empty office: all of it, checked, or nothing."""

from __future__ import annotations

import json
import shutil
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.management.color import no_style
from django.db import Error, connection, models, transaction

from haywright.measure.errors import HaywrightError, Problems, Refused
from haywright.office.archive import FORM, HEAD, Kept, columns, digest_of, migrations, tables
from haywright.office.ledger.chain import check
from haywright.office.people.models import Office

_BATCH = 500
_HEAD_BYTES = 10_000_000


# What an archive that was cut, flipped or never was one can throw.
_DAMAGED = (
    zipfile.BadZipFile,
    zlib.error,
    NotImplementedError,
    EOFError,
    OSError,
    KeyError,
    ValueError,
    TypeError,
    ValidationError,
    Error,
)


def restore_archive(path: Path) -> Kept:
    """Bring an archive into an office in which nothing was written yet.

    Parameters
    ----------
    path
        What ``write_archive`` wrote.

    Raises
    ------
    Refused, Problems
        It is no archive of ours, is damaged or of another version, the office is not empty, or
        the ledger in it does not hold; nothing is written then.
    """
    if not path.is_file():
        raise Refused("FILE", path, key="office.start.no_file")
    with path.open("rb") as stream:
        if stream.read(2) != b"PK":
            raise Refused("FILE", path, key="office.start.no_archive")
    photos = Path(settings.MEDIA_ROOT)
    if any(model._base_manager.exists() for model in tables().values()) or _filled(photos):
        raise Refused("FILE", path, key="office.start.not_empty")
    try:
        with zipfile.ZipFile(path) as archive:
            members = _whole(path, archive)
            with _photos(archive, members, photos), transaction.atomic():
                return _bring(path, archive, members)
    except _DAMAGED as error:
        if isinstance(error, HaywrightError):
            raise
        raise Refused("FILE", path, key="office.start.damaged") from error


def _filled(folder: Path) -> bool:
    return folder.is_dir() and any(folder.iterdir())


def _whole(path: Path, archive: zipfile.ZipFile) -> dict[str, dict[str, Any]]:
    """The members, after every one has been read once and found to be what was written."""
    if HEAD not in archive.namelist() or archive.getinfo(HEAD).file_size > _HEAD_BYTES:
        raise Refused("FILE", path, key="office.start.no_archive")
    head = json.loads(archive.read(HEAD))
    if head["form"] != FORM or head["migrations"] != migrations():
        raise Refused("FILE", path, key="office.start.another_version")
    members: dict[str, dict[str, Any]] = head["members"]
    known = {f"tables/{name}.jsonl" for name in tables()}
    given = set(archive.namelist()) - {HEAD}
    inside = {name for name in given if not name.startswith("photos/")}
    if given != set(members) or inside != known:
        raise Refused("FILE", path, key="office.start.damaged")
    for name, told in members.items():
        with archive.open(name) as stream:
            if digest_of(stream) != told["sha256"]:
                raise Refused("FILE", path, key="office.start.damaged")
    return members


@contextmanager
def _photos(archive: zipfile.ZipFile, members: dict[str, Any], photos: Path) -> Iterator[None]:
    """Put the photos in place while the rows are brought; take them away when that fails."""
    try:
        for name in members:
            if name.startswith("photos/"):
                photos.mkdir(parents=True, exist_ok=True)
                target = photos / Path(name).name
                with archive.open(name) as source, target.open("wb") as out:
                    shutil.copyfileobj(source, out)
        yield
    except BaseException:
        shutil.rmtree(photos, ignore_errors=True)
        raise


def _bring(path: Path, archive: zipfile.ZipFile, members: dict[str, Any]) -> Kept:
    rows = {}
    for name, model in tables().items():
        with archive.open(f"tables/{name}.jsonl") as stream:
            rows[name] = _insert(model, (json.loads(line) for line in stream))
    connection.check_constraints()
    _sequences()
    problems = [Refused(office.name, "", one, key="office.start.ledger_broken")
                for office in Office.objects.order_by("pk") for one in check(office)]  # fmt: skip
    if problems:
        raise Problems([Refused("FILE", path, key="office.start.damaged"), *problems])
    return Kept(rows, sum(name.startswith("photos/") for name in members))


def _insert(model: type[models.Model], rows: Iterator[dict[str, Any]]) -> int:
    """Rows as they were, past everything a save would fill in anew."""
    fields, quote = columns(model), connection.ops.quote_name
    names = ", ".join(quote(str(field.column)) for field in fields)
    marks = ", ".join(["%s"] * len(fields))
    text = f"INSERT INTO {quote(model._meta.db_table)} ({names}) VALUES ({marks})"  # noqa: S608
    n = 0
    with connection.cursor() as cursor:
        while some := list(islice(rows, _BATCH)):
            cursor.executemany(
                text, [[_value(f, row[str(f.column)]) for f in fields] for row in some]
            )
            n += len(some)
    return n


def _value(field: models.Field[Any, Any], value: Any) -> Any:
    own = field.target_field if isinstance(field, models.ForeignKey) else field
    read = value if value is None or isinstance(own, models.JSONField) else own.to_python(value)
    return own.get_db_prep_save(read, connection=connection)


def _sequences() -> None:
    """Tables that count their rows go on after the last one."""
    with connection.cursor() as cursor:
        for text in connection.ops.sequence_reset_sql(no_style(), list(tables().values())):
            cursor.execute(text)
