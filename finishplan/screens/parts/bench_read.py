"""Film readings at the bench: the pad, what is read so far, and questions about odd values."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from finishplan.bench.course import Task
from finishplan.bench.task_card import check_words, next_spots, read_after
from finishplan.records.at_bench import AtBench
from finishplan.records.bench_asked import Asked, answer, read_or_ask, waiting
from finishplan.records.bench_work import settle_odd
from finishplan.screens.parts import bench_beside, bench_now, bench_shim, kept, number_pad, telling
from finishplan.screens.parts.markup import p, put
from finishplan.survey.choices import METHODS
from finishplan.survey.typed_row import read_row

ROW = "bench row"


def check(bench: AtBench, task: Task) -> None:
    """Show a check reading: how many are read, and the pad for the next."""
    put("fp-timer", p(check_words(task, bench.where)))
    pad(bench, {"job": bench.job_id, "panel": task.panel, "zone": task.zones[0],
                "step": read_after(task, bench.where), "task": task.key})
    bench_beside.show(bench, task)


def pad(bench: AtBench, context: Mapping[str, Any]) -> None:
    """Show the pad, a row to type in, and with what is read; ``context`` says where."""
    questions(str(context["job"]))
    left, right = st.columns([3, 2], gap="medium")
    with left:
        number_pad.show(context, lambda row: take(str(row["text"]), row["context"], str(row["id"])), big=True)
    with right:
        with st.form("bench_row", clear_on_submit=True, border=False), st.container(key="bench_do"):
            st.text_input("Or type: film, um", key=ROW, placeholder="412 398 405", autocomplete="off")
            st.form_submit_button("Add readings", width="stretch", args=(dict(context),),
                                  on_click=telling.beside(bench_now.PLACE, typed=ROW)(_typed))
        with_what = st.selectbox("Read with", list(METHODS), key=bench_shim.METHOD, persist_state="session")
        put("", p(f"For: {METHODS[str(with_what)]}.", "quiet small"))
        st.text_input("Which gauge, if you have several", key=bench_shim.NAME, max_chars=40, autocomplete="off",
                      persist_state="session")
    telling.show_trouble("readings")
    bench_shim.show(bench)


def _typed(context: Mapping[str, Any]) -> None:
    take(str(st.session_state[ROW]), context, None)


def take(text: str, context: Mapping[str, Any], sent: str | None) -> None:
    """Log a row of readings, each on its own spot; an odd one is asked about, what cannot be read is named."""
    bench_shim.forget()
    st.session_state.pop(bench_now.SHOWN, None)
    row, store = read_row(text), kept.store()
    method, gauge = bench_shim.in_hand()
    spots = _spots(context, len(row.values_um))
    for k, (um, spot) in enumerate(zip(row.values_um, spots, strict=True)):
        values = {"um": um, "method": method, "gauge": gauge or None, "spot": spot, "beside": context.get("beside")}
        raw = {"kind": "reading", "panel": context["panel"], "zone": context["zone"], "step": context["step"],
               "values": {name: value for name, value in values.items() if value is not None}}
        read_or_ask(store, bench_now.stands(), raw, kept.who(), bench_now.now(), f"{sent} {k}" if sent else None)
    settle(str(context["job"]))
    if row.refused:
        telling.tell(bench_now.PLACE, f"{'; '.join(row.refused)}. You typed: {text}")


def _spots(context: Mapping[str, Any], count: int) -> list[int | None]:
    if context.get("beside"):
        return [context.get("spot") for _ in range(count)]
    bench = bench_now.stands()
    return next_spots(bench.course.task(str(context["task"])), bench.where, count)


def settle(job_id: str) -> None:
    """Set aside the low readings that did not repeat, and say so."""
    told = settle_odd(kept.store(), job_id, kept.who(), bench_now.now())
    if told:
        telling.tell(bench_now.PLACE, " ".join(told))


def questions(job_id: str) -> None:
    """Ask about every odd reading that waits."""
    for one in waiting(kept.store(), job_id):
        put("fp-asked", p(f"{one.raw['panel']}, {one.raw['zone']}: {one.words}"))
        with st.container(horizontal=True, key="bench_asked"):
            if one.meant_um is not None:
                st.button(f"It is {one.meant_um:g}", key=f"meant {one.id}", type="primary",
                          on_click=telling.beside(bench_now.PLACE)(_answer), args=(one, one.meant_um))
            st.button(f"Keep {one.um:g}", key=f"keep {one.id}",
                      on_click=telling.beside(bench_now.PLACE)(_answer), args=(one, one.um))
            st.button("Leave it out", key=f"drop {one.id}",
                      on_click=telling.beside(bench_now.PLACE)(_answer), args=(one, None))
        return


def _answer(one: Asked, um: float | None) -> None:
    bench = bench_now.stands()
    st.session_state.pop(bench_now.SHOWN, None)
    answer(kept.store(), bench, one, um, bench_now.now())
    settle(bench.job_id)
