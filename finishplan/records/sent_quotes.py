"""Quotes that were sent: each kept whole as it was sent, numbered, never changed, only followed by the next."""

from __future__ import annotations

from base64 import b64decode, b64encode
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError
from sqlalchemy import Connection, insert, select

from finishplan.errors import BadFile
from finishplan.models import Name, Record, say_first
from finishplan.office.quote import Quote
from finishplan.office.quote_money import money_words
from finishplan.office.quote_tables import as_csv, as_data, as_xlsx
from finishplan.records import database
from finishplan.records.bodies import find_text, pack, title_of, who_line
from finishplan.records.faults import StoreError
from finishplan.records.revisions import add_revision, document_row, opened
from finishplan.records.schema import document
from finishplan.records.store import Store

Counted = Annotated[int, Field(strict=True, ge=1)]
SENT_FORMAT = "finishplan-sent-quote"
KIND = "quote"


class NumberTaken(StoreError):
    """Somebody else sent a quote in between; it has the number that this one was printed with."""


class SentBody(Record):
    """A sent quote as it is kept: of which job and shop, its files as bytes, and its numbers as data."""

    format: Literal["finishplan-sent-quote"] = "finishplan-sent-quote"
    version: Literal[1] = 1
    title: str
    job: Name
    job_revision: int
    shop_revision: int
    number: Counted
    revision: Counted
    day: Name
    kind: Name
    chosen: Name
    total: str
    paper: Name
    pdf: str
    xlsx: str
    csv: str
    data: dict[str, Any]
    """The quote as ``finishplan quote --json --owner`` writes it."""


@dataclass(frozen=True)
class Sent:
    """One sent quote as it is handed out."""

    id: str
    body: SentBody
    who: str
    at: datetime

    @property
    def pdf(self) -> bytes:
        """The very bytes that were sent."""
        return b64decode(self.body.pdf)

    @property
    def xlsx(self) -> bytes:
        """The spreadsheet that belongs to it."""
        return b64decode(self.body.xlsx)


def read_sent(raw: Any) -> SentBody:
    """Return a kept quote; raises BadFile of one line for what is none."""
    if not isinstance(raw, Mapping) or raw.get("format") != SENT_FORMAT:
        raise BadFile("this is no sent quote; quotes are sent on the Quote page")
    try:
        return SentBody.model_validate(dict(raw))
    except ValidationError as error:
        raise BadFile(f"sent quote: {say_first(error, dict(raw), SentBody)}") from None


def next_number(store: Store, job_id: str) -> tuple[int, int]:
    """Return the number and revision of the next quote of a job: a number a job, counted over the shop."""
    with store.reading() as connection:
        document_row(connection, job_id)
        return _next(connection, job_id)


def send(
    store: Store, job_id: str, make: Callable[[str, int], Quote], press: Callable[[Quote, str], bytes],
    revisions: tuple[int, int], paper: str, who: str, at: datetime,
) -> Sent:
    """Keep the quote that ``make`` makes for a number and revision, whole as it goes out, and return it.

    ``press`` prints it as PDF on a paper. ``revisions`` are those of job and shop that it was made of. Raises
    NumberTaken where another quote was sent meanwhile, and what printing raises; then nothing is kept.
    """
    number, revision = next_number(store, job_id)
    quote = make(str(number), revision)
    sums = quote.main.totals
    body = SentBody(
        title=quote.title, job=job_id, job_revision=revisions[0], shop_revision=revisions[1], number=number,
        revision=revision, day=quote.day.isoformat(), kind=quote.kind, chosen=quote.chosen, paper=paper,
        total="" if sums is None else money_words(sums.total, quote.currency, quote.locale),
        pdf=b64encode(press(quote, paper)).decode(), xlsx=b64encode(as_xlsx(quote, False)).decode(),
        csv=as_csv(quote), data=as_data(quote, True),
    ).model_dump(mode="json")
    packed, name = pack(KIND, body), sent_id(job_id, revision)
    with store.writing() as connection:
        database.one_at_a_time(connection)
        document_row(connection, job_id, to_write=True)
        if _next(connection, job_id) != (number, revision):
            raise NumberTaken("another quote was sent meanwhile and has this number; look at it, then send again")
        connection.execute(insert(document).values(
            id=name, kind=KIND, title=title_of(body), find=find_text(body), state="done", archived=False, head=0,
            last=0, created_at=at, changed_at=at, changed_by=who_line(who)))
        add_revision(connection, document_row(connection, name), kind="edit", wording=f"sent as no. {number}",
                     who=who_line(who), at=at, packed=packed, body=body)
    return open_sent(store, name)


def open_sent(store: Store, name: str) -> Sent:
    """Return a sent quote as it was sent; raises NoSuchDocument."""
    found = store.open(name)
    return Sent(found.id, read_sent(found.body), found.who, found.at)


def sent_of(store: Store, job_id: str) -> tuple[Sent, ...]:
    """Return the sent quotes of a job, the newest first."""
    with store.reading() as connection:
        names = _names(connection, job_id)
    found = [open_sent(store, name) for name in names]
    return tuple(sorted(found, key=lambda sent: -sent.body.revision))


def sent_id(job_id: str, revision: int) -> str:
    """Return the name under which a job's quote of a revision is kept."""
    return f"quote-{job_id}-{revision}"


def _names(connection: Connection, job_id: str = "") -> list[str]:
    asked = select(document.c.id).where(document.c.kind == KIND)
    if job_id:
        asked = asked.where(document.c.id.startswith(f"quote-{job_id}-", autoescape=True))
    return list(connection.scalars(asked))


def _next(connection: Connection, job_id: str) -> tuple[int, int]:
    """Return the next number and revision: jobs are numbered as they are first quoted, quotes of a job counted."""
    mine = _names(connection, job_id)
    if mine:
        first = opened(connection, document_row(connection, sent_id(job_id, 1)))
        return int(first.body["number"]), len(mine) + 1
    return len({name.rpartition("-")[0] for name in _names(connection)}) + 1, 1
