"""Every edit on its way into the store: kept at once, another's change told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import streamlit as st

from finishplan.records.conflicts import Conflict
from finishplan.records.kept import Opened
from finishplan.screens.parts import held, kept
from finishplan.survey.edits import Edit, EditClash

Making = Callable[[dict[str, Any]], Edit]
"""An edit as a function of the job."""
CONFLICT = "survey conflict"


@dataclass(frozen=True)
class Aside:
    """An edit that met another's: the conflict, and the same edit to be done whatever stands there."""

    conflict: Conflict
    anyway: Making | None


def do(making: Making, read: int | None = None, anyway: Making | None = None) -> Opened | None:
    """Keep an edit of the open job, in one transaction on what stands; return the job after it.

    ``read`` is the revision that the form was filled from. Where another changed the same thing since, the edit
    is kept beside what stands, both are shown, and None is returned. Raises a FinishplanError for what no job can hold.
    """
    store, job_id = kept.store(), str(st.session_state[kept.JOB])
    stands = store.open(job_id)
    try:
        told = making(stands.body).wording
        return store.change(job_id, lambda body: making(body).body, kept.who(), kept.now(), told)
    except EditClash:
        read = int(st.session_state.get(kept.READ, 0)) if read is None else read
        mine = making(store.open_revision(job_id, read).body)
    try:
        return store.save(job_id, mine.body, read, kept.who(), kept.now(), mine.wording)
    except Conflict as conflict:
        st.session_state[CONFLICT] = Aside(conflict, anyway)
        return None


def conflict() -> Aside | None:
    """Return the edit that waits for a choice, or None."""
    found = st.session_state.get(CONFLICT)
    return found if isinstance(found, Aside) else None


def choose_mine() -> None:
    """Put what was typed in place of what another saved; both stay in the history."""
    waiting = conflict()
    if waiting is None or waiting.conflict.mine is None:
        return
    store, theirs, anyway = kept.store(), waiting.conflict.theirs, waiting.anyway
    told = f"kept ours over revision {theirs.revision} of {theirs.who}"
    try:
        if anyway is None:
            raise EditClash("no way to do it on what stands")
        store.change(theirs.id, lambda body: anyway(body).body, kept.who(), kept.now(), told)
    except EditClash:
        stands = store.open(theirs.id)
        store.save(theirs.id, waiting.conflict.mine, stands.revision, kept.who(), kept.now(), told)
    leave_theirs()


def leave_theirs() -> None:
    """Let stand what another saved; what was typed stays in the history beside it."""
    st.session_state.pop(CONFLICT, None)
    held.renew_all()


def undo() -> None:
    """Take the last edit back."""
    kept.store().undo(str(st.session_state[kept.JOB]), int(st.session_state[kept.READ]), kept.who(), kept.now())
    held.renew_all()


def redo() -> None:
    """Bring back what Undo took."""
    kept.store().redo(str(st.session_state[kept.JOB]), int(st.session_state[kept.READ]), kept.who(), kept.now())
    held.renew_all()
