"""The end of a service: into the film record, the card to print, and the next job that starts from it."""

from __future__ import annotations

import streamlit as st

from finishplan.bench.record_card import card_of, card_text
from finishplan.errors import FinishplanError
from finishplan.paper.sheets import record_card_pdf
from finishplan.records.at_bench import AtBench
from finishplan.records.film_records import (
    enter_record,
    finished_record,
    kept_record,
    read_after,
    read_record,
    start_from_record,
)
from finishplan.records.kept import Opened
from finishplan.screens.parts import bench_now, going, guard, kept, telling
from finishplan.screens.parts.markup import h, p, put

STARTED = "bench started next"


def show(bench: AtBench) -> None:
    """Show what the service did, and the button that enters it; once entered, the card and the way on."""
    entered = kept_record(kept.store(), bench.job_id)
    put("fp-panel", h(2, "All done"))
    if entered is not None:
        after(bench, entered)
        return
    try:
        record = finished_record(bench, draws=0)
    except FinishplanError as error:
        guard.show(str(error))
        return
    put("", p("Everything on the course is done and signed."),
        f"<pre>{guard_text(card_text(card_of(bench.answer.job, record)))}</pre>")
    with st.container(key="bench_do"):
        st.button("Enter into the instrument's film record", type="primary", key="enter_record", width="stretch",
                  on_click=telling.beside(bench_now.PLACE)(_enter))


def guard_text(text: str) -> str:
    """Return text as HTML shows it letter by letter."""
    from html import escape

    return escape(text)


def _enter() -> None:
    enter_record(kept.store(), bench_now.stands(), kept.who(), bench_now.now())


def after(bench: AtBench, entered: Opened) -> None:
    """Show the card that was entered, its PDF, and the next job on the same instrument."""
    if st.session_state.pop(STARTED, False):
        going.go("Survey")
    record = read_record(entered.body)
    put("", p(f"Entered by {entered.who} on {record.day}. The card stays in the instrument.", "lead"),
        f"<pre>{guard_text(record.card)}</pre>")
    with st.container(key="bench_do"):
        try:
            pdf = record_card_pdf(bench.answer, bench.answer.profile.file.paper, bench.leg.revision, read_after(bench))
            st.download_button("Print the card (PDF)", pdf, "film_record.pdf", "application/pdf", key="card_pdf",
                               width="stretch")
        except FinishplanError as error:
            guard.show(str(error))
        st.button("Start the next job from this record", key="next_job", width="stretch",
                  on_click=telling.beside(bench_now.PLACE)(_next), args=(entered.id,))


def _next(name: str) -> None:
    made = start_from_record(kept.store(), name, kept.who(), bench_now.now())
    kept.open_job(made.id)
    st.session_state[STARTED] = True
