"""Where every number comes from, in one place and one layout: result, formula, inputs with kind and source."""

from __future__ import annotations

from html import escape

import streamlit as st

from finishplan.paper import sources_used as words
from finishplan.planning.job_workings import job_workings, material_workings
from finishplan.planning.worked_number import Working
from finishplan.planning.workings import zone_workings
from finishplan.screens.parts import contents
from finishplan.screens.parts.markup import more, p, put, table
from finishplan.workup import Answer

KEY = "numbers_of"
WHOLE, USED_UP = "the whole job", "what is used up"
RESTS = "Here numbers stand unrounded; on the page film is rounded down, what is taken up."
PRICES = ("Prices of runners-up, close calls and softer wishes have no formula of their own: each is the difference of "
          "two plans of the whole job, both the best there is.")


def numbers(answer: Answer) -> None:
    """Write the choice of what to look into, its sums, and all figures that the plan rests on."""
    figures = words.figures_used(answer.plan, answer.profile)
    put("fp-panel", contents.head("numbers"), p(words.kinds_words(figures)), p(f"{RESTS} {PRICES}", "quiet small"))
    places = {f"{panel.name}, {zone.name}": (a, b) for a, panel in enumerate(answer.plan.panels)
              for b, zone in enumerate(panel.zones)}
    chosen = st.selectbox("Numbers of", [*places, WHOLE, USED_UP], key=KEY)
    put("fp-sums fp-wide", *(one(working) for working in workings(answer, places, chosen)))
    with st.expander(f"All {len(figures)} figures that this plan rests on"):
        put("fp-wide", table("What the plan does not use is left out.", words.FIGURE_HEADS,
                             [words.figure_row(given) for given in figures], numbers=(1,)))


def workings(answer: Answer, places: dict[str, tuple[int, int]], chosen: str) -> tuple[Working, ...]:
    """Return the sums of what was chosen."""
    if chosen in places:
        return zone_workings(answer.job, answer.profile, answer.plan, places[chosen])
    if chosen == WHOLE:
        return job_workings(answer.plan, answer.profile)
    return material_workings(answer.plan, answer.profile, answer.job.fill.catalyst_percent)


def one(working: Working) -> str:
    """Return one number: its result, and under it, closed, the sum, the formula, and the inputs with their source."""
    rows = [words.figure_row(given) for given in working.inputs]
    name, value = escape(working.what), escape(words.result_words(working))
    sum_of = p(f"= {working.worked}", "result") if working.worked else ""
    return more(f'<span class="name">{name}</span> <span>{value}</span>', sum_of, p(f"By: {working.formula}."),
                table("Inputs", words.FIGURE_HEADS, rows, numbers=(1,)) if rows else "")
