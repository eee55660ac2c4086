"""The log as it is written, newest first; a line that is wrong is set aside with a reason, never changed."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from finishplan.bench.line_words import line_words
from finishplan.bench.log_sums import why_aside
from finishplan.records.at_bench import AtBench
from finishplan.records.bench_log import set_aside
from finishplan.screens.parts import bench_now, bench_shim, kept, telling
from finishplan.screens.parts.box import box
from finishplan.screens.parts.markup import h, p, put, table
from finishplan.screens.parts.plain import moment

HEADS = ("line", "when", "who", "what", "does not count because")
SHOWN = 60
LINE, WHY = "bench line", "bench aside"


def show(bench: AtBench) -> None:
    """Show the lines of the log, and how one is set aside or taken back in."""
    aside = why_aside(bench.lines)
    newest = bench.lines[::-1][:SHOWN]
    rows = [(str(line.number), moment(line.at), line.who, line_words(line), aside.get(line.number, ""))
            for line in newest]
    put("fp-logged fp-panel", h(2, "Log"), table(f"{len(bench.lines)} lines", HEADS, rows, numbers=(0,)) if rows
        else p("Nothing is logged yet.", "quiet"))
    bench_shim.show(bench)
    if rows:
        box("Set a line aside, or take it back in", "bench_aside_open", lambda: _box(rows, aside))


def _box(rows: Sequence[tuple[str, ...]], aside: dict[int, str]) -> None:
    words = {int(row[0]): f"{row[0]}: {row[3]}" for row in rows}
    number = st.selectbox("Line", list(words), key=LINE, format_func=lambda k: words.get(k, ""))
    if number in aside:
        st.button("Let it count again", key="bench_in", on_click=telling.beside(bench_now.PLACE)(_in))
        return
    st.text_input("Why it does not count", key=WHY, max_chars=500)
    st.button("Set it aside", key="bench_out", on_click=telling.beside(bench_now.PLACE)(_out))


def _out() -> None:
    set_aside(kept.store(), str(st.session_state[kept.JOB]), int(st.session_state[LINE]),
              str(st.session_state[WHY] or ""), kept.who(), bench_now.now())


def _in() -> None:
    set_aside(kept.store(), str(st.session_state[kept.JOB]), int(st.session_state[LINE]), None, kept.who(),
              bench_now.now())
