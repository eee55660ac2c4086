"""The panel itself: name, size, how it lies and is seen; its zones; its place in the walk; further panels."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from finishplan.screens.parts import doing, survey_walk
from finishplan.screens.parts.figure import figure
from finishplan.screens.parts.held import Held, held, renew
from finishplan.screens.parts.markup import h, put
from finishplan.survey import choices, edits
from finishplan.survey.edits import ANY
from finishplan.survey.job import Job, Panel, Zone
from finishplan.survey.templates import INSTRUMENTS, panel_from, part_panels

PLACE = "panel"
EARLIER, LATER = -1, 1
CHOSEN = (("face", choices.FACES, "Its face is"), ("position", choices.POSITIONS, "It is worked"),
          ("exposure", choices.EXPOSURES, "From the customer's place it is"))
ZONE_FIELDS = ("name", "area_m2", "kind", "film_estimate_um")
At = tuple[str, str]


def panel_form(panel: Panel) -> None:
    """Show the panel's own fields, and the buttons that move it or take it out."""
    base = held(f"panel {panel.name}", panel.model_dump(mode="json"))
    was, key = base.was, base.key
    size = was["size_m"] or {}
    with st.form(f"form {key}", border=False):
        left, right = st.columns(2)
        left.text_input("Name", was["name"], key=f"{key} name", max_chars=200)
        right.text_input("Part of the case", was["part"] or "", key=f"{key} part", max_chars=200)
        left, right = st.columns(2)
        figure("Width, m", size.get("width"), 20.0, f"{key} width", left)
        figure("Height, m", size.get("height"), 20.0, f"{key} height", right)
        for field, options, label in CHOSEN:
            st.segmented_control(label, list(options), default=was[field], required=True, key=f"{key} {field}")
        st.checkbox("It comes off the instrument", was["off"], key=f"{key} off")
        st.form_submit_button("Keep this panel", type="primary", on_click=doing.beside(PLACE)(_send),
                              args=(panel.name, base))
    with st.container(horizontal=True, key="panel_buttons"):
        for words, making in (("Earlier in the walk", lambda body: edits.move_panel(body, panel.name, EARLIER)),
                              ("Later in the walk", lambda body: edits.move_panel(body, panel.name, LATER)),
                              ("Take this panel out", lambda body: edits.take_out_panel(body, panel.name))):
            st.button(words, key=f"{words} {panel.name}", on_click=doing.beside(PLACE)(doing.do), args=(making,))
    doing.show_trouble(PLACE)


def _send(name: str, base: Held) -> None:
    box = {field: st.session_state[f"{base.key} {field}"] for field in (
        "name", "part", "face", "position", "exposure", "off", "width", "height")}
    size = {"width": box.pop("width"), "height": box.pop("height")}
    typed = {**box, "part": box["part"] or None, "name": box["name"].strip(),
             "size_m": None if size == {"width": None, "height": None} else size}
    if doing.do(lambda body: edits.change_panel(body, name, base.was, typed), base.revision,
                lambda body: edits.change_panel(body, name, ANY, typed)):
        renew(f"panel {name}")
        survey_walk.choose(typed["name"])


def zone_form(zone: Zone, at: At) -> None:
    """Show the zone's own fields."""
    base = held(f"zone {at}", zone.model_dump(mode="json", exclude={"readings", "defects"}))
    was, key = base.was, base.key
    put("", h(3, f"Zone: {zone.name}"))
    with st.form(f"form {key}", border=False):
        left, right = st.columns(2)
        left.text_input("Name", was["name"], key=f"{key} name", max_chars=200)
        figure("Area, m2", was["area_m2"], 50.0, f"{key} area_m2", right)
        st.segmented_control("It is", list(choices.ZONE_KINDS), default=was["kind"], required=True, key=f"{key} kind",
                             format_func=lambda name: f"{name}: {choices.ZONE_KINDS[str(name)]}")
        figure("Film, um, as estimated without a reading", was["film_estimate_um"], 5000.0, f"{key} film_estimate_um")
        st.form_submit_button("Keep this zone", on_click=doing.beside("zone")(_send_zone), args=(at, base))
    st.button("Take this zone out", key=f"zone out {at}", on_click=doing.beside("zone")(doing.do),
              args=(lambda body: edits.take_out_zone(body, *at),))
    doing.show_trouble("zone")


def _send_zone(at: At, base: Held) -> None:
    typed = {field: st.session_state[f"{base.key} {field}"] for field in ZONE_FIELDS}
    if doing.do(lambda body: edits.change_zone(body, *at, base.was, typed), base.revision,
                lambda body: edits.change_zone(body, *at, ANY, typed)):
        renew(f"zone {at}")


def more(job: Job, panel: Panel) -> None:
    """Show what may be added: a zone to this panel, a panel to the job."""
    put("", h(3, "Add"))
    with st.form("add_zone", clear_on_submit=True, border=False):
        left, middle, right = st.columns(3, vertical_alignment="bottom")
        left.selectbox("Zone", list(choices.ZONE_KINDS), key="new zone kind")
        figure("Area, m2", None, 50.0, "new zone area", middle)
        right.form_submit_button("Add a zone here", on_click=doing.beside("more")(_add_zone), args=(panel.name,))
    offered = {found.name: found for kind in INSTRUMENTS if job.instrument.kind in (kind, None)
               for found in part_panels(kind)} or {found.name: found for found in part_panels("grand")}
    with st.form("add_panel", clear_on_submit=True, border=False):
        left, right = st.columns([2, 1], vertical_alignment="bottom")
        left.selectbox("Panel", list(offered), key="new panel")
        right.form_submit_button("Add a panel", on_click=doing.beside("more")(_add_panel), args=(offered,))
    doing.show_trouble("more")


def _add_zone(panel: str) -> None:
    kind, area = st.session_state["new zone kind"], st.session_state["new zone area"]
    zone: Mapping[str, Any] = {"name": kind, "kind": kind, "area_m2": area, "readings": [], "defects": []}
    doing.do(lambda body: edits.add_zone(body, panel, zone))


def _add_panel(offered: Mapping[str, Any]) -> None:
    made = panel_from(offered[st.session_state["new panel"]])
    doing.do(lambda body: edits.add_panel(body, made))
