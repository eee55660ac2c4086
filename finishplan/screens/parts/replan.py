"""A choice made on a page: tried first, kept where it can be planned, told beside its field where it cannot."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.records.files import as_text, read_job_bytes
from finishplan.screens.parts import answers, doing, guard, kept, opening
from finishplan.screens.parts.answers import Source
from finishplan.screens.parts.guard import callback
from finishplan.screens.parts.markup import p, put
from finishplan.screens.parts.opening import OPEN, WRONG
from finishplan.survey.edits import Edit, change_job, change_panel, panel_at

Change = Callable[[Any, Any], Edit]
"""A choice as a function of the job as it stands and of the job as it was read."""

SHOWN = "plan shown"
"""The job as the page showed it: what a choice made on it starts from."""
HISTORY = "plan before"
"""What was open before each choice, with what the choice was."""
NOT_SAID = ""
"""What a panel's choice holds where the job or the face decides."""
STILL = "The plan shown is still the one before."
STANDS = " (your own sequence stands; empty its field first)"


@callback
def job_field(key: str, path: str, value: Any = None) -> None:
    """Set one field of the job, by its dotted path, to ``value``, or to what its widget holds."""
    chosen = value if value is not None else st.session_state[key]
    attempt(key, lambda body, was: change_job(body, was, {path: chosen}))


@callback
def panel_field(key: str, panel: str, name: str) -> None:
    """Set one field of a panel to what its widget holds; not said leaves it to the job or the face."""
    chosen = st.session_state[key] or None
    attempt(key, lambda body, was: change_panel(body, panel, panel_at(was, panel), {name: chosen}))


@callback
def test_spot_out(key: str) -> None:
    """Take the test spot out of the job."""
    attempt(key, lambda body, was: Edit({**body, "test_spot": None}, "test spot taken out"))


@callback
def undo() -> None:
    """Take the last choice back."""
    wrong().clear()
    if opened().stored:
        doing.undo()
    elif history():
        _, st.session_state[OPEN] = history().pop()


def undoes() -> str:
    """Return what Undo would take back, or nothing."""
    stored = kept.current()
    if stored is not None:
        return stored.undo or ""
    return history()[-1][0] if history() else ""


def attempt(key: str, edit: Change) -> None:
    """Plan the job as ``edit`` makes it, and keep it where it can be planned; another's change is told."""
    source = opened()
    shown = st.session_state.get(SHOWN, source)
    was, stands = (read_job_bytes(held.job, held.job_name) for held in (shown, source))
    try:
        made = edit(stands, was)
        candidate = replace(source, job=as_text(made.body).encode())
        if candidate == source or not planned(key, candidate):
            return
        if source.stored:
            kept.store().change(source.stored, lambda body: edit(body, was).body, kept.who(), kept.now(), made.wording)
        else:
            remember(source, candidate, made.wording)
    except FinishplanError as error:
        wrong()[key] = str(error)


def planned(key: str, candidate: Source) -> bool:
    """Tell whether ``candidate`` can be planned; where it cannot, what is wrong waits beside ``key``."""
    try:
        answers.answer_of(candidate)
    except FinishplanError as error:
        own = candidate.sequence and candidate.sequence == opened().sequence
        wrong()[key] = f"{error}{STANDS if own else ''}"
        return False
    wrong().pop(key, None)
    return True


def remember(source: Source, candidate: Source, wording: str) -> None:
    """Make ``candidate`` what is open, and remember what was open before; of a job file nothing is kept."""
    if candidate != source:
        history().append((wording, source))
        st.session_state[OPEN] = candidate


def opened() -> Source:
    """Return what is open; a choice is only ever offered on an open job."""
    source = opening.opened()
    if source is None:
        raise FinishplanError("no job is open any more; open it again")
    return source


def wrong() -> dict[str, str]:
    """Return what is said beside the fields, by field."""
    found: dict[str, str] = st.session_state.setdefault(WRONG, {})
    return found


def history() -> list[tuple[str, Source]]:
    """Return the choices made since the job was opened, each with what was open before it."""
    found: list[tuple[str, Source]] = st.session_state.setdefault(HISTORY, [])
    return found


def beside(key: str) -> None:
    """Write what is wrong with the last choice of a field, beside it."""
    if key in wrong():
        guard.show(wrong()[key])
        put("", p(STILL, "small quiet"))
