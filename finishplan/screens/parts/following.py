"""What follows along on the survey: the plan's first line at once, the next reading when it is worked out."""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor, wait
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
PLANNING = "Working out what that changes."
LOOK_AGAIN_S = 0.6
PLAN_AGAIN_S = 0.25
WAIT_S = 2.0
"""How long the page of an edit waits for the plan, so that only a large job is written before its plan is known: to
write the page twice while somebody types has cost typed words. The plan of a job just opened is waited for."""

Key = tuple[str, int, int]
"""Job, its revision, the shop's revision."""


@dataclass
class Next:
    """The next reading of one revision: being worked out, or said."""

    key: Key
    told: Future[str]


@dataclass
class Following:
    """What one revision amounts to: being worked out, or known; and what the revision before amounted to."""

    key: Key
    told: Future[Standing]
    before: Standing | None


@dataclass(frozen=True)
class Shown:
    """What the page shows: a standing, and whether it is of what stands now or still of the revision before."""

    standing: Standing
    fresh: bool


@st.cache_resource(show_spinner=False)
def _bench() -> ThreadPoolExecutor:
    """Return where sums are done that a page does not wait for: one at a time, for all sessions."""
    return ThreadPoolExecutor(1, "next-reading")


@st.cache_resource(show_spinner=False)
def _planner() -> ThreadPoolExecutor:
    """Return where the plan is worked out while the page of an edit is written already."""
    return ThreadPoolExecutor(2, "plan")


def standing_of(opened: Opened, job: Job) -> Shown:
    """Return what the survey amounts to, worked out once a revision; raises a FinishplanError.

    The page of an edit does not wait for it: what the revision before amounted to is shown until then.
    """
    shop = kept.shop_now()
    key = (opened.id, opened.revision, shop.revision)
    held = st.session_state.get(STANDING)
    if not isinstance(held, Following) or held.key != key:
        before = _last(held, opened.id)
        held = Following(key, _planner().submit(survey_words.standing, job, shop.profile), before)
        st.session_state[STANDING] = held
    if held.before is not None and held.told not in wait([held.told], WAIT_S).done:
        return Shown(held.before, False)
    standing = held.told.result()
    if st.session_state.get(NEXT) is None or st.session_state[NEXT].key != key:
        _ask_next(key, job, standing)
    return Shown(standing, True)


def _last(held: object, job_id: str) -> Standing | None:
    """Return the last standing that is known of the same job, and let go of one that nobody waits for any more."""
    if not isinstance(held, Following) or held.key[0] != job_id:
        return None
    if held.told.cancel() or not held.told.done() or held.told.exception() is not None:
        return held.before
    return held.told.result()


def _ask_next(key: Key, job: Job, standing: Standing) -> None:
    before = st.session_state.get(NEXT)
    if before is not None:
        before.told.cancel()
    told = _bench().submit(survey_words.next_reading_line, job, kept.shop_now().profile, standing.plan)
    st.session_state[NEXT] = Next(key, told)


def show(shown: Shown) -> None:
    """Write the plan's first line, what is missing, and the next reading as soon as it is known."""
    standing, old = shown.standing, "" if shown.fresh else " quiet"
    put("fp-standing", p(standing.first_line, f"first{old}"),
        p(survey_words.missing_line(standing.missing), f"missing{old}"))
    if not shown.fresh:
        st.fragment(_look_for_plan, run_every=PLAN_AGAIN_S)()
        return
    waiting: Next = st.session_state[NEXT]
    if waiting.told.done():
        _next(waiting)
    else:
        st.fragment(_look, run_every=LOOK_AGAIN_S)()


def _look_for_plan() -> None:
    held: Following = st.session_state[STANDING]
    if held.told.done():
        telling.write_again()
    put("fp-standing fp-next", p(PLANNING, "quiet"))


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


def all_missing(shown: Shown) -> None:
    """Write, closed, everything that is missing or odd, in walking order."""
    standing = shown.standing
    if len(standing.missing) > 1:
        box("All that is missing or odd", "missing_open",
            lambda: put("fp-notes", items(f"<li>{p(line)}</li>" for line in standing.missing)))
