"""The open job at the bench, as it stands at this moment, and who stands there."""

from __future__ import annotations

from datetime import datetime

import streamlit as st

from finishplan.records.at_bench import AtBench, at_bench
from finishplan.screens.parts import kept

CHOSEN = "bench chosen"
"""The task that a person opened instead of the next, by its key."""
SHOWN = "bench shown"
"""The task that stands before a person as what comes next, by its key: it does not change under their thumb."""
PLACE = "bench"
"""Where the page's messages stand."""


def now() -> datetime:
    """Return the moment by the clock on the wall."""
    return kept.now().astimezone()


def stands() -> AtBench:
    """Return the open job at the bench; what a callback works on is read anew by it."""
    return at_bench(kept.store(), str(st.session_state[kept.JOB]), now())


def open_next() -> None:
    """Go on with what comes next."""
    st.session_state.pop(CHOSEN, None)
    st.session_state.pop(SHOWN, None)
