"""The panel itself: name, size, how it lies and is seen; its zones; its place in the walk; further panels."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from finishplan.screens.parts import doing, survey_walk, telling
from finishplan.screens.parts.fields import Fields, as_typed, or_nothing
from finishplan.screens.parts.figure import figure
from finishplan.screens.parts.markup import h, put
from finishplan.survey import choices, edits
from finishplan.survey.job import Job, Panel, Zone
from finishplan.survey.templates import INSTRUMENTS, panel_from, part_panels

PLACE, ZONE_PLACE = "panel", "zone"
EARLIER, LATER = -1, 1
CHOSEN = (("face", choices.FACES, "Its face is"), ("position", choices.POSITIONS, "It is worked"),
          ("exposure", choices.EXPOSURES, "From the customer's place it is"))
PANEL_READ = {"name": or_nothing, "part": or_nothing, "size_m": edits.read_size, "face": as_typed, "position": as_typed,
              "exposure": as_typed, "off": as_typed}
ZONE_READ = {"name": or_nothing, "area_m2": as_typed, "kind": as_typed, "film_estimate_um": as_typed}
At = tuple[str, str]


def panel_form(panel: Panel) -> None:
    """Show the panel's own fields, and the buttons that move it or take it out."""
    fields = Fields(PLACE, PANEL_READ, lambda body, was, typed: edits.change_panel(body, panel.name, was, typed),
                    _panel_after, panel.name)
    was = fields.base(panel.model_dump(mode="json"), ("name",))
    left, middle, right = st.columns(3)
    left.text_input("Name", max_chars=200, **fields.box("name", was["name"]))
    middle.text_input("Part of the case", max_chars=200, **fields.box("part", was["part"] or ""))
    right.text_input("Width and height, m", placeholder="1.45 1.40", autocomplete="off",
                     **fields.box("size_m", edits.size_text(was["size_m"])))
    with st.container(horizontal=True, key="panel_lies"):
        for field, options, label in CHOSEN:
            st.segmented_control(label, list(options), required=True, **fields.box(field, was[field]))
    st.checkbox("It comes off the instrument", **fields.box("off", was["off"]))
    telling.show_trouble(PLACE)
    with st.container(horizontal=True, key="panel_buttons"):
        for words, making in (("Earlier in the walk", lambda body: edits.move_panel(body, panel.name, EARLIER)),
                              ("Later in the walk", lambda body: edits.move_panel(body, panel.name, LATER)),
                              ("Take this panel out", lambda body: edits.take_out_panel(body, panel.name))):
            st.button(words, key=f"{words} {panel.name}", on_click=telling.beside(PLACE)(doing.do), args=(making,))


def _panel_after(body: Mapping[str, Any], was: Mapping[str, Any], typed: Mapping[str, Any]) -> Any:
    """Walk along with a panel that got another name; return it as it stands."""
    name = str(typed.get("name", was["name"]))
    survey_walk.choose(name)
    return Panel.model_validate(edits.panel_at(body, name)).model_dump(mode="json")


def zone_form(zone: Zone, at: At) -> None:
    """Show the zone's own fields."""
    fields = Fields(ZONE_PLACE, ZONE_READ, lambda body, was, typed: edits.change_zone(body, *at, was, typed),
                    _zone_after, f"{at[0]}, {at[1]}")
    stands = zone.model_dump(mode="json", exclude={"readings", "defects"}) | {"panel": at[0]}
    was = fields.base(stands, ("panel", "name"))
    put("", h(3, f"Zone: {zone.name}"))
    left, middle, right = st.columns(3)
    left.text_input("Name", max_chars=200, **fields.box("name", was["name"]))
    figure("Area, m2", middle, **fields.box("area_m2", was["area_m2"]))
    figure("Film without a reading, um", right, **fields.box("film_estimate_um", was["film_estimate_um"]))
    st.segmented_control("It is", list(choices.ZONE_KINDS), required=True, **fields.box("kind", was["kind"]),
                         format_func=lambda name: f"{name}: {choices.ZONE_KINDS[str(name)]}")
    telling.show_trouble(ZONE_PLACE)
    st.button("Take this zone out", key=f"zone out {at}", on_click=telling.beside(ZONE_PLACE)(doing.do),
              args=(lambda body: edits.take_out_zone(body, *at),))


def _zone_after(body: Mapping[str, Any], was: Mapping[str, Any], typed: Mapping[str, Any]) -> Any:
    """Stay at a zone that got another name; return it as it stands."""
    after = {**was, **typed}
    st.session_state[survey_walk.zone_key(was["panel"])] = after["name"]
    return after


def more(job: Job, panel: Panel) -> None:
    """Show what may be added: a zone to this panel, a panel to the job."""
    put("", h(3, "Add"))
    with st.form("add_zone", clear_on_submit=True, border=False):
        left, middle, right = st.columns(3, vertical_alignment="bottom")
        left.selectbox("Zone", list(choices.ZONE_KINDS), key="new zone kind")
        figure("Area, m2", middle, key="new zone area")
        right.form_submit_button("Add a zone here", args=(panel.name,),
                                 on_click=telling.beside("more", typed="new zone area")(_add_zone))
    offered = {found.name: found for kind in INSTRUMENTS if job.instrument.kind in (kind, None)
               for found in part_panels(kind)} or {found.name: found for found in part_panels("grand")}
    with st.form("add_panel", clear_on_submit=True, border=False):
        left, right = st.columns([2, 1], vertical_alignment="bottom")
        left.selectbox("Panel", list(offered), key="new panel")
        right.form_submit_button("Add a panel", on_click=telling.beside("more")(_add_panel), args=(offered,))
    telling.show_trouble("more")


def _add_zone(panel: str) -> None:
    kind, area = st.session_state["new zone kind"], st.session_state["new zone area"]
    zone: Mapping[str, Any] = {"name": kind, "kind": kind, "area_m2": area, "readings": [], "defects": []}
    doing.do(lambda body: edits.add_zone(body, panel, zone))


def _add_panel(offered: Mapping[str, Any]) -> None:
    made = panel_from(offered[st.session_state["new panel"]])
    doing.do(lambda body: edits.add_panel(body, made))
