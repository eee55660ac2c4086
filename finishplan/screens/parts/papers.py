"""The pages of a job to print, each a PDF that is made when it is asked for."""

from __future__ import annotations

from datetime import datetime, time
from functools import partial

import streamlit as st

from finishplan.paper.sheets import materials_pdf, record_card_pdf, sheet_pdf, whole_job_pdf
from finishplan.screens.parts import kept
from finishplan.screens.parts.answers import Source
from finishplan.screens.parts.box import box
from finishplan.screens.parts.markup import p, put
from finishplan.workup import Answer, days_or_why

WHAT = ("Bench sheets: a page a panel for whoever works on it. Whole job: for the finisher, grade by grade, with its "
        "days from today where our shop says its hours. Inspection and hand-over stand at the end of this page.")


def papers(answer: Answer, source: Source) -> None:
    """Show the pages of a job in a closed box."""
    box("On paper", "papers", lambda: _inside(answer, source))


def _inside(answer: Answer, source: Source) -> None:
    paper, revision = answer.profile.file.paper, revision_of(source)
    put("", p(WHAT, "quiet"))
    with st.container(horizontal=True):
        for words, make, name in (
            ("Bench sheets (PDF)", partial(sheet_pdf, answer, paper, revision), "bench_sheets"),
            ("Whole job (PDF)", partial(whole, answer, paper, revision), "whole_job"),
            ("Materials (PDF)", partial(materials_pdf, answer, paper, revision), "materials"),
            ("Film record card (PDF)", partial(record_card_pdf, answer, paper, revision), "film_record"),
        ):
            st.download_button(words, make, f"{name}.pdf", "application/pdf", key=f"{name}_pdf", on_click="ignore")


def revision_of(source: Source) -> int | None:
    """Return the revision of a job that is kept, None for a file that is only looked at."""
    return kept.store().open(source.stored).revision if source.stored else None


def whole(answer: Answer, paper: str, revision: int | None) -> bytes:
    """Return the sheet of the whole job, with its days from today, or why there are none."""
    days, why = days_or_why(answer, datetime.combine(kept.now().astimezone().date(), time()))
    return whole_job_pdf(answer, paper, revision, days, why)
