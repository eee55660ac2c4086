"""The walk round the instrument: which panel, which of its zones, and what is being entered."""

from __future__ import annotations

import streamlit as st

from finishplan.paper import survey_words
from finishplan.screens.parts import guard
from finishplan.screens.parts.markup import h, p, put
from finishplan.screens.parts.plain import plain
from finishplan.survey.job import Job, Panel, Zone

PANEL = "survey panel"
MODE = "survey mode"
MODES = {
    "Readings": "film, by number pad or in a row",
    "Defects": "what is damaged, where, how deep",
    "Test spot": "the gentlest that works",
    "Photos": "what it looks like",
    "Panel": "its size, zones and place in the walk",
}
PICKED = "survey pick"


def panel_of(job: Job) -> Panel:
    """Return the panel that is being surveyed; the first, until another is chosen."""
    name = st.session_state.get(PANEL)
    return next((panel for panel in job.panels if panel.name == name), job.panels[0])


def choose(name: str) -> None:
    """Walk to a panel."""
    st.session_state[PANEL] = name


def _picked() -> None:
    choose(str(st.session_state[PICKED]))


def pick(job: Job, panel: Panel) -> None:
    """Show where one is on the walk, all panels with how far each is surveyed, and the way to the next."""
    names = [held.name for held in job.panels]
    before, after = around(names, panel.name)
    tallies = {held.name: survey_words.panel_tally(held) for held in job.panels}
    left, middle, right = st.columns([1, 5, 1], vertical_alignment="bottom", gap="small")
    left.button("Before", key="before", disabled=not before, width="stretch", on_click=guard.callback(choose),
                args=(before,))
    # Going by the buttons changes the panel under this box: it is told so before it is written.
    st.session_state[PICKED] = panel.name
    middle.selectbox(survey_words.walk_words(names.index(panel.name), len(names)), names, key=PICKED,
                     format_func=lambda name: f"{name}: {tallies[name]}" if name in tallies else str(name),
                     on_change=guard.callback(_picked))
    right.button("Next", key="after", disabled=not after, width="stretch", on_click=guard.callback(choose),
                 args=(after,))


def onward(job: Job, panel: Panel) -> None:
    """Show the way on at the end of a panel."""
    after = around([held.name for held in job.panels], panel.name)[1]
    st.button(f"Next panel: {plain(after)}" if after else "The walk ends here", key="onward", disabled=not after,
              on_click=guard.callback(choose), args=(after,), width="stretch")


def around(names: list[str], name: str) -> tuple[str, str]:
    """Return the panels before and after one, empty where the walk begins or ends."""
    place = names.index(name)
    return "".join(names[:place][-1:]), "".join(names[place:][1:2])


def head(panel: Panel) -> None:
    """Write the panel's name and how it lies."""
    setting = ", ".join([panel.face, panel.position, panel.exposure, *(["off the instrument"] if panel.off else [])])
    with st.container(key="panel_head"):
        put("fp-walked", h(2, panel.name), p(setting, "quiet"))


def zone_of(panel: Panel) -> Zone:
    """Show the panel's zones; return the one that is chosen."""
    names = [zone.name for zone in panel.zones]
    chosen = st.segmented_control("Zone", names, default=names[0], required=True, key=zone_key(panel.name), wrap=True,
                                  format_func=lambda name: plain(str(name)), persist_state="session")
    return next((zone for zone in panel.zones if zone.name == chosen), panel.zones[0])


def zone_key(panel: str) -> str:
    """Return the name under which the session holds which zone of a panel is chosen."""
    return f"survey zone {panel}"


def mode() -> str:
    """Show what may be entered; return what is."""
    chosen = st.segmented_control("What is entered", list(MODES), default="Readings", required=True, key=MODE,
                                  wrap=True, persist_state="session")
    return str(chosen or "Readings")
