"""Opening a job: the demo, or a job file of one's own with or without the shop's file."""

from __future__ import annotations

from dataclasses import dataclass

import streamlit as st

from finishplan.records.files import demo_job_path, demo_shop_path, read_job_bytes, read_shop_bytes
from finishplan.screens.parts.guard import callback
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict
from finishplan.workup import Answer, work_up

OPEN = "open"
ANSWER = "answer"


@dataclass(frozen=True)
class Source:
    """What is open: file names and their bytes, and whether it is the demo."""

    job_name: str
    job: bytes
    shop_name: str = ""
    shop: bytes = b""
    demo: bool = False


@callback
def open_demo() -> None:
    """Open the demo job with the demo shop."""
    job, shop = demo_job_path(), demo_shop_path()
    st.session_state[OPEN] = Source(job.name, job.read_bytes(), shop.name, shop.read_bytes(), True)


@callback
def open_files() -> None:
    """Open the files that stand in the two boxes; a shop file alone opens nothing yet."""
    job, shop = st.session_state.get("job_file"), st.session_state.get("shop_file")
    if job is None:
        return
    st.session_state[OPEN] = Source(
        job.name, job.getvalue(), shop.name if shop else "", shop.getvalue() if shop else b"")


@callback
def close() -> None:
    """Close what is open."""
    st.session_state.pop(OPEN, None)
    st.session_state.pop(ANSWER, None)


def opened() -> Source | None:
    """Return what is open, or None."""
    found = st.session_state.get(OPEN)
    return found if isinstance(found, Source) else None


def answer_of(source: Source) -> Answer:
    """Return the whole answer to what is open, worked out once; raises a FinishplanError."""
    kept = st.session_state.get(ANSWER)
    if kept is not None and kept[0] == source:
        answer: Answer = kept[1]
        return answer
    job = read_job_dict(read_job_bytes(source.job, source.job_name))
    profile = default_profile()
    if source.shop:
        profile = apply_shop(profile, read_shop_bytes(source.shop, source.shop_name))
    answer = work_up(job, profile)
    st.session_state[ANSWER] = (source, answer)
    return answer


def controls() -> None:
    """Show the two boxes for files and the button for the demo."""
    st.button("Open the demo job", on_click=open_demo, type="primary", key="demo")
    left, right = st.columns(2, gap="medium")
    left.file_uploader("Job file", type=["json"], key="job_file", on_change=open_files)
    right.file_uploader("Our shop's file, if there is one", type=["json"], key="shop_file", on_change=open_files)
