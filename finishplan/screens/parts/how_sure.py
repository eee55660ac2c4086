"""How sure the plan is: the space is reserved where it belongs, the plan shows first, then the space fills."""

from __future__ import annotations

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from finishplan.paper import risk_words as words
from finishplan.paper import why_words
from finishplan.planning.risk_result import Risk
from finishplan.screens.parts import answers, contents
from finishplan.screens.parts.answers import Source
from finishplan.screens.parts.markup import h, items, p, put, table

COMING = "Being worked out: the plan above stands already."


def reserve() -> DeltaGenerator:
    """Return the place for it, with a word that it is coming."""
    place = st.empty()
    with place.container():
        put("fp-panel fp-coming", contents.head("sure"), p(COMING, "quiet"))
    return place


def fill(place: DeltaGenerator, source: Source, currency: str) -> None:
    """Work it out and write it into its place."""
    risk, spot = answers.risk_of(source), answers.spot_of(source)
    with place.container():
        content(risk, currency)
        if spot is not None:
            put("fp-notes", h(3, "The test spot in time and money"), *(p(said) for said in why_words.safe_words(spot)))


def content(risk: Risk, currency: str) -> None:
    """Write the chances, what jobs stay under, services left, the next reading, and what it rests on."""
    levels = [words.hours_row(risk.minutes)]
    if risk.cost is not None:
        levels.append(words.cost_row(risk.cost, currency))
    zones = [words.zone_row(zone, risk.draws) for zone in risk.zones]
    put("fp-panel", contents.head("sure"), p(words.risk_line(risk), "lead"))
    put("fp-wide", table(words.LEVEL_CAPTION, words.LEVEL_HEADS, levels, numbers=(1, 2, 3, 4)))
    put("fp-wide fp-chances", h(3, "Zone by zone"),
        table(words.ZONE_CAPTION, words.ZONE_HEADS, zones, numbers=(1, 2, 3, 4, 5)))
    readings = items(f"<li>{p(line)}</li>" for line in words.readings_words(risk))
    put("fp-notes", h(3, "The reading to take next"), readings)
    put("", p(words.basis_words(risk), "quiet small"), *(p(note, "quiet small") for note in risk.notes))
