"""The gauge on a shim: what it read goes into the log, and what follows for readings, plan and rates is said."""

from __future__ import annotations

import streamlit as st

from finishplan.bench.gauge_check import Gauge, effect, gauge_words, gauges_of, off_words
from finishplan.bench.log import read_line
from finishplan.bench.log_lines import ShimLine
from finishplan.bench.log_sums import drift_words
from finishplan.errors import FinishplanError
from finishplan.records.at_bench import AtBench
from finishplan.records.bench_gauges import elsewhere_words, read_elsewhere
from finishplan.records.bench_work import add_line, next_number
from finishplan.screens.parts import bench_now, kept, telling
from finishplan.screens.parts.box import box
from finishplan.screens.parts.figure import figure
from finishplan.screens.parts.markup import items, p, put
from finishplan.survey.edits_entries import DEFAULT_METHOD

METHOD, NAME = "bench method", "bench gauge"
"""With what is read: chosen beside the pad."""
WHICH, SHIM, READS, ASKED, SAID = (f"bench shim {name}" for name in ("gauge", "um", "reads", "asked", "said"))
HOW = "Lay a shim of known thickness on bare metal or glass, as the gauge's maker says, and read it."
GUESS = "estimate"


def in_hand() -> Gauge:
    """Return the gauge that readings are taken with."""
    return (str(st.session_state.get(METHOD) or DEFAULT_METHOD), str(st.session_state.get(NAME) or "").strip())


def show(bench: AtBench) -> None:
    """Show whether the gauge in hand is off, what the last check did, and closed the box for a check."""
    off, said = off_words(bench.lines, in_hand()), st.session_state.get(SAID)
    if said and said[0] == bench.job_id:
        put("fp-asked", items(f"<li>{p(line)}</li>" for line in said[1]))
    elif off:
        put("fp-asked", p(off))
    box("Check the gauge on a shim", "bench_shim_open", lambda: _box(bench))


def forget() -> None:
    """The next reading is taken: what the last check did has been read."""
    st.session_state.pop(SAID, None)


def _box(bench: AtBench) -> None:
    known = [gauge for gauge in gauges_of(bench.lines, in_hand()) if gauge[0] != GUESS]
    if not known:
        put("", p("An estimate has no gauge: choose what you read with.", "quiet"))
        return
    put("", p(HOW, "quiet"))
    with st.container(key="bench_shim"):
        st.selectbox("Which gauge", known, key=WHICH, format_func=gauge_words)
        left, right = st.columns(2)
        figure("The shim is, um", left, key=SHIM)
        figure("The gauge reads, um", right, key=READS)
        asked = st.session_state.get(ASKED)
        if asked:
            put("fp-asked", p(asked))
            st.button("It is so: log the check", key="bench_shim_sure", width="stretch",
                      on_click=telling.beside(bench_now.PLACE)(_log), args=(True,))
        st.button("Log the check", key="bench_shim_log", width="stretch",
                  on_click=telling.beside(bench_now.PLACE)(_log))


def _log(sure: bool = False) -> None:
    shim, reads = st.session_state.get(SHIM), st.session_state.get(READS)
    if not shim or not reads:
        raise FinishplanError("type how thick the shim is and what the gauge read on it, both in um and over 0")
    method, name = st.session_state[WHICH]
    values = {"shim_um": float(shim), "um": float(reads), "method": method, "gauge": name}
    bench = bench_now.stands()
    raw = {"kind": "shim check", "values": values}
    line = read_line({**raw, "number": next_number(bench), "at": bench.now, "who": kept.who()})
    assert isinstance(line, ShimLine)
    told = effect(bench.where, line, bench.now)
    outcome = add_line(kept.store(), bench, raw, kept.who(), bench.now, sure=sure)
    st.session_state[ASKED] = " ".join(outcome.asked)
    if outcome.kept:
        others = read_elsewhere(kept.store(), bench.job_id, (method, name)) if drift_words(line) else ()
        st.session_state[SAID] = (bench.job_id, (*told, *elsewhere_words(others)))
        st.session_state[SHIM] = st.session_state[READS] = None
