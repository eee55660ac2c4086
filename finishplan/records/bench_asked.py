"""Readings at the bench that were asked about: kept until somebody answers, whatever becomes of the page."""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from finishplan.records.at_bench import AtBench
from finishplan.records.bench_work import Outcome, add_line
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
        rest = [held for held in waiting(store, bench.job_id) if held.id != one.id]
        _keep(store, bench.job_id, [*rest, one])
    return outcome


def waiting(store: Store, job_id: str) -> list[Asked]:
    """Return the readings of a job that wait for an answer, the oldest first."""
    kept = store.setting(_name(job_id))
    return [Asked(**raw) for raw in json.loads(kept)] if kept else []


def answer(store: Store, bench: AtBench, one: Asked, um: float | None, at: datetime) -> None:
    """Keep an asked-about reading as ``um``, or leave it out with None; the question is answered either way."""
    if um is not None:
        raw = {**one.raw, "values": {**one.raw["values"], "um": um}}
        add_line(store, bench, raw, one.who, at, one.id, sure=True)
    _keep(store, bench.job_id, [held for held in waiting(store, bench.job_id) if held.id != one.id])


def _keep(store: Store, job_id: str, asked: list[Asked]) -> None:
    store.remember(_name(job_id), json.dumps([asdict(one) for one in asked]))


def _name(job_id: str) -> str:
    return f"asked at the bench of {job_id}"
