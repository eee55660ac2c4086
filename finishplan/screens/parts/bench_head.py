"""The head of the bench: the job, how far it is, who works, and what is looked at."""

from __future__ import annotations

import streamlit as st

from finishplan.bench.course import ORDERS
from finishplan.bench.task_card import where_words
from finishplan.records.at_bench import AtBench, choose_order
from finishplan.screens.parts import bench_now, kept, telling
from finishplan.screens.parts.markup import h, p, put
from finishplan.screens.parts.plain import plain

MODES = {
    "Work": "what comes next",
    "Log": "what is written down",
    "Replan": "plan again from what is read",
    "Practice": "the course without a piano",
}
MODE, WHO, ORDER = "bench mode", "bench who", "bench order"


def masthead(bench: AtBench) -> str:
    """Write the title, how far the course is, who works; return what is looked at."""
    course = bench.course
    told = where_words(len(bench.where.done), len(course.tasks)) if bench.begun else "not begun"
    put("fp-mast fp-job fp-at", h(1, bench.opened.title), p(f"Bench: {told}", "quiet"))
    left, right = st.columns([3, 2], vertical_alignment="bottom")
    with left:
        mode = st.segmented_control("What is looked at", list(MODES), default="Work", required=True, key=MODE,
                                    persist_state="session", label_visibility="collapsed")
    with right:
        who(bench)
    telling.show_trouble(bench_now.PLACE)
    return str(mode or "Work")


def who(bench: AtBench) -> None:
    """Show who works here; the log carries the name."""
    names = {person.id: f"{person.id}, {person.name}" if person.name else person.id for person in bench.people}
    here = kept.who()
    st.session_state[WHO] = here
    st.selectbox("Who works here", list(dict.fromkeys([*names, here])), key=WHO, on_change=telling.beside(
        bench_now.PLACE)(_said_who), format_func=lambda name: names.get(str(name), str(name)))


def _said_who() -> None:
    kept.say_who(str(st.session_state[WHO]))


def order(bench: AtBench) -> None:
    """Show in which order the steps are batched."""
    st.session_state[ORDER] = bench.course.order
    st.radio("Order", list(ORDERS), key=ORDER, format_func=lambda name: f"{plain(name.capitalize())}: {ORDERS[name]}",
             on_change=telling.beside(bench_now.PLACE)(_ordered))


def _ordered() -> None:
    choose_order(kept.store(), str(st.session_state[kept.JOB]), str(st.session_state[ORDER]))
    bench_now.open_next()
