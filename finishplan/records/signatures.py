"""Signatures of a job: who signed for what, why, and at which revision; only ever added to."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select

from finishplan.errors import BadValue, FinishplanError, UnknownName
from finishplan.records.bodies import plain_line, who_line
from finishplan.records.revisions import document_row
from finishplan.records.schema import signature
from finishplan.records.store import Store
from finishplan.safety.sign_off import STOP, SignOff

SIGNATURE_KINDS = {
    "hold": "a hold point of the bench, or the consent to a new plan",
    STOP: "a stop caution: what was done about it",
    "inspection": "a panel was inspected before hand-over",
    "hand-over": "the instrument was handed over",
}
"""What a signature can be for."""
MAX_BODY_LETTERS = 100_000


@dataclass(frozen=True)
class Signature:
    """One signature of a job."""

    number: int
    kind: str
    what: str
    """What was signed for: the key of a hold point, the id of a caution."""
    who: str
    at: datetime
    revision: int
    """The revision of the job that was signed for."""
    reason: str
    body: dict[str, Any]


def sign(
    store: Store, document_id: str, kind: str, what: str, who: str, reason: str, revision: int, at: datetime,
    body: Mapping[str, Any] | None = None,
) -> Signature:
    """Add a signature to a job and return it once it is kept.

    Whether ``who`` may sign is asked before, with a PIN (``pins.sign_with_pin``). The same words of the same
    person for the same thing at the same revision are one signature, however often they are sent. Raises
    UnknownName for a kind that is not one of SIGNATURE_KINDS, BadValue for nobody, nothing or a bad revision.
    """
    with store.writing() as connection:
        return put_signature(connection, document_id, kind, what, who, reason, revision, at, body)


def put_signature(
    connection: Connection, document_id: str, kind: str, what: str, who: str, reason: str, revision: int,
    at: datetime, body: Mapping[str, Any] | None = None,
) -> Signature:
    """Add a signature as ``sign`` does, within a transaction: with the line of the log that goes with it."""
    if kind not in SIGNATURE_KINDS:
        raise UnknownName("kind of signature", kind, SIGNATURE_KINDS)
    if not plain_line(what):
        raise BadValue("what is signed", what, "say what is signed for")
    if isinstance(revision, bool) or not isinstance(revision, int) or revision < 0:
        raise BadValue("revision", revision, "give a whole number, 0 or more")
    row = {"kind": kind, "what": plain_line(what), "who": who_line(who), "revision": revision,
           "reason": plain_line(reason, 1000), "body": _packed(body or {})}
    document_row(connection, document_id, to_write=True)
    same = select(signature.c.number).where(
        signature.c.document_id == document_id, *(signature.c[name] == value for name, value in row.items()))
    number = connection.scalar(same)
    if number is None:
        number = 1 + (connection.scalar(select(func.max(signature.c.number)).where(
            signature.c.document_id == document_id)) or 0)
        connection.execute(insert(signature).values(document_id=document_id, number=number, at=at, **row))
    return _told(_rows(connection, document_id, number=number)[0])


def signatures_of(store: Store, document_id: str, kind: str | None = None) -> tuple[Signature, ...]:
    """Return the signatures of a job in the order they were given, of one kind or of all."""
    with store.reading() as connection:
        document_row(connection, document_id)
        return tuple(_told(row) for row in _rows(connection, document_id, kind))


def stop_signatures(store: Store, document_id: str) -> tuple[SignOff, ...]:
    """Return what was signed for the stop cautions of a job, as the safety core reads it."""
    return tuple(
        SignOff(one.what, one.who, one.at.date().isoformat(), one.reason, one.revision,
                str(one.body.get("ground") or ""))
        for one in signatures_of(store, document_id, STOP)
    )


def _packed(body: Mapping[str, Any]) -> str:
    try:
        text = json.dumps(dict(body), allow_nan=False, sort_keys=True)
    except (ValueError, TypeError, RecursionError) as error:
        raise FinishplanError(f"the signature holds what cannot be kept ({error}); correct it") from None
    if len(text) > MAX_BODY_LETTERS:
        raise BadValue("length of what is signed", len(text), f"at most {MAX_BODY_LETTERS} letters are kept")
    return text


def _rows(
    connection: Connection, document_id: str, kind: str | None = None, number: int | None = None
) -> list[Row[Any]]:
    asked = select(signature).where(signature.c.document_id == document_id)
    if kind is not None:
        asked = asked.where(signature.c.kind == kind)
    if number is not None:
        asked = asked.where(signature.c.number == number)
    return list(connection.execute(asked.order_by(signature.c.number)).all())


def _told(row: Row[Any]) -> Signature:
    return Signature(row.number, row.kind, row.what, row.who, row.at, row.revision, row.reason, json.loads(row.body))
