"""First of all: what finish is it, how is it built, and the instrument, its place and its people."""

from __future__ import annotations

import streamlit as st

from finishplan.office import typed_inputs
from finishplan.screens.parts import kept, telling
from finishplan.screens.parts.box import box as in_box
from finishplan.screens.parts.fields import Fields, as_typed, or_nothing
from finishplan.screens.parts.figure import figure
from finishplan.screens.parts.markup import h, p, put
from finishplan.survey import choices, edits
from finishplan.survey.job import Job, job_as_dict, read_job_dict

ASKED = "survey finish asked"
KNOWN = {"not known": None, "yes": True, "no": False}
TESTS = ("How: a drop of solvent on a hidden spot, the smell when it is sanded, the ring of a nail, papers of the "
         "maker. Nothing is sanded before the finish is shown to be polyester.")
TEXTS = ("customer", "due", "finish_id.how", "finish_id.where", "finish_id.by", "finish_id.lead_test", "instrument.id",
         "instrument.kind")
"""Fields that may be left open."""
GIVEN = ("title", "view_note", "build", "seen_from", "finish_id.result", "instrument.year", "site.kind", "site.room_m3",
         "site.air_changes_per_h", "site.alone", "crew.worker", "crew.favour", "crew.first_cut", "site.temperature_c",
         "site.humidity_percent", "fill.resin", "fill.styrene_percent", "fill.gel_min", "fill.catalyst_percent")
FIELDS = Fields(
    "job", dict.fromkeys(TEXTS, or_nothing) | dict.fromkeys(GIVEN, as_typed) | {
        "instrument.overcoated": lambda word: KNOWN[str(word)],
        "due": typed_inputs.due(lambda: kept.now().astimezone().date())},
    edits.change_job, lambda body, was, typed: job_as_dict(read_job_dict(body)))


def known(job: Job) -> bool:
    """Tell whether finish and build are both known."""
    return job.finish_id.result != "unknown" and job.build != "unknown"


def first(job: Job) -> None:
    """Ask for finish and build before anything else, until both are known and the person says that is all."""
    if not known(job):
        st.session_state[ASKED] = True
    if st.session_state.get(ASKED):
        put("fp-panel", h(2, "Finish and build first"), p(TESTS, "quiet"))
        _finish(job)
        if known(job):
            st.button("That is all known of the finish", key="finish_done", on_click=_asked)


def _asked() -> None:
    st.session_state[ASKED] = False


def _finish(job: Job) -> None:
    was = FIELDS.base(job_as_dict(job))
    found, box = was["finish_id"], FIELDS.box
    st.segmented_control("The finish is", list(choices.FINISHES), required=True,
                         **box("finish_id.result", found["result"]))
    st.segmented_control("It is built", list(choices.BUILDS), required=True, **box("build", was["build"]),
                         format_func=lambda name: "not known" if name == "unknown" else str(name))
    left, right = st.columns(2)
    left.text_input("Shown how", max_chars=400, **box("finish_id.how", found["how"] or ""))
    right.text_input("Where on the instrument", max_chars=400, **box("finish_id.where", found["where"] or ""))
    left, right = st.columns(2)
    left.text_input("Shown by", max_chars=200, **box("finish_id.by", found["by"] or ""))
    coated = next(word for word, value in KNOWN.items() if value is was["instrument"]["overcoated"])
    right.selectbox("Lies under another coat", list(KNOWN), **box("instrument.overcoated", coated))
    st.text_input("Test for lead: who tested what, and the result", max_chars=400,
                  **box("finish_id.lead_test", found["lead_test"] or ""))
    telling.show_trouble(FIELDS.name)


def about(job: Job) -> None:
    """Show what is known of the finish, the instrument, the place of work and the people."""
    if not st.session_state.get(ASKED):
        in_box(f"Finish: {job.finish_id.result}. Build: {job.build}.", "finish_known", lambda: _finish(job))
    in_box("Instrument, place and people", "about_open", lambda: _about(job))


def _about(job: Job) -> None:
    was, box = FIELDS.base(job_as_dict(job)), FIELDS.box
    place, crew, made = was["site"], was["crew"], was["instrument"]
    left, right = st.columns(2)
    left.text_input("Title", max_chars=300, **box("title", was["title"]))
    right.text_input("Customer", max_chars=200, **box("customer", was["customer"] or ""))
    left, middle, right = st.columns(3)
    left.text_input("Due", max_chars=40, placeholder="2026-05-31", **box("due", was["due"] or ""))
    middle.text_input("Instrument number", max_chars=80, **box("instrument.id", made["id"] or ""))
    right.text_input("Instrument", max_chars=80, **box("instrument.kind", made["kind"] or ""))
    left, middle, right = st.columns(3)
    left.number_input("Year", value=None, step=1, **box("instrument.year", made["year"]))
    figure("Room, m3", middle, **box("site.room_m3", place["room_m3"]))
    figure("Air changes an hour", right, **box("site.air_changes_per_h", place["air_changes_per_h"]))
    left, right = st.columns(2)
    left.selectbox("Looked at from", choices.VIEW_ORDER, format_func=lambda name: f"{name}: {choices.VIEWS[name]}",
                   **box("seen_from", was["seen_from"]))
    right.selectbox("Work is done", list(choices.SITES), format_func=lambda name: choices.SITES[name],
                    **box("site.kind", place["kind"]))
    left, right = st.columns(2)
    left.number_input("Room temperature, C", value=None, format="%g",
                      **box("site.temperature_c", place["temperature_c"]))
    figure("Humidity, %", right, **box("site.humidity_percent", place["humidity_percent"]))
    left, right = st.columns(2)
    left.selectbox("Worked by", list(choices.WORKERS), **box("crew.worker", crew["worker"]))
    right.selectbox("What is favoured", list(choices.FAVOURS), **box("crew.favour", crew["favour"]),
                    format_func=lambda name: f"{name}: {choices.FAVOURS[name]}")
    st.selectbox("The first cut", list(choices.FIRST_CUTS), **box("crew.first_cut", crew["first_cut"]),
                 format_func=lambda name: f"{name}: {choices.FIRST_CUTS[name]}")
    st.checkbox("One works alone", **box("site.alone", place["alone"]))
    st.text_area("Note on how it is seen", max_chars=2000, height=90, **box("view_note", was["view_note"]))
    telling.show_trouble(FIELDS.name)
