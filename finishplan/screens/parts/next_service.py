"""The next job on an instrument, from the film record that its last one left: a press on the Jobs page."""

from __future__ import annotations

import streamlit as st

from finishplan.records.film_records import kept_record, read_record, start_from_record
from finishplan.screens.parts import going, kept
from finishplan.screens.parts.markup import p, put


def button(job_id: str) -> None:
    """Show, where a job was entered into its instrument's film record, how the next one starts from it."""
    entered = kept_record(kept.store(), job_id)
    if entered is None:
        return
    record = read_record(entered.body)
    put("", p(f"In the film record since {record.day}, by {record.by}: the next job knows the film that is left, what "
              "stayed and what was done.", "quiet small"))
    if st.button("Start the next job on this instrument", key=f"next of {job_id}"):
        made = start_from_record(kept.store(), entered.id, kept.who(), kept.now())
        kept.open_job(made.id)
        going.go("Survey")
