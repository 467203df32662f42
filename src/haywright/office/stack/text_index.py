"""Names and fields of lots kept so that any part of them is found without reading every lot.

SQLite has a table of its own for it (full-text search by three letters), which triggers keep; it
makes a table anew when a column of it changes, and forgets its triggers then: a migration that
alters the lots puts them back by ``found_by_text`` again. PostgreSQL has indexes by three letters
where its extension ``pg_trgm`` is there or may be made; without it, a search reads every lot.
"""

from __future__ import annotations

from uuid import UUID

from django.apps.registry import Apps
from django.db import connection, migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.models import Q
from django.db.models.expressions import RawSQL

LEAST = 3  # letters an index by three letters needs
FEW = 500  # keys that are looked up first: within a search, every lot is asked whether it is one
_SQLITE = (
    "DROP TABLE IF EXISTS stack_lot_text",
    (
        "CREATE VIRTUAL TABLE stack_lot_text USING fts5(lot_id UNINDEXED, name, field, "
        "tokenize='trigram')"
    ),
    "INSERT INTO stack_lot_text (lot_id, name, field) SELECT id, name, field FROM stack_lot",
    """CREATE TRIGGER stack_lot_text_added AFTER INSERT ON stack_lot BEGIN
    INSERT INTO stack_lot_text (lot_id, name, field) VALUES (new.id, new.name, new.field); END""",
    """CREATE TRIGGER stack_lot_text_changed AFTER UPDATE OF name, field ON stack_lot
    WHEN old.name IS NOT new.name OR old.field IS NOT new.field BEGIN
    UPDATE stack_lot_text SET name = new.name, field = new.field WHERE lot_id = new.id; END""",
    """CREATE TRIGGER stack_lot_text_gone AFTER DELETE ON stack_lot BEGIN
    DELETE FROM stack_lot_text WHERE lot_id = old.id; END""",
)
_MATCHING = "SELECT lot_id FROM stack_lot_text WHERE stack_lot_text MATCH %s"
_THERE = """SELECT count(*) FROM pg_available_extensions WHERE name = 'pg_trgm'
    AND (installed_version IS NOT NULL OR has_database_privilege(current_database(), 'CREATE'))"""
_POSTGRESQL = (
    "CREATE EXTENSION IF NOT EXISTS pg_trgm",
    *(
        f"CREATE INDEX IF NOT EXISTS stack_lot_text_{column} ON stack_lot "
        f"USING gin (upper({column}::text) gin_trgm_ops)"
        for column in ("name", "field")
    ),
)


def found_by_text() -> migrations.RunPython:
    """The step of a migration after which parts of names and fields are found quickly."""

    def made(_apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
        said: tuple[str, ...] = _SQLITE
        if editor.connection.vendor == "postgresql":
            with editor.connection.cursor() as cursor:
                cursor.execute(_THERE)
                said = _POSTGRESQL if cursor.fetchone()[0] else ()
        for one in said:
            editor.execute(one, None)

    def unmade(_apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
        if editor.connection.vendor == "postgresql":
            for column in ("name", "field"):
                editor.execute(f"DROP INDEX IF EXISTS stack_lot_text_{column}", None)
            return
        for what in ("added", "changed", "gone"):
            editor.execute(f"DROP TRIGGER IF EXISTS stack_lot_text_{what}", None)
        editor.execute("DROP TABLE IF EXISTS stack_lot_text", None)

    return migrations.RunPython(made, unmade)


def with_text(text: str) -> tuple[tuple[Q, ...], bool]:
    """Conditions, each led by an index, that together find the lots with a text in them.

    With them comes whether they are known to be few.

    Parameters
    ----------
    text
        Part of a name or of a field, upper case or lower.
    """
    name, field = Q(name__icontains=text), Q(field__icontains=text)
    if len(text) < LEAST:
        return (name | field,), False
    if connection.vendor == "postgresql":
        return (name, field), False
    phrase = '"' + text.replace('"', '""') + '"'
    with connection.cursor() as cursor:
        cursor.execute(f"{_MATCHING} LIMIT {FEW + 1}", [phrase])
        keys = cursor.fetchall()
    few = len(keys) <= FEW
    led = [UUID(one) for (one,) in keys] if few else RawSQL(_MATCHING, [phrase])  # noqa: S611 - the phrase is a parameter
    return (Q(pk__in=led) & (name | field),), few
