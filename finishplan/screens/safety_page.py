"""What a job can do to people: its cautions worst first, each with its sum and inputs one tap away.

A stop of a kept job is signed for here: who, what was done about it, at which revision of the job.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from html import escape

import streamlit as st

from finishplan.errors import FinishplanError
from finishplan.paper import lines
from finishplan.paper.card_pdf import card_pdf
from finishplan.paper.safety_text import safety_text
from finishplan.paper.safety_words import (
    ShownSum,
    by_severity,
    counts_words,
    number_words,
    open_words,
    shown_sums,
    trust_words,
)
from finishplan.safety.as_json import LOCAL_FIRST
from finishplan.safety.card import CardLine, emergency_card
from finishplan.safety.cautions import Caution, other_figures
from finishplan.safety.day_sums import day_sums
from finishplan.safety.sign_off import open_stops
from finishplan.safety.situation import Situation
from finishplan.safety.worked import Worked
from finishplan.screens.parts import answers, guard, look_safety, opening, sign_stops, telling
from finishplan.screens.parts.markup import h, items, p, put, table
from finishplan.workup import Answer

SIGN = (
    "A stop is signed for before its step starts: what was done about it, who, when. Until then the Bench page keeps "
    "that step shut."
)
INPUTS = ("input", "value", "unit", "kind", "where it comes from")


def page() -> None:
    """Show the safety page of what is open, or the door."""
    try:
        source = opening.opened()
        answer = answers.answer_of(source) if source else None
    except FinishplanError as error:
        guard.show(str(error))
        opening.door()
        return
    if answer is None:
        put("fp-door", h(1, "What can hurt somebody on this job."),
            p("Open a job to see the cautions it raises, with the sums behind them.", "quiet"))
        opening.door()
        return
    content(answer, source.stored if source else "")


def content(answer: Answer, job_id: str) -> None:
    """Write local rules first, then the cautions worst first, other sums, and the emergency card."""
    telling.begin()
    look_safety.put_on()
    signed = sign_stops.signed_for(job_id) if job_id else ()
    sums = day_sums(Situation(answer.job, answer.plan, answer.profile))
    put("fp-mast", h(1, f"Safety: {answer.plan.title}"))
    put("", f'<div class="fp-local">{p(LOCAL_FIRST)}</div>')
    put("fp-notes", p(counts_words(answer.cautions)),
        p(open_words(open_stops(answer.cautions, signed))),
        items(f"<li>{escape(note)}</li>" for note in (*sums.notes, trust_words())))
    for head, group in by_severity(answer.cautions):
        put("fp-panel", h(2, head))
        if group[0].severity == "stop":
            put("", *((p(SIGN, "quiet"), p(sign_stops.who_signs(), "quiet")) if job_id else
                      (p(sign_stops.NOT_KEPT, "quiet"),)))
        for caution in group:
            one_caution(caution)
            if job_id and caution.severity == "stop":
                sign_stops.sign_line(caution, job_id, signed)
    rest = other_figures(answer.cautions, sums)
    if rest:
        put("fp-panel", h(2, "Other sums: no caution rests on them"))
        with st.expander("Show them"):
            all_sums(rest)
    telling.show_rest()
    card()
    shop = answer.profile.file
    st.download_button("Emergency card (PDF, one page)", partial(card_pdf, shop.paper, shop.name), "emergency_card.pdf",
                       "application/pdf", key="card_pdf", on_click="ignore")
    st.download_button("Cautions, strip to sign and card as text", safety_text(answer),
                       "safety.txt", "text/plain", key="safety_text")


def one_caution(caution: Caution) -> None:
    """Write one caution, and under it, closed, the sum it rests on."""
    small = (lines.check_words(caution.check_locally), f"Here because: {caution.here_because}.",
             f"From: {caution.source} (trust {caution.trust}).")
    said = "".join(p(note) for note in caution.notes)
    word = f'<span class="word">{escape(caution.severity)}</span>'
    put("fp-cautions", items([f'<li class="{escape(caution.severity)}">{word}<div>'
                              f"{p(f'{caution.id} {caution.hazard}', 'name')}{p(caution.text)}{said}"
                              f"{''.join(p(words, 'quiet small') for words in small)}</div></li>"]))
    if caution.figures:
        with st.expander(f"{caution.id}: the sum and its inputs"):
            all_sums(caution.figures)
    elif caution.without_figure:
        put("", p(f"No sum here: {caution.without_figure}.", "quiet small"))


def all_sums(figures: Iterable[Worked]) -> None:
    """Write sums one after the other."""
    for shown in shown_sums(figures):
        one_sum(shown)


def one_sum(shown: ShownSum) -> None:
    """Write one sum: each result with its limit, the formula, a table of inputs, remarks."""
    results = [f"<li>{p(result.words) if result.decides else p(result.words, 'quiet')}"
               f"{''.join(p(remark, 'small') for remark in result.remarks)}</li>" for result in shown.results]
    rows = [(i.name, number_words(i.value), i.unit, i.kind, i.source) for i in shown.inputs]
    beside = p("The first lines decide, the grey ones stand beside them.", "quiet small") if shown.some_beside else ""
    put("fp-sum", h(3, shown.name), items(results), beside, p(f"By {shown.formula}", "small"),
        "".join(p(limit, "small") for limit in shown.limits),
        table("Where it comes from", INPUTS, rows, numbers=(1,)) if rows else p("Nothing is given.", "small"),
        "".join(p(remark, "small") for remark in shown.remarks))


def card() -> None:
    """Write the emergency card; its blanks are filled in on paper."""
    held = emergency_card()
    put("fp-panel", h(2, "Emergency card"), *(p(said(line)) for line in held if line.part == "first"),
        table("When something has happened", ("what", "do"), [(x.what, x.do) for x in held if x.part == "do"]),
        p("To fill in on paper: " + "; ".join(line.what for line in held if line.part == "fill in") + ".", "quiet"))


def said(line: CardLine) -> str:
    """Return a line of the card as a sentence."""
    return f"{line.what}: {line.do}"
