"""Signing at the bench: who and PIN; hold points are signed one by one or, where one looked at all, together."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from finishplan.bench.course import Task
from finishplan.records.at_bench import AtBench
from finishplan.records.bench_signed import sign_holds
from finishplan.records.bench_work import Outcome
from finishplan.records.pins import people_with_pins
from finishplan.screens.parts import bench_now, going, kept, telling
from finishplan.screens.parts.markup import p, put
from finishplan.screens.parts.plain import plain

SIGNER, PIN, ALSO = "bench signer", "bench pin", "bench also"
OWN = "bench own work"
"""What is asked of a finisher who signs for their own work."""
NOBODY = "No finisher of our shop has a PIN yet. Set one on the Shop page; then come back, nothing is lost."


def holds(bench: AtBench, task: Task) -> None:
    """Show how a hold point is signed; the same one of other parts may be signed with it."""
    same = [one for one in bench.course.tasks if one.hold is not None and task.hold is not None
            and one.hold.key == task.hold.key and one.key != task.key and one.key not in bench.where.done]
    if same:
        st.pills("Looked at as well", [one.key for one in same], selection_mode="multi", key=f"{ALSO} {task.key}",
                 format_func=lambda key: plain(next(one.panel for one in same if one.key == key)))
    form(bench, "Sign", lambda who, pin, sure: _sign(task.key, who, pin, sure))


def _sign(key: str, who: str, pin: str, sure: bool) -> Outcome:
    bench = bench_now.stands()
    keys = [key, *(st.session_state.get(f"{ALSO} {key}") or ())]
    tasks = [task for task in bench.course.tasks if task.key in keys]
    return sign_holds(kept.store(), bench, tasks, who, pin, bench_now.now(), sure)


def form(bench: AtBench, label: str, done: Callable[[str, str, bool], Outcome]) -> None:
    """Show who signs, the PIN, and the button; what a wrong PIN means stands under it."""
    able = people_with_pins(kept.store())
    finishers = [one.id for one in bench.people if one.role == "finisher"]
    if not able.intersection(finishers):
        put("fp-asked", p(NOBODY))
        if st.button("To the Shop page", key="to_shop"):
            going.go("Shop")
        return
    names = {one.id: f"{one.id}, {one.name}" if one.name else one.id for one in bench.people}
    with st.form("bench_signing", border=False), st.container(key="bench_sign"):
        left, right = st.columns(2)
        left.selectbox("Who signs", [*finishers, *(name for name in names if name not in finishers)], key=SIGNER,
                       format_func=lambda name: names.get(str(name), str(name)))
        right.text_input("PIN", type="password", key=PIN, autocomplete="off", max_chars=12)
        asked = st.session_state.get(OWN)
        if asked:
            put("fp-asked", p(asked), p("Type the PIN once more to say that it is so.", "quiet"))
        st.form_submit_button(label, type="primary", width="stretch",
                              on_click=telling.beside(bench_now.PLACE)(_submit), args=(done, bool(asked)))


def _submit(done: Callable[[str, str, bool], Outcome], sure: bool) -> None:
    who, pin = str(st.session_state[SIGNER]), str(st.session_state[PIN] or "")
    st.session_state[PIN] = ""
    st.session_state.pop(OWN, None)
    outcome = done(who, pin, sure)
    if outcome.asked:
        st.session_state[OWN] = " ".join(outcome.asked)
    if outcome.words:
        telling.tell(bench_now.PLACE, outcome.words)
    if outcome.kept:
        bench_now.open_next()
