"""What the store hands out: an opened job, a line of its history, a row of the Jobs page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

STATES = {
    "survey": "what is there is being written down",
    "planned": "the plan is agreed",
    "at the bench": "work is being done",
    "done": "handed over",
}
"""How far a job is, in the order of the work."""

REVISION_KINDS = {
    "edit": "something was typed",
    "undo": "an edit was taken back",
    "redo": "an edit was brought back",
    "state": "how far the job is, archived or brought back",
    "beside": "typed while somebody else saved; kept beside",
}


@dataclass(frozen=True)
class Opened:
    """A job or shop as one revision shows it. Hand ``revision`` back when saving."""

    id: str
    kind: str
    revision: int
    body: dict[str, Any]
    title: str
    state: str
    archived: bool
    wording: str
    """What the shown revision did, one line."""
    who: str
    at: datetime
    is_head: bool
    """Whether this is what stands now; False for an old revision opened to look at."""
    digest: str
    """The fingerprint of the body: equal bodies have equal ones."""
    undo: str | None
    """The wording of the edit that Undo would take back, None where there is none."""
    redo: str | None
    """The wording of the edit that Redo would bring back, None where there is none."""


@dataclass(frozen=True)
class RevisionLine:
    """One line of a job's history, without its body."""

    number: int
    kind: str
    shows: int
    """The edit whose content it shows: itself, for an edit."""
    wording: str
    who: str
    at: datetime
    is_head: bool


@dataclass(frozen=True)
class JobRow:
    """One row of the Jobs page."""

    id: str
    title: str
    state: str
    archived: bool
    revision: int
    created_at: datetime
    changed_at: datetime
    changed_by: str


@dataclass(frozen=True)
class JobPage:
    """Rows of the Jobs page, and how many there are in all."""

    rows: tuple[JobRow, ...]
    total: int


@dataclass(frozen=True)
class LogLine:
    """One line of the bench log; set aside where ``set_aside`` gives a reason."""

    number: int
    key: str
    at: datetime
    who: str
    kind: str
    panel: str
    step: str
    values: dict[str, Any]
    revision: int
    """The job's revision that stood when the line was written."""
    set_aside: str | None
    set_aside_by: str | None


@dataclass(frozen=True)
class PhotoRow:
    """One photo of a job; the picture is found by its digest."""

    digest: str
    name: str
    width: int
    height: int
    who: str
    at: datetime
