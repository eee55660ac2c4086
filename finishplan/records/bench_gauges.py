"""A gauge at other jobs: where it was read with too, a shim check has to be logged as well."""

from __future__ import annotations

from finishplan import wording
from finishplan.bench.gauge_check import Gauge
from finishplan.bench.log import from_kept
from finishplan.bench.log_lines import ReadingLine
from finishplan.bench.log_sums import counted
from finishplan.errors import FinishplanError
from finishplan.records.bench_log import lines
from finishplan.records.bench_state import BENCH_STATE
from finishplan.records.store import Store

MOST_JOBS = 50
"""So many jobs at the bench are looked through, those changed last."""


def read_elsewhere(store: Store, job_id: str, gauge: Gauge) -> tuple[str, ...]:
    """Return the titles of the other jobs at the bench whose log counts readings of a gauge."""
    found = []
    for row in store.jobs(states=(BENCH_STATE,), limit=MOST_JOBS).rows:
        if row.id != job_id and gauge in _gauges(store, row.id):
            found.append(row.title)
    return tuple(found)


def _gauges(store: Store, job_id: str) -> set[Gauge]:
    try:
        log = counted(from_kept(lines(store, job_id)))
    except FinishplanError:  # an odd log is told of where it is opened
        return set()
    return {(line.values.method, line.values.gauge) for line in log if isinstance(line, ReadingLine)}


def elsewhere_words(titles: tuple[str, ...]) -> tuple[str, ...]:
    """Return what to do about other jobs; nothing where there are none.

    >>> elsewhere_words(("Upright", "Salon grand"))
    ("Read with it too, at the bench: 'Upright' and 'Salon grand'. Log the check there as well.",)
    """
    named = wording.listed([f"{title!r}" for title in titles])
    return (f"Read with it too, at the bench: {named}. Log the check there as well.",) if titles else ()
