"""The jobs that are kept: found by words and state, each opened, copied, archived, handed out as a file."""

from __future__ import annotations

from functools import partial

import streamlit as st

from finishplan.records.files import as_text, file_name
from finishplan.records.kept import STATES, JobPage, JobRow
from finishplan.screens.parts import going, kept, next_service, telling
from finishplan.screens.parts.markup import p, put
from finishplan.screens.parts.plain import moment, plain

PAGE_OF = 12
FIND, STATE, ARCHIVED, MORE, FROM = "jobs find", "jobs state", "jobs archived", "jobs more", "jobs from"


def finder() -> JobPage:
    """Show the boxes that narrow the list; return the rows they leave."""
    left, right = st.columns([2, 3], vertical_alignment="bottom")
    find = left.text_input("Find by title, customer, instrument or due date", key=FIND, type="search",
                           persist_state="session")
    states = right.segmented_control("State", list(STATES), selection_mode="multi", key=STATE, wrap=True,
                                     persist_state="session")
    archived = st.toggle("Archived ones", key=ARCHIVED, persist_state="session")
    start = int(st.session_state.get(FROM, 0))
    page = kept.store().jobs(find or "", states or (), archived=archived, limit=PAGE_OF, offset=start)
    if not page.rows and start:
        st.session_state[FROM] = 0
        st.rerun()
    return page


def rows(page: JobPage) -> None:
    """Show the jobs, the last changed first."""
    if not page.rows:
        put("", p("No job of that kind. Take a word out of the box, or another state.", "quiet"))
    for row in page.rows:
        with st.container(key=f"job_{row.id}", gap="small"):
            _row(row)
    telling.show_trouble("jobs")
    _onward(page)


def _row(row: JobRow) -> None:
    title, words, more = st.columns([5, 4, 2], vertical_alignment="center")
    if title.button(plain(row.title), key=f"open {row.id}", type="tertiary", width="stretch"):
        kept.open_job(row.id)
        going.go("Survey")
    with words:
        put("fp-jobs", p(row.state, "state"), p(f"{moment(row.changed_at)}, {row.changed_by}", "quiet small"))
    shown = st.session_state.get(MORE) == row.id
    more.button("Less" if shown else "More", key=f"more {row.id}", width="stretch", on_click=_more,
                args=("" if shown else row.id,))
    if shown:
        _actions(row)


def _more(job_id: str) -> None:
    st.session_state[MORE] = job_id


def _actions(row: JobRow) -> None:
    store, act = kept.store(), telling.beside("jobs")
    st.segmented_control("It is", list(STATES), default=row.state, required=True, key=f"state {row.id} {row.revision}",
                         format_func=lambda name: f"{name}: {STATES[str(name)]}", on_change=act(_state),
                         args=(row.id, f"state {row.id} {row.revision}"))
    with st.container(horizontal=True, key=f"actions_{row.id}"):
        st.button("Copy", key=f"copy {row.id}", on_click=act(_copy), args=(row.id,))
        st.download_button("Job file", partial(_file, row.id), file_name(row.title, "job.json"),
                           "application/json", key=f"file {row.id}", on_click="ignore")
        if row.archived:
            st.button("Bring back", key=f"back {row.id}", on_click=act(_bring_back), args=(row.id,))
        else:
            st.button("Archive", key=f"archive {row.id}", on_click=act(_archive), args=(row.id,))
    next_service.button(row.id)
    lines = store.history(row.id, 3)
    put("", *(p(f"{moment(line.at)}, {line.who}: {line.wording}", "quiet small") for line in lines))


def _state(job_id: str, key: str) -> None:
    kept.store().set_state(job_id, str(st.session_state[key]), kept.who(), kept.now())


def _copy(job_id: str) -> None:
    made = kept.store().copy(job_id, kept.who(), kept.now())
    _more(made.id)


def _file(job_id: str) -> str:
    return as_text(kept.store().open(job_id).body)


def _archive(job_id: str) -> None:
    kept.store().archive(job_id, kept.who(), kept.now())
    if st.session_state.get(kept.JOB) == job_id:
        kept.close_job()


def _bring_back(job_id: str) -> None:
    kept.store().bring_back(job_id, kept.who(), kept.now())


def _onward(page: JobPage) -> None:
    start = int(st.session_state.get(FROM, 0))
    starts = range(0, page.total, PAGE_OF)
    if len(starts) < 2:
        return
    place = list(starts).index(start) if start in starts else 0
    before, after = list(starts[:place]), list(starts[place:])[1:]
    with st.container(horizontal=True, key="jobs_onward"):
        st.button("Newer ones", key="jobs newer", disabled=not before, on_click=_turn, args=tuple(before[-1:]) or (0,))
        st.button("Older ones", key="jobs older", disabled=not after, on_click=_turn, args=tuple(after[:1]) or (0,))
    put("", p(f"{page.total} jobs in all.", "quiet small"))


def _turn(start: int) -> None:
    st.session_state[FROM] = start
