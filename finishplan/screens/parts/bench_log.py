"""The log as it is written, newest first; a line that is wrong is set aside with a reason, never changed."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import cycle

import streamlit as st

from finishplan.bench.line_words import line_words
from finishplan.bench.log_lines import LogLine, PhotoLine
from finishplan.bench.log_rows import ASIDE, GROUPS, Row, narrowed, rows_of
from finishplan.bench.log_sums import why_aside
from finishplan.errors import FinishplanError
from finishplan.records.at_bench import AtBench
from finishplan.records.bench_log import set_aside
from finishplan.records.bench_work import leave_out
from finishplan.records.photos import picture
from finishplan.screens.parts import bench_now, bench_shim, kept, telling
from finishplan.screens.parts.box import box
from finishplan.screens.parts.markup import h, p, put, table
from finishplan.screens.parts.plain import plain, short_moment
from finishplan.wording import counted

HEADS = ("lines", "when", "who", "what")
WHY_HEAD = "does not count because"
SHOWN = 40
"""Rows that are shown at first."""
PICTURES = 9
"""Photos that are shown, the newest."""
ALL = "the whole job"
LINE, WHY, PANEL, WHAT, OLDER = "bench line", "bench aside", "bench log part", "bench log what", "bench log older"


def show(bench: AtBench) -> None:
    """Show the lines of the log, and how one is set aside or taken back in."""
    put("fp-panel", h(2, "Log"), p("" if bench.lines else "Nothing is logged yet.", "quiet"))
    if bench.lines:
        aside = why_aside(bench.lines)
        lines = filters(bench.lines, aside)
        written(rows_of(lines, aside)[::-1], len(lines), len(bench.lines))
    bench_shim.show(bench)
    if bench.lines:
        box("Set a line aside, or take it back in", "bench_aside_open", lambda: _box(lines[::-1], aside))


def filters(lines: Sequence[LogLine], aside: dict[int, str]) -> tuple[LogLine, ...]:
    """Show what the log may be narrowed to; return the lines that are left."""
    panels = list(dict.fromkeys(line.panel for line in lines if line.panel))
    left, right = st.columns([2, 3], vertical_alignment="bottom")
    panel = left.selectbox("Of", [ALL, *panels], key=PANEL, persist_state="session")
    groups = right.pills("Only", [*GROUPS, *([ASIDE] if aside else [])], selection_mode="multi", key=WHAT, wrap=True)
    return narrowed(lines, aside, "" if panel in (ALL, None) else str(panel), tuple(map(str, groups or ())))


def written(rows: Sequence[Row], lines: int, of: int) -> None:
    """Write the newest rows; the older ones on demand."""
    shown = rows if st.session_state.get(OLDER) else rows[:SHOWN]
    why = any(row.aside for row in shown)
    cells = [(row.numbers, short_moment(row.lines[-1].at), row.lines[0].who, row.what, *([row.aside] if why else []))
             for row in shown]
    said = counted(lines, "line") if lines == of else f"{lines} of {counted(of, 'line')}"
    put("fp-logged", table(said, (*HEADS, *([WHY_HEAD] if why else [])), cells) if cells
        else p("No such line.", "quiet"))
    if rows[SHOWN:]:
        st.toggle(f"The older {len(rows[SHOWN:])} too", key=OLDER)
    pictures([line for row in shown for line in row.lines if isinstance(line, PhotoLine)][:PICTURES])


def pictures(lines: Sequence[PhotoLine]) -> None:
    """Show the photos of the lines that are shown."""
    if not lines:
        return
    for column, line in zip(cycle(st.columns(3)), lines, strict=False):
        with column:
            try:
                st.image(picture(kept.store(), line.values.digest), width="stretch",
                         caption=plain(f"{line.number}: {line_words(line)}"))
            except FinishplanError as error:
                put("", p(f"{line.number}: {error}", "quiet small"))


def _box(lines: Sequence[LogLine], aside: dict[int, str]) -> None:
    words = {line.number: f"{line.number}: {line_words(line)}" for line in lines}
    if not words:
        put("", p("No line is shown above.", "quiet"))
        return
    number = st.selectbox("Line", list(words), key=LINE, format_func=lambda k: words.get(k, ""))
    if number in aside:
        st.button("Let it count again", key="bench_in", on_click=telling.beside(bench_now.PLACE)(_in))
        return
    st.text_input("Why it does not count", key=WHY, max_chars=500)
    st.button("Set it aside", key="bench_out", on_click=telling.beside(bench_now.PLACE)(_out))


def _out() -> None:
    bench = bench_now.stands()
    leave_out(kept.store(), bench, int(st.session_state[LINE]), str(st.session_state[WHY] or ""), kept.who(), bench.now)


def _in() -> None:
    set_aside(kept.store(), str(st.session_state[kept.JOB]), int(st.session_state[LINE]), None, kept.who(),
              bench_now.now())
