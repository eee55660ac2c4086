"""A choice made on a page: tried first, kept where it can be planned, told beside its field where it cannot."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.planning.typed_sequence import read_typed_sequence
from finishplan.records.files import as_text, read_job_bytes
from finishplan.screens.parts import guard, opening
from finishplan.screens.parts.guard import callback
from finishplan.screens.parts.markup import p, put
from finishplan.screens.parts.opening import OPEN, Source
from finishplan.survey.edits import ANY, Edit, change_job, change_panel

WRONG = "plan wrong"
"""What is said beside each field whose last choice could not be planned."""
HISTORY = "plan before"
"""What was open before each choice, with what the choice was."""
SEQUENCE = "plan sequence"
NOT_SAID = ""
"""What a panel's choice holds where the job or the face decides."""
STILL = "The plan shown is still the one before."


@callback
def job_field(key: str, path: str, value: Any = None) -> None:
    """Set one field of the job, by its dotted path, to ``value``, or to what its widget holds."""
    chosen = value if value is not None else st.session_state[key]
    attempt(key, lambda body: change_job(body, ANY, {path: chosen}))


@callback
def panel_field(key: str, panel: str, name: str) -> None:
    """Set one field of a panel to what its widget holds; not said leaves it to the job or the face."""
    chosen = st.session_state[key] or None
    attempt(key, lambda body: change_panel(body, panel, ANY, {name: chosen}))


@callback
def test_spot_out(key: str) -> None:
    """Take the test spot out of the job."""
    attempt(key, lambda body: Edit({**body, "test_spot": None}, "test spot taken out"))


@callback
def own_sequence() -> None:
    """Plan with the sequence that was typed; with the best one where the field was emptied."""
    typed = str(st.session_state[SEQUENCE]).strip()
    source = opened()
    try:
        steps = read_typed_sequence(typed) if typed else ()
    except FinishplanError as error:
        wrong()[SEQUENCE] = str(error)
        return
    settle(SEQUENCE, replace(source, sequence=steps), f"own sequence {typed}" if typed else "back to the best plan")


@callback
def undo() -> None:
    """Take the last choice back."""
    before = history()
    if before:
        _, source = before.pop()
        st.session_state[OPEN] = source
        st.session_state[WRONG] = {}


def attempt(key: str, edit: Callable[[Any], Edit]) -> None:
    """Plan the job as ``edit`` makes it, and keep it where it can be planned."""
    source = opened()
    made = edit(read_job_bytes(source.job, source.job_name))
    settle(key, replace(source, job=as_text(made.body).encode()), made.wording)


def settle(key: str, candidate: Source, wording: str) -> None:
    """Keep ``candidate`` as what is open if it can be planned; else say beside ``key`` why not."""
    source = opened()
    try:
        opening.answer_of(candidate)
    except FinishplanError as error:
        hint = "" if key == SEQUENCE or not candidate.sequence else " (your own sequence stands; empty its field first)"
        wrong()[key] = f"{error}{hint}"
        return
    wrong().pop(key, None)
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


def sequence_text(source: Source) -> str:
    """Return what the sequence field shows: what was typed as long as it means the steps that are planned."""
    typed = str(st.session_state.get(SEQUENCE, ""))
    if SEQUENCE in wrong():
        return typed
    try:
        same = read_typed_sequence(typed) == source.sequence
    except FinishplanError:
        same = False
    return typed if same else ", ".join(source.sequence)
