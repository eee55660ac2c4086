"""Film readings of a zone: typed in a row, by number pad, listed, and changed one by one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from finishplan.paper import survey_words
from finishplan.screens.parts import doing, kept, number_pad, questions, telling
from finishplan.screens.parts.box import box
from finishplan.screens.parts.fields import Fields, as_typed
from finishplan.screens.parts.figure import figure, number
from finishplan.screens.parts.held import held, renew_starting
from finishplan.screens.parts.markup import p, put, table
from finishplan.survey import choices, edits, edits_entries
from finishplan.survey.edits import ANY
from finishplan.survey.job import Reading
from finishplan.survey.typed_row import odd_readings, read_row

ROW = "survey row"
METHOD = "survey method"
PIN = "survey pin"
"""Where the next readings are taken, until they are typed: panel, zone, x, y."""
HEADS = ("film, um", "method", "spot", "place, %", "note")
At = tuple[str, str]
"""Panel and zone."""


def pin_of(at: At) -> dict[str, float] | None:
    """Return where the next readings of a zone are taken, if that was tapped."""
    pin = st.session_state.get(PIN)
    return {"x": pin["x"], "y": pin["y"]} if pin and (pin["panel"], pin["zone"]) == at else None


def enter(body: Mapping[str, Any], at: At) -> None:
    """Show the ways to enter readings: a row to type in, the pad, and with what and where they are read."""
    spot = edits_entries.next_spot(body)
    method = str(st.session_state.get(METHOD) or edits_entries.DEFAULT_METHOD)
    number = st.session_state.get(f"survey spot {spot}", spot)
    context = {"panel": at[0], "zone": at[1], "method": method, "spot": None if number == spot else number}
    with st.form("survey_row", clear_on_submit=True, border=False):
        st.text_input("Film, um: one, or several with spaces", key=ROW, placeholder="412 398 405", autocomplete="off")
        st.form_submit_button("Add readings", type="primary", on_click=telling.beside("readings", typed=ROW)(_typed),
                              args=(context,))
    telling.show_trouble("readings")
    number_pad.show(context, lambda row: add_row(str(row["text"]), row["context"]))
    questions.show(str(st.session_state[kept.JOB]))  # under the pad: keys must not move under a thumb
    with_what = st.selectbox("Read with", list(choices.METHODS), key=METHOD, persist_state="session")
    put("", p(f"For: {choices.METHODS[str(with_what)]}.", "quiet small"))
    st.number_input("Spot", value=spot, step=1, key=f"survey spot {spot}")


def _typed(context: Mapping[str, Any]) -> None:
    add_row(str(st.session_state[ROW]), context)


def add_row(text: str, context: Mapping[str, Any]) -> None:
    """Keep a typed row: what reads well at once, what looks like a slip as a question, the rest named."""
    if not text.strip():
        return
    job_id, at = str(st.session_state[kept.JOB]), (str(context["panel"]), str(context["zone"]))
    row = read_row(text)
    plain, odd = odd_readings(row.values_um, edits_entries.known_um(kept.store().open(job_id).body, *at))
    where = {"method": context["method"], "spot": context["spot"], "at": pin_of(at)}
    if plain:
        doing.do(lambda body: edits_entries.add_readings(
            body, *at, plain, where["method"], where["spot"] or edits_entries.next_spot(body), where["at"]))
        st.session_state.pop(PIN, None)
    questions.ask(job_id, odd, {"panel": at[0], "zone": at[1], **where})
    if row.refused:
        taken = f"Taken: {' '.join(f'{um:g}' for um in row.values_um)}. " if row.values_um else ""
        telling.tell("readings", f"{taken}Left out: {'; '.join(row.refused)}. You typed: {text}")


def listed(zone: Mapping[str, Any], at: At) -> None:
    """Show the readings of a zone, and one of them to be changed or taken out."""
    readings = list(zone.get("readings") or ())
    if not readings:
        put("", p("No reading here yet.", "quiet"))
        return
    rows = [survey_words.reading_cells(reading) for reading in readings]
    put("fp-readings", table(f"Readings of {at[0]}, {at[1]}", HEADS, rows, numbers=(0,)))
    box("Change or take out a reading", "reading_open", lambda: _choose(readings, rows, at))


def _choose(readings: list[Mapping[str, Any]], rows: list[tuple[str, ...]], at: At) -> None:
    index = st.selectbox("Reading", range(len(readings)), key=f"survey reading {at} {len(readings)}",
                         format_func=lambda k: ", ".join(cell for cell in rows[k] if cell))
    _one(readings[index], index, at)


def _one(reading: Mapping[str, Any], index: int, at: At) -> None:
    fields = Fields(
        f"reading {at} {index}",
        {"um": as_typed, "method": as_typed, "spot": as_typed, "at": edits_entries.read_place, "note": as_typed},
        lambda body, was, typed: edits_entries.change_reading(body, *at, index, was, typed),
        lambda body, was, typed: edits.changed(Reading, was, was, typed, "")[0], f"{at[0]}, {at[1]}")
    was = fields.base(dict(reading))
    left, middle, right = st.columns(3)
    figure("Film, um", left, **fields.box("um", number(was["um"])))
    middle.selectbox("Read with", list(choices.METHODS),
                     **fields.box("method", was.get("method", edits_entries.DEFAULT_METHOD)))
    right.number_input("Spot", value=None, step=1, **fields.box("spot", was.get("spot")))
    left, right = st.columns([1, 2])
    left.text_input("Place, % across and up", **fields.box("at", edits_entries.place_text(was.get("at"))))
    right.text_input("Note", max_chars=2000, **fields.box("note", was.get("note", "")))
    telling.show_trouble(fields.name)
    st.button("Take this reading out", key=fields.key("out"), on_click=telling.beside(fields.name)(_take_out),
              args=(fields.name, index, at))


def _take_out(name: str, index: int, at: At) -> None:
    base = held(name, None)
    if doing.do(lambda body: edits_entries.take_out_reading(body, *at, index, base.was), base.revision,
                lambda body: edits_entries.take_out_reading(body, *at, index, ANY)):
        renew_starting(f"reading {at} ")
