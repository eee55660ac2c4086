"""Defects of a zone: a big button a kind, a tap or a press adds one, then its size, depth, wish and view."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from finishplan import wording
from finishplan.paper import survey_words
from finishplan.paper.tap_sheet import letters
from finishplan.screens.parts import doing, kept, telling
from finishplan.screens.parts.fields import Fields, as_typed
from finishplan.screens.parts.figure import figure, number
from finishplan.screens.parts.held import held, renew
from finishplan.screens.parts.markup import h, p, put
from finishplan.screens.parts.plain import plain
from finishplan.survey import choices, edits, edits_entries
from finishplan.survey.edits import ANY
from finishplan.survey.edits_entries import USUAL_KINDS
from finishplan.survey.job import Defect, Panel
from finishplan.survey.typed_row import read_depth

KIND = "survey kind"
ALL_KINDS = "survey all kinds"
PICKED = "survey picked"
"""Which defect is being looked at: panel, zone, index, and the entry as it was picked."""
FORM = "defect"
At = tuple[str, str]
VIEWS = list(choices.VIEW_ORDER)
SIZES = (("length_mm", "Length, mm"), ("width_mm", "Width, mm"), ("area_m2", "Area, m2"))
TAKEN = ("count", "length_mm", "width_mm", "area_m2", "missing_ml", "seen_in", "wish", "note")
READ = dict.fromkeys(TAKEN, as_typed) | {"depth_um": read_depth, "at": edits_entries.read_place}


def picked(body: Mapping[str, Any], at: At) -> int | None:
    """Return the index of the defect that is being looked at, found again by what it is; else None."""
    found = st.session_state.get(PICKED)
    if not found or (found["panel"], found["zone"]) != at:
        return None
    entries, was = list(edits.zone_at(body, *at).get("defects") or ()), held(FORM, found["was"]).was
    same = [k for k, entry in enumerate(entries) if entry == was]
    if found["index"] in same or not same:
        return int(found["index"]) if found["index"] < len(entries) else None
    return same[0]


def pick(at: At, index: int) -> None:
    """Look at one defect, as it stands now."""
    entries = edits.zone_at(kept.store().open(str(st.session_state[kept.JOB])).body, *at).get("defects") or ()
    if 0 <= index < len(entries):
        st.session_state[PICKED] = {"panel": at[0], "zone": at[1], "index": index, "was": dict(entries[index])}
        renew(FORM)


def add(at: At, kind: str, place: Mapping[str, float] | None = None) -> None:
    """Add a defect of a kind, with a place or without, and look at it."""
    defect = {"kind": kind} | ({"at": dict(place)} if place else {})
    doing.do(lambda body: edits_entries.add_defect(body, *at, defect))
    body = kept.store().open(str(st.session_state[kept.JOB])).body
    entries = edits.zone_at(body, *at)["defects"]
    pick(at, [k for k, _ in enumerate(entries)][-1])


def kinds(at: At) -> str | None:
    """Show a big button a kind; return the kind that is chosen."""
    all_of_them = st.toggle("All kinds", key=ALL_KINDS, persist_state="session")
    offered = list(choices.DEFECT_KINDS) if all_of_them else list(USUAL_KINDS)
    chosen = st.pills("Kind of defect", offered, key=f"{KIND} {all_of_them}", persist_state="session",
                      format_func=lambda kind: wording.defect_words(str(kind)))
    kind = str(chosen) if chosen else None
    if kind:
        put("", p(f"{choices.DEFECT_KINDS[kind]}; {survey_words.depth_line(kind, None)}.", "quiet small"))
        st.button(f"Add {wording.defect_words(kind)} without a place", key="add_defect",
                  on_click=telling.beside(FORM)(add), args=(at, kind))
    return kind


def listed(zone: Mapping[str, Any], panel: Panel, at: At, index: int | None) -> None:
    """Show the defects of a zone, each to be tapped and changed."""
    entries, named = list(zone.get("defects") or ()), letters(panel)
    put("", h(3, f"Defects of {at[0]}, {at[1]}"), "" if entries else p("No defect is entered here.", "quiet"))
    with st.container(key="defect_list", gap=None):
        for k, entry in enumerate(entries):
            st.button(f"**{named[at[1], k]}**  {plain(survey_words.defect_line(entry))}", key=f"look at {at} {k}",
                      type="secondary" if k == index else "tertiary", width="stretch",
                      on_click=telling.beside(FORM)(pick), args=(at, k))
    if index is not None and index < len(entries):
        _one(entries[index], index, at, named[at[1], index])
    else:
        telling.show_trouble(FORM)


def _one(entry: Mapping[str, Any], index: int, at: At, letter: str) -> None:
    fields = Fields(FORM, READ, lambda body, was, typed: edits_entries.change_defect(body, *at, index, was, typed),
                    lambda body, was, typed: edits.changed(Defect, was, was, typed, "")[0],
                    f"{at[0]}, {at[1]}, {letter}")
    was = fields.base(dict(entry))
    put("fp-one", h(3, f"{letter}: {wording.defect_words(entry['kind'])}"))
    one, *others = st.columns(4)
    one.number_input("How many", value=None, step=1, **fields.box("count", was.get("count") or 1))
    for column, (field, label) in zip(others, SIZES, strict=True):
        figure(label, column, **fields.box(field, number(was.get(field))))
    one, two, three = st.columns([2, 1, 1])
    one.text_input("Depth, um: one measured, or low likely high", autocomplete="off",
                   placeholder=survey_words.depth_line(entry["kind"], None),
                   **fields.box("depth_um", edits_entries.depth_text(was.get("depth_um"))))
    two.text_input("Place, % across and up", autocomplete="off",
                   **fields.box("at", edits_entries.place_text(was.get("at"))))
    figure("Missing, ml", three, **fields.box("missing_ml", number(was.get("missing_ml"))))
    st.segmented_control("Shows from (none: from everywhere)", VIEWS, **fields.box("seen_in", was.get("seen_in")))
    st.segmented_control("Wish (none: removed where it is seen)", list(choices.WISHES),
                         format_func=lambda name: f"{name}: {choices.WISHES[str(name)]}",
                         **fields.box("wish", was.get("wish")))
    st.text_input("Note", max_chars=2000, **fields.box("note", was.get("note", "")))
    telling.show_trouble(FORM)
    st.button("Take this defect out", key=fields.key("out"), on_click=telling.beside(FORM)(_take_out), args=(index, at))


def _take_out(index: int, at: At) -> None:
    base = held(FORM, None)
    if doing.do(lambda body: edits_entries.take_out_defect(body, *at, index, base.was), base.revision,
                lambda body: edits_entries.take_out_defect(body, *at, index, ANY)):
        st.session_state.pop(PICKED, None)
        renew(FORM)
