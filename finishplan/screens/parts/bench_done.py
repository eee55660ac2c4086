"""Logging that a task is done: its timer, minutes, sheets, a note or photo; odd values are asked about first."""

from __future__ import annotations

import streamlit as st

from finishplan.bench.course import Task
from finishplan.bench.task_card import logged_words
from finishplan.bench.timer import Timer, left_overnight, timer_words, whole_minutes
from finishplan.records.at_bench import AtBench
from finishplan.records.bench_timers import clear_timer, pause_timer, start_timer, timer_of
from finishplan.records.bench_work import finish_task
from finishplan.screens.parts import bench_beside, bench_now, kept, telling
from finishplan.screens.parts.markup import p, put

ASKED = "bench asked of a task"
NIGHT = "This timer runs since another day. Pause it, and type the minutes that were worked."
TICK_S = 20


def work(bench: AtBench, task: Task) -> None:
    """Show how a step, repair, pour or wash-down is logged."""
    timer = timer_of(kept.store(), bench.job_id, timer_key(bench, task))
    if task.what != "pour":
        clock(bench, task, timer)
    with st.container(key="bench_do"):
        if task.what == "step" and not timer.runs:
            left, right = st.columns(2)
            left.number_input("Minutes worked", None, None, whole_minutes(timer, bench.now), 1, key=box(task, timer))
            right.number_input("Sheets used", None, None, 0, 1, key=f"bench sheets {task.key}")
        asked = st.session_state.get(ASKED)
        if asked and asked[0] == task.key:
            put("fp-asked", p(asked[1]))
            st.button("It is so: log it", key="bench_sure", width="stretch",
                      on_click=telling.beside(bench_now.PLACE)(_done), args=(task.key, True))
        st.button("Done" if task.what != "pour" else "Poured", type="primary", key="bench_done", width="stretch",
                  on_click=telling.beside(bench_now.PLACE)(_done), args=(task.key,))
    bench_beside.show(bench, task)


def done_already(bench: AtBench, task: Task) -> None:
    """Say that a task is logged already, and by whom; minutes that were typed for it meanwhile can be kept beside."""
    put("fp-asked", p(f"{logged_words(bench.lines, task)} Nothing more is logged for it."))
    name = f"bench minutes {task.key} "
    typed = next((value for key, value in st.session_state.items() if str(key).startswith(name) and value), None)
    if typed and task.what == "step":
        held = st.session_state[f"{name}beside"] = typed
        st.button(f"I worked on it too: keep my {held:g} min beside it", key="bench_beside_min", width="stretch",
                  on_click=telling.beside(bench_now.PLACE)(_beside), args=(task.key, float(held)))


def _beside(key: str, minutes: float) -> None:
    bench = bench_now.stands()
    outcome = finish_task(kept.store(), bench, bench.course.task(key), kept.who(), bench.now, minutes)
    st.session_state.pop(f"bench minutes {key} beside", None)
    telling.tell(bench_now.PLACE, outcome.words)


def timer_key(bench: AtBench, task: Task) -> str:
    """Return the name of a task's timer: one under each plan."""
    return f"{len(bench.legs)} {task.key}"


def box(task: Task, timer: Timer) -> str:
    """Return the key of the minutes box: another as soon as the timer says something else."""
    return f"bench minutes {task.key} {timer.before_min:g}"


def clock(bench: AtBench, task: Task, timer: Timer) -> None:
    """Show the timer with its button; how long it runs is written anew while it does."""
    with st.container(key="bench_timer"):
        if left_overnight(timer, bench.now):
            put("fp-asked", p(NIGHT))
        left, right = st.columns([2, 3], vertical_alignment="center")
        with left:
            if timer.runs:
                st.fragment(lambda: _ticks(timer), run_every=TICK_S)()
            else:
                _ticks(timer)
        if timer.runs:
            right.button("Pause", key="bench_pause", width="stretch", on_click=telling.beside(bench_now.PLACE)(_pause),
                         args=(task.key,))
        else:
            right.button("Go on" if timer.used else "Start the timer", key="bench_start", width="stretch",
                         on_click=telling.beside(bench_now.PLACE)(_start), args=(task.key,))


def _ticks(timer: Timer) -> None:
    put("fp-timer", p(timer_words(timer, bench_now.now())))


def _start(key: str) -> None:
    bench = bench_now.stands()
    start_timer(kept.store(), bench.job_id, timer_key(bench, bench.course.task(key)), bench_now.now())


def _pause(key: str) -> None:
    bench = bench_now.stands()
    pause_timer(kept.store(), bench.job_id, timer_key(bench, bench.course.task(key)), bench_now.now())


def _done(key: str, sure: bool = False) -> None:
    """Log a task as done; a running timer is paused first, so that what it ran is in its box."""
    bench, store, now = bench_now.stands(), kept.store(), bench_now.now()
    task = bench.course.task(key)
    held = timer_of(store, bench.job_id, timer_key(bench, task))
    timer = pause_timer(store, bench.job_id, timer_key(bench, task), now) if held.runs else held
    ran = whole_minutes(timer, now)
    typed = st.session_state.get(box(task, timer), ran)
    st.session_state.pop(ASKED, None)
    outcome = finish_task(store, bench, task, kept.who(), now, float(typed) if typed else None,
                          int(st.session_state.get(f"bench sheets {key}") or 0),
                          timer.first if typed == ran else None, sure)
    if outcome.asked:
        st.session_state[ASKED] = (key, " ".join(outcome.asked))
        return
    if outcome.kept:
        clear_timer(store, bench.job_id, timer_key(bench, task))
    bench_now.open_next()
    if outcome.words:
        telling.tell(bench_now.PLACE, outcome.words)
