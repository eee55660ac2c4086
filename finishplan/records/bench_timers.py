"""Timers of bench tasks, kept at start and at pause: a reload or a flat battery loses none."""

from __future__ import annotations

import json
from datetime import datetime

from finishplan.bench.timer import Timer, pause, read_timer, start, timer_as_dict
from finishplan.records.store import Store


def timer_of(store: Store, job_id: str, task: str) -> Timer:
    """Return the timer of a task as it is kept."""
    kept = store.setting(_name(job_id, task))
    return read_timer(json.loads(kept) if kept else None)


def start_timer(store: Store, job_id: str, task: str, at: datetime) -> Timer:
    """Start the timer of a task, or let it go on."""
    return _keep(store, job_id, task, start(timer_of(store, job_id, task), at))


def pause_timer(store: Store, job_id: str, task: str, at: datetime) -> Timer:
    """Stop the timer of a task; what it ran stays on it."""
    return _keep(store, job_id, task, pause(timer_of(store, job_id, task), at))


def clear_timer(store: Store, job_id: str, task: str) -> None:
    """Set the timer of a task back: its minutes are in the log."""
    if timer_of(store, job_id, task).used:
        _keep(store, job_id, task, Timer())


def _keep(store: Store, job_id: str, task: str, timer: Timer) -> Timer:
    store.remember(_name(job_id, task), json.dumps(timer_as_dict(timer)))
    return timer


def _name(job_id: str, task: str) -> str:
    return f"timer of {job_id}, {task}"
