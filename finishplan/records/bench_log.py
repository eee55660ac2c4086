"""The bench log of a job: lines that are only added, and may be set aside with a reason."""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select

from finishplan.errors import BadValue, FinishplanError
from finishplan.records.bodies import plain_line, who_line
from finishplan.records.kept import LogLine
from finishplan.records.revisions import document_row
from finishplan.records.schema import log_line, log_mark
from finishplan.records.store import Store

MAX_VALUES_BYTES = 100_000


@dataclass(frozen=True)
class NewLine:
    """A line to be kept: what it says, where, and the key under which it is kept once."""

    kind: str
    values: Mapping[str, Any]
    panel: str = ""
    step: str = ""
    key: str = ""


def write_line(
    store: Store, document_id: str, kind: str, values: Mapping[str, Any], who: str, at: datetime,
    *, panel: str = "", step: str = "", key: str | None = None,
) -> LogLine:
    """Add a line to the log of a job and return it once it is kept.

    ``kind`` says what it is (a reading, minutes, a note, a signature), ``values`` what was measured. A line of
    the same ``key`` is added once only, however often it is sent: a tap or a press sent twice is one line.
    """
    with store.writing() as connection:
        return put_line(connection, document_id, NewLine(kind, values, panel, step, key or ""), who, at)


def put_line(connection: Connection, document_id: str, new: NewLine, who: str, at: datetime) -> LogLine:
    """Add a line within a transaction, or find the one that was kept under its key before."""
    name = plain_line(new.kind, 60)
    if not name:
        raise BadValue("kind of log line", new.kind, "say what was done")
    body = _packed(new.panel, new.step, new.values)
    doc = document_row(connection, document_id, to_write=True)
    wanted = plain_line(new.key, 120) if new.key else secrets.token_hex(8)
    before = find_line(connection, document_id, wanted)
    if before is not None:
        return before
    number = 1 + _last(connection, log_line, document_id)
    connection.execute(insert(log_line).values(
        document_id=document_id, number=number, key=wanted, at=at, who=who_line(who), kind=name,
        panel=plain_line(new.panel), step=plain_line(new.step), revision=doc.head, body=body,
    ))
    return _lines(connection, document_id, number=number)[0]


def find_line(connection: Connection, document_id: str, key: str) -> LogLine | None:
    """Return the line that was kept under a key, or None."""
    number = connection.scalar(select(log_line.c.number).where(
        log_line.c.document_id == document_id, log_line.c.key == plain_line(key, 120)))
    return None if number is None else _lines(connection, document_id, number=number)[0]


def lines(store: Store, document_id: str, after: int = 0, limit: int | None = None) -> tuple[LogLine, ...]:
    """Return the lines of a job's log in the order they were written, those after number ``after``."""
    with store.reading() as connection:
        document_row(connection, document_id)
        return _lines(connection, document_id, after=after, limit=limit)


def set_aside(
    store: Store, document_id: str, number: int, reason: str | None, who: str, at: datetime
) -> LogLine:
    """Set a line aside with a reason, or take it back in with None; the line itself stays as it was."""
    with store.writing() as connection:
        return put_mark(connection, document_id, number, reason, who, at)


def put_mark(
    connection: Connection, document_id: str, number: int, reason: str | None, who: str, at: datetime
) -> LogLine:
    """Set a line aside or take it back in, within a transaction."""
    told = None if reason is None else plain_line(reason, 1000)
    if told == "":
        raise BadValue("reason", reason, "say why the line does not count")
    document_row(connection, document_id, to_write=True)
    if not _lines(connection, document_id, number=number):
        raise BadValue("log line", number, "the log of this job has no line of that number")
    mark = 1 + (connection.scalar(select(func.max(log_mark.c.mark)).where(
        log_mark.c.document_id == document_id, log_mark.c.number == number)) or 0)
    connection.execute(insert(log_mark).values(
        document_id=document_id, number=number, mark=mark, reason=told, who=who_line(who), at=at))
    return _lines(connection, document_id, number=number)[0]


def _packed(panel: str, step: str, values: Mapping[str, Any]) -> str:
    try:
        text = json.dumps({"panel": panel, "step": step, "values": dict(values)}, allow_nan=False)
    except (ValueError, TypeError, RecursionError) as error:
        raise FinishplanError(f"the log line holds what cannot be kept ({error}); correct it") from None
    if len(text) > MAX_VALUES_BYTES:
        raise BadValue("length of the log line", len(text), f"at most {MAX_VALUES_BYTES} letters are kept")
    return text


def _last(connection: Connection, table: Any, document_id: str) -> int:
    asked = select(func.max(table.c.number)).where(table.c.document_id == document_id)
    return connection.scalar(asked) or 0


def _lines(
    connection: Connection, document_id: str, *, after: int = 0, limit: int | None = None,
    number: int | None = None,
) -> tuple[LogLine, ...]:
    asked = select(log_line).where(log_line.c.document_id == document_id, log_line.c.number > after)
    marked = select(log_mark).where(log_mark.c.document_id == document_id)
    if number is not None:
        asked = asked.where(log_line.c.number == number)
        marked = marked.where(log_mark.c.number == number)
    rows = connection.execute(asked.order_by(log_line.c.number).limit(limit)).all()
    # In the order of their marks, so that the last one counts.
    marks = {mark.number: mark for mark in connection.execute(marked.order_by(log_mark.c.mark))}
    return tuple(_told(row, marks.get(row.number)) for row in rows)


def _told(row: Row[Any], mark: Row[Any] | None) -> LogLine:
    body = json.loads(row.body)
    aside = mark.reason if mark is not None else None
    return LogLine(
        number=row.number, key=row.key, at=row.at, who=row.who, kind=row.kind, panel=body["panel"],
        step=body["step"], values=body["values"], revision=row.revision, set_aside=aside,
        set_aside_by=mark.who if mark is not None and aside is not None else None,
    )
