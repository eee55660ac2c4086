"""Before the first stroke: which plan, in which order, which panels may not start, which stops are open."""

from __future__ import annotations

import streamlit as st

from finishplan.paper import lines
from finishplan.records.at_bench import AtBench
from finishplan.records.bench_work import begin
from finishplan.screens.parts import bench_head, bench_now, going, kept, telling
from finishplan.screens.parts.markup import h, items, p, put


def show(bench: AtBench) -> None:
    """Show what is about to begin, and the button."""
    answer = bench.answer
    put("fp-panel", h(2, "Begin"), p(lines.first_line(answer.plan, answer.labour_minutes), "lead"),
        p(f"From now on the bench goes by the plan of revision {bench.leg.revision}. A later change of the survey "
          "changes nothing here until a finisher agrees to a new plan.", "quiet"))
    held_back(bench)
    stops(bench)
    bench_head.order(bench)
    with st.container(key="bench_do"):
        st.button("Begin work", type="primary", key="begin", width="stretch", disabled=not bench.course.tasks,
                  on_click=telling.beside(bench_now.PLACE)(_begin))
    if not bench.course.tasks:
        put("", p("Nothing may be worked by this plan yet: see the Plan page for what comes first.", "quiet"))


def _begin() -> None:
    begin(kept.store(), bench_now.stands(), kept.who(), bench_now.now())


def held_back(bench: AtBench) -> None:
    """Say which panels may not start, and why."""
    if bench.course.held_back:
        said = [f"<li>{p(held.panel, 'name')}{p('; '.join(f'{zone}: {why}' for zone, why in held.verdicts))}</li>"
                for held in bench.course.held_back]
        put("fp-notes", h(3, "Do not start"), items(said))


def stops(bench: AtBench) -> None:
    """Say which stop cautions nobody has signed for, and where to sign."""
    if not bench.unsigned:
        return
    said = [f"<li class='stop'><span class='word'>stop</span><div>{p(f'{c.id} {c.hazard}', 'name')}{p(c.text)}</div>"
            "</li>" for c in bench.unsigned]
    put("fp-cautions", h(3, "Stops that nobody has signed for"),
        p("The steps they are about stay shut. A finisher signs on the Safety page.", "quiet"), items(said))
    if st.button("To the Safety page", key="to_safety"):
        going.go("Safety")
