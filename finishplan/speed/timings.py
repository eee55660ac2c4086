"""Side-by-side timings in one run: the exact choice against a generic integer program of the same choice.

Machines are shared and noisy: the two take turns, the least of several runs counts, and the ratio is what
to quote. Nothing here is ever a test.
"""

from __future__ import annotations

import json
import time
import tracemalloc
from collections.abc import Callable
from typing import Any

from finishplan import reference
from finishplan.planning.plan import make_plan
from finishplan.planning.problem import build_problem
from finishplan.planning.search import JobTables
from finishplan.records.files import demo_job_path
from finishplan.shop.profile import Profile, default_profile
from finishplan.speed.generic import solve_job
from finishplan.survey.job import Job, job_as_dict, read_job_dict

RUNS = 3
CYCLE = (
    [{"kind": "scratch", "count": 2, "length_mm": 120, "width_mm": 0.3, "depth_um": 24.0}, {"kind": "dull_area"}],
    [{"kind": "swirls", "depth_um": 1.2}],
    [{"kind": "orange_peel", "depth_um": 12.0}, {"kind": "nick", "count": 1, "depth_um": 180.0}],
)
"""Damage dealt out over the parts in turn; invented for timing."""


def whole_grand() -> dict[str, Any]:
    """Return a job of 14 panels over the grand's parts of the table; invented for timing."""
    parts = [row for row in reference.rows("part_areas") if row["instrument"] == "grand"][:14]
    panels = []
    for i, row in enumerate(parts):
        area = float(row["area_m2"])
        readings = [{"um": 360.0 + 7.0 * ((3 * i + k) % 9)} for k in range(4)]
        field = {"name": "field", "area_m2": 0.95 * area, "readings": readings, "defects": CYCLE[i % len(CYCLE)]}
        edge = {"name": "edges", "kind": "edge", "area_m2": 0.05 * area,
                "readings": [{"um": 240.0 + 5.0 * k} for k in range(3)]}
        panels.append({"name": row["part"], "part": row["part"], "zones": [field, edge]})
    return {
        "format": "finishplan-job", "version": 1, "title": "whole grand (invented for timing)",
        "finish_id": {"result": "polyester"}, "build": "pigmented through", "panels": panels,
    }


def least_seconds(*work: Callable[[], object], runs: int = RUNS) -> list[float]:
    """Return the least time of each of several pieces of work, taken in turns."""
    least = [float("inf")] * len(work)
    for _ in range(runs):
        for i, do in enumerate(work):
            start = time.perf_counter()
            do()
            least[i] = min(least[i], time.perf_counter() - start)
    return least


def peak_mb(do: Callable[[], object]) -> float:
    """Return the peak memory that a piece of work allocates, in MB."""
    tracemalloc.start()
    do()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak / 1e6


def timed_row(name: str, job: Job, profile: Profile, runs: int) -> str:
    """Return one line of the table: choice alone, tables and choice, plan with reasons, integer program, ratio."""
    tables = JobTables(build_problem(job, profile))
    tables.choose()

    def choice_alone() -> object:
        for panel in tables.panels:
            panel.kept_options.clear()
        return tables.choose()

    folder, full = reference.data_dir() / "reference", job_as_dict(job)
    alone, exact, with_why = least_seconds(
        choice_alone,
        lambda: JobTables(build_problem(job, profile)).choose(),
        lambda: make_plan(job, profile, why=True),
        runs=runs,
    )
    solver = least_seconds(lambda: solve_job(full, folder), runs=1)[0]
    peak = peak_mb(lambda: make_plan(job, profile, why=True))
    return (
        f"{name:<14}{len(job.panels):>7}{1000 * alone:>9.1f}{1000 * exact:>10.1f}{1000 * with_why:>11.0f}"
        f"{1000 * solver:>9.0f}{solver / exact:>7.0f}{peak:>6.0f}"
    )


def speed_text(runs: int = RUNS) -> str:
    """Return the timings of the demo job and of a whole grand as a table."""
    profile = default_profile()
    raw_demo = json.loads(demo_job_path().read_text(encoding="utf-8"))
    lines = [
        f"{'job':<14}{'panels':>7}{'choice':>9}{'+ tables':>10}{'+ reasons':>11}{'solver':>9}{'ratio':>7}{'MB':>6}",
        f"{'':<14}{'':>7}{'ms':>9}{'ms':>10}{'ms':>11}{'ms':>9}{'':>7}{'peak':>6}",
    ]
    for name, raw in (("demo", raw_demo), ("whole grand", whole_grand())):
        lines.append(timed_row(name, read_job_dict(raw), profile, runs))
    lines.append("choice: over tables already built; solver: the same choice as an integer")
    lines.append("program, with and without presolve; ratio: solver over choice with tables.")
    lines.append("Least of several runs, taken in turns.")
    return "\n".join(lines) + "\n"
