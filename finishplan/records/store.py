"""The job store: jobs and the shop, each a line of revisions that is only ever added to.

Every read hands out the revision read, every save hands it back; a save on top of somebody else's is told,
not done. The moment and the person are handed in. What a method returns has been kept on the disk.
"""

from __future__ import annotations

import copy
import secrets
import threading
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager, nullcontext
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Engine, Row, func, insert, select

from finishplan.errors import UnknownName
from finishplan.records import database, schema
from finishplan.records.bodies import find_text, folded, pack, plain_line, title_of, who_line
from finishplan.records.changes import changes_of, one_line
from finishplan.records.conflicts import Conflict
from finishplan.records.faults import NothingToRedo, NothingToUndo, spoken
from finishplan.records.kept import STATES, JobPage, JobRow, Opened, RevisionLine
from finishplan.records.migrations import migrate
from finishplan.records.revisions import (
    add_revision,
    body_of,
    document_row,
    find_revision,
    history_lines,
    opened,
    revision_row,
)
from finishplan.records.where import Where, prepare

SHOP_ID = "shop"
EMPTY_SHOP = {"format": "finishplan-shop", "version": 1}
Body = Mapping[str, Any]


def open_store(where: Where, at: datetime) -> Store:
    """Return the store at ``where``, made or brought to its present shape if need be.

    Raises a StoreError of one sentence: a newer or damaged database, a network folder, no permission or room.
    """
    prepare(where)
    engine = database.make_engine(where)
    place = database.place_of(where)
    try:
        with spoken(place):
            migrate(engine, at, place)
    except BaseException:
        engine.dispose()
        raise
    return Store(where, engine, place)


class Store:
    """Jobs and the shop, kept. Safe to use from several threads, programs and, on PostgreSQL, machines."""

    def __init__(self, where: Where, engine: Engine, place: str) -> None:
        self.where, self.engine, self.place = where, engine, place
        # SQLite's own wait for the write lock is a poll; threads of one program queue here instead.
        self._turn = nullcontext() if database.is_postgres(engine) else threading.Lock()

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection that only reads; faults are told in one sentence."""
        with spoken(self.place), database.reading(self.engine) as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give a connection inside one transaction; faults are told in one sentence."""
        with spoken(self.place), self._turn, database.writing(self.engine) as connection:
            yield connection

    def close(self) -> None:
        """Let go of all connections; the next use opens new ones."""
        self.engine.dispose()

    # Opening and looking

    def open(self, document_id: str) -> Opened:
        """Return a job as it stands; raises NoSuchDocument."""
        with self.reading() as connection:
            return opened(connection, document_row(connection, document_id))

    def open_revision(self, document_id: str, number: int) -> Opened:
        """Return a job as revision ``number`` shows it; raises NoSuchRevision."""
        with self.reading() as connection:
            return opened(connection, document_row(connection, document_id), number)

    def history(
        self, document_id: str, limit: int = 100, before: int | None = None
    ) -> tuple[RevisionLine, ...]:
        """Return the newest lines of a job's history, newest first; ``before`` gives the next page."""
        with self.reading() as connection:
            return history_lines(connection, document_row(connection, document_id), limit, before)

    def compare(self, document_id: str, old: int, new: int) -> tuple[str, ...]:
        """Return what changed from revision ``old`` to revision ``new``, one line a change."""
        with self.reading() as connection:
            doc = document_row(connection, document_id)
            return changes_of(doc.kind, body_of(connection, doc, old), body_of(connection, doc, new))

    def jobs(
        self, find: str = "", states: Collection[str] = (), *, archived: bool = False,
        limit: int = 50, offset: int = 0,
    ) -> JobPage:
        """Return a page of jobs, last changed first.

        ``find`` keeps those that hold each of its words in title, customer, instrument or due date, large
        letters or small; ``states`` empty means all.
        """
        table = schema.document
        asked = select(table).where(table.c.kind == "job", table.c.archived.is_(archived))
        for word in folded(find).split():
            asked = asked.where(table.c.find.contains(word, autoescape=True))
        if states:
            asked = asked.where(table.c.state.in_(list(states)))
        with self.reading() as connection:
            total = connection.scalar(select(func.count()).select_from(asked.subquery())) or 0
            rows = connection.execute(
                asked.order_by(table.c.changed_at.desc(), table.c.id).limit(limit).offset(offset)
            ).all()
        return JobPage(tuple(_job_row(row) for row in rows), total)

    # Starting

    def start(
        self, body: Body, who: str, at: datetime, wording: str = "", *, kind: str = "job",
        state: str = "survey",
    ) -> Opened:
        """Keep a new job (or an imported one) and return it. Raises a FinishplanError for a bad body."""
        packed = pack(kind, body)
        with self.writing() as connection:
            return _start(connection, secrets.token_hex(8), kind, body, packed, who_line(who), at,
                          wording or f"started {title_of(body)!r}", _state(state))

    def copy(
        self, document_id: str, who: str, at: datetime, title: str | None = None, number: int | None = None
    ) -> Opened:
        """Return a new job that starts as a copy of another, or of one of its revisions, without its log."""
        with self.writing() as connection:
            doc = document_row(connection, document_id)
            source = opened(connection, doc, number)
            body = {**source.body, "title": title or f"{plain_line(source.title, 190)} (copy)"}
            made = _start(connection, secrets.token_hex(8), doc.kind, body, pack(doc.kind, body),
                          who_line(who), at, f"copied from {source.title!r}, revision {source.revision}",
                          "survey")
            table = schema.photo
            for row in connection.execute(select(table).where(table.c.document_id == document_id)).mappings():
                connection.execute(insert(table).values({**row, "document_id": made.id}))
            return made

    def shop(self, who: str, at: datetime) -> Opened:
        """Return our shop, started empty on first use; it has revisions as a job has."""
        with self.reading() as connection:
            if find_revision(connection, SHOP_ID, 1) is not None:
                return opened(connection, document_row(connection, SHOP_ID))
        packed = pack("shop", EMPTY_SHOP)
        with self.writing() as connection:
            database.one_at_a_time(connection)
            if find_revision(connection, SHOP_ID, 1) is None:
                _start(connection, SHOP_ID, "shop", EMPTY_SHOP, packed, who_line(who), at,
                       "started with the shipped figures", "survey")
            return opened(connection, document_row(connection, SHOP_ID))

    # Editing

    def save(
        self, document_id: str, body: Body, read: int, who: str, at: datetime, wording: str | None = None
    ) -> Opened:
        """Keep ``body`` as the next revision and return it; ``read`` is the revision that was opened.

        Without ``wording`` the change itself is the wording. Saving what stands already adds nothing. Raises
        Conflict where somebody else's edit stands: nothing is overwritten, and ``body`` is kept beside.
        """
        with self.writing() as connection:
            doc = document_row(connection, document_id, to_write=True)
            packed = pack(doc.kind, body)
            head, base = revision_row(connection, doc.id, doc.head), find_revision(connection, doc.id, read)
            standing = revision_row(connection, doc.id, head.shows)
            if standing.digest == packed[1]:
                return opened(connection, doc)
            if base is not None and base.shows == head.shows:
                return _edit(connection, doc, head, body, packed, who_line(who), at, wording)
            conflict = _keep_beside(connection, doc, body, packed, read, base, who_line(who), at, wording)
        raise conflict  # only here, when what was typed is kept

    def change(
        self, document_id: str, edit: Callable[[dict[str, Any]], Body], who: str, at: datetime,
        wording: str | None = None,
    ) -> Opened:
        """Apply ``edit`` to what stands, in one transaction, and return the result.

        For adding, and for single fields, where the newest revision is always the right one to add to.
        ``edit`` is a plain function from body to body that uses no store.
        """
        with self.writing() as connection:
            doc = document_row(connection, document_id, to_write=True)
            head = revision_row(connection, doc.id, doc.head)
            body = edit(copy.deepcopy(body_of(connection, doc, doc.head)))
            packed = pack(doc.kind, body)
            if revision_row(connection, doc.id, head.shows).digest == packed[1]:
                return opened(connection, doc)
            return _edit(connection, doc, head, body, packed, who_line(who), at, wording)

    def undo(self, document_id: str, read: int, who: str, at: datetime) -> Opened:
        """Take the last edit back, as a revision of its own. Raises NothingToUndo, or Conflict when what
        stands is not what ``read`` showed."""
        with self.writing() as connection:
            doc, head = _as_read(connection, document_id, read)
            shown = revision_row(connection, doc.id, head.shows)
            if shown.parent is None:
                raise NothingToUndo(f"nothing to undo: {doc.title!r} stands as it was started")
            told = f"undid: {shown.wording}"
            return _walk(connection, doc, "undo", told, shown.parent, head.number, who, at)

    def redo(self, document_id: str, read: int, who: str, at: datetime) -> Opened:
        """Bring back what the last Undo took, as a revision of its own. Raises NothingToRedo, or Conflict."""
        with self.writing() as connection:
            doc, head = _as_read(connection, document_id, read)
            if head.again is None:
                raise NothingToRedo(f"nothing to redo: no edit of {doc.title!r} was undone since the last")
            back = revision_row(connection, doc.id, head.again)
            wording = revision_row(connection, doc.id, back.shows).wording
            return _walk(connection, doc, "redo", f"redid: {wording}", back.shows, back.again, who, at)

    def go_back(self, document_id: str, number: int, read: int, who: str, at: datetime) -> Opened:
        """Make what revision ``number`` shows stand again, as a new edit that can be undone."""
        old = self.open_revision(document_id, number)
        told = f"went back to revision {number}: {old.wording}"
        return self.save(document_id, old.body, read, who, at, told)

    def set_state(self, document_id: str, state: str, who: str, at: datetime) -> Opened:
        """Say how far a job is; the history tells it, Undo passes it by. Raises UnknownName."""
        return self._tell(document_id, f"now {_state(state)}", who, at, state=state)

    def archive(self, document_id: str, who: str, at: datetime) -> Opened:
        """Put a job out of sight; nothing is deleted."""
        return self._tell(document_id, "archived", who, at, archived=True)

    def bring_back(self, document_id: str, who: str, at: datetime) -> Opened:
        """Bring an archived job back into the list."""
        return self._tell(document_id, "brought back from the archive", who, at, archived=False)

    def _tell(self, document_id: str, wording: str, who: str, at: datetime, **changed: object) -> Opened:
        with self.writing() as connection:
            doc = document_row(connection, document_id, to_write=True)
            if any(getattr(doc, name) != value for name, value in changed.items()):
                head = revision_row(connection, doc.id, doc.head)
                doc = add_revision(connection, doc, kind="state", wording=wording, who=who_line(who), at=at,
                                   shows=head.shows, again=head.again, columns=changed)
            return opened(connection, doc)

    # What the store remembers of itself

    def setting(self, key: str) -> str | None:
        """Return a remembered value, or None."""
        with self.reading() as connection:
            return connection.scalar(select(schema.setting.c.value).where(schema.setting.c.key == key))

    def remember(self, key: str, value: str) -> None:
        """Remember a value, in place of the one before."""
        with self.writing() as connection:
            database.one_at_a_time(connection)
            connection.execute(schema.setting.delete().where(schema.setting.c.key == key))
            connection.execute(insert(schema.setting).values(key=key, value=value))


def _start(
    connection: Connection, document_id: str, kind: str, body: Body, packed: tuple[bytes, str], who: str,
    at: datetime, wording: str, state: str,
) -> Opened:
    connection.execute(insert(schema.document).values(
        id=document_id, kind=kind, title=title_of(body), find=find_text(body), state=state, archived=False,
        head=0, last=0, created_at=at, changed_at=at, changed_by=who,
    ))
    doc = document_row(connection, document_id)
    doc = add_revision(connection, doc, kind="edit", wording=wording, who=who, at=at, packed=packed,
                       body=body)
    return opened(connection, doc)


def _edit(
    connection: Connection, doc: Row[Any], head: Row[Any], body: Body, packed: tuple[bytes, str], who: str,
    at: datetime, wording: str | None,
) -> Opened:
    told = wording or one_line(changes_of(doc.kind, body_of(connection, doc, doc.head), body))
    doc = add_revision(connection, doc, kind="edit", wording=told, who=who, at=at, parent=head.shows,
                       packed=packed, body=body)
    return opened(connection, doc)


def _keep_beside(
    connection: Connection, doc: Row[Any], body: Body, packed: tuple[bytes, str], read: int,
    base: Row[Any] | None, who: str, at: datetime, wording: str | None,
) -> Conflict:
    """Keep what was typed as a revision beside what stands; return the conflict to raise once it is kept."""
    start = None if base is None else body_of(connection, doc, read)
    told = wording or (one_line(changes_of(doc.kind, start, body)) if start else f"from revision {read}")
    doc = add_revision(connection, doc, kind="beside", wording=f"kept beside: {told}", who=who, at=at,
                       parent=None if base is None else base.shows, packed=packed, beside=True)
    return Conflict(opened(connection, doc), read, start, dict(body), doc.last)


def _as_read(connection: Connection, document_id: str, read: int) -> tuple[Row[Any], Row[Any]]:
    """Return document and head, held for writing; raises Conflict where they do not show what was read."""
    doc = document_row(connection, document_id, to_write=True)
    head, base = revision_row(connection, doc.id, doc.head), find_revision(connection, doc.id, read)
    if base is None or base.shows != head.shows:
        start = None if base is None else body_of(connection, doc, read)
        raise Conflict(opened(connection, doc), read, start, None, None)
    return doc, head


def _walk(
    connection: Connection, doc: Row[Any], kind: str, wording: str, shows: int, again: int | None, who: str,
    at: datetime,
) -> Opened:
    doc = add_revision(connection, doc, kind=kind, wording=wording, who=who_line(who), at=at, shows=shows,
                       again=again, body=body_of(connection, doc, shows))
    return opened(connection, doc)


def _state(state: str) -> str:
    if state not in STATES:
        raise UnknownName("state", state, STATES)
    return state


def _job_row(row: Row[Any]) -> JobRow:
    return JobRow(row.id, row.title, row.state, row.archived, row.head, row.created_at, row.changed_at,
                  row.changed_by)
