"""Tables whose rows are never changed and never deleted: the database itself refuses.

SQLite makes a table anew when a column of it changes, and forgets its triggers then: a migration
that alters one of these tables puts them back by ``written_for_good`` again.
"""

from __future__ import annotations

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

_SQLITE = """
CREATE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table}
BEGIN SELECT RAISE(ABORT, '{table} is written for good'); END
"""
_FUNCTION = """
CREATE OR REPLACE FUNCTION haywright_written_for_good() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '% is written for good', TG_TABLE_NAME USING ERRCODE = '23514'; END $$
"""
_POSTGRESQL = """
CREATE TRIGGER {table}_no_{verb} BEFORE {verb} ON {table}
FOR EACH {each} EXECUTE FUNCTION haywright_written_for_good()
"""


def written_for_good(table: str) -> migrations.RunPython:
    """The step of a migration after which rows of a table only ever arrive."""

    def forbid(_apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
        if editor.connection.vendor == "postgresql":
            editor.execute(_FUNCTION, None)
            for verb, each in (("UPDATE", "ROW"), ("DELETE", "ROW"), ("TRUNCATE", "STATEMENT")):
                editor.execute(_POSTGRESQL.format(table=table, verb=verb, each=each), None)
            return
        for verb in ("UPDATE", "DELETE"):
            editor.execute(_SQLITE.format(table=table, verb=verb), None)

    def allow(_apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
        on = f" ON {table}" if editor.connection.vendor == "postgresql" else ""
        for verb in ("UPDATE", "DELETE", *(["TRUNCATE"] if on else [])):
            editor.execute(f"DROP TRIGGER IF EXISTS {table}_no_{verb}{on}", None)

    return migrations.RunPython(forbid, allow)
