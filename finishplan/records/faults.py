"""What can go wrong with the store, one class a fact, and the store's own errors put into words."""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import exc

from finishplan.errors import FinishplanError


class StoreError(FinishplanError):
    """Something about the store that a person can mend."""


class StoreLocked(StoreError):
    """Another program holds the database."""


class StoreFull(StoreError):
    """No room left where the database or the photos are kept."""


class StoreReadOnly(StoreError):
    """The folder, the file or the database may not be written."""


class StoreCorrupt(StoreError):
    """The database or one of its entries cannot be read as what it should be."""


class StoreUnreachable(StoreError):
    """The database server does not answer, or does not let us in."""


MAY_PASS = (StoreLocked, StoreFull, StoreReadOnly, StoreUnreachable)
"""Faults after which the store may answer again, with nothing done here."""


class NewerStore(StoreError):
    """The database was written by a newer version of the program."""


class NetworkFolder(StoreError):
    """The data folder stands on a network drive, where SQLite cannot be trusted."""


class BadAddress(StoreError):
    """The address of the database is not one we can use."""


class NoSuchDocument(StoreError):
    """No job or shop of that number is kept here."""


class NoSuchRevision(StoreError):
    """The job has no revision of that number."""


class StandsAsSent(StoreError):
    """A sent quote cannot be changed."""


class NothingToUndo(StoreError):
    """The first revision is shown; before it there is nothing."""


class NothingToRedo(StoreError):
    """Nothing was undone, or something was typed since."""


TYPED = "what you typed is still on the page"

SQLITE_FAULTS: tuple[tuple[str, type[StoreError], str], ...] = (
    ("SQLITE_BUSY", StoreLocked,
     f"the database {{place}} is held by another program; close it there and save again, {TYPED}"),
    ("SQLITE_LOCKED", StoreLocked,
     f"the database {{place}} is held by another program; close it there and save again, {TYPED}"),
    ("SQLITE_FULL", StoreFull,
     f"no room is left for the database {{place}}; free some space and save again, {TYPED}"),
    ("SQLITE_READONLY", StoreReadOnly,
     f"the database {{place}} may not be written; ask for write permission on its folder, "
     f"or choose another with --data, {TYPED}"),
    ("SQLITE_PERM", StoreReadOnly,
     "the database {place} may not be opened; ask for permission on its folder, "
     "or choose another with --data"),
    ("SQLITE_CANTOPEN", StoreReadOnly,
     "the database {place} cannot be opened; see that its folder is there and may be written, "
     "or choose another with --data"),
    ("SQLITE_CORRUPT", StoreCorrupt,
     "the database {place} is damaged; restore the last backup, the damaged file is kept beside it"),
    ("SQLITE_NOTADB", StoreCorrupt,
     "the file {place} is no database of this program; restore the last backup, or choose another folder "
     "with --data"),
    ("SQLITE_IOERR", StoreFull,
     f"the disk of the database {{place}} does not answer as it should; see that it has room and is "
     f"connected, then save again, {TYPED}"),
)
"""SQLite's result codes by the start of their name, the class and the sentence."""

POSTGRES_FAULTS: tuple[tuple[str, type[StoreError], str], ...] = (
    ("53100", StoreFull,
     f"no room is left on the database server {{place}}; free some and save again, {TYPED}"),
    ("53300", StoreUnreachable, f"the database server {{place}} has no free connection; try again, {TYPED}"),
    ("25006", StoreReadOnly, f"the database server {{place}} only lets us read; ask its keeper, {TYPED}"),
    ("42501", StoreReadOnly,
     "the database user of {place} may not do this; let its owner grant CREATE on the database"),
    ("28", StoreUnreachable,
     "the database server {place} refuses the user or the password; see FINISHPLAN_DB"),
    ("3D000", StoreUnreachable,
     "the database server {place} has no database of that name; see FINISHPLAN_DB"),
    ("55P03", StoreLocked, f"the database {{place}} is held by another program; save again, {TYPED}"),
    ("57014", StoreLocked, f"the database {{place}} took too long; save again, {TYPED}"),
    ("40", StoreLocked, f"the database {{place}} was busy with another save; save again, {TYPED}"),
    ("XX00", StoreCorrupt, "the database {place} is damaged; restore the last backup"),
    ("08", StoreUnreachable,
     f"the database server {{place}} does not answer; start it and try again, {TYPED}"),
    ("57P", StoreUnreachable,
     f"the database server {{place}} was stopped; start it and try again, {TYPED}"),
)
"""PostgreSQL's SQLSTATE codes by their start, the class and the sentence."""

OS_FAULTS: dict[int, tuple[type[StoreError], str]] = {
    errno.ENOSPC: (StoreFull, "no room is left for {place}; free some space and try again"),
    errno.EDQUOT: (StoreFull, "no room is left for {place}; free some space and try again"),
    errno.EFBIG: (StoreFull, "{place} would grow too large for its disk; choose another folder"),
    errno.EACCES: (StoreReadOnly, "{place} may not be written; ask for permission, or choose another folder"),
    errno.EPERM: (StoreReadOnly, "{place} may not be written; ask for permission, or choose another folder"),
    errno.EROFS: (StoreReadOnly, "{place} stands on a disk that may only be read; choose another folder"),
    errno.ENOENT: (StoreReadOnly, "{place} is not there any more; see that its disk is connected"),
    errno.ENOTDIR: (StoreReadOnly, "{place} is no folder; choose another folder"),
    errno.EEXIST: (StoreReadOnly, "{place} is in the way; move it, or choose another folder"),
}
"""The system's error numbers, the class and the sentence."""


def said(error: BaseException, place: str) -> FinishplanError | None:
    """Return the store's own error for ``error``, or None where it has none (a fault of the program)."""
    if isinstance(error, exc.TimeoutError):
        return StoreUnreachable(f"too many pages ask the database {place} at once; try again, {TYPED}")
    if isinstance(error, exc.StatementError):
        return said(error.orig, place) if error.orig is not None else None
    if isinstance(error, FinishplanError):
        return error  # raised while a value was made ready for the database
    if isinstance(error, sqlite3.Error):
        return _first_match(getattr(error, "sqlite_errorname", "") or "", SQLITE_FAULTS, place)
    if isinstance(error, OSError):
        found = OS_FAULTS.get(error.errno or 0)
        return found[0](found[1].format(place=place)) if found else None
    return _said_by_postgres(error, place)


def _said_by_postgres(error: BaseException, place: str) -> StoreError | None:
    if type(error).__module__.partition(".")[0] != "psycopg":
        return None
    state: Any = getattr(error, "sqlstate", None)
    if state:
        return _first_match(str(state), POSTGRES_FAULTS, place)
    words = str(error)
    if "password" in words or "authentication" in words:
        return _first_match("28", POSTGRES_FAULTS, place)
    if "database" in words and "does not exist" in words:
        return _first_match("3D000", POSTGRES_FAULTS, place)
    # Without a code it was the connection itself: refused, cut, or timed out.
    return _first_match("08", POSTGRES_FAULTS, place) if type(error).__name__ == "OperationalError" else None


def _first_match(
    code: str, faults: tuple[tuple[str, type[StoreError], str], ...], place: str
) -> StoreError | None:
    for start, kind, sentence in faults:
        if code.startswith(start):
            return kind(sentence.format(place=place))
    return None


@contextmanager
def spoken(place: str) -> Iterator[None]:
    """Turn the database's and the system's errors into one sentence that names ``place``."""
    try:
        yield
    except (exc.StatementError, exc.TimeoutError, sqlite3.Error, OSError) as error:
        told = said(error, place)
        if told is None:
            raise
        raise told from error
