"""Bringing a backup back: all of it or nothing, and what stood before is kept."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection, Engine, bindparam, delete, exists, func, insert, inspect, select, update
from sqlalchemy.exc import DBAPIError

from finishplan.records.backup import LAST_BACKUP, Progress, copy_rows, silent, work_folder, write_backup
from finishplan.records.backup_file import (
    DATABASE_ENTRY,
    Backup,
    BadBackup,
    opened,
    picture_names,
    read_picture,
    unpack_database,
)
from finishplan.records.database import is_postgres, reading, sqlite_engine, writing
from finishplan.records.faults import StoreCorrupt, spoken
from finishplan.records.migrations import migrate
from finishplan.records.photos import flush_folder, keep_file, keep_in_server
from finishplan.records.schema import KEPT, document, revision, setting
from finishplan.records.store import Store, open_store
from finishplan.records.where import Where, prepare

NUMBERS_LEFT_OUT = 1000
"""After a damaged store, new revisions skip this many numbers, so that no page still open can take a new
revision for one that it read before."""


@dataclass(frozen=True)
class Restored:
    """What was restored, and where that stands which was there before."""

    backup: Backup
    kept: Path


def restore(store: Store, file: Path, at: datetime, progress: Progress = silent) -> Restored:
    """Put what the backup ``file`` holds in place of all jobs, shop and log lines, and return where the old is.

    Ask before calling this. Others may go on working: their next save is told what happened, or waits. All
    is changed in one transaction; photos are only added. Revision numbers given out are not given out again.
    Raises BadBackup, NewerStore, StoreFull, StoreCorrupt (then use ``restore_damaged``); nothing is changed then.
    """
    with spoken(store.place), opened(file) as archive, work_folder(store.where.folder) as work:
        told = unpack_database(archive, file, work / DATABASE_ENTRY)
        copy = sqlite_engine(work / DATABASE_ENTRY)
        try:
            _ready(copy, told, at)
            pictures = picture_names(archive)
            for done, digest in enumerate(pictures, start=1):
                keep_file(store.where.photos, digest, read_picture(archive, file, digest))
                progress(0.8 * done / len(pictures))
            kept = store.where.kept / f"before-restore-{at:%Y%m%d-%H%M%S-%f}.zip"
            with store.writing() as connection:
                if is_postgres(store.engine):
                    connection.exec_driver_sql("LOCK TABLE document, setting, pin IN EXCLUSIVE MODE")
                # Under the lock: no save can come between what is kept and what takes its place.
                _keep_present(store, kept, at)
                _replace(connection, copy, told)
                for digest in pictures if is_postgres(store.engine) else ():
                    keep_in_server(connection, digest, read_picture(archive, file, digest))
        finally:
            copy.dispose()
    progress(1.0)
    return Restored(told, kept)


def restore_damaged(where: Where, file: Path, at: datetime) -> tuple[Store, Restored]:
    """Put a damaged SQLite database aside, the backup ``file`` in its place, and return the store opened.

    Close the store and stop other programs that use it first. The new database is whole before the old one
    moves. On PostgreSQL this is not ours to do: raises StoreCorrupt.
    """
    if where.url is not None:
        raise StoreCorrupt("a damaged PostgreSQL database is for its keeper to mend; then restore into it")
    prepare(where)
    with spoken(str(where.folder)), opened(file) as archive, work_folder(where.folder) as work:
        told = unpack_database(archive, file, work / DATABASE_ENTRY)
        copy = sqlite_engine(work / DATABASE_ENTRY)
        try:
            _ready(copy, told, at)
            with writing(copy) as connection:
                connection.execute(update(document).values(last=document.c.last + NUMBERS_LEFT_OUT))
        finally:
            copy.dispose()
        with closing(sqlite3.connect(work / DATABASE_ENTRY)) as whole:
            whole.execute("PRAGMA journal_mode = DELETE")
        for digest in picture_names(archive):
            keep_file(where.photos, digest, read_picture(archive, file, digest))
        aside = where.kept / f"damaged-{at:%Y%m%d-%H%M%S-%f}"
        _swap(work / DATABASE_ENTRY, where.database, aside)
    return open_store(where, at), Restored(told, aside)


def _swap(new: Path, old: Path, aside: Path) -> None:
    """Put ``new`` in the place of ``old``, which goes to the folder ``aside`` with its log."""
    aside.mkdir(parents=True, mode=0o700)
    if old.exists():
        shutil.copy2(old, aside / old.name)
    # The log goes before the new file comes: a log of another database would be played into it.
    for end in ("-wal", "-shm"):
        log = old.with_name(old.name + end)
        if log.exists():
            log.replace(aside / log.name)
    new.replace(old)
    flush_folder(old.parent)


def _keep_present(store: Store, kept: Path, at: datetime) -> None:
    try:
        write_backup(store, kept, at, photos=False)
    except BadBackup:
        raise StoreCorrupt(
            f"the database {store.place} is damaged, so it cannot be kept as a backup; close the program and "
            "restore with the damaged file put aside"
        ) from None


def _ready(copy: Engine, told: Backup, at: datetime) -> None:
    """Bring the unpacked database to the present shape, and look that it is one that we could have written."""
    name = told.path.name
    try:
        migrate(copy, at, name)
    except DBAPIError:
        raise BadBackup(f"{name}: the database in it is not one of ours; use another backup") from None
    with reading(copy) as connection:
        found = inspect(connection)
        for table in KEPT:
            columns = found.get_columns(table.name) if found.has_table(table.name) else []
            if [column["name"] for column in columns] != list(table.c.keys()):
                raise BadBackup(f"{name}: its table {table.name} is not ours; use another backup")
        numbered = select(func.max(revision.c.number)).where(revision.c.document_id == document.c.id)
        standing = exists().where(revision.c.document_id == document.c.id, revision.c.number == document.c.head)
        odd = select(document.c.id).where(
            (document.c.last < numbered.scalar_subquery()) | (document.c.head > document.c.last) | ~standing)
        if connection.execute(odd.limit(1)).first() is not None:
            raise BadBackup(f"{name}: a job in it has lost its last revision; use another backup")


def _replace(connection: Connection, copy: Engine, told: Backup) -> None:
    given_out = {row.id: row.last for row in connection.execute(select(document.c.id, document.c.last))}
    for table in reversed(KEPT):
        connection.execute(delete(table))
    with reading(copy) as source:
        try:
            copy_rows(source, connection)
        except (ValueError, TypeError, AttributeError):
            raise BadBackup(f"{told.path.name}: a line in it cannot be read; use another backup") from None
    further = [{"its_id": key, "given": last} for key, last in given_out.items()]
    if further:
        connection.execute(
            update(document).where(document.c.id == bindparam("its_id"), document.c.last < bindparam("given"))
            .values(last=bindparam("given")), further)
    connection.execute(delete(setting).where(setting.c.key == LAST_BACKUP))
    connection.execute(insert(setting).values(key=LAST_BACKUP, value=told.made_at.isoformat()))
