"""The jobs of the shop: find one, start one, copy it, put it away; who works here."""

from __future__ import annotations

import streamlit as st

from finishplan.screens.parts import going, job_list, job_start, kept, look_survey, telling
from finishplan.screens.parts.markup import h, p, put
from finishplan.screens.parts.plain import plain

WHO = "jobs who"


def page() -> None:
    """Show the jobs, or, where none is kept yet, the two ways to a first one."""
    look_survey.put_on()
    telling.begin()
    if not kept.store().jobs(limit=1).total and not kept.store().jobs(limit=1, archived=True).total:
        empty()
        return
    put("fp-mast", h(1, "Jobs"))
    open_now()
    with st.container(horizontal=True, key="ways"):
        job_start.start_button()
        job_start.demo_button()
    job_start.section()
    job_list.rows(job_list.finder())
    works_here()


def empty() -> None:
    """Show the first page of all: one sentence, two buttons."""
    put("fp-door", h(1, "What to do with every defect, in which order, and how much film is left."),
        p("No job is kept here yet: start one from a grand or an upright, or look round in the demo, which is "
          "our own invention.", "quiet"))
    with st.container(horizontal=True, key="ways"):
        job_start.demo_button()
        job_start.start_button()
    job_start.section()


def open_now() -> None:
    """Show the job that is open, with the way back to its survey and its plan."""
    opened = kept.current()
    if opened is None:
        return
    put("", p(f"Open now: {opened.title}, revision {opened.revision}."))
    with st.container(horizontal=True, key="open_now"):
        for name in ("Survey", "Plan"):
            if st.button(f"To its {name.lower()}", key=f"to {name}"):
                going.go(name)


def works_here() -> None:
    """Show who stands in the history as working at this machine."""
    with st.expander(f"Who works here: {plain(kept.who())}", key="who_open"):
        st.text_input("Your name, for the history", kept.who(), key=WHO, max_chars=120,
                      on_change=telling.beside("who")(_said))
        telling.show_trouble("who")


def _said() -> None:
    kept.say_who(str(st.session_state[WHO]))
