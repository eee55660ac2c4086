"""One file that holds all: the database as it was at one moment, and the photos that it names.

It is written while the store is in use, beside its final name, read again from the disk, and only then renamed.
The database inside is always SQLite, so that a backup of either store can be restored into either.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import sqlite3
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection, Engine, insert, select

from finishplan.errors import BadValue, FinishplanError
from finishplan.records.backup_file import (
    BACKUP_FORMAT,
    BACKUP_VERSION,
    DATABASE_ENTRY,
    MANIFEST_ENTRY,
    Backup,
    chunks,
    look_into,
    opened,
    picture_names,
    read_picture,
    unpack_database,
)
from finishplan.records.database import connect_sqlite, is_postgres, sqlite_engine, writing
from finishplan.records.faults import StoreError, spoken
from finishplan.records.migrations import migrate
from finishplan.records.photos import flush_folder, picture
from finishplan.records.schema import KEPT
from finishplan.records.store import Store
from finishplan.records.where import Where

LAST_BACKUP = "last backup"
BACKUPS = "backups"
ROWS_AT_ONCE = 500
PICTURE_BYTES = 500_000
"""About what a photo of 1600 px takes, for the share done."""
STALE_S = 24 * 3600
Progress = Callable[[float], None]


def silent(share: float) -> None:
    """Tell nobody."""


def make_backup(store: Store, target: Path, at: datetime, progress: Progress = silent) -> Backup:
    """Write a backup to ``target`` (a file to be, or a folder) while the store is in use, and return it.

    ``progress`` is told the share done, 0 to 1; whatever it raises stops the backup and leaves nothing behind.
    Raises StoreFull, StoreReadOnly or BadValue, in one sentence.
    """
    path = target / f"finishplan-backup-{at:%Y%m%d-%H%M%S}.zip" if target.is_dir() else target
    made = write_backup(store, path, at, photos=True, progress=progress)
    store.remember(LAST_BACKUP, at.isoformat())
    return made


def backup_folder(store: Store) -> Path:
    """Return the folder in the data folder that backups are made in."""
    return backups_of(store.where)


def backups_of(where: Where) -> Path:
    """Return the folder of backups of a store that may not be open."""
    return where.folder / BACKUPS


def made_in_folder(store: Store, at: datetime, progress: Progress = silent) -> Backup:
    """Make a backup in the data folder; a second one within a second gets a name of its own."""
    folder = backup_folder(store)
    with spoken(str(folder)):
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    path = folder / f"finishplan-backup-{at:%Y%m%d-%H%M%S}.zip"
    if path.exists():
        path = path.with_name(f"finishplan-backup-{at:%Y%m%d-%H%M%S-%f}.zip")
    return make_backup(store, path, at, progress)


def backups_in(folder: Path, most: int = 20) -> tuple[Backup, ...]:
    """Return the newest backups in a folder, newest first; a file that is none, or of a newer program, is left out."""
    found = []
    for path in sorted(folder.glob("*.zip"), reverse=True)[: 2 * most]:
        try:
            found.append(look_into(path))
        except (FinishplanError, OSError):
            continue
    return tuple(sorted(found, key=lambda backup: backup.made_at, reverse=True)[:most])


def brought_in(store: Store, name: str, data: bytes, at: datetime) -> Path:
    """Keep a backup that was handed in among those of the data folder, once it is read through; return its file.

    Raises BadBackup, NewerStore or StoreFull; nothing is left behind then.
    """
    folder = backup_folder(store)
    with spoken(str(folder)), work_folder(folder) as work:
        draft = work / (Path(name).name or "backup.zip")
        draft.write_bytes(data)
        check_backup(draft)
        path = folder / f"brought-in-{at:%Y%m%d-%H%M%S-%f}.zip"
        draft.replace(path)
        return path


def backup_words(backup: Backup) -> str:
    """Return what a backup holds, in words."""
    photos = f", {backup.photos} photos" if backup.photos else ""
    missing = f", without {len(backup.missing)} photos whose files were gone" if backup.missing else ""
    size = backup.size_bytes
    told = f"{size / 1e6:.1f} MB" if size >= 1e6 else f"{max(1.0, size / 1e3):.0f} kB"
    return (f"{backup.made_at.astimezone():%d %b %Y, %H:%M}: jobs and shop {backup.documents}, "
            f"revisions {backup.revisions}{photos}{missing}; {told}")


def last_backup(store: Store) -> datetime | None:
    """Return when the last backup was made, or None."""
    told = store.setting(LAST_BACKUP)
    return datetime.fromisoformat(told) if told else None


def write_backup(
    store: Store, path: Path, at: datetime, *, photos: bool, progress: Progress = silent
) -> Backup:
    """Write a backup to ``path``, read it through, and only then give it its name."""
    _refuse_taken(path)
    with spoken(str(path)), work_folder(path.parent) as work:
        database, draft = work / DATABASE_ENTRY, work / path.name
        _snapshot(store, database, at)
        _write_zip(store, draft, database, at, photos, progress)
        check_backup(draft)
        _refuse_taken(path)
        draft.replace(path)
        flush_folder(path.parent)
        return look_into(path)


def check_backup(path: Path) -> Backup:
    """Read all of a backup and compare it with its manifest; raises BadBackup, or NewerStore by name."""
    with spoken(str(path)), opened(path) as archive, work_folder(path.parent) as work:
        told = unpack_database(archive, path, work / DATABASE_ENTRY)
        for digest in picture_names(archive):
            read_picture(archive, path, digest)
        return told


def copy_rows(source: Connection, target: Connection) -> None:
    """Copy all kept tables from one database to another, a few hundred rows at a time."""
    for table in KEPT:
        asked = select(table).order_by(*table.primary_key)
        rows = source.execute(asked, execution_options={"yield_per": ROWS_AT_ONCE})
        for some in rows.mappings().partitions():
            target.execute(insert(table), [dict(row) for row in some])


def _refuse_taken(path: Path) -> None:
    if path.exists():
        raise BadValue("backup file", path.name, "it exists already; choose another name")


def _snapshot(store: Store, into: Path, at: datetime) -> None:
    """Put the database as it is at this moment into one SQLite file."""
    if is_postgres(store.engine):
        into.touch()
        engine = sqlite_engine(into)
        try:
            migrate(engine, at, str(into))
            with _one_moment(store.engine) as source_rows, writing(engine) as target:
                copy_rows(source_rows, target)
        finally:
            engine.dispose()
    else:
        with closing(connect_sqlite(store.where.database)) as source, closing(sqlite3.connect(into)) as copy:
            source.backup(copy)
    with closing(sqlite3.connect(into)) as made:
        made.execute("PRAGMA journal_mode = DELETE")  # one file, without a log beside it


@contextmanager
def _one_moment(engine: Engine) -> Iterator[Connection]:
    with engine.connect() as connection:
        connection.execution_options(isolation_level="REPEATABLE READ")
        yield connection
        connection.rollback()


def _write_zip(
    store: Store, draft: Path, database: Path, at: datetime, photos: bool, progress: Progress
) -> None:
    with closing(sqlite3.connect(database)) as made:
        documents, revisions = (made.execute(f"SELECT count(*) FROM {table}").fetchone()[0]
                                for table in ("document", "revision"))
        named = [row[0] for row in made.execute("SELECT DISTINCT digest FROM photo ORDER BY digest")]
        steps = [row[0] for row in made.execute("SELECT name FROM migration ORDER BY number")]
    digests = named if photos else []
    size = database.stat().st_size
    total = size + PICTURE_BYTES * len(digests)
    found, missing, done = hashlib.sha256(), [], 0
    with draft.open("wb") as out, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        with database.open("rb") as source, archive.open(DATABASE_ENTRY, "w", force_zip64=True) as entry:
            for chunk in chunks(source):
                found.update(chunk)
                entry.write(chunk)
                done += len(chunk)
                progress(done / total)
        for digest in digests:
            try:
                archive.writestr(f"photos/{digest}.jpg", picture(store, digest), zipfile.ZIP_STORED)
            except StoreError:
                missing.append(digest)  # a photo that is gone must not keep the rest from being saved
            done += PICTURE_BYTES
            progress(min(done / total, 1.0))
        archive.writestr(MANIFEST_ENTRY, json.dumps({
            "format": BACKUP_FORMAT, "version": BACKUP_VERSION, "made_at": at.isoformat(),
            "documents": documents, "revisions": revisions, "photos": len(digests) - len(missing),
            "missing": missing, "migrations": steps, "database_sha256": found.hexdigest(),
        }, indent=1))
    with draft.open("rb+") as written:
        os.fsync(written.fileno())


@contextmanager
def work_folder(beside: Path) -> Iterator[Path]:
    """Give a folder for drafts on the same disk as ``beside``, and clear it away."""
    beside.mkdir(parents=True, exist_ok=True)
    for left in beside.glob(".backup-*"):
        # Left by a program that was killed; a younger one may still be in use.
        if left.is_dir() and time.time() - left.stat().st_mtime > STALE_S:
            shutil.rmtree(left, ignore_errors=True)
    with tempfile.TemporaryDirectory(dir=beside, prefix=".backup-") as work:
        yield Path(work)
