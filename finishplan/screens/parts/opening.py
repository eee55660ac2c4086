"""What the plan is made of: the job that is kept and open, else a job file that is looked at without keeping it."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.planning.typed_sequence import read_typed_sequence
from finishplan.records.files import as_text, demo_job_path, demo_shop_path
from finishplan.records.kept import Opened
from finishplan.screens.parts import kept, no_job
from finishplan.screens.parts.answers import ANSWER, RISK, SPOT, Source
from finishplan.screens.parts.answers import answer_of as answer_of
from finishplan.screens.parts.guard import callback

OPEN = "open"
CHOSEN = "plan "
"""How the names begin under which the session holds choices made on the plan of the open job."""
OF = "plan of"
"""Whose choices those are: the kept job that they were made on."""
WRONG = "plan wrong"
"""What is said beside each field whose last choice could not be planned."""
SEQUENCE = "plan sequence"
"""The field for a sequence of one's own."""


def forget() -> None:
    """Forget what was chosen and typed on the plan of the job that was open before."""
    for name in [name for name in st.session_state if str(name).startswith(CHOSEN)]:
        del st.session_state[name]


@callback
def open_demo() -> None:
    """Open the demo job with the demo shop."""
    job, shop = demo_job_path(), demo_shop_path()
    close_all()
    st.session_state[OPEN] = Source(job.name, job.read_bytes(), shop.name, shop.read_bytes(), True)


@callback
def open_files() -> None:
    """Open the files that stand in the two boxes; a shop file alone opens nothing yet."""
    job, shop = st.session_state.get("job_file"), st.session_state.get("shop_file")
    if job is None:
        return
    close_all()
    st.session_state[OPEN] = Source(
        job.name, job.getvalue(), shop.name if shop else "", shop.getvalue() if shop else b"")


@callback
def close() -> None:
    """Close what is open; a kept job stays kept."""
    close_all()


def close_all() -> None:
    """Leave what is open, and forget what was made of it."""
    forget()
    kept.close_job()
    for name in (OPEN, ANSWER, RISK, SPOT):
        st.session_state.pop(name, None)


def opened() -> Source | None:
    """Return what is open, the kept job first, or None; raises a FinishplanError where the store cannot tell."""
    stored = kept.current()
    if stored is not None:
        return source_of(stored)
    found = st.session_state.get(OPEN)
    return found if isinstance(found, Source) else None


def source_of(stored: Opened) -> Source:
    """Return a kept job as the plan takes it, with its own sequence as long as that can still be planned."""
    if st.session_state.get(OF) != stored.id:
        forget()
        st.session_state[OF] = stored.id
    demo = (stored.body.get("instrument") or {}).get("id") == kept.DEMO_ID
    best = Source(stored.title, as_text(stored.body).encode(), demo=demo, stored=stored.id,
                  shop_revision=kept.shop_now().revision)
    typed = kept.store().setting(sequence_name(stored.id))
    if not typed:
        return best
    try:
        own = replace(best, sequence=read_typed_sequence(typed))
        answer_of(own)
    except FinishplanError as error:
        st.session_state.setdefault(WRONG, {})[SEQUENCE] = str(error)
        return best
    return own


def sequence_name(job_id: str) -> str:
    """Return the name under which the store remembers the sequence asked for on a job."""
    return f"own sequence of {job_id}"


def door() -> None:
    """Show every way to a job where none is open."""
    with st.container(horizontal=True, key="door"):
        _demo()
        no_job.ways()
    _files()


def controls() -> None:
    """Show the two boxes for files and the button for the demo."""
    _demo()
    _files()


def _demo() -> None:
    st.button("Open the demo job", on_click=open_demo, type="primary", key="demo")


def _files() -> None:
    left, right = st.columns(2, gap="medium")
    left.file_uploader("Job file", type=["json"], key="job_file", on_change=open_files)
    right.file_uploader("Our shop's file, if there is one", type=["json"], key="shop_file", on_change=open_files)
