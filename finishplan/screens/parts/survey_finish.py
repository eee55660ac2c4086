"""First of all: what finish is it, how is it built, and the instrument, its place and its people."""

from __future__ import annotations

import streamlit as st

from finishplan.screens.parts import doing
from finishplan.screens.parts.box import box
from finishplan.screens.parts.figure import figure
from finishplan.screens.parts.held import Held, held, renew
from finishplan.screens.parts.markup import h, p, put
from finishplan.survey import choices, edits
from finishplan.survey.edits import ANY
from finishplan.survey.job import Job, job_as_dict

FINISH = "finish"
ABOUT = "about the job"
COATED = "instrument.overcoated"
NEVER_NULL = ("title", "view_note")
KNOWN = {"not known": None, "yes": True, "no": False}
TESTS = ("How: a drop of solvent on a hidden spot, the smell when it is sanded, the ring of a nail, papers of the "
         "maker. Nothing is sanded before the finish is shown to be polyester.")


def known(job: Job) -> bool:
    """Tell whether finish and build are both known."""
    return job.finish_id.result != "unknown" and job.build != "unknown"


def first(job: Job) -> None:
    """Ask for finish and build before anything else, until both are known."""
    if not known(job):
        put("fp-panel", h(2, "Finish and build first"), p(TESTS, "quiet"))
        _finish(job)


def _finish(job: Job) -> None:
    base = held(FINISH, job_as_dict(job))
    was, key = base.was, base.key
    with st.form(f"finish {key}", border=False):
        st.segmented_control("The finish is", list(choices.FINISHES), default=was["finish_id"]["result"],
                             required=True, key=f"{key} finish_id.result")
        left, right = st.columns(2)
        left.text_input("Shown how", was["finish_id"]["how"] or "", key=f"{key} finish_id.how", max_chars=400)
        right.text_input("Where on the instrument", was["finish_id"]["where"] or "", key=f"{key} finish_id.where",
                         max_chars=400)
        left, right = st.columns(2)
        left.text_input("Shown by", was["finish_id"]["by"] or "", key=f"{key} finish_id.by", max_chars=200)
        coated = list(KNOWN.values()).index(was["instrument"]["overcoated"])
        right.selectbox("Lies under another coat", list(KNOWN), coated, key=f"{key} {COATED}")
        st.segmented_control("It is built", list(choices.BUILDS), default=was["build"], required=True,
                             key=f"{key} build",
                             format_func=lambda name: "not known" if name == "unknown" else str(name))
        st.form_submit_button("Keep finish and build", type="primary",
                              on_click=doing.beside(FINISH)(_send), args=(FINISH, base))
    doing.show_trouble(FINISH)


def about(job: Job) -> None:
    """Show what is known of the finish, the instrument, the place of work and the people."""
    if known(job):
        box(f"Finish: {job.finish_id.result}. Build: {job.build}.", "finish_known", lambda: _finish(job))
    box("Instrument, place and people", "about_open", lambda: _about(job))


def _about(job: Job) -> None:
    base = held(ABOUT, job_as_dict(job))
    was, key = base.was, base.key
    place, crew, made = was["site"], was["crew"], was["instrument"]
    with st.form(f"about {key}", border=False):
        left, right = st.columns(2)
        left.text_input("Title", was["title"], key=f"{key} title", max_chars=200)
        right.text_input("Customer", was["customer"] or "", key=f"{key} customer", max_chars=200)
        left, right = st.columns(2)
        left.text_input("Due", was["due"] or "", key=f"{key} due", max_chars=40)
        right.text_input("Instrument number", made["id"] or "", key=f"{key} instrument.id", max_chars=80)
        left, right = st.columns(2)
        left.text_input("Instrument", made["kind"] or "", key=f"{key} instrument.kind", max_chars=80)
        right.number_input("Year", 1700, 2100, made["year"], 1, key=f"{key} instrument.year")
        left, right = st.columns(2)
        left.selectbox("Looked at from", choices.VIEW_ORDER, choices.VIEW_ORDER.index(was["seen_from"]),
                       key=f"{key} seen_from", format_func=lambda name: f"{name}: {choices.VIEWS[name]}")
        right.selectbox("Work is done", list(choices.SITES), list(choices.SITES).index(place["kind"]),
                        key=f"{key} site.kind", format_func=lambda name: choices.SITES[name])
        left, right = st.columns(2)
        figure("Room, m3", place["room_m3"], 100_000.0, f"{key} site.room_m3", left)
        figure("Air changes an hour", place["air_changes_per_h"], 200.0, f"{key} site.air_changes_per_h", right)
        left, right = st.columns(2)
        left.selectbox("Worked by", list(choices.WORKERS), list(choices.WORKERS).index(crew["worker"]),
                       key=f"{key} crew.worker")
        right.selectbox("What is favoured", list(choices.FAVOURS), list(choices.FAVOURS).index(crew["favour"]),
                        key=f"{key} crew.favour", format_func=lambda name: f"{name}: {choices.FAVOURS[name]}")
        st.checkbox("One works alone", place["alone"], key=f"{key} site.alone")
        st.text_area("Note on how it is seen", was["view_note"], key=f"{key} view_note", max_chars=2000, height=90)
        st.form_submit_button("Keep these", type="primary", on_click=doing.beside(ABOUT)(_send), args=(ABOUT, base))
    doing.show_trouble(ABOUT)


def _send(name: str, base: Held) -> None:
    start = f"{base.key} "
    typed = {str(key).removeprefix(start): value for key, value in st.session_state.items()
             if str(key).startswith(start)}
    typed = {path: None if value == "" and path not in NEVER_NULL else value for path, value in sorted(typed.items())}
    if COATED in typed:
        typed[COATED] = KNOWN[str(typed[COATED])]
    done = doing.do(lambda body: edits.change_job(body, base.was, typed), base.revision,
                    lambda body: edits.change_job(body, ANY, typed))
    if done:
        renew(FINISH, ABOUT)
