"""Materials as a list to tick off; a tick holds for as long as just that much is needed."""

from __future__ import annotations

import streamlit as st

from finishplan.paper import lines
from finishplan.planning.materials import MaterialLine
from finishplan.screens.parts import contents
from finishplan.screens.parts.guard import callback
from finishplan.screens.parts.markup import literal, p, put
from finishplan.workup import Answer

TICKS = "plan ticks"
KEPT = "Ticks stay until this job is closed. More of a thing than was ticked takes its tick away."


def materials(answer: Answer) -> None:
    """Write the list: one box a thing, with how much, packs and what to know of it."""
    says = "For the whole job. " + KEPT if answer.materials else "Nothing is used up."
    put("fp-panel", contents.head("materials"), p(says, "quiet"))
    for number, line in enumerate(answer.materials):
        one(answer.plan.title, number, line)


def one(title: str, number: int, line: MaterialLine) -> None:
    """Write one box; its tick is kept apart from the box, which a visit to another page would empty."""
    said = lines.material_words(line)
    held = f"{title}: {said}"
    key = f"tick:{number}"
    st.session_state[key] = held in ticks()
    st.checkbox(literal(said), key=key, on_change=tick, args=(key, held))


def ticks() -> set[str]:
    """Return what is ticked."""
    found: set[str] = st.session_state.setdefault(TICKS, set())
    return found


@callback
def tick(key: str, held: str) -> None:
    """Keep or take away one tick."""
    if st.session_state[key]:
        ticks().add(held)
    else:
        ticks().discard(held)
