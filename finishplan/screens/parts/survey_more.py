"""Spreadsheets in and out, the job file, and the history with what changed in words."""

from __future__ import annotations

from functools import partial

import streamlit as st

from finishplan.records import tables
from finishplan.records.files import as_text, file_name
from finishplan.records.kept import Opened, RevisionLine
from finishplan.records.tables_in import read_table
from finishplan.screens.parts import doing, kept, telling
from finishplan.screens.parts.box import box
from finishplan.screens.parts.held import held, renew, renew_all
from finishplan.screens.parts.markup import h, items, p, put
from finishplan.screens.parts.plain import moment, plain
from finishplan.survey.edits import Edit

SHEETS, HISTORY = "sheets", "history"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
LINES = 30


def sheets(opened: Opened) -> None:
    """Show readings and defects as files out and in, and the job file."""
    box("Spreadsheets and the job file", "sheets_open", lambda: _sheets(opened))


def _sheets(opened: Opened) -> None:
    body = opened.body
    with st.container(horizontal=True, key="sheets_out"):
        for what in tables.COLUMNS:
            st.download_button(f"{what.capitalize()} as CSV", partial(tables.as_csv, body, what),
                               file_name(opened.title, f"{what}.csv"), "text/csv", key=f"csv {what}", on_click="ignore")
        st.download_button("Both as XLSX", partial(tables.as_xlsx, body), file_name(opened.title, "survey.xlsx"), XLSX,
                           key="xlsx", on_click="ignore")
        st.download_button("The job file", partial(as_text, body), file_name(opened.title, "job.json"),
                           "application/json", key="job_out", on_click="ignore")
    what = st.segmented_control("A table to bring in holds", list(tables.COLUMNS), default="readings",
                                required=True, key="sheets what")
    columns = ", ".join(tables.COLUMNS[str(what)])
    put("", p(f"The first row names the columns: {columns}. Rows are added.", "quiet small"))
    fresh = held("sheet box", None)
    st.file_uploader("CSV or XLSX", type=["csv", "xlsx"], key=f"sheet {fresh.key}",
                     on_change=telling.beside(SHEETS)(_bring_in), args=(f"sheet {fresh.key}", str(what)))
    telling.show_trouble(SHEETS)


def _bring_in(key: str, what: str) -> None:
    sent = st.session_state[key]
    renew("sheet box")
    if sent is not None:
        rows = read_table(sent.getvalue(), sent.name, what)
        doing.do(lambda body: Edit(tables.add_rows(body, what, rows), f"{len(rows)} {what} from {sent.name}"))


def history(opened: Opened) -> None:
    """Show who did what and when, and any old revision beside what stands."""
    box("History", "history_open", lambda: _history(opened))


def _history(opened: Opened) -> None:
    found = kept.store().history(opened.id, LINES)
    put("fp-history", items(_line(line) for line in found))
    wordings = {line.number: line.wording for line in found}
    old = st.selectbox("Compare what stands with revision", [line.number for line in found], key="history pick",
                       format_func=lambda number: f"{number}: {wordings.get(number, '')}")
    changed = kept.store().compare(opened.id, old, opened.revision)
    put("fp-conflict", h(3, f"Since revision {old}"),
        items(f"<li>{p(line)}</li>" for line in changed or ("nothing changed",)))
    st.button(f"Go back to revision {plain(str(old))}", key="go_back", disabled=not changed,
              on_click=telling.beside(HISTORY)(_go_back), args=(opened, old))
    telling.show_trouble(HISTORY)


def _line(line: RevisionLine) -> str:
    return f"<li>{p(str(line.number))}{p(f'{moment(line.at)}, {line.who}', 'quiet')}{p(line.wording)}</li>"


def _go_back(opened: Opened, number: int) -> None:
    kept.store().go_back(opened.id, number, opened.revision, kept.who(), kept.now())
    renew_all()
