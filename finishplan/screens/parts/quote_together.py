"""When it could be ready beside the other jobs of the shop: worked out aside, with percent and a stop."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import date, datetime, time
from functools import partial
from threading import Event

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.office.together import Together, plan_together
from finishplan.paper import office_words as words
from finishplan.paper.days_sheet import Labelled, days_pdf, jobs_title
from finishplan.paper.schedule_bars import bars_words, day_bars
from finishplan.paper.theme import SCREEN
from finishplan.records.kept import Opened
from finishplan.screens.parts import guard, kept, quote_work, telling
from finishplan.screens.parts.markup import h, items, p, picture, put, table
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job, read_job_dict

WORK = "quote together"
STATES = ("planned", "at the bench")
MOST = 40
LOOK_AGAIN_S = 0.5


@dataclass
class Work:
    """The days of several jobs: of which job and day, how far the work is, and what came out."""

    key: quote_work.Key
    revisions: dict[str, int] = field(default_factory=dict)
    """Of which revision of each job the days are, by its id."""
    stop: Event = field(default_factory=Event)
    share: float = 0.0
    what: str = ""
    done: Future[Together] | None = None

    def told(self, share: float, what: str) -> None:
        """Take note of how far it is."""
        self.share, self.what = share, what


@st.cache_resource(show_spinner=False)
def _bench() -> ThreadPoolExecutor:
    """Return where such work is done, one at a time, for all sessions."""
    return ThreadPoolExecutor(1, "shop-days")


def section(opened: Opened, job: Job, key: quote_work.Key, paper: str) -> None:
    """Offer the shop's days with this job among the others that are planned or at the bench."""
    put("fp-panel", h(2, "Beside the other jobs of the shop"),
        p("This job and all that are marked planned or at the bench, with their due dates.", "quiet"))
    work = st.session_state.get(WORK)
    if not _others(opened.id):
        put("", p("No other job is: set it on the Jobs page, under More.", "quiet"))
    elif not isinstance(work, Work) or work.key != key:
        st.button("When could all be ready", key="together", on_click=telling.beside(WORK)(_begin),
                  args=(opened, job, key))
        telling.show_trouble(WORK)
    elif work.done is not None and work.done.done():
        _result(work, paper)
    else:
        st.fragment(_waiting, run_every=LOOK_AGAIN_S)()


def _begin(opened: Opened, job: Job, key: quote_work.Key) -> None:
    others = [kept.store().open(name) for name in _others(opened.id)]
    jobs = [(opened.id, job), *((one.id, read_job_dict(one.body)) for one in others)]
    work = Work(key, {one.id: one.revision for one in (opened, *others)})
    work.done = _bench().submit(_plan, work, jobs, quote_work.profile_for(opened.body), key[3])
    st.session_state[WORK] = work


def _others(but: str) -> list[str]:
    return [row.id for row in kept.store().jobs(states=STATES, limit=MOST).rows if row.id != but]


def _plan(work: Work, jobs: Sequence[tuple[str, Job]], profile: Profile, day: date) -> Together:
    return plan_together(jobs, profile, datetime.combine(day, time()), told=work.told, stop=work.stop.is_set)


def _waiting() -> None:
    work = st.session_state.get(WORK)
    if not isinstance(work, Work) or work.done is None or work.done.done():
        telling.write_again()
        return
    st.progress(work.share, f"{work.share:.0%} done: {work.what}")
    st.button("Stop, and take the best so far", key="together_stop", on_click=work.stop.set)


def _result(work: Work, paper: str) -> None:
    assert work.done is not None
    try:
        found = work.done.result()
    except FinishplanError as error:
        guard.show(str(error))
        return
    days, notes = found.days, found.notes
    said = [*words.days_lines(days), *(["Stopped: the best order found till then."] if days.stopped else []), *notes]
    put("fp-days", items(f"<li>{p(line)}</li>" for line in said))
    put("fp-wide", table("Ready, with all of them in the shop from the first day.", words.JOBS_HEADS,
                         words.job_rows(days)))
    put("", picture(day_bars(days, SCREEN), bars_words(days)))
    label = Labelled(jobs_title(days), work.revisions)
    st.download_button("These days on paper (PDF)", partial(days_pdf, days, label, paper, notes), "shop_days.pdf",
                       "application/pdf", key="together_pdf", on_click="ignore")
