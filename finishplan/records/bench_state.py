"""How far a job is, said in the same transaction as what brought it there: work begun, work done."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection

from finishplan.records.bodies import who_line
from finishplan.records.revisions import add_revision, document_row, revision_row

BENCH_STATE, DONE_STATE = "at the bench", "done"


def put_state(connection: Connection, document_id: str, state: str, who: str, at: datetime) -> None:
    """Say how far a job is, where it is not so far yet; the history tells it, Undo passes it by."""
    doc = document_row(connection, document_id, to_write=True)
    if doc.state != state:
        head = revision_row(connection, document_id, doc.head)
        add_revision(connection, doc, kind="state", wording=f"now {state}", who=who_line(who), at=at, shows=head.shows,
                     again=head.again, columns={"state": state})
