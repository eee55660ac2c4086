"""The store's tables as the code reads and writes them; migrations make them in the database."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    Dialect,
    ForeignKey,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    TypeDecorator,
)

from finishplan.errors import BadValue


class Moment(TypeDecorator[datetime]):
    """A moment with its zone, kept as UTC text of one width, so that text order is time order."""

    impl = String
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        """Return the text of a moment; raises BadValue for one without a zone."""
        return None if value is None else moment_text(value)

    def process_result_value(self, value: Any | None, dialect: Dialect) -> datetime | None:
        """Return the moment of a text."""
        return None if value is None else datetime.fromisoformat(str(value))


def moment_text(at: datetime) -> str:
    """Return ``at`` as UTC text; raises BadValue for a moment without a zone."""
    if at.tzinfo is None:
        raise BadValue("moment", at.isoformat(), "give it with its time zone")
    return at.astimezone(UTC).isoformat(timespec="microseconds")


meta = MetaData()

migration = Table(
    "migration", meta,
    Column("name", String, primary_key=True),
    Column("number", Integer, nullable=False),
    Column("applied_at", Moment, nullable=False),
)
"""Which migrations this database has had."""

document = Table(
    "document", meta,
    Column("id", String, primary_key=True),
    Column("kind", String, nullable=False),
    Column("title", String, nullable=False),
    Column("find", String, nullable=False),
    Column("state", String, nullable=False),
    Column("archived", Boolean, nullable=False),
    Column("head", Integer, nullable=False),
    Column("last", Integer, nullable=False),
    Column("created_at", Moment, nullable=False),
    Column("changed_at", Moment, nullable=False),
    Column("changed_by", String, nullable=False),
)
"""One job or shop: what a list shows of it, which revision stands, and the highest number given out."""

revision = Table(
    "revision", meta,
    Column("document_id", String, ForeignKey("document.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("kind", String, nullable=False),
    Column("shows", Integer, nullable=False),
    Column("parent", Integer),
    Column("again", Integer),
    Column("wording", String, nullable=False),
    Column("who", String, nullable=False),
    Column("at", Moment, nullable=False),
    Column("digest", String),
    Column("body", LargeBinary),
)
"""Append-only. An edit holds a body and shows itself; the others show the body of an edit.

``parent`` is the edit that an edit was made from: Undo goes there. ``again`` is the row whose state Redo
brings back: an undo points at the row that it undid.
"""

log_line = Table(
    "log_line", meta,
    Column("document_id", String, ForeignKey("document.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("key", String, nullable=False),
    Column("at", Moment, nullable=False),
    Column("who", String, nullable=False),
    Column("kind", String, nullable=False),
    Column("panel", String, nullable=False),
    Column("step", String, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("body", String, nullable=False),
)
"""Append-only: what was done at the bench."""

log_mark = Table(
    "log_mark", meta,
    Column("document_id", String, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("mark", Integer, primary_key=True),
    Column("reason", String),
    Column("who", String, nullable=False),
    Column("at", Moment, nullable=False),
)
"""Append-only: why a log line is set aside; a mark without a reason takes it back in."""

photo = Table(
    "photo", meta,
    Column("document_id", String, ForeignKey("document.id"), primary_key=True),
    Column("digest", String, primary_key=True),
    Column("name", String, nullable=False),
    Column("width", Integer, nullable=False),
    Column("height", Integer, nullable=False),
    Column("who", String, nullable=False),
    Column("at", Moment, nullable=False),
)
"""Which photos belong to a job; the picture itself is a file named by its digest."""

photo_data = Table(
    "photo_data", meta,
    Column("digest", String, primary_key=True),
    Column("data", LargeBinary, nullable=False),
)
"""The pictures themselves, on PostgreSQL alone, so that every bench of a shop sees them."""

setting = Table(
    "setting", meta,
    Column("key", String, primary_key=True),
    Column("value", String, nullable=False),
)
"""What the store remembers of itself, such as when it was last backed up."""

pin = Table(
    "pin", meta,
    Column("person", String, primary_key=True),
    Column("pin_hash", String),
    Column("wrong", Integer, nullable=False),
    Column("locked_until", Moment),
    Column("set_by", String, nullable=False),
    Column("set_at", Moment, nullable=False),
)
"""Whose PIN has which hash, how many wrong ones came in a row, and until when the name is locked."""

pin_attempt = Table(
    "pin_attempt", meta,
    Column("person", String, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("at", Moment, nullable=False),
    Column("tried", String, nullable=False),
    Column("what", String, nullable=False),
    Column("who", String, nullable=False),
)
"""Append-only: what came of each PIN typed, and when one was set. No PIN is in it."""

signature = Table(
    "signature", meta,
    Column("document_id", String, ForeignKey("document.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("kind", String, nullable=False),
    Column("what", String, nullable=False),
    Column("who", String, nullable=False),
    Column("at", Moment, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("reason", String, nullable=False),
    Column("body", String, nullable=False),
)
"""Append-only: who signed for what of a job, why, and at which revision."""

KEPT = (document, revision, log_line, log_mark, photo, setting, pin, pin_attempt, signature)
"""The tables of a backup, parents before children."""
