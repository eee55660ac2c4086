"""Film records in the store: what each service of an instrument took, and the survey its next job starts from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any, Literal

from pydantic import ValidationError
from sqlalchemy import insert, select

from finishplan.bench.record import FilmRecord, enter_service, film_record, next_job
from finishplan.bench.record_card import Card, CardRow, card_of
from finishplan.errors import BadFile, FinishplanError
from finishplan.models import Name, Record, Text, say_first
from finishplan.planning.risk import DRAWS
from finishplan.records.at_bench import AtBench
from finishplan.records.bench_state import DONE_STATE, put_state
from finishplan.records.bodies import find_text, pack, plain_line, title_of, who_line
from finishplan.records.kept import Opened
from finishplan.records.revisions import add_revision, document_row
from finishplan.records.schema import document
from finishplan.records.store import Store
from finishplan.survey.job import Instrument, job_as_dict, read_job_dict
from finishplan.workup import SEED, with_risk

RECORD_FORMAT = "finishplan-record"


class KeptRecord(Record):
    """One service as it is kept: of which instrument and job, what it did, and the survey that comes after it."""

    format: Literal["finishplan-record"] = "finishplan-record"
    version: Literal[1] = 1
    title: Text
    instrument: Instrument
    job: Name
    day: Name
    by: Text = ""
    what: Text = ""
    card: dict[str, Any]
    """The card that stays in the instrument; ``card_in`` reads it."""
    services: list[dict[str, Any]]
    """All services of the instrument so far, this one last."""
    next_job: dict[str, Any]
    """The survey that the next job starts from."""


@dataclass(frozen=True)
class RecordRow:
    """One record in a list."""

    id: str
    title: str
    instrument: str
    day: str
    by: str


def read_record(raw: Any) -> KeptRecord:
    """Return a kept record; raises BadFile of one line for what is none."""
    if not isinstance(raw, Mapping) or raw.get("format") != RECORD_FORMAT:
        raise BadFile("this is no film record; a film record is kept at the end of a job on the Bench page")
    try:
        found = KeptRecord.model_validate(dict(raw))
    except ValidationError as error:
        raise BadFile(f"film record: {say_first(error, dict(raw), KeptRecord)}") from None
    read_job_dict(found.next_job)
    card_in(found)
    return found


def card_in(record: KeptRecord) -> Card:
    """Return the card of a kept record; raises BadFile for one that is none."""
    try:
        raw = record.card
        rows = tuple(CardRow(**row) for row in raw["rows"])
        return Card(**{**raw, "rows": rows, "earlier": tuple(raw["earlier"]), "notes": tuple(raw["notes"])})
    except (TypeError, KeyError):
        raise BadFile("film record: its card is damaged; enter the service again from its job") from None


def record_id(job_id: str) -> str:
    """Return the number under which a job's record is kept: one a job."""
    return f"record-{job_id}"


def finished_record(bench: AtBench, draws: int = DRAWS) -> FilmRecord:
    """Return what a finished job did; raises a FinishplanError while anything on its course is open."""
    if not bench.where.finished:
        raise FinishplanError("the course is not finished yet; the film record is entered after the last hold point")
    answer, first = bench.answer, bench.answers[0]
    # The first plan of the service: the last one, after a new plan, tells only of what was left to do.
    risk = with_risk(first.job, first.profile, first.plan, first.labour, draws, SEED, None) if draws else None
    day = bench.lines[-1].at.astimezone(bench.now.tzinfo).date() if bench.lines else bench.now.date()
    return film_record(answer.job, answer.profile, answer.plan, bench.lines, day, risk)


def enter_record(store: Store, bench: AtBench, who: str, at: datetime, draws: int = DRAWS) -> Opened:
    """Enter a finished job into its instrument's film record, once, and say that the job is done."""
    found = kept_record(store, bench.job_id)
    if found is not None:
        return found
    record = finished_record(bench, draws)
    answer = bench.answer
    title = plain_line(f"{answer.job.title}, next service", 300)
    following = next_job(answer.job, answer.profile, answer.plan, bench.lines, record, title)
    body = KeptRecord(
        title=plain_line(f"Film record: {answer.job.title}", 400), instrument=answer.job.instrument, job=bench.job_id,
        day=record.day.isoformat(), by=record.by, what=record.what, card=asdict(card_of(answer.job, record)),
        services=job_as_dict(enter_service(answer.job, record))["services"], next_job=job_as_dict(following),
    ).model_dump(mode="json", exclude_none=True)
    return keep(store, bench.job_id, body, who, at)


def keep(store: Store, job_id: str, body: dict[str, Any], who: str, at: datetime) -> Opened:
    """Keep a record as the one of its job, which is done by that; where two enter it at once, the first stands."""
    packed, name = pack("record", body), record_id(job_id)
    with store.writing() as connection:
        document_row(connection, job_id, to_write=True)
        if connection.scalar(select(document.c.id).where(document.c.id == name)) is None:
            connection.execute(insert(document).values(
                id=name, kind="record", title=title_of(body), find=find_text(body), state=DONE_STATE, archived=False,
                head=0, last=0, created_at=at, changed_at=at, changed_by=who_line(who)))
            add_revision(connection, document_row(connection, name), kind="edit", wording="entered at the bench",
                         who=who_line(who), at=at, packed=packed, body=body)
            put_state(connection, job_id, DONE_STATE, who, at)
    return store.open(name)


def kept_record(store: Store, job_id: str) -> Opened | None:
    """Return the record of a job, or None while none is entered."""
    with store.reading() as connection:
        found = connection.scalar(select(document.c.id).where(document.c.id == record_id(job_id)))
    return None if found is None else store.open(found)


def records_of(store: Store, instrument: str) -> tuple[RecordRow, ...]:
    """Return the records of an instrument by its number, the newest first; those of all for an empty one."""
    asked = select(document.c.id).where(document.c.kind == "record", document.c.archived.is_(False))
    with store.reading() as connection:
        names = list(connection.scalars(asked.order_by(document.c.created_at.desc(), document.c.id)))
    bodies = [(name, read_record(store.open(name).body)) for name in names]
    return tuple(RecordRow(name, body.title, body.instrument.id or "", body.day, body.by) for name, body in bodies
                 if not instrument or body.instrument.id == instrument)


def start_from_record(store: Store, name: str, who: str, at: datetime) -> Opened:
    """Start the next job on an instrument from its record: film as it was left, what stayed, and all services."""
    body = read_record(store.open(name).body)
    return store.start(body.next_job, who, at, f"started from the film record of {body.day}")


def read_after(bench: AtBench) -> dict[tuple[str, str], float]:
    """Return the mean film that was read after the work, by panel and zone [um]: what the card prints."""
    record = finished_record(bench, draws=0)
    return {(zone.panel, zone.zone): zone.film_um for zone in record.zones if zone.film_um is not None}
