"""Starting a job: from an instrument, from a job file, or the demo."""

from __future__ import annotations

import secrets

import streamlit as st

from finishplan import wording
from finishplan.errors import BadValue, FinishplanError
from finishplan.records.files import read_job_bytes
from finishplan.screens.parts import going, guard, into_view, kept, telling
from finishplan.screens.parts.held import held, renew
from finishplan.screens.parts.markup import h, p, put
from finishplan.survey.templates import INSTRUMENTS, part_panels, template_job
from finishplan.where_typed import ROOM

OPEN = "jobs starting"
KIND = "jobs kind"
OPENED = "jobs opened"
"""Names this opening of the form: it comes into view once."""
FORM = "start_form"
ALL, NONE = "All the usual parts", "None of them"
STARTED = "jobs started"
"""Set when a job was started: the page then goes on to its survey."""
_made: dict[str, str] = {}
"""The job that a form started, by the form's opening."""


def demo_button() -> None:
    """Show the button that opens the demo in one click."""
    if st.button("Open the demo job", key="demo", type="primary" if not st.session_state.get(OPEN) else "secondary"):
        kept.start_demo()
        going.go("Survey")


def start_button() -> None:
    """Show the button that opens the form to start a job."""
    st.button("Start a job", key="start", on_click=_open, args=(not st.session_state.get(OPEN),))


def go_to_start() -> None:
    """Go to the form that starts a job; call it from a page, not from a callback."""
    _open(True)
    going.go("Jobs")


def _open(opened: bool) -> None:
    st.session_state[OPEN], st.session_state[OPENED] = opened, secrets.token_hex(4)


def section() -> None:
    """Show, if it is asked for, how a job is started: from an instrument's parts, or from a file."""
    if st.session_state.pop(STARTED, False):
        going.go("Survey")
    if not st.session_state.get(OPEN):
        return
    with st.container(key=FORM):
        _form()
    into_view.into_view(FORM, str(st.session_state.get(OPENED)))


def _form() -> None:
    put("fp-panel", h(2, "Start a job"),
        p("Parts and areas are offered from a table: usual sizes, assumed. Measure, and put yours in their place.",
          "quiet"))
    kind = str(st.segmented_control("Instrument", list(INSTRUMENTS), default="grand", required=True, key=KIND))
    panels = part_panels(kind)
    parts = list(dict.fromkeys(panel.part for panel in panels))
    usual = [part for part in parts if any(panel.in_template for panel in panels if panel.part == part)]
    with st.form("start_job", border=False):
        left, right = st.columns(2)
        left.text_input("Title", key="start title", max_chars=300)
        right.text_input("Customer", key="start customer", max_chars=200)
        left, right = st.columns(2)
        left.number_input("Year", value=None, step=1, key="start year")
        right.text_input("Instrument number", key="start id", max_chars=80)
        st.session_state.setdefault(f"start parts {kind}", usual)
        st.pills("Parts to work on", parts, selection_mode="multi", key=f"start parts {kind}")
        with st.container(horizontal=True):
            st.form_submit_button("Start with these parts", type="primary", on_click=telling.beside("start")(_start),
                                  args=(kind,))
            for words, chosen in ((ALL, usual), (NONE, [])):
                st.form_submit_button(words, on_click=_choose, args=(kind, chosen))
    telling.show_trouble("start")
    box = held("job file", None)
    st.file_uploader("Or bring in a job file", type=["json"], key=f"job file {box.key}",
                     on_change=telling.beside("start")(_brought), args=(f"job file {box.key}",))


def _choose(kind: str, parts: list[str]) -> None:
    st.session_state[f"start parts {kind}"] = parts


def _start(kind: str) -> None:
    if not st.session_state.get(OPEN):
        return  # pressed twice: it is started already
    asked, store, who = st.session_state.setdefault(OPENED, secrets.token_hex(4)), kept.store(), kept.who()
    title, customer, year, number = (st.session_state[f"start {what}"] for what in ("title", "customer", "year", "id"))
    parts = list(st.session_state[f"start parts {kind}"] or ())
    given = {"customer": customer, "year": year, "id": number}
    instrument = INSTRUMENTS[kind].partition(",")[0]
    told = f"started from {wording.counted(len(parts), 'part')} of {instrument}"
    try:
        # Whatever touches the session may be broken off by a second press, which then goes on from here.
        if asked not in _made:
            _made[asked] = store.start(template_job(kind, title, parts, given), who, kept.now(), told).id
    except BadValue as error:
        raise FinishplanError(guard.said(error).removeprefix(f"{ROOM}: ")) from None  # its box stands here as well
    kept.open_job(_made[asked])
    _started()


def _started() -> None:
    st.session_state[OPEN], st.session_state[STARTED] = False, True


def _brought(key: str) -> None:
    sent = st.session_state[key]
    renew("job file")
    if sent is None:
        return
    try:
        kept.start(read_job_bytes(sent.getvalue(), sent.name), f"brought in from {sent.name}")
    except FinishplanError as error:
        said = str(error)
        telling.tell("start", said if said.startswith(sent.name) else f"{sent.name}: {said}")
        return
    _started()
