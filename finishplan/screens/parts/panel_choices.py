"""Who works one panel, with what, and seen from where: each choice plans again at once."""

from __future__ import annotations

import streamlit as st

from finishplan.planning.problem import COMPOUNDS_BY_FACE, SHEETS_BY_FACE
from finishplan.screens.parts import replan
from finishplan.survey.choices import COMPOUND_WAYS, SHEET_WAYS, VIEWS, WORKERS
from finishplan.survey.job import Job, Panel

TITLE = "Who, with what, seen from where"


def panel_choices(job: Job, panel: Panel) -> None:
    """Write the four choices of a panel, closed until they are wanted."""
    with st.expander(TITLE):
        one, two = st.columns(2, gap="medium")
        with one:
            choice(panel, "worker", "Who works here", WORKERS, f"as for the job: {job.crew.worker}")
            choice(panel, "sheets_by", "Sheets by", SHEET_WAYS, f"as the face asks: {SHEETS_BY_FACE[panel.face]}")
        with two:
            choice(panel, "seen_from", "Seen from", VIEWS, f"as for the job: {job.seen_from}")
            choice(panel, "compounds_by", "Compounds by", COMPOUND_WAYS,
                   f"as the face asks: {COMPOUNDS_BY_FACE[panel.face]}")


def choice(panel: Panel, name: str, label: str, allowed: dict[str, str], otherwise: str) -> None:
    """Write one choice of a panel; the first stands for what the job or the face says."""

    def words(option: str) -> str:
        return option or otherwise

    key = f"panel:{panel.name}:{name}"
    st.session_state[key] = getattr(panel, name) or replan.NOT_SAID
    st.selectbox(label, [replan.NOT_SAID, *allowed], key=key, format_func=words, on_change=replan.panel_field,
                 args=(key, panel.name, name))
    replan.beside(key)
