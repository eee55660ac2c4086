"""Two people at one inspection: what each typed for the same field, and the choice between them."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import streamlit as st

from finishplan.records.inspections import FIELDS, Entry, Held, contested
from finishplan.screens.parts import inspect_kept, telling
from finishplan.screens.parts.markup import h, p, put
from finishplan.screens.parts.plain import moment, plain

PLACE = "inspection both"
SHORT = 24
"""Letters of a value that a button bears."""
YES = {True: "yes, as agreed", False: "no"}


def both(job_id: str, panel: str, fields: inspect_kept.Fields) -> None:
    """Show every field for which two people typed different things, each with who and when, and let one be chosen."""
    for name in contested(fields):
        held = fields[name]
        put("fp-conflict", h(3, f"Two people typed different things: {FIELDS[name]}"),
            p("Both are kept. Choose which counts; the other stays in the record."))
        entries = (held.stands, *held.beside)
        with st.container(key=f"both_{name}"):
            for entry in entries:
                put("", p(said(entry), "name"))
                st.button(label(entry.value), key=f"counts {panel} {name} {entry.number}",
                          on_click=telling.beside(PLACE)(_choose), args=(job_id, panel, held, entry))
    telling.show_trouble(PLACE)


def label(value: Any) -> str:
    """Return what the button of a value says, so that no two of a field are called the same where words are short."""
    words = shown(value)
    return f"{plain(words)} counts" if len(words) <= SHORT else "This counts"


def said(entry: Entry) -> str:
    """Return one entry with who typed it and when."""
    when = f", {moment(datetime.fromisoformat(entry.at))}" if entry.at else ""
    return f"{entry.who or 'somebody'}{when}: {shown(entry.value)}"


def shown(value: Any) -> str:
    """Return a value as it is read; an empty box says so."""
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return YES[value]
    return f"{value:g}" if isinstance(value, float) else str(value)


def _choose(job_id: str, panel: str, held: Held, entry: Entry) -> None:
    """Let one value count: it is typed anew on top of what stands, which settles the field."""
    inspect_kept.keep(job_id, panel, entry.field, entry.value, held.latest)
