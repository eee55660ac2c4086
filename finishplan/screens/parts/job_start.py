"""Starting a job: from an instrument, from a job file, or the demo."""

from __future__ import annotations

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.records.files import read_job_bytes
from finishplan.screens.parts import going, guard, kept, telling
from finishplan.screens.parts.held import held, renew
from finishplan.screens.parts.markup import h, p, put
from finishplan.survey.templates import INSTRUMENTS, part_panels, template_job

OPEN = "jobs starting"
KIND = "jobs kind"


def demo_button() -> None:
    """Show the button that opens the demo in one click."""
    if st.button("Open the demo job", key="demo", type="primary" if not st.session_state.get(OPEN) else "secondary"):
        kept.start_demo()
        going.go("Survey")


def start_button() -> None:
    """Show the button that opens the form to start a job."""
    st.button("Start a job", key="start", on_click=_open, args=(not st.session_state.get(OPEN),))


def _open(opened: bool) -> None:
    st.session_state[OPEN] = opened


def section() -> None:
    """Show, if it is asked for, how a job is started: from an instrument's parts, or from a file."""
    if not st.session_state.get(OPEN):
        return
    put("fp-panel", h(2, "Start a job"),
        p("Parts and areas are offered from a table: usual sizes, assumed. Measure, and put yours in their place.",
          "quiet"))
    kind = str(st.segmented_control("Instrument", list(INSTRUMENTS), default="grand", required=True, key=KIND))
    panels = part_panels(kind)
    parts = list(dict.fromkeys(panel.part for panel in panels))
    usual = [part for part in parts if any(panel.in_template for panel in panels if panel.part == part)]
    with st.form("start_job", border=False):
        left, right = st.columns(2)
        title = left.text_input("Title", key="start title", max_chars=200)
        customer = right.text_input("Customer", key="start customer", max_chars=200)
        left, right = st.columns(2)
        year = left.number_input("Year", value=None, step=1, key="start year")
        number = right.text_input("Instrument number", key="start id", max_chars=80)
        chosen = st.pills("Parts to work on", parts, selection_mode="multi", default=usual, key=f"start parts {kind}")
        sent = st.form_submit_button("Start with these parts", type="primary")
    if sent:
        _start(kind, title, list(chosen or ()), {"customer": customer, "year": year, "id": number})
    telling.show_trouble("start")
    box = held("job file", None)
    files = st.file_uploader("Or bring in a job file", type=["json"], key=f"job file {box.key}")
    if files is not None:
        renew("job file")
        _bring_in(files.getvalue(), files.name)


def _start(kind: str, title: str, parts: list[str], given: dict[str, object]) -> None:
    try:
        kept.start(template_job(kind, title, parts, given), f"started from the parts of {INSTRUMENTS[kind]}")
    except FinishplanError as error:
        guard.show(str(error))
        return
    st.session_state[OPEN] = False
    going.go("Survey")


def _bring_in(data: bytes, name: str) -> None:
    try:
        kept.start(read_job_bytes(data, name), f"brought in from {name}")
    except FinishplanError as error:
        said = str(error)
        guard.show(said if said.startswith(name) else f"{name}: {said}")
        return
    st.session_state[OPEN] = False
    going.go("Survey")
