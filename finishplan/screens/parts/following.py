"""What follows along on the survey: the plan's first line at once, the next reading when it is worked out."""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass

import streamlit as st

from finishplan.paper import survey_words
from finishplan.paper.survey_words import Standing
from finishplan.records.kept import Opened
from finishplan.screens.parts import guard, kept, telling
from finishplan.screens.parts.box import box
from finishplan.screens.parts.markup import items, p, put
from finishplan.survey.job import Job

STANDING = "survey standing"
NEXT = "survey next"
WAITING = "Working out which reading to take next."
LOOK_AGAIN_S = 0.6

Key = tuple[str, int, int]
"""Job, its revision, the shop's revision."""


@dataclass
class Next:
    """The next reading of one revision: being worked out, or said."""

    key: Key
    told: Future[str]


@st.cache_resource(show_spinner=False)
def _bench() -> ThreadPoolExecutor:
    """Return where sums are done that a page does not wait for: one at a time, for all sessions."""
    return ThreadPoolExecutor(1, "next-reading")


def standing_of(opened: Opened, job: Job) -> Standing:
    """Return what the survey amounts to, worked out once a revision; raises a FinishplanError."""
    shop = kept.shop_now()
    key = (opened.id, opened.revision, shop.revision)
    found = st.session_state.get(STANDING)
    if found is None or found[0] != key:
        found = (key, survey_words.standing(job, shop.profile))
        st.session_state[STANDING] = found
        _ask_next(key, job, found[1])
    standing: Standing = found[1]
    return standing


def _ask_next(key: Key, job: Job, standing: Standing) -> None:
    before = st.session_state.get(NEXT)
    if before is not None:
        before.told.cancel()
    told = _bench().submit(survey_words.next_reading_line, job, kept.shop_now().profile, standing.plan)
    st.session_state[NEXT] = Next(key, told)


def show(standing: Standing) -> None:
    """Write the plan's first line, what is missing, and the next reading as soon as it is known."""
    put("fp-standing", p(standing.first_line, "first"), p(survey_words.missing_line(standing.missing), "missing"))
    waiting: Next = st.session_state[NEXT]
    if waiting.told.done():
        _next(waiting)
    else:
        st.fragment(_look, run_every=LOOK_AGAIN_S)()


def _look() -> None:
    waiting: Next = st.session_state[NEXT]
    if waiting.told.done() and not waiting.told.cancelled():
        telling.write_again()
    put("fp-standing fp-next", p(WAITING, "quiet"))


def _next(waiting: Next) -> None:
    if waiting.told.cancelled():
        return
    error = waiting.told.exception()
    said = guard.said(error) if isinstance(error, Exception) else waiting.told.result()
    put("fp-standing fp-next", p(said))


def all_missing(standing: Standing) -> None:
    """Write, closed, everything that is missing or odd, in walking order."""
    if len(standing.missing) > 1:
        box("All that is missing or odd", "missing_open",
            lambda: put("fp-notes", items(f"<li>{p(line)}</li>" for line in standing.missing)))
