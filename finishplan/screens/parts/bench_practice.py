"""Practice: the same course without a piano. The learner types readings and sees what follows; nothing is kept."""

from __future__ import annotations

import streamlit as st

from finishplan.bench import practice
from finishplan.bench.practice import Consequence, Practice
from finishplan.errors import FinishplanError
from finishplan.records.at_bench import AtBench
from finishplan.screens.parts import bench_now, telling
from finishplan.screens.parts.markup import h, items, p, put

HELD, SAID, PANEL, UM, ASKED = (f"practice {name}" for name in ("held", "said", "panel", "um", "asked"))
INTRO = ("Walk one part from the first hold point to the last, without a piano. You type the readings; the finisher is "
         "played. Nothing you do here reaches the job.")


def show(bench: AtBench) -> None:
    """Show the practice that is under way, or the choice of a part."""
    put("fp-panel", h(2, "Practice"), p(INTRO, "quiet"))
    held = st.session_state.get(HELD)
    if not isinstance(held, tuple) or held[0] != bench.job_id:
        choose(bench)
        return
    walk: Practice = held[1]
    scene = practice.scene(walk)
    for words in st.session_state.get(SAID) or ():
        if words not in scene:
            put("fp-asked", p(words))
    kind = "fp-halt" if scene[0].startswith("STOP") else "fp-card"
    put(kind, p(scene[0], "word" if kind == "fp-halt" else "how"), items(f"<li>{p(words)}</li>" for words in scene[1:]))
    buttons(walk)


def choose(bench: AtBench) -> None:
    """Show which part may be practised on."""
    parts = list(dict.fromkeys(task.panel for task in bench.course.tasks if task.panel))
    if not parts:
        put("", p("No part of this job may be worked yet; practise on the demo job.", "quiet"))
        return
    st.selectbox("Part", parts, key=PANEL)
    with st.container(key="bench_do"):
        st.button("Begin to practise", type="primary", key="practice_begin", width="stretch",
                  on_click=telling.beside(bench_now.PLACE)(_begin))


def _begin() -> None:
    bench = bench_now.stands()
    answer = bench.answer
    walk = practice.start(answer.job, answer.profile, answer.plan, bench_now.now(), str(st.session_state[PANEL]))
    st.session_state[HELD] = (bench.job_id, walk)
    st.session_state.pop(SAID, None)


def buttons(walk: Practice) -> None:
    """Show what a learner can do where the practice stands."""
    here = walk.where
    reads = bool(here.stops) or (here.next is not None and here.next.check is not None)
    act = telling.beside(bench_now.PLACE)
    with st.container(key="bench_do"):
        if reads:
            st.number_input("The gauge says, um", None, None, None, key=UM, format="%g")
            st.button("Type it in", type="primary", key="practice_read", width="stretch", on_click=act(_read))
            if st.session_state.get(ASKED):
                st.button("It is so", key="practice_sure", width="stretch", on_click=act(_read), args=(True,))
        if here.stops:
            st.button("Plan again", key="practice_plan", width="stretch", on_click=act(_plan))
        elif not reads and here.next is not None:
            said = "Show the finisher" if here.next.hold is not None else "Done"
            st.button(said, type="primary", key="practice_done", width="stretch", on_click=act(_do))
            if here.next.hold is not None:
                st.button("Sign it yourself", key="practice_sign", width="stretch", on_click=act(_sign))
        elif here.waiting and here.next is None:
            st.button("Put the clock forward", key="practice_wait", width="stretch", on_click=act(_wait))
        st.button("Leave the practice", key="practice_leave", width="stretch", on_click=act(_leave))


def _walk() -> Practice:
    found: Practice = st.session_state[HELD][1]
    return found


def _told(found: Consequence) -> None:
    st.session_state[HELD] = (st.session_state[HELD][0], found.practice)
    st.session_state[SAID] = found.words
    st.session_state[ASKED] = found.what == "ask"


def _read(sure: bool = False) -> None:
    um = st.session_state.get(UM)
    if um is None:
        raise FinishplanError("type what the gauge says, in um")
    here = _walk().where
    spots = len([line for line in _walk().lines if line.kind == "reading"])
    _told(practice.read(_walk(), float(um), spot=None if here.stops else spots or None, sure=sure))
    if not st.session_state[ASKED]:
        st.session_state[UM] = None


def _do() -> None:
    _told(practice.do(_walk()))


def _sign() -> None:
    _told(practice.sign_yourself(_walk()))


def _plan() -> None:
    _told(practice.plan_again(_walk()))


def _wait() -> None:
    st.session_state[HELD] = (st.session_state[HELD][0], practice.put_forward(_walk()))
    st.session_state.pop(SAID, None)


def _leave() -> None:
    for name in (HELD, SAID, ASKED):
        st.session_state.pop(name, None)
