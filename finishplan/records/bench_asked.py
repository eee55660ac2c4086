"""Readings at the bench that were asked about: kept until somebody answers, whatever becomes of the page."""

from __future__ import annotations

import json
import secrets
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from finishplan.bench.log import kept_values
from finishplan.records.at_bench import AtBench
from finishplan.records.bench_log import NewLine, put_line
from finishplan.records.bench_work import Outcome, add_line, checked_line
from finishplan.records.database import one_at_a_time
from finishplan.records.schema import setting
from finishplan.records.store import Store


@dataclass(frozen=True)
class Asked:
    """A reading that waits for an answer."""

    id: str
    words: str
    raw: dict[str, Any]
    who: str
    meant_um: float | None

    @property
    def um(self) -> float:
        """The reading as it was typed [um]."""
        return float(self.raw["values"]["um"])


def read_or_ask(
    store: Store, bench: AtBench, raw: Mapping[str, Any], who: str, at: datetime, key: str | None = None
) -> Outcome:
    """Keep a reading, or keep it with the question it raises until that is answered."""
    outcome = add_line(store, bench, raw, who, at, key)
    if outcome.asked:
        one = Asked(key or secrets.token_hex(8), " ".join(outcome.asked), dict(raw), who, outcome.meant_um)
        with store.writing() as connection:
            _change(connection, bench.job_id, lambda held: [*_without(held, one), one])
    return outcome


def waiting(store: Store, job_id: str) -> list[Asked]:
    """Return the readings of a job that wait for an answer, the oldest first."""
    return _read(store.setting(_name(job_id)))


def answer(store: Store, bench: AtBench, one: Asked, um: float | None, at: datetime) -> None:
    """Keep an asked-about reading as ``um``, or leave it out with None; the question is answered either way."""
    line = None if um is None else checked_line(
        bench, {**one.raw, "values": {**one.raw["values"], "um": um}}, one.who, at)
    with store.writing() as connection:  # the reading and the end of its question: both are kept, or neither
        if line is not None:
            put_line(connection, bench.job_id, NewLine(line.kind, kept_values(line), line.panel, line.step, one.id),
                     one.who, at)
        _change(connection, bench.job_id, lambda held: _without(held, one))


def _change(connection: Connection, job_id: str, edit: Callable[[list[Asked]], list[Asked]]) -> None:
    """Change what waits, read and written in one transaction: two tablets that ask at once lose no question."""
    one_at_a_time(connection)
    name = setting.c.key == _name(job_id)
    held = edit(_read(connection.scalar(select(setting.c.value).where(name))))
    connection.execute(delete(setting).where(name))
    connection.execute(insert(setting).values(key=_name(job_id), value=json.dumps([asdict(one) for one in held])))


def _read(kept: str | None) -> list[Asked]:
    return [Asked(**raw) for raw in json.loads(kept)] if kept else []


def _without(held: list[Asked], one: Asked) -> list[Asked]:
    return [other for other in held if other.id != one.id]


def _name(job_id: str) -> str:
    return f"asked at the bench of {job_id}"
