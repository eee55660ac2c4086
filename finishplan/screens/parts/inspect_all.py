"""Inspection and hand-over of a job, in a closed box: panel by panel, and the printed pages with care."""

from __future__ import annotations

from functools import partial

import streamlit as st

from finishplan import wording
from finishplan.bench.inspection import agreed, inspect_all, typed_found
from finishplan.paper.sheets import hand_over_pdf, inspection_pdf
from finishplan.records.inspections import inspected, values_of
from finishplan.screens.parts import inspect_kept, inspect_panel, kept, telling
from finishplan.screens.parts.answers import Source
from finishplan.screens.parts.box import box
from finishplan.screens.parts.markup import items, p, put
from finishplan.workup import Answer

NOT_KEPT = "This job is only looked at: what is found is written on the printed form. Keep the job to type it in here."
HOW = ("Cold, clean, at the agreed distance and light, part beside part. Whatever is typed is kept at once; a panel "
       "counts once it is signed.")


def inspection(answer: Answer, source: Source) -> None:
    """Show the inspection of a job in a closed box."""
    box("Inspection and hand-over", "inspection", lambda: _inside(answer, source))


def _inside(answer: Answer, source: Source) -> None:
    if not source.stored:
        put("", p(NOT_KEPT, "quiet"))
        _papers(answer, "")
        return
    put("", p(HOW, "quiet"))
    found = inspect_kept.findings(source.stored)
    known = [panel.name for panel in answer.job.panels]
    found = tuple(one for one in found if one.panel in known)
    states = inspect_all(answer.job, answer.plan, found)
    put("fp-notes", p(_counted([one.state for one in states])), items(
        f"<li>{p(f'{one.panel}: {one.state}')}</li>" for one in states))
    chosen = str(st.selectbox("Panel", known, key="inspect panel"))
    fields = inspected(kept.store(), source.stored).get(chosen, {})
    of = next(one for one in agreed(answer.job, answer.plan) if one.panel == chosen)
    inspect_panel.panel(source.stored, of, fields, typed_found(chosen, values_of(fields)))
    telling.show_trouble(inspect_panel.PLACE)
    _papers(answer, source.stored)


def _counted(states: list[str]) -> str:
    said = [f"{states.count(state)} {state}" for state in dict.fromkeys(states)]
    return f"{wording.sentence(wording.counted(len(states), 'panel'))[:-1]}: {wording.listed(said)}."


def _papers(answer: Answer, job_id: str) -> None:
    paper = answer.profile.file.paper
    with st.container(horizontal=True):
        st.download_button("Inspection and care (PDF)", partial(_form, answer, job_id, paper), "inspection.pdf",
                           "application/pdf", key="inspection_pdf")
        st.download_button("Hand-over page (PDF)", partial(hand_over_pdf, answer, paper), "hand_over.pdf",
                           "application/pdf", key="hand_over_pdf")


def _form(answer: Answer, job_id: str, paper: str) -> bytes:
    if not job_id:
        return inspection_pdf(answer, paper)
    known = {panel.name for panel in answer.job.panels}
    found = [one for one in inspect_kept.findings(job_id) if one.panel in known]
    revision = kept.store().open(job_id).revision
    return inspection_pdf(answer, paper, revision, found, inspect_kept.photo_names(job_id))
