"""The backup file itself: its manifest, its database, its photos, read as if it came from a stranger."""

from __future__ import annotations

import errno
import hashlib
import json
import shutil
import sqlite3
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import IO, Any

from finishplan.errors import FinishplanError
from finishplan.records.faults import NewerStore
from finishplan.records.migrations import MIGRATIONS
from finishplan.records.schema import document, migration, revision

BACKUP_FORMAT = "finishplan-backup"
BACKUP_VERSION = 1
DATABASE_ENTRY = "database.sqlite3"
MANIFEST_ENTRY = "manifest.json"
CHUNK_BYTES = 1 << 20
MAX_MANIFEST_BYTES = 20_000_000
MAX_PICTURE_BYTES = 20_000_000
MOST_UNPACKED = 200
"""A database packs to about half; a large one that unpacks to 200 times its size is no backup."""
SMALL_BYTES = 50_000_000
FIRST_TABLES = {document.name, migration.name, revision.name}
"""What the oldest backup holds; the tables that came later are made when it is brought back."""
NO_BACKUP = "is no whole backup of this program; choose another file"


class BadBackup(FinishplanError):
    """A file that is no whole backup of this program; the message says what is wrong with it."""


@dataclass(frozen=True)
class Backup:
    """What a backup holds, as its manifest says."""

    path: Path
    made_at: datetime
    documents: int
    revisions: int
    photos: int
    missing: tuple[str, ...]
    """Photos that the database names, and whose files were gone when the backup was made."""
    migrations: tuple[str, ...]
    database_sha256: str
    size_bytes: int


def look_into(path: Path) -> Backup:
    """Return what a backup's manifest says, to show before a restore; raises BadBackup or NewerStore."""
    with opened(path) as archive:
        return manifest(archive, path)


@contextmanager
def opened(path: Path) -> Iterator[zipfile.ZipFile]:
    """Give the backup at ``path``, open to read; whatever is wrong with it becomes a BadBackup."""
    try:
        with zipfile.ZipFile(path) as archive:
            yield archive
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError):
        raise BadBackup(f"{path.name} {NO_BACKUP}") from None
    except (FileNotFoundError, IsADirectoryError):
        raise BadBackup(f"there is no file {path.name}; choose the backup again") from None
    except OSError as error:
        if error.errno != errno.EINVAL:
            raise
        # The list of entries points outside the file: it was cut.
        raise BadBackup(f"{path.name} {NO_BACKUP}") from None


def manifest(archive: zipfile.ZipFile, path: Path) -> Backup:
    """Return what the backup says of itself."""
    raw: Any = json.loads(b"".join(content(archive, path, MANIFEST_ENTRY, MAX_MANIFEST_BYTES)))
    if not isinstance(raw, dict) or raw.get("format") != BACKUP_FORMAT:
        raise BadBackup(f"{path.name} {NO_BACKUP}")
    try:
        told = Backup(
            path, datetime.fromisoformat(raw["made_at"]), int(raw["documents"]), int(raw["revisions"]),
            int(raw["photos"]), tuple(map(str, raw["missing"])), tuple(map(str, raw["migrations"])),
            str(raw["database_sha256"]), path.stat().st_size,
        )
    except (KeyError, TypeError, ValueError):
        raise BadBackup(f"{path.name} {NO_BACKUP}") from None
    unknown = [name for name in told.migrations if name not in {step.name for step in MIGRATIONS}]
    if unknown or raw.get("version") != BACKUP_VERSION:
        reason = f"it has {unknown[-1][:80]!r}" if unknown else f"version {str(raw.get('version'))[:20]}"
        raise NewerStore(
            f"{path.name} was made by a newer finishplan ({reason}); install that version to restore it"
        )
    return told


def unpack_database(archive: zipfile.ZipFile, path: Path, into: Path) -> Backup:
    """Unpack the database of a backup to ``into``: sound, unchanged, and no larger than it says."""
    told = manifest(archive, path)
    size = entry_of(archive, path, DATABASE_ENTRY).file_size
    if size > shutil.disk_usage(into.parent).free:
        raise BadBackup(f"{path.name} needs {size / 1e6:.0f} MB of free space to be read; free some")
    found = hashlib.sha256()
    with into.open("wb") as out:
        for chunk in content(archive, path, DATABASE_ENTRY, size):
            found.update(chunk)
            out.write(chunk)
    if found.hexdigest() != told.database_sha256:
        raise BadBackup(f"{path.name}: its database is not the one that was written; use another backup")
    _check_database(into, told)
    return told


def picture_names(archive: zipfile.ZipFile) -> list[str]:
    """Return the digests of the photos in a backup; names of any other shape are not looked at."""
    names = [name for name in archive.namelist() if name.startswith("photos/") and name.endswith(".jpg")]
    stems = [name.removeprefix("photos/").removesuffix(".jpg") for name in names]
    return [stem for stem in stems if len(stem) == 64 and set(stem) <= set("0123456789abcdef")]


def read_picture(archive: zipfile.ZipFile, path: Path, digest: str) -> bytes:
    """Return one photo of a backup; raises BadBackup where it is not what its name says."""
    data = b"".join(content(archive, path, f"photos/{digest}.jpg", MAX_PICTURE_BYTES))
    if hashlib.sha256(data).hexdigest() != digest:
        raise BadBackup(f"{path.name}: the photo {digest[:12]} in it is damaged; use another backup")
    return data


def entry_of(archive: zipfile.ZipFile, path: Path, name: str) -> zipfile.ZipInfo:
    """Return an entry of the kind that we write; raises BadBackup for one that is missing or a bomb."""
    entry = archive.NameToInfo.get(name)
    if entry is None or entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise BadBackup(f"{path.name} {NO_BACKUP}")
    if entry.file_size > max(SMALL_BYTES, MOST_UNPACKED * entry.compress_size):
        raise BadBackup(f"{path.name}: {name} in it unpacks to {entry.file_size / 1e6:.0f} MB; that is no backup")
    return entry


def content(archive: zipfile.ZipFile, path: Path, name: str, limit: int) -> Iterator[bytes]:
    """Give the content of an entry in pieces; raises BadBackup for more than ``limit`` bytes."""
    entry = entry_of(archive, path, name)
    if entry.file_size > limit:
        raise BadBackup(f"{path.name}: {name} in it has {entry.file_size / 1e6:.0f} MB; that is no backup")
    with archive.open(entry) as source:
        yield from chunks(source)


def chunks(source: IO[bytes]) -> Iterator[bytes]:
    """Give a file in pieces that fit the memory."""
    while chunk := source.read(CHUNK_BYTES):
        yield chunk


def _check_database(file: Path, told: Backup) -> None:
    name = told.path.name
    try:
        with closing(sqlite3.connect(file)) as made:
            made.execute("PRAGMA trusted_schema = OFF")
            kinds = dict(made.execute("SELECT name, type FROM sqlite_master WHERE type <> 'index'"))
            ours = set(kinds.values()) == {"table"} and kinds.keys() >= FIRST_TABLES
            sound = ours and made.execute("PRAGMA integrity_check(1)").fetchone()[0] == "ok"
            if not sound or made.execute("PRAGMA foreign_key_check").fetchone():
                raise BadBackup(f"{name}: the database in it is damaged; use another backup")
            counts = tuple(made.execute(f"SELECT count(*) FROM {table}").fetchone()[0]
                           for table in ("document", "revision"))
            steps = tuple(row[0] for row in made.execute("SELECT name FROM migration ORDER BY number"))
    except sqlite3.DatabaseError:
        raise BadBackup(f"{name}: the database in it is damaged; use another backup") from None
    if counts != (told.documents, told.revisions) or steps != told.migrations:
        raise BadBackup(f"{name}: it does not hold what it says; use another backup")
