"""Why this plan and no other: runners-up and close calls by panel, asking less, your own sequence, the test spot."""

from __future__ import annotations

from html import escape

import streamlit as st

from finishplan.paper import why_words as words
from finishplan.planning.result import PanelPlan
from finishplan.screens.parts import contents, replan
from finishplan.screens.parts.answers import Source
from finishplan.screens.parts.markup import h, items, p, put, table
from finishplan.workup import Answer

TEST_SPOT = "test_spot_out"


def of_panel(panel: PanelPlan) -> None:
    """Write the other ways with their prices, and the limits met within a tenth; what limits it stands in its head."""
    if not panel.sequence and not panel.close_calls:
        return
    rows = [words.runner_row(runner) for runner in panel.runners_up]
    others = table(words.RUNNERS_CAPTION, words.RUNNER_HEADS, rows, numbers=(1, 2)) if rows else ""
    calls = [f"<li>{escape(words.close_words(call))}</li>" for call in panel.close_calls]
    close = (p("Close calls", "name"), items(calls)) if calls else (p(words.NO_CLOSE_CALL, "quiet small"),)
    put("fp-why", h(3, "Why this and not that"), others, *close)


def asking_less(answer: Answer) -> None:
    """Write what each softer wish would save."""
    rows = [words.less_row(less) for less in answer.plan.asking_less]
    limits = items(f"<li>{escape(said)}</li>" for said in words.limit_words(answer.plan.two_limits))
    named = p("One sequence was named: neither decides.", "quiet")
    put("fp-panel", contents.head("limits"), limits if answer.plan.two_limits else named)
    told = table(words.LESS_CAPTION, words.LESS_HEADS, rows, numbers=(2, 3)) if rows else p(
        "No softer wish would save anything.", "quiet")
    put("fp-panel fp-wide", contents.head("less"), told)


def own_sequence(source: Source, answer: Answer) -> None:
    """Write what a sequence of one's own costs beside the best plan."""
    if answer.beside_optimum is not None:
        told = words.own_sequence_words(answer.plan, source.sequence, answer.beside_optimum)
        put("fp-own", *(p(line) for line in told))


def test_spot(answer: Answer) -> None:
    """Write what the test spot changed, and the way to take it back."""
    before = answer.before_test_spot
    if before is None:
        return
    lines = (words.spot_steps_words(answer.job), *words.spot_words(answer.plan, before, answer.spot_change))
    put("fp-panel", h(2, "What the test spot changed"), p(words.spot_place_words(answer.job), "name"),
        *(p(line) for line in lines))
    st.button("Undo: take the test spot out", key=TEST_SPOT, on_click=replan.test_spot_out, args=(TEST_SPOT,))
    replan.beside(TEST_SPOT)
