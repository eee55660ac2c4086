"""The quote of the open job: the customer's page as printed, inputs beside it, files, and what was sent."""

from __future__ import annotations

import streamlit as st

from finishplan.records.kept import Opened
from finishplan.screens.parts import (
    kept,
    look_quote,
    look_survey,
    no_job,
    quote_fields,
    quote_sent,
    quote_sheet,
    quote_together,
    quote_work,
    survey_head,
    telling,
)
from finishplan.screens.parts.markup import h, p, put
from finishplan.screens.parts.quote_work import Made
from finishplan.survey.job import Job, read_job_dict

DEMO = ("Demo: our own invention. Where our shop says nothing, prices and rates are those of the demo shop, "
        "invented too.")


def page() -> None:
    """Show the quote of the open job, or the way to one."""
    look_survey.put_on()
    look_quote.put_on()
    telling.begin()
    opened = kept.current()
    if opened is None:
        no_job.show("A quote is made of a job that is kept here.")
        return
    job = read_job_dict(opened.body)
    masthead(opened)
    survey_head.conflict()
    made, wrong = quote_work.made_of(opened, job, st.empty())
    if made is None:
        without(opened, job, wrong)
        return
    content(opened, job, made, wrong)


def masthead(opened: Opened) -> None:
    """Write the title and what the prices rest on."""
    put("fp-mast fp-job", h(1, f"Quote: {opened.title}"), p(DEMO if quote_work.is_demo(opened.body) else "", "quiet"))


def without(opened: Opened, job: Job, wrong: str) -> None:
    """Show the inputs alone, with why no quote can be made; what was sent stays in reach."""
    if wrong == quote_work.STOPPED_WORDS:
        st.button("Work it out", key="quote_go_on", type="primary", on_click=quote_work.go_on)
    with st.container(key="quote_inputs"):
        quote_fields.inputs(opened, job, wrong)
    telling.show_rest()
    quote_sent.sent(opened.id)


def content(opened: Opened, job: Job, made: Made, wrong: str) -> None:
    """Show the whole page of a quote that could be made."""
    paper = quote_work.profile_for(opened.body).file.paper
    quote = made.quote
    quote_sent.files(made, paper)
    quote_sheet.options(quote)
    left, right = st.columns([3, 2], gap="medium")
    with left:
        quote_sheet.pages(quote, paper)
    with right, st.container(key="quote_inputs"):
        quote_fields.inputs(opened, job, wrong)
    telling.show_rest()
    quote_sheet.labour(quote)
    quote_sheet.days(made, paper)
    quote_together.section(opened, job, made.key, paper)
    quote_sheet.owner(quote)
    quote_sent.sent(opened.id)
