"""The bench: one step fills the screen; a reading under its least turns the whole page to stop."""

from __future__ import annotations

from finishplan.errors import FinishplanError
from finishplan.records.at_bench import AtBench
from finishplan.screens.parts import (
    bench_begin,
    bench_close,
    bench_head,
    bench_log,
    bench_look,
    bench_now,
    bench_practice,
    bench_replan,
    bench_stop,
    bench_task,
    guard,
    kept,
    look_survey,
    no_job,
    telling,
)
from finishplan.screens.parts.markup import p, put

CHANGED = ("The survey was changed since this plan was made; the bench goes by its own. What the change means for the "
           "work is for a finisher to say.")


def page() -> None:
    """Show the open job at the bench, or the way to one."""
    look_survey.put_on()
    bench_look.put_on()
    telling.begin()
    bench_close.leave()
    if kept.current() is None:
        no_job.show(says="Open one on the Jobs page, or practise on the demo.")
        return
    try:
        bench = bench_now.stands()
    except FinishplanError as error:
        guard.show(str(error))
        return
    content(bench, bench_head.masthead(bench))
    telling.show_rest()


def content(bench: AtBench, mode: str) -> None:
    """Show what is looked at; a stop comes before all work."""
    if mode == "Practice":
        bench_practice.show(bench)
    elif mode == "Log":
        bench_log.show(bench)
    elif not bench.begun:
        bench_begin.show(bench)
    elif mode == "Replan":
        bench_replan.show(bench)
    elif bench.where.stops:
        bench_stop.show(bench)
    elif bench.where.finished:
        bench_close.show(bench)
    else:
        if bench.surveyed_since:
            put("fp-asked", p(CHANGED, "quiet"))
        bench_task.show(bench)
