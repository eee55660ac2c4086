"""How a panel and its zone are worked, and the finish asked for; what is not said here goes by the job and the face."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

import streamlit as st

from finishplan.screens.parts import kept, telling
from finishplan.screens.parts.box import box as in_box
from finishplan.screens.parts.fields import Fields, as_typed, or_nothing
from finishplan.screens.parts.figure import figure
from finishplan.screens.parts.markup import h, p, put
from finishplan.survey import choices, edits, edits_lists
from finishplan.survey.job import Panel, Zone

WAYS, LEAVE = "panel ways", "zone ways"
At = tuple[str, str]
AS_USUAL = {"as usual": None, "yes": True, "no": False}
PANEL_READ = {"worker": or_nothing, "seen_from": or_nothing, "sheets_by": or_nothing, "compounds_by": or_nothing,
              "ends": or_nothing, "gloss_gu": as_typed}
ZONE_READ = {"previous_step": or_nothing, "sheets_allowed": lambda word: AS_USUAL[str(word)]}
OFFERED: tuple[tuple[str, str, Mapping[str, str], str], ...] = (
    ("worker", "Worked by", choices.WORKERS, "as for the job"),
    ("seen_from", "Looked at from", choices.VIEWS, "as for the job"),
    ("sheets_by", "Sheets by", choices.SHEET_WAYS, "as the face asks"),
    ("compounds_by", "Compounds by", choices.COMPOUND_WAYS, "as the face asks"),
)


def section(panel: Panel, zone: Zone) -> None:
    """Show, closed, how the panel is worked and what is asked of it, and what holds for the zone."""
    in_box("How it is worked, and the finish asked for", "ways_open", lambda: _ways(panel))
    in_box("Sheets on this zone, and work broken off before", "leave_open",
           lambda: _leave(zone, (panel.name, zone.name)))


def _ways(panel: Panel) -> None:
    def make(body: Mapping[str, Any], was: Any, typed: Mapping[str, Any]) -> edits.Edit:
        new = {name: value for name, value in typed.items() if name not in ("ends", "gloss_gu")}
        if len(new) != len(typed):
            new["target"] = edits_lists.target(was.get("target"), typed)
        return edits.change_panel(body, panel.name, was, new)

    fields = Fields(WAYS, PANEL_READ, make, lambda body, was, typed: Panel.model_validate(
        edits.panel_at(body, panel.name)).model_dump(mode="json"), panel.name)
    was = fields.base(panel.model_dump(mode="json"), ("name",))
    for pair in (OFFERED[:2], OFFERED[2:]):
        for column, (name, label, offered, usual) in zip(st.columns(2), pair, strict=True):
            options: list[str] = ["", *offered]
            column.selectbox(label, options, format_func=partial(_said, offered, usual),
                             **fields.box(name, was[name] or ""))
    left, right = st.columns(2)
    sheets = [step.name for step in kept.shop_now().profile.steps if step.is_sheet]
    left.selectbox("Finish asked for", ["", *sheets], **fields.box("ends", was["target"]["last_sheet"] or ""),
                   format_func=lambda name: f"satin, ended with {name}" if name else choices.TARGETS["gloss"])
    figure("Gloss to reach, GU at 20 degrees", right, **fields.box("gloss_gu", was["target"]["gloss_gu"]))
    telling.show_trouble(WAYS)


def _said(offered: Mapping[str, str], usual: str, word: str) -> str:
    return f"{word}: {offered[word]}" if word else usual


def _leave(zone: Zone, at: At) -> None:
    def after(body: Mapping[str, Any], was: Any, typed: Mapping[str, Any]) -> Any:
        return {**was, **typed}

    fields = Fields(LEAVE, ZONE_READ, lambda body, was, typed: edits.change_zone(body, *at, was, typed), after,
                    f"{at[0]}, {at[1]}")
    stands = zone.model_dump(mode="json", include={"name", "previous_step", "sheets_allowed"}) | {"panel": at[0]}
    was = fields.base(stands, ("panel", "name"))
    put("", h(3, f"Zone: {zone.name}"),
        p("As usual: sheets on an open face, none on an edge, corner or rounding of a gloss panel.", "quiet small"))
    left, right = st.columns(2)
    left.segmented_control("Sheets may be used on it", list(AS_USUAL), required=True, **fields.box(
        "sheets_allowed", next(word for word, value in AS_USUAL.items() if value is was["sheets_allowed"])))
    steps = [step.name for step in kept.shop_now().profile.steps]
    offered = list(dict.fromkeys([*steps, *([was["previous_step"]] if was["previous_step"] else [])]))
    right.selectbox("Last step done when work was broken off", ["", *offered],
                    **fields.box("previous_step", was["previous_step"] or ""),
                    format_func=lambda name: name or "work was not begun, or is finished")
    telling.show_trouble(LEAVE)
