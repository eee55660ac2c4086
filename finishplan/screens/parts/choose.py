"""What is asked of the plan: favour beside film against time, first cut, who, seen from, own sequence."""

from __future__ import annotations

import streamlit as st

from finishplan.paper.curve import curve_drawing, curve_words
from finishplan.paper.theme import SCREEN
from finishplan.paper.why_words import favour_words
from finishplan.planning.result import Plan
from finishplan.screens.parts import contents, replan, sequence_field
from finishplan.screens.parts.answers import Source
from finishplan.screens.parts.markup import h, literal, p, picture, put
from finishplan.survey.choices import FAVOURS, FIRST_CUTS, VIEWS, WORKERS
from finishplan.workup import Answer

FIELDS = {
    "first cut": ("crew.first_cut", FIRST_CUTS),
    "who works": ("crew.worker", WORKERS),
    "seen from": ("seen_from", VIEWS),
}
"""Choices for the whole job: what it is called, its place in the job, what may be chosen."""
SET_BY_POLICY = "Our shop's policy sets what film is worth, so no favour changes this plan."


def choices(source: Source, answer: Answer) -> None:
    """Write all choices for the whole job; each plans again at once."""
    put("fp-panel", contents.head("asked"))
    left, right = st.columns([2, 3], gap="medium")
    with left:
        favours(answer)
    with right:
        curve(answer.plan)
    fields(answer)
    sequence_field.own_sequence(source)
    undo()


def favours(answer: Answer) -> None:
    """Write the three favours, each with what it costs, the one in force by word and colour."""
    plan = answer.plan
    for favour in FAVOURS:
        key, here = f"favour:{favour}", favour == plan.favour
        st.button(favour.capitalize(), key=key, on_click=replan.job_field, args=(key, "crew.favour", favour),
                  type="primary" if here else "secondary", width="stretch")
        put("fp-favour", p(favour_words(plan, favour), "small" if here else "small quiet"))
        replan.beside(key)
    if answer.profile.policy.film_weight is not None:
        put("", p(SET_BY_POLICY, "small"))


def curve(plan: Plan) -> None:
    """Write film against time; one point is said as one, not drawn."""
    points = plan.film_against_time
    if len(points) > 1:
        drawn = curve_drawing(points, (plan.minutes, plan.film_um_m2), SCREEN)
        put("fp-curve", h(3, "Film against time"), picture(drawn, curve_words(points), "curve"))
    else:
        put("fp-curve", h(3, "Film against time"), p(curve_words(points)))


def fields(answer: Answer) -> None:
    """Write first cut, who works and seen from, each with what it means."""
    held = {"first cut": answer.job.crew.first_cut, "who works": answer.job.crew.worker,
            "seen from": answer.job.seen_from}
    for column, (label, (path, allowed)) in zip(st.columns(3, gap="medium"), FIELDS.items(), strict=True):
        with column:
            key = f"job:{path}"
            st.session_state[key] = held[label]
            st.selectbox(label.capitalize(), list(allowed), key=key, on_change=replan.job_field, args=(key, path))
            put("", p(allowed[held[label]], "small quiet"))
            replan.beside(key)


def undo() -> None:
    """Write the button that takes the last choice back; it names the choice."""
    undoes = replan.undoes()
    if undoes:
        st.button(literal(f"Undo: {undoes}"), key="undo_choice", on_click=replan.undo)
