"""The panel's drawing on the survey: what a tap does is said above it, and done once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from finishplan import wording
from finishplan.paper.tap_sheet import scale_words, tap_sheet
from finishplan.screens.parts import doing, kept, once, panel_tap, survey_defects, survey_readings, telling
from finishplan.screens.parts.markup import p, put
from finishplan.survey import edits_entries
from finishplan.survey.edits import zone_at
from finishplan.survey.job import Panel
from finishplan.survey.typed_row import row_words

At = tuple[str, str]


def draw(body: Mapping[str, Any], panel: Panel, at: At, mode: str, kind: str | None) -> None:
    """Draw a panel with its marks, and take taps on it."""
    index = survey_defects.picked(body, at)
    sheet = tap_sheet(panel, at[1], index) | {"pin": survey_readings.pin_of(at)}
    put("", p(_says(body, at, mode, kind)), p(scale_words(panel), "quiet small"))
    panel_tap.draw(sheet, {"panel": at[0], "zone": at[1], "mode": mode, "kind": kind}, _tapped)
    telling.show_trouble("drawing")


def _says(body: Mapping[str, Any], at: At, mode: str, kind: str | None) -> str:
    """Return what a tap on the drawing does now."""
    if mode == "Readings":
        chosen = edits_entries.unplaced_spot(body, *at)
        if not chosen:
            return "A tap marks where the next readings are taken; numbers are spots, letters defects."
        readings = zone_at(body, *at)["readings"]
        spot = readings[chosen[0]].get("spot")
        named = f"spot {spot}" if spot is not None else "the reading"
        return f"A tap places {named}: {row_words([readings[k]['um'] for k in chosen])} um."
    if mode == "Defects" and kind:
        return f"A tap adds a defect there: {wording.defect_words(kind)}. A tap on a letter opens it."
    if mode == "Defects":
        return "Choose a kind above, and a tap adds one there. A tap on a letter opens it."
    return "Numbers are reading spots, letters defects."


def _tapped(tap: Mapping[str, Any]) -> None:
    context, place = tap["context"], {"x": tap["x"], "y": tap["y"]}
    at, mode, kind = (context["panel"], context["zone"]), context["mode"], context["kind"]
    body = kept.store().open(str(st.session_state[kept.JOB])).body
    if tap["boot"] != once.BOOT and edits_entries.is_placed(body, *at, place):
        return  # done by an earlier run of the program, which could not say so any more
    if mode == "Defects" and tap["hit"] is not None:
        survey_defects.pick(at, int(tap["hit"]))
    elif mode == "Defects" and kind:
        survey_defects.add(at, kind, place)
    elif mode == "Readings" and edits_entries.unplaced_spot(body, *at):
        doing.do(lambda stands: edits_entries.place_readings(stands, *at, place))
    elif mode == "Readings":
        st.session_state[survey_readings.PIN] = {"panel": at[0], "zone": at[1], **place}
