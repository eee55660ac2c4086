"""What one revision of a job amounts to: its plan and its next reading, worked out beside the page."""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from typing import Any

import streamlit as st

from finishplan.paper import survey_words
from finishplan.paper.survey_words import Standing
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job

Key = tuple[str, int, int]
"""Job, its revision, the shop's revision."""


@dataclass
class Following:
    """What one revision amounts to: asked for, being worked out, or known; and what the one before amounted to."""

    key: Key
    job: Job
    profile: Profile
    before: Standing | None
    told: Future[Standing] | None = None
    next: Future[str] | None = None
    gone: bool = False
    """Whether a later revision stands: nobody waits for this one any more."""

    def standing(self) -> Standing | None:
        """Return what the revision amounts to, if it is known; raises what working it out raised."""
        known = self.told is not None and self.told.done() and not self.told.cancelled()
        return self.told.result() if known and self.told is not None else None

    def last(self) -> Standing | None:
        """Return the last standing that is known, and let go of what nobody waits for any more."""
        self.gone = True
        for asked in (self.told, self.next):
            if asked is not None:
                asked.cancel()
        known = self.told is not None and self.told.done() and not self.told.cancelled() and not self.told.exception()
        return self.told.result() if known and self.told is not None else self.before


@st.cache_resource(show_spinner=False)
def _planner() -> ThreadPoolExecutor:
    """Return where plans are worked out."""
    return ThreadPoolExecutor(2, "plan")


@st.cache_resource(show_spinner=False)
def _bench() -> ThreadPoolExecutor:
    """Return where next readings are worked out: one at a time, for all sessions."""
    return ThreadPoolExecutor(1, "next-reading")


def work(held: Following, wait_s: float) -> None:
    """Begin what comes next, the plan or the next reading, and wait a little for what is being worked out.

    A look that the page before an edit asked for may come with the edit itself: it has nothing to begin.
    """
    if held.gone:
        return
    if held.told is None:
        held.told = _planner().submit(survey_words.standing, held.job, held.profile)
    elif held.next is None and held.told.done() and not held.told.exception():
        plan = held.told.result().plan
        held.next = _bench().submit(survey_words.next_reading_line, held.job, held.profile, plan)
    asked: Future[Any] = held.next or held.told
    wait([asked], wait_s)
