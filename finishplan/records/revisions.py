"""The rows of a job's history: reading one, adding one, and where Undo and Redo lead."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, insert, select, update

from finishplan.records.bodies import find_text, plain_line, title_of, unpack
from finishplan.records.faults import NoSuchDocument, NoSuchRevision, StandsAsSent
from finishplan.records.kept import Opened, RevisionLine
from finishplan.records.schema import document, revision

FINAL = ("quote",)
"""Kinds of document that are never changed once they are kept."""


def document_row(connection: Connection, document_id: str, *, to_write: bool = False) -> Row[Any]:
    """Return the row of a document, held against other writers if asked.

    Raises NoSuchDocument, and StandsAsSent for writing to what is never changed.
    """
    asked = select(document).where(document.c.id == document_id)
    row = connection.execute(asked.with_for_update() if to_write else asked).one_or_none()
    if row is None:
        raise NoSuchDocument(
            f"no job {plain_line(document_id, 40)!r} is kept here; find it on the Jobs page, "
            "it may stand in another data folder or before a restore"
        )
    if to_write and row.kind in FINAL:
        raise StandsAsSent("a sent quote stays as it was sent; make the change in the job, and send the next one")
    return row


def find_revision(connection: Connection, document_id: str, number: int) -> Row[Any] | None:
    """Return the row of one revision, or None."""
    asked = select(revision).where(revision.c.document_id == document_id, revision.c.number == number)
    return connection.execute(asked).one_or_none()


def revision_row(connection: Connection, document_id: str, number: int) -> Row[Any]:
    """Return the row of one revision; raises NoSuchRevision."""
    row = find_revision(connection, document_id, number)
    if row is None:
        raise NoSuchRevision(f"this job has no revision {number}; choose one of its history")
    return row


def body_of(connection: Connection, doc: Row[Any], number: int) -> dict[str, Any]:
    """Return what revision ``number`` shows."""
    row = revision_row(connection, doc.id, number)
    shown = row if row.body is not None else revision_row(connection, doc.id, row.shows)
    return unpack(shown.body, shown.digest, f"revision {shown.number} of {doc.title!r}")


def opened(connection: Connection, doc: Row[Any], number: int | None = None) -> Opened:
    """Return a job or shop as its head, or revision ``number``, shows it."""
    row = revision_row(connection, doc.id, doc.head if number is None else number)
    shown = row if row.shows == row.number else revision_row(connection, doc.id, row.shows)
    redo = None if row.again is None else revision_row(connection, doc.id, row.again)
    redone = None if redo is None else revision_row(connection, doc.id, redo.shows)
    body = unpack(shown.body, shown.digest, f"revision {shown.number} of {doc.title!r}")
    return Opened(
        id=doc.id, kind=doc.kind, revision=row.number, body=body, title=title_of(body), state=doc.state,
        archived=doc.archived, wording=row.wording, who=row.who, at=row.at, is_head=row.number == doc.head,
        digest=shown.digest, undo=shown.wording if shown.parent is not None else None,
        redo=None if redone is None else redone.wording,
    )


def add_revision(
    connection: Connection, doc: Row[Any], *, kind: str, wording: str, who: str, at: datetime,
    shows: int | None = None, parent: int | None = None, again: int | None = None,
    packed: tuple[bytes, str] | None = None, body: Mapping[str, Any] | None = None,
    beside: bool = False, columns: Mapping[str, object] | None = None,
) -> Row[Any]:
    """Append one row to the history and return the document's new row.

    ``shows`` None means itself. ``body`` is what it shows, for title and search; ``columns`` are further
    columns of the document that change with it. A row ``beside`` is kept without becoming what stands.
    """
    number = doc.last + 1
    blob, digest = packed or (None, None)
    connection.execute(insert(revision).values(
        document_id=doc.id, number=number, kind=kind, shows=number if shows is None else shows, parent=parent,
        again=again, wording=plain_line(wording), who=who, at=at, digest=digest, body=blob,
    ))
    changed: dict[str, object] = {**(columns or {}), "last": number}
    if not beside:
        changed.update(head=number, changed_at=at, changed_by=who)
        if body is not None:
            changed.update(title=title_of(body), find=find_text(body))
    connection.execute(update(document).where(document.c.id == doc.id).values(**changed))
    return document_row(connection, doc.id)


def history_lines(
    connection: Connection, doc: Row[Any], limit: int, before: int | None
) -> tuple[RevisionLine, ...]:
    """Return the newest ``limit`` lines of the history, those under number ``before`` if it is given."""
    columns = [revision.c[name] for name in ("number", "kind", "shows", "wording", "who", "at")]
    asked = select(*columns).where(revision.c.document_id == doc.id)
    if before is not None:
        asked = asked.where(revision.c.number < before)
    rows = connection.execute(asked.order_by(revision.c.number.desc()).limit(limit))
    return tuple(
        RevisionLine(row.number, row.kind, row.shows, row.wording, row.who, row.at, row.number == doc.head)
        for row in rows
    )
