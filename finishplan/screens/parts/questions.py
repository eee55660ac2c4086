"""Readings that look like a slip: kept apart, asked about, and lost neither by leaving nor by closing the page."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

import streamlit as st

from finishplan.paper import survey_words
from finishplan.screens.parts import doing, kept, telling
from finishplan.screens.parts.markup import p, put
from finishplan.survey.edits_entries import add_readings
from finishplan.survey.typed_row import Odd


def _place(job_id: str) -> str:
    return f"asked about {job_id}"


def waiting(job_id: str) -> list[dict[str, Any]]:
    """Return the readings of a job that wait for an answer."""
    found = kept.store().setting(_place(job_id))
    return list(json.loads(found)) if found else []


def ask(job_id: str, odd: Sequence[Odd], where: Mapping[str, Any]) -> None:
    """Keep odd readings with where they belong until a person says what they are."""
    if odd:
        asked = [*waiting(job_id), *({**where, "odd": asdict(found)} for found in odd)]
        kept.store().remember(_place(job_id), json.dumps(asked))


def show(job_id: str) -> None:
    """Ask about every odd reading that waits."""
    for number, asked in enumerate(waiting(job_id)):
        odd = Odd(**asked["odd"])
        put("fp-asked", p(f"{asked['panel']}, {asked['zone']}: {survey_words.odd_words(odd)}"))
        with st.container(horizontal=True, key=f"asked_{number}"):
            st.button(f"Keep {odd.um:g}", key=f"keep {number}", on_click=telling.beside("asked")(_answer),
                      args=(job_id, asked, odd.um))
            if odd.meant_um is not None:
                st.button(f"It is {odd.meant_um:g}", key=f"meant {number}", type="primary",
                          on_click=telling.beside("asked")(_answer), args=(job_id, asked, odd.meant_um))
            st.button("Leave it out", key=f"drop {number}", on_click=telling.beside("asked")(_answer),
                      args=(job_id, asked, None))
    telling.show_trouble("asked")


def _answer(job_id: str, asked: Mapping[str, Any], um: float | None) -> None:
    left = waiting(job_id)
    if dict(asked) not in left:
        return  # answered already: pressed twice, or from another page
    if um is not None:
        where = {name: asked[name] for name in ("panel", "zone", "method", "spot", "at")}
        doing.do(lambda body: add_readings(body, values_um=[um], **where))
    left.remove(dict(asked))
    kept.store().remember(_place(job_id), json.dumps(left))
