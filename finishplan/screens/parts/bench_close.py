"""The end of a service: into the film record, the card to print, and the next job that starts from it."""

from __future__ import annotations

import streamlit as st

from finishplan.bench.record_card import Card, card_of
from finishplan.errors import FinishplanError
from finishplan.paper.sheets import record_card_pdf
from finishplan.records.at_bench import AtBench
from finishplan.records.film_records import (
    card_in,
    enter_record,
    finished_record,
    kept_record,
    read_after,
    read_record,
    start_from_record,
)
from finishplan.records.kept import Opened
from finishplan.screens.parts import bench_begin, bench_now, going, guard, kept, telling
from finishplan.screens.parts.markup import h, p, put, table

STARTED = "bench started next"
HEADS = ("panel", "zone", "film now, um", "taken, um", "services left")


def show(bench: AtBench) -> None:
    """Show what the service did, and the button that enters it; once entered, the card and the way on."""
    entered = kept_record(kept.store(), bench.job_id)
    if entered is not None:
        put("fp-panel", h(2, "All done"))
        after(bench, entered)
        return
    try:
        record = finished_record(bench, draws=0)
    except FinishplanError as error:
        put("fp-panel", h(2, "Nothing more may be worked by this plan"), p(guard.said(error), "lead"))
        bench_begin.held_back(bench)
        return
    put("fp-panel", h(2, "All done"), p("Everything on the course is done and signed.", "lead"))
    write(card_of(bench.answer.job, record))
    with st.container(key="bench_do"):
        st.button("Enter into the instrument's film record", type="primary", key="enter_record", width="stretch",
                  on_click=telling.beside(bench_now.PLACE)(_enter))


def leave() -> None:
    """Go to the survey of the next job, where one was just started from a record."""
    if st.session_state.pop(STARTED, False):
        going.go("Survey")


def write(card: Card) -> None:
    """Write the card: who, what, and every zone's film."""
    rows = [(row.panel, row.zone, row.film, row.taken, row.services) for row in card.rows]
    put("fp-record", p(f"{card.instrument}; {card.finish}. {card.day}, by {card.by}."), p(card.what),
        table("Film record", HEADS, rows, numbers=(2, 3)), *(p(note, "quiet small") for note in card.notes))


def _enter() -> None:
    enter_record(kept.store(), bench_now.stands(), kept.who(), bench_now.now())


def after(bench: AtBench, entered: Opened) -> None:
    """Show the card that was entered, its PDF, and the next job on the same instrument."""
    record = read_record(entered.body)
    put("", p(f"Entered by {entered.who}; the work ended on {record.day}. The card stays in the instrument.", "lead"))
    write(card_in(record))
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
