"""Side-by-side timings in one run; machines are shared and noisy, so that only the ratios are worth quoting.

The two sides of a ratio take turns, and the least of several runs counts. Nothing here is ever a test.
"""

from __future__ import annotations

import math
import os
import platform
import subprocess
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from functools import partial
from typing import Any

import numpy as np

from finishplan import reference
from finishplan.planning.plan import make_plan
from finishplan.planning.problem import build_problem
from finishplan.planning.risk import DRAWS, audit
from finishplan.planning.search import JobTables
from finishplan.records.files import demo_job_path
from finishplan.shop.profile import Profile, default_profile
from finishplan.speed.generic_milp import build_program
from finishplan.speed.generic_model import build_model
from finishplan.speed.generic_run import NotFinished, objective_of, run_once
from finishplan.speed.generic_tables import read_tables
from finishplan.speed.jobs import invented
from finishplan.survey.job import Job, job_as_dict

RUNS = 3
SIZES = (1, 5, 15, 30)
"""Panels of the jobs that both the planner and the solver are given."""
GROWTH = (1, 3, 10, 30, 100, 300)
"""Panels of the jobs that the planner alone is given."""
SOLVER_LIMIT_S = 60.0
SAME_MIN = 1e-6
"""Two objectives closer than this, relative, are the same."""
OWN_IMPORTS = "import finishplan.cli, finishplan.paper.plan_text, finishplan.planning.risk"
"""What the plan process imports, without doing anything."""
PLAIN: dict[str, Callable[[np.random.Generator, int], object]] = {
    "normal": lambda rng, n: rng.standard_normal(n), "exponential": lambda rng, n: rng.standard_exponential(n),
    "beta": lambda rng, n: rng.beta(3.0, 3.0, n), "uniform": lambda rng, n: rng.random(n),
    "chi-square": lambda rng, n: rng.chisquare(5.0, n),
}
"""How plain numpy draws as many numbers of each kind."""


@dataclass(frozen=True)
class PlannerRow:
    """One job, chosen exactly and by the solver; None where the solver did not finish in its time."""

    panels: int
    exact_ms: float
    generic_ms: float | None
    ratio: float | None
    same_objective: bool | None


@dataclass(frozen=True)
class Speed:
    """All timings of one run, and the machine they hold for."""

    planner: tuple[PlannerRow, ...]
    process: dict[str, float]
    risk: dict[str, float]
    growth: dict[str, float]
    machine: str


def least_seconds(*work: Callable[[], object], runs: int = RUNS) -> list[float]:
    """Return the least time of each of several pieces of work, taken in turns."""
    least = [math.inf] * len(work)
    for _ in range(runs):
        for i, do in enumerate(work):
            start = time.perf_counter()
            do()
            least[i] = min(least[i], time.perf_counter() - start)
    return least


def measure(runs: int = RUNS, sizes: tuple[int, ...] = SIZES, growth: tuple[int, ...] = GROWTH,
            solver_limit_s: float = SOLVER_LIMIT_S) -> Speed:
    """Return all timings: planner against solver, process against imports, risk against draws, growth."""
    profile = default_profile()
    return Speed(
        tuple(planner_row(n, profile, runs, solver_limit_s) for n in sizes), process_ratio(runs),
        risk_ratio(profile, runs), growth_slope(profile, growth, runs), machine_words(),
    )


def planner_row(panels: int, profile: Profile, runs: int, limit_s: float) -> PlannerRow:
    """Return one job's choice, its sequences listed before, beside one presolved run of the solver."""
    job = invented(panels)
    known = JobTables(build_problem(job, profile))
    exact = known.choose().price_min
    model = build_model(job_as_dict(job), read_tables(reference.data_dir() / "reference", None))
    program, columns = build_program(model)
    # Both sides start from numbers that are looked up: the problem here, the program there.
    fresh = iter([build_problem(job, profile) for _ in range(5 * runs)])
    mine, *_ = least_seconds(lambda: JobTables(next(fresh), known).choose(), runs=5 * runs)
    try:
        found: list[Any] = []
        theirs, *_ = least_seconds(lambda: found.append(run_once(program, limit_s)), runs=1)
    except NotFinished:
        return PlannerRow(panels, 1e3 * mine, None, None, None)
    price = objective_of(model, columns, found[0])
    same = abs(price - exact) <= SAME_MIN * max(1.0, abs(exact))
    return PlannerRow(panels, 1e3 * mine, 1e3 * theirs, theirs / mine, same)


def choose_again(known: JobTables, job: Job, profile: Profile) -> object:
    """Choose a job from its survey on; only the profile's list of sequences stands already."""
    return JobTables(build_problem(job, profile), known).choose()


def process_ratio(runs: int) -> dict[str, float]:
    """Return the whole plan process of the demo job beside a bare start of its own imports, in ms."""

    def started(*arguments: str) -> Callable[[], object]:
        return lambda: subprocess.run([sys.executable, *arguments], check=False, capture_output=True)

    whole, bare = least_seconds(
        started("-m", "finishplan", "plan", str(demo_job_path())), started("-c", OWN_IMPORTS), runs=max(runs, 2))
    return {"whole_ms": 1e3 * whole, "imports_ms": 1e3 * bare, "ratio": whole / bare}


def risk_ratio(profile: Profile, runs: int) -> dict[str, float]:
    """Return the audit of a 15-panel job beside the same numbers drawn plainly, in ms."""
    job = invented(15)
    plan = make_plan(job, profile)
    given = audit(job, profile, plan, 1, DRAWS, readings=False).numbers_drawn
    ours, plain = least_seconds(
        lambda: audit(job, profile, plan, 1, DRAWS, readings=False), lambda: draw_plainly(given), runs=runs)
    return {"audit_ms": 1e3 * ours, "draws_ms": 1e3 * plain, "numbers": float(sum(given.values())),
            "ratio": ours / plain}


def draw_plainly(given: Mapping[str, int]) -> None:
    """Draw as many numbers of each kind as the audit does, and nothing else."""
    rng = np.random.default_rng(1)
    for kind, count in given.items():
        PLAIN[kind](rng, count)


def growth_slope(profile: Profile, sizes: tuple[int, ...], runs: int) -> dict[str, float]:
    """Return the slope of log time over log panels, and the time of the largest job, sequences listed before."""
    seconds = []
    for panels in sizes:
        job = invented(panels)
        known = JobTables(build_problem(job, profile))
        known.choose()
        seconds += least_seconds(partial(choose_again, known, job, profile), runs=runs)
    slope = float(np.polyfit(np.log(sizes), np.log(seconds), 1)[0])
    return {"slope": slope, "panels": float(sizes[-1]), "seconds": seconds[-1]}


def machine_words() -> str:
    """Return the machine in one line: processor, cores, Python."""
    return (f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}, "
            f"numpy {np.__version__}")


def speed_data(found: Speed) -> dict[str, Any]:
    """Return all timings as plain data."""
    return asdict(found)


def speed_text(found: Speed) -> str:
    """Return all timings as a table of at most 80 columns."""
    lines = [f"{'panels':>8}{'exact, ms':>12}{'solver, ms':>14}{'ratio':>8}  same objective"]
    for row in found.planner:
        solver = "not finished" if row.generic_ms is None else f"{row.generic_ms:.0f}"
        ratio = "" if row.ratio is None else f"{row.ratio:.0f}"
        same = "" if row.same_objective is None else ("yes" if row.same_objective else "NO")
        lines.append(f"{row.panels:>8}{row.exact_ms:>12.1f}{solver:>14}{ratio:>8}  {same}".rstrip())
    process, risk, growth = found.process, found.risk, found.growth
    return "\n".join([
        *lines, "",
        f"plan process {process['whole_ms']:.0f} ms, its imports alone {process['imports_ms']:.0f} ms: "
        f"ratio {process['ratio']:.2f}",
        f"risk of 15 panels {risk['audit_ms']:.0f} ms, as many plain draws {risk['draws_ms']:.0f} ms: "
        f"ratio {risk['ratio']:.2f}",
        f"growth from 1 to {growth['panels']:.0f} panels: slope {growth['slope']:.2f}; "
        f"{growth['panels']:.0f} panels in {growth['seconds']:.2f} s", "",
        "exact: tables and choice, with the sequences of the profile kept. solver: one",
        f"presolved run of the same choice as an integer program, {SOLVER_LIMIT_S:.0f} s at most.",
        "Both from numbers that are looked up; growth from the survey on.",
        "Least of several runs, taken in turns. The jobs are invented.", found.machine,
    ]) + "\n"
