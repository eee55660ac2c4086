"""What became of a mark: gone, or still there and how deep; the next plan asks for it."""

from __future__ import annotations

import streamlit as st

from finishplan import wording
from finishplan.bench.log_lines import SEEN
from finishplan.records.at_bench import AtBench
from finishplan.records.bench_work import add_line
from finishplan.screens.parts import bench_now, kept, telling
from finishplan.screens.parts.box import box
from finishplan.screens.parts.figure import figure

MARK, SAID, DEPTH = "bench mark", "bench mark seen", "bench mark depth"


def show(bench: AtBench) -> None:
    """Show, closed, the box in which a mark is said to be gone or still there."""
    box("A mark did not go as planned", "bench_seen_open", lambda: _box(bench))


def _box(bench: AtBench) -> None:
    marks = {
        (panel.name, zone.name, k): f"{panel.name}, {zone.name}: {wording.defect_words(defect.kind, defect.count)}"
        for panel in bench.answer.job.panels for zone in panel.zones for k, defect in enumerate(zone.defects)}
    if not marks:
        return
    st.selectbox("Mark", list(marks), key=MARK, format_func=lambda key: marks.get(key, ""))
    st.radio("It is", list(SEEN), key=SAID, format_func=lambda name: f"{name}: {SEEN[name]}")
    figure("Still to go, um, if known", key=DEPTH)
    st.button("Log it", key="bench_seen", on_click=telling.beside(bench_now.PLACE)(_log))


def _log() -> None:
    panel, zone, index = st.session_state[MARK]
    depth = st.session_state.get(DEPTH)
    values = {"defect": index, "seen": st.session_state[SAID], **({"depth_um": depth} if depth else {})}
    raw = {"kind": "defect seen", "panel": panel, "zone": zone, "values": values}
    add_line(kept.store(), bench_now.stands(), raw, kept.who(), bench_now.now())
