"""A stop: the whole page says so, why, and the two ways on."""

from __future__ import annotations

import streamlit as st

from finishplan.bench.progress import Stop
from finishplan.records.at_bench import AtBench
from finishplan.screens.parts import bench_read, bench_replan
from finishplan.screens.parts.markup import items, p, put

RED = """<style>
[data-testid=stApp] { border: 14px solid #D55E00; }
[data-testid=stApp] [data-testid=stMain] { height: auto; max-height: calc(100dvh - 28px); }
</style>"""
READ, PLAN = "Read twice beside it", "Plan again"


def show(bench: AtBench) -> None:
    """Show the first stop that stands, and its ways on."""
    st.html(RED)
    stop = bench.where.stops[0]
    ways = [f"<li>{p(words)}</li>" for _, words in stop.ways]
    put("fp-halt", p("STOP", "word"), p(stop.why, "why"), items(ways, "ol"))
    if len(bench.where.stops) > 1:
        put("", p(f"{len(bench.where.stops)} readings are under their LEAST; this is the first.", "quiet"))
    if stop.settled:
        bench_replan.show(bench)
        return
    with st.container(key="bench_stop"):
        way = st.segmented_control("Way on", [READ, PLAN], default=READ, required=True, key=f"bench way {stop.line}")
    if way == PLAN:
        bench_replan.show(bench)
    else:
        beside(bench, stop)


def beside(bench: AtBench, stop: Stop) -> None:
    """Show the pad for the readings beside a low one."""
    told = f"Read beside it so far: {', '.join(f'{um:g}' for um in stop.beside_um)} um" if stop.beside_um else (
        "Nothing is read beside it yet.")
    low = next(line for line in bench.lines if line.number == stop.line)
    put("fp-timer", p(told))
    bench_read.pad(bench, {"job": bench.job_id, "panel": stop.panel, "zone": stop.zone, "step": stop.step,
                           "beside": stop.line, "spot": getattr(getattr(low, "values", None), "spot", None)})
