"""How the database came to its present shape: named steps in order, each recorded, all or none.

A step never changes once it is released; a new shape is a new step at the end.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, Engine, insert, inspect, select

from finishplan.records import schema
from finishplan.records.database import POSTGRES_SCHEMA, is_postgres, reading, writing
from finishplan.records.faults import NewerStore, StoreCorrupt

LOCK_NUMBER = 0x6669_6E70
"""The advisory lock of PostgreSQL under which migrations run; any number that is ours alone."""


@dataclass(frozen=True)
class Migration:
    """One step: its name, and its statements, in which {blob} is the database's type for bytes."""

    name: str
    statements: tuple[str, ...]


MIGRATIONS: tuple[Migration, ...] = (
    Migration("0001 jobs, shops and their revisions", (
        """CREATE TABLE document (
            id TEXT PRIMARY KEY, kind TEXT NOT NULL, title TEXT NOT NULL, find TEXT NOT NULL,
            state TEXT NOT NULL, archived BOOLEAN NOT NULL,
            head INTEGER NOT NULL, last INTEGER NOT NULL CHECK (last >= head),
            created_at TEXT NOT NULL, changed_at TEXT NOT NULL, changed_by TEXT NOT NULL)""",
        "CREATE INDEX document_listed ON document (kind, archived, changed_at)",
        "CREATE INDEX document_by_state ON document (kind, archived, state, changed_at)",
        """CREATE TABLE revision (
            document_id TEXT NOT NULL REFERENCES document (id), number INTEGER NOT NULL CHECK (number >= 1),
            kind TEXT NOT NULL, shows INTEGER NOT NULL, parent INTEGER, again INTEGER, wording TEXT NOT NULL,
            who TEXT NOT NULL, at TEXT NOT NULL, digest TEXT, body {blob},
            PRIMARY KEY (document_id, number),
            FOREIGN KEY (document_id, shows) REFERENCES revision (document_id, number),
            FOREIGN KEY (document_id, parent) REFERENCES revision (document_id, number),
            FOREIGN KEY (document_id, again) REFERENCES revision (document_id, number))""",
    )),
    Migration("0002 lines of the bench log", (
        """CREATE TABLE log_line (
            document_id TEXT NOT NULL REFERENCES document (id), number INTEGER NOT NULL, key TEXT NOT NULL,
            at TEXT NOT NULL, who TEXT NOT NULL, kind TEXT NOT NULL, panel TEXT NOT NULL, step TEXT NOT NULL,
            revision INTEGER NOT NULL, body TEXT NOT NULL,
            PRIMARY KEY (document_id, number), UNIQUE (document_id, key))""",
        """CREATE TABLE log_mark (
            document_id TEXT NOT NULL, number INTEGER NOT NULL, mark INTEGER NOT NULL, reason TEXT,
            who TEXT NOT NULL, at TEXT NOT NULL,
            PRIMARY KEY (document_id, number, mark),
            FOREIGN KEY (document_id, number) REFERENCES log_line (document_id, number))""",
    )),
    Migration("0003 photos", (
        """CREATE TABLE photo (
            document_id TEXT NOT NULL REFERENCES document (id), digest TEXT NOT NULL, name TEXT NOT NULL,
            width INTEGER NOT NULL, height INTEGER NOT NULL, who TEXT NOT NULL, at TEXT NOT NULL,
            PRIMARY KEY (document_id, digest))""",
        "CREATE TABLE photo_data (digest TEXT PRIMARY KEY, data {blob} NOT NULL)",
    )),
    Migration("0004 what the store remembers of itself", (
        "CREATE TABLE setting (key TEXT PRIMARY KEY, value TEXT NOT NULL)",
    )),
    Migration("0005 PINs and signatures", (
        """CREATE TABLE pin (
            person TEXT PRIMARY KEY, pin_hash TEXT, wrong INTEGER NOT NULL, locked_until TEXT,
            set_by TEXT NOT NULL, set_at TEXT NOT NULL)""",
        """CREATE TABLE pin_attempt (
            person TEXT NOT NULL, number INTEGER NOT NULL, at TEXT NOT NULL, tried TEXT NOT NULL,
            what TEXT NOT NULL, who TEXT NOT NULL, PRIMARY KEY (person, number))""",
        """CREATE TABLE signature (
            document_id TEXT NOT NULL REFERENCES document (id), number INTEGER NOT NULL, kind TEXT NOT NULL,
            what TEXT NOT NULL, who TEXT NOT NULL, at TEXT NOT NULL, revision INTEGER NOT NULL,
            reason TEXT NOT NULL, body TEXT NOT NULL, PRIMARY KEY (document_id, number))""",
    )),
)


RECORD = """CREATE TABLE migration (
    name TEXT PRIMARY KEY, number INTEGER NOT NULL, applied_at TEXT NOT NULL)"""
"""The list of the steps that a database has had; it comes before all of them."""


def migrate(engine: Engine, at: datetime, place: str, steps: Sequence[Migration] = MIGRATIONS) -> list[str]:
    """Bring the database to its present shape and return the names of the steps that were run.

    All missing steps run in one transaction under a lock, so that of several programs started at once one
    does it and the others wait. Raises NewerStore, naming the step, for a database of a newer program, and
    StoreCorrupt for a database that is not ours.
    """
    with reading(engine) as connection:
        if _missing(connection, place, steps) == []:
            return []
    with writing(engine) as connection:
        if is_postgres(engine):
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({LOCK_NUMBER})")
            if not inspect(connection).has_schema(POSTGRES_SCHEMA):
                connection.exec_driver_sql(f"CREATE SCHEMA {POSTGRES_SCHEMA}")
        missing = _missing(connection, place, steps)
        if missing is None:
            connection.exec_driver_sql(RECORD)
            missing = list(enumerate(steps, start=1))
        for number, step in missing:
            for statement in step.statements:
                connection.exec_driver_sql(statement.format(blob="BYTEA" if is_postgres(engine) else "BLOB"))
            connection.execute(insert(schema.migration).values(name=step.name, number=number, applied_at=at))
    return [step.name for _, step in missing]


def applied(connection: Connection) -> list[str] | None:
    """Return the names of the steps this database has had, in order; None where it keeps no such list."""
    if not inspect(connection).has_table(schema.migration.name):
        return None
    table = schema.migration
    return list(connection.scalars(select(table.c.name).order_by(table.c.number)))


def _missing(
    connection: Connection, place: str, steps: Sequence[Migration]
) -> list[tuple[int, Migration]] | None:
    had = applied(connection)
    if had is None:
        if inspect(connection).get_table_names():
            raise StoreCorrupt(
                f"the database {place} belongs to another program; choose another folder with --data"
            )
        return None
    known = {step.name for step in steps}
    unknown = [name for name in had if name not in known]
    if unknown:
        raise NewerStore(
            f"the database {place} was last opened by a newer finishplan (it has {unknown[-1]!r}); "
            "install that version, or restore a backup of before"
        )
    return [(number, step) for number, step in enumerate(steps, start=1) if step.name not in had]
