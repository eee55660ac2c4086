"""The field for a sequence of one's own: read as it was typed, planned, or told beside the field why not."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.planning.typed_sequence import read_typed_sequence
from finishplan.screens.parts import kept, opening, replan
from finishplan.screens.parts.answers import Source
from finishplan.screens.parts.guard import callback
from finishplan.screens.parts.opening import SEQUENCE

EXAMPLE = "such as 800 1000 1500 cut polish finish; empty for the best plan"


def own_sequence(source: Source) -> None:
    """Write the field; what is wrong with what was typed stands beside it."""
    st.session_state[SEQUENCE] = shown(source)
    st.text_input("Your own sequence, for every panel", key=SEQUENCE, placeholder=EXAMPLE, max_chars=400,
                  on_change=change)
    replan.beside(SEQUENCE)


@callback
def change() -> None:
    """Plan with the sequence that was typed; with the best one where the field was emptied."""
    typed = str(st.session_state[SEQUENCE]).strip()
    source = replan.opened()
    try:
        steps = read_typed_sequence(typed) if typed else ()
    except FinishplanError as error:
        replan.wrong()[SEQUENCE] = str(error)
        return
    if not replan.planned(SEQUENCE, replace(source, sequence=steps)):
        return
    if source.stored:
        kept.store().remember(opening.sequence_name(source.stored), ", ".join(steps))
        return
    wording = f"own sequence {typed}" if typed else "back to the best plan"
    replan.remember(source, replace(source, sequence=steps), wording)


def shown(source: Source) -> str:
    """Return what the sequence field shows: what was typed as long as it means the steps that are planned."""
    typed = str(st.session_state.get(SEQUENCE, ""))
    if SEQUENCE in replan.wrong():
        return typed
    try:
        same = read_typed_sequence(typed) == source.sequence
    except FinishplanError:
        same = False
    return typed if same else ", ".join(source.sequence)
