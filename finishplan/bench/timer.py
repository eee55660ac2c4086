"""The timer of a step: its start and its pauses are kept, not its ticking, so it outlives any reload."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from finishplan import wording
from finishplan.bench.log_lines import DAY_MIN

SECONDS_PER_MIN = 60.0
LEAST_MIN = 0.1
"""Least minutes that a timer logs."""


@dataclass(frozen=True)
class Timer:
    """Minutes worked before the last start, and that start where the timer runs."""

    before_min: float = 0.0
    started: datetime | None = None
    first: datetime | None = None
    """When it was started for the first time."""

    @property
    def runs(self) -> bool:
        """Whether it runs now."""
        return self.started is not None

    @property
    def used(self) -> bool:
        """Whether it was ever started."""
        return self.first is not None


def start(timer: Timer, now: datetime) -> Timer:
    """Return the timer running from ``now``; one that runs goes on as it is."""
    return timer if timer.runs else Timer(timer.before_min, now, timer.first or now)


def pause(timer: Timer, now: datetime) -> Timer:
    """Return the timer stopped at ``now``, what it ran added up."""
    return Timer(elapsed_min(timer, now), None, timer.first)


def elapsed_min(timer: Timer, now: datetime) -> float:
    """Return the minutes on a timer [min]; a clock that was set back takes nothing off.

    >>> nine = datetime.fromisoformat("2031-05-12T09:00:00+02:00")
    >>> elapsed_min(start(Timer(12.0), nine), nine.replace(minute=30))
    42.0
    """
    ran = 0.0 if timer.started is None else (now - timer.started).total_seconds() / SECONDS_PER_MIN
    return timer.before_min + max(0.0, ran)


def left_overnight(timer: Timer, now: datetime) -> bool:
    """Tell whether a timer runs that was started on an earlier day, by the clock of ``now``."""
    return timer.started is not None and timer.started.astimezone(now.tzinfo).date() < now.date()


def whole_minutes(timer: Timer, now: datetime) -> int:
    """Return what the minutes box shows: whole minutes, at least 1 once it ran, at most a day."""
    minutes = elapsed_min(timer, now)
    return 0 if minutes < LEAST_MIN else int(min(DAY_MIN, max(1.0, round(minutes))))


def timer_words(timer: Timer, now: datetime) -> str:
    """Return how a timer stands, in words."""
    told = wording.minutes_words(elapsed_min(timer, now))
    if timer.started is not None:
        since = timer.started.astimezone(now.tzinfo)
        when = f"{since:%H:%M}" if since.date() == now.date() else f"{since:%d %b %H:%M}"
        return f"Runs since {when}: {told}"
    return f"Paused at {told}" if timer.used else "Not started"


def timer_as_dict(timer: Timer) -> dict[str, Any]:
    """Return a timer as plain data."""
    def said(at: datetime | None) -> str | None:
        return None if at is None else at.isoformat()

    return {"before_min": timer.before_min, "started": said(timer.started), "first": said(timer.first)}


def read_timer(raw: Mapping[str, Any] | None) -> Timer:
    """Return a timer from plain data; a fresh one where there is none."""
    def moment(name: str) -> datetime | None:
        return datetime.fromisoformat(raw[name]) if raw and raw.get(name) else None

    return Timer(float(raw["before_min"]), moment("started"), moment("first")) if raw else Timer()
