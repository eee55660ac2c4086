"""Opening a job: the demo, or a job file of one's own with or without the shop's file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import streamlit as st

from finishplan.planning.risk import DRAWS
from finishplan.planning.risk_result import Risk
from finishplan.records.files import demo_job_path, demo_shop_path, read_job_bytes, read_shop_bytes
from finishplan.screens.parts.guard import callback
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict
from finishplan.workup import SEED, Answer, with_risk, work_up

OPEN = "open"
ANSWER = "answer"
"""Answers already worked out, by what was open: going back to an earlier choice shows at once."""
RISK = "risk"
MOST_KEPT = 8
CHOSEN = "plan "
"""How the names begin under which the session holds choices made on the plan of the open job."""


@dataclass(frozen=True)
class Source:
    """What is open: file names and their bytes, whether it is the demo, and a sequence asked for by name."""

    job_name: str
    job: bytes
    shop_name: str = ""
    shop: bytes = b""
    demo: bool = False
    sequence: tuple[str, ...] = ()


def forget() -> None:
    """Forget what was chosen and typed on the plan of the job that was open before."""
    for name in [name for name in st.session_state if str(name).startswith(CHOSEN)]:
        del st.session_state[name]


@callback
def open_demo() -> None:
    """Open the demo job with the demo shop."""
    job, shop = demo_job_path(), demo_shop_path()
    forget()
    st.session_state[OPEN] = Source(job.name, job.read_bytes(), shop.name, shop.read_bytes(), True)


@callback
def open_files() -> None:
    """Open the files that stand in the two boxes; a shop file alone opens nothing yet."""
    job, shop = st.session_state.get("job_file"), st.session_state.get("shop_file")
    if job is None:
        return
    forget()
    st.session_state[OPEN] = Source(
        job.name, job.getvalue(), shop.name if shop else "", shop.getvalue() if shop else b"")


@callback
def close() -> None:
    """Close what is open."""
    forget()
    st.session_state.pop(OPEN, None)
    st.session_state.pop(ANSWER, None)
    st.session_state.pop(RISK, None)


def opened() -> Source | None:
    """Return what is open, or None."""
    found = st.session_state.get(OPEN)
    return found if isinstance(found, Source) else None


def answer_of(source: Source) -> Answer:
    """Return the whole answer to what is open, without its risk; raises a FinishplanError."""
    return kept(ANSWER, source, planned)


def risk_of(source: Source) -> Risk:
    """Return how sure the plan of what is open is: it takes longer than the plan, so it is asked for apart."""
    return kept(RISK, source, audited)


def kept(name: str, source: Source, work: Callable[[Source], Any]) -> Any:
    """Return what ``work`` makes of ``source``, worked out once; only the last few are kept."""
    found: dict[Source, Any] = st.session_state.setdefault(name, {})
    if source not in found:
        found[source] = work(source)
        while len(found) > MOST_KEPT:
            del found[next(iter(found))]
    return found[source]


def planned(source: Source) -> Answer:
    """Work out the answer to what is open."""
    job = read_job_dict(read_job_bytes(source.job, source.job_name))
    profile = default_profile()
    if source.shop:
        profile = apply_shop(profile, read_shop_bytes(source.shop, source.shop_name))
    return work_up(job, profile, sequence=source.sequence or None, draws=0)


def audited(source: Source) -> Risk:
    """Work out the risk of the plan of what is open."""
    answer = answer_of(source)
    return with_risk(answer.job, answer.profile, answer.plan, answer.labour, DRAWS, SEED, source.sequence or None)


def controls() -> None:
    """Show the two boxes for files and the button for the demo."""
    st.button("Open the demo job", on_click=open_demo, type="primary", key="demo")
    left, right = st.columns(2, gap="medium")
    left.file_uploader("Job file", type=["json"], key="job_file", on_change=open_files)
    right.file_uploader("Our shop's file, if there is one", type=["json"], key="shop_file", on_change=open_files)
