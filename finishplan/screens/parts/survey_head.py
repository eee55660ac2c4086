"""The head of the survey: the job, what was kept last, Undo and Redo by name, and two people at one job."""

from __future__ import annotations

import streamlit as st

from finishplan.records.kept import Opened
from finishplan.screens.parts import doing, going, telling
from finishplan.screens.parts.markup import h, items, p, put
from finishplan.screens.parts.plain import moment, plain

SHOWN = 12
"""Lines of a difference that are shown; the rest is in the history."""


def masthead(opened: Opened) -> None:
    """Write the job's title, what was kept last and by whom, and what Undo and Redo would do."""
    kept_words = f"Revision {opened.revision}, {moment(opened.at)}, {opened.who}: {opened.wording}"
    put("fp-mast fp-job", h(1, opened.title), p(kept_words, "quiet small"))
    with st.container(horizontal=True, key="undo_row"):
        undo, redo = opened.undo, opened.redo
        st.button(f"Undo: {plain(undo)}" if undo else "Nothing to undo", key="undo", disabled=not undo,
                  on_click=telling.beside("head")(doing.undo))
        if redo:
            st.button(f"Redo: {plain(redo)}", key="redo", on_click=telling.beside("head")(doing.redo))
        to_plan = st.button("See the plan", key="to_plan")
    if to_plan:
        going.go("Plan")
    telling.show_trouble("head")


def conflict() -> None:
    """Show, if another changed the same thing, what each of the two did, and let the person choose."""
    waiting = doing.conflict()
    if waiting is None:
        return
    met, theirs = waiting.conflict, waiting.conflict.theirs
    put("fp-conflict", h(2, "Somebody else changed this while you typed"),
        p(f"{theirs.who} kept revision {theirs.revision}, {moment(theirs.at)}. Yours is kept beside it as revision "
          f"{met.beside}: neither is lost. Choose which stands."))
    left, right = st.columns(2, gap="medium")
    with left:
        put("fp-conflict", h(3, f"{theirs.who}, stands now"), _lines(met.they_changed()))
        st.button("Let theirs stand", key="theirs", width="stretch",
                  on_click=telling.beside("head")(doing.leave_theirs))
    with right:
        put("fp-conflict", h(3, "Yours"), _lines(met.i_changed()))
        st.button("Put mine in its place", key="mine", width="stretch",
                  on_click=telling.beside("head")(doing.choose_mine))


def _lines(changes: tuple[str, ...]) -> str:
    shown = [f"<li>{p(change)}</li>" for change in changes[:SHOWN]]
    if len(changes) > SHOWN:
        shown.append(f"<li>{p('and more; the history tells all', 'quiet')}</li>")
    return items(shown)
