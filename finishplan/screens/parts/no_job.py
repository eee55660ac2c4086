"""What a page that needs a kept job shows where none is open: why, and the ways to one."""

from __future__ import annotations

import streamlit as st

from finishplan.screens.parts import going, job_start, kept
from finishplan.screens.parts.markup import h, p, put

LOOK_ROUND = "Start one, open one on the Jobs page, or look round in the demo."


def show(head: str = "No job is open.", says: str = LOOK_ROUND) -> None:
    """Show the way to a job; call it from the page, not from a callback."""
    put("fp-door", h(1, head), p(says, "quiet"))
    with st.container(horizontal=True, key="door"):
        if st.button("Open the demo job", type="primary", key="demo"):
            kept.start_demo()
            st.rerun()
        ways()


def ways() -> None:
    """Show the ways to a job of one's own: to start one, and to those that are kept."""
    if st.button("Start a job", key="to_start"):
        job_start.go_to_start()
    if st.button("To the jobs", key="to_jobs"):
        going.go("Jobs")
