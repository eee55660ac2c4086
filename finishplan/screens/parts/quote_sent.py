"""Files of the quote, sending it, and the quotes that were sent: each opens as it was."""

from __future__ import annotations

from functools import partial

import streamlit as st

from finishplan.office.quote_tables import as_csv, as_xlsx
from finishplan.paper import office_words as words
from finishplan.paper.quote_pdf import quote_pdf
from finishplan.records.sent_quotes import Sent, next_number, send, sent_of
from finishplan.screens.parts import kept, telling
from finishplan.screens.parts.markup import h, p, put, table
from finishplan.screens.parts.plain import moment
from finishplan.screens.parts.quote_work import MADE, Made

ASKED, OPENED = "quote asked", "quote opened"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
PLACE = "quote send"


def files(made: Made, paper: str) -> None:
    """Show the quote as files, and the button that sends it."""
    quote = made.quote
    with st.container(horizontal=True, key="quote_files"):
        st.download_button("PDF", partial(quote_pdf, quote, paper), "quote.pdf", "application/pdf", key="quote_pdf",
                           type="primary", on_click="ignore")
        st.download_button("XLSX", partial(as_xlsx, quote, False), "quote.xlsx", XLSX, key="quote_xlsx",
                           on_click="ignore")
        st.download_button("CSV", partial(as_csv, quote), "quote.csv", "text/csv", key="quote_csv", on_click="ignore")
        st.button("Send", key="quote_send", on_click=_ask, args=(True,))
    if st.session_state.get(ASKED) == made.key:
        _question(made, paper)
    telling.show_trouble(PLACE)


def _ask(asked: bool) -> None:
    made = st.session_state.get(MADE)
    st.session_state[ASKED] = made.key if asked and made else None


def _question(made: Made, paper: str) -> None:
    number, revision = next_number(kept.store(), made.key[0])
    put("fp-asked", p(f"Send this {made.quote.kind} as no. {number}, revision {revision}? It is kept as it stands, "
                      "and cannot be changed or taken back: a change goes into the next one. The program sends no "
                      "mail: give the PDF to the customer yourself."))
    with st.container(horizontal=True, key="quote_asked"):
        st.button(f"Send no. {number}, revision {revision}", key="quote_send_now", type="primary",
                  on_click=telling.beside(PLACE)(_send), args=(made, paper))
        st.button("Not yet", key="quote_not_yet", on_click=_ask, args=(False,))


def _send(made: Made, paper: str) -> None:
    st.session_state[ASKED] = None
    job, revision, shop, _ = made.key
    done = send(kept.store(), job, made.numbered, quote_pdf, (revision, shop), paper, kept.who(), kept.now())
    st.session_state[OPENED] = done.id


def sent(job_id: str) -> None:
    """List the quotes of the job that were sent, the newest first; each opens as it was."""
    found = sent_of(kept.store(), job_id)
    put("fp-panel", h(2, "Sent"))
    if not found:
        put("", p("None was sent yet.", "quiet"))
    for one in found:
        put("fp-sent", p(words.sent_line(one.body.model_dump()), "name"),
            p(f"{moment(one.at)}, {one.who}", "quiet small"))
        shown = st.session_state.get(OPENED) == one.id
        with st.container(horizontal=True, key=f"sent_{one.body.revision}"):
            st.download_button("PDF as sent", one.pdf, _name(one, "pdf"), "application/pdf", key=f"pdf {one.id}",
                               on_click="ignore")
            st.download_button("XLSX as sent", one.xlsx, _name(one, "xlsx"), XLSX, key=f"xlsx {one.id}",
                               on_click="ignore")
            st.button("Close" if shown else "Open", key=f"open {one.id}", on_click=_open,
                      args=("" if shown else one.id,))
        if shown:
            _content(one)


def _name(one: Sent, end: str) -> str:
    return f"quote-{one.body.number}-{one.body.revision}.{end}"


def _open(name: str) -> None:
    st.session_state[OPENED] = name


def _content(one: Sent) -> None:
    data = one.body.data
    put("fp-wide fp-options", table("As it was sent.", *words.sent_table(data)))
    put("",
        *(p(f"{line['panel']}: {line['text']}", "small") for line in data["scope"]),
        *(p(f"{text['heading']}: {text['text']}", "small quiet") for text in data["texts"]))
