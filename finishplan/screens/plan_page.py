"""The plan of one job: may it start, what to do with each defect, in which order, with what, and how long."""

from __future__ import annotations

import streamlit as st

from finishplan import wording
from finishplan.errors import FinishplanError
from finishplan.paper import lines, plan_terms
from finishplan.paper.section import axis_um_for
from finishplan.screens.parts import (
    answers,
    choose,
    contents,
    going,
    guard,
    how_sure,
    inspect_all,
    numbers,
    opening,
    panel_choices,
    panels,
    papers,
    replan,
    telling,
    tick_list,
    whole_job,
    why,
)
from finishplan.screens.parts.answers import Source
from finishplan.screens.parts.markup import h, items, mark, p, put, to
from finishplan.workup import Answer

WAYS = {"Survey": "To its survey", "Jobs": "To the jobs"}
"""Pages that the plan of a kept job leads to."""


def page() -> None:
    """Show the plan of what is open, or the door."""
    telling.begin()
    try:
        source = opening.opened()
        answer = answers.answer_of(source) if source else None
    except FinishplanError as error:
        door(str(error))
        return
    if source is None or answer is None:
        door()
        return
    st.session_state[replan.SHOWN] = source
    masthead(answer, source)
    known: set[str] = set()
    first(answer, known)
    papers.papers(answer, source)
    with st.container():
        choose.choices(source, answer)
        why.own_sequence(source, answer)
    every_panel(answer, known)
    with st.container():
        why.asking_less(answer)
        why.test_spot(answer)
    place = how_sure.reserve()
    whole_job.labour(answer)
    tick_list.materials(answer)
    whole_job.cautions(answer)
    whole_job.notes(answer)
    numbers.numbers(answer)
    inspect_all.inspection(answer, source)
    how_sure.fill(place, source, answer.profile.file.currency or "")


def door(message: str = "") -> None:
    """Show the way in: one sentence, the demo, and the boxes for files; what is wrong stands beside them."""
    put("fp-door", h(1, "What to do with every defect, in which order, and how much film is left."),
        p("Start a job, or open a job file with the survey of the case parts. The plan names the grit sequence and "
          "compounds of every panel, film taken and left, minutes, materials and cautions. Nothing leaves this "
          "machine.",
          "quiet"))
    if message:
        guard.show(message)
    opening.door()
    st.caption("The demo job is our own invention: no such instrument, shop or customer exists.")


def masthead(answer: Answer, source: Source) -> None:
    """Write the title and what the plan rests on."""
    invented = "Demo: our own invention, no such instrument exists." if source.demo else ""
    put("fp-mast", h(1, answer.plan.title), p(lines.rests_on(answer.job, answer.plan), "quiet"), p(invented))
    if source.stored:
        ways()
        return
    with st.expander("Open another job"):
        opening.controls()
        st.button("Close this job", on_click=opening.close, key="close")


def ways() -> None:
    """Show the ways from the plan of a kept job: to its survey, and to the other jobs."""
    with st.container(horizontal=True, key="plan_ways"):
        for name, words in WAYS.items():
            if st.button(words, key=f"plan to {name}"):
                going.go(name)


def first(answer: Answer, known: set[str]) -> None:
    """Write the verdict sentence, one line a panel whose name leads to it, and what stands on the page.

    Words a beginner asks about are explained where they first stand; ``known`` takes them up.
    """
    rows = []
    for number, panel in enumerate(answer.plan.panels):
        shown = wording.mark_of(lines.panel_verdict(panel), lines.last_service(panel))
        named = f'<div><p class="name">{to(panels.place_of(number), panel.name)}</p>{p(shown.word)}</div>'
        rows.append(f"<li>{mark(shown)}{named}{p(lines.panel_gist(panel))}</li>")
    told = plan_terms.explained([lines.rests_on(answer.job, answer.plan), *rows], known)
    put("fp-first", p(lines.first_line(answer.plan, answer.labour_minutes)), contents.contents(), items(rows))
    put("", *(p(said, "quiet small") for said in told))


def every_panel(answer: Answer, known: set[str]) -> None:
    """Write every panel: may it start, its steps, its film, its defects, why so; ``known`` words are not explained.

    Each stands in a place of its own, so that a box opened in one stays open when another changes.
    """
    axis_um = axis_um_for(answer.plan)
    for number, (surveyed, panel) in enumerate(zip(answer.job.panels, answer.plan.panels, strict=True)):
        with st.container():
            panels.head(panel, number)
            panel_choices.panel_choices(answer.job, surveyed)
            panels.zones(panel)
            panels.steps(panel)
            panels.section(panel, axis_um)
            panels.drawing(surveyed, panel)
            panels.defects(panel)
            why.of_panel(panel)
            told = plan_terms.explained(panels.words(panel), known)
            put("", *(p(said, "quiet small") for said in told))
