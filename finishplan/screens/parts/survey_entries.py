"""Entries of a job's lists: each is opened by a press, changed in place, and taken out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from finishplan.screens.parts import doing, telling
from finishplan.screens.parts.fields import Fields, Reading, as_typed, or_nothing
from finishplan.screens.parts.figure import figure, number
from finishplan.screens.parts.held import held, renew, renew_starting
from finishplan.screens.parts.markup import p, put
from finishplan.screens.parts.plain import plain
from finishplan.survey import choices, edits_in_place, edits_lists
from finishplan.survey.edits import ANY

OPEN = "survey entry open"
"""Which entry of each list is open, by the list's name."""
READ: Mapping[str, Mapping[str, Reading]] = {
    "solvents": {"substance": or_nothing, "ml": as_typed, "minutes": as_typed},
    "hardware": {"task": as_typed, "count": as_typed, "brass": as_typed},
    "services": {"date": or_nothing, "what": as_typed, "by": as_typed},
}


def listed(body: Mapping[str, Any], field: str, offered: Sequence[str] = ()) -> None:
    """Show the entries of a list; ``offered`` are the substances or tasks to choose from."""
    chosen = st.session_state.get(OPEN, {}).get(field)
    with st.container(key=f"entry_list_{field}", gap="small"):
        for index, entry in enumerate(body.get(field) or ()):
            st.button(plain(edits_lists.entry_line(field, entry)), key=f"{field} entry {index}", width="stretch",
                      type="secondary" if index == chosen else "tertiary", on_click=_open,
                      args=(field, None if index == chosen else index))
            if edits_lists.service_lines(entry):
                put("", *(p(line, "quiet small") for line in edits_lists.service_lines(entry)))
            if index == chosen:
                _one(field, index, entry, offered)
    telling.show_trouble(field)


def _open(field: str, index: int | None) -> None:
    st.session_state[OPEN] = {**st.session_state.get(OPEN, {}), field: index}
    renew_starting(f"{field} ")


def _one(field: str, index: int, entry: Mapping[str, Any], offered: Sequence[str]) -> None:
    zones = range(len(entry.get("zones") or ()))
    read = {**READ[field], **{f"{name} {k}": as_typed for k in zones for name in edits_in_place.TOOK}}
    fields = Fields(
        f"{field} {index}", read,
        lambda body, was, typed: edits_in_place.change_entry(body, field, index, was, typed),
        lambda body, was, typed: edits_in_place.entry_after(field, was, typed), edits_lists.entry_line(field, entry))
    was = fields.base(dict(entry))
    {"solvents": _solvent, "hardware": _task, "services": _service}[field](fields, was, offered)
    telling.show_trouble(fields.name)
    st.button("Take it out", key=fields.key("out"), on_click=telling.beside(field)(_take_out), args=(field, index))


def _solvent(fields: Fields, was: Mapping[str, Any], offered: Sequence[str]) -> None:
    left, middle, right = st.columns(3)
    named = str(was["substance"])
    left.selectbox("Solvent, or type its name", [*offered, *([] if named in offered else [named])],
                   accept_new_options=True, **fields.box("substance", named))
    figure("How much of it, ml", middle, **fields.box("ml", number(was.get("ml"))))
    figure("It dries in, min", right, **fields.box("minutes", number(was.get("minutes"))))


def _task(fields: Fields, was: Mapping[str, Any], offered: Sequence[str]) -> None:
    left, middle, right = st.columns([2, 1, 2])
    named = str(was["task"])
    left.selectbox("The task", [*offered, *([] if named in offered else [named])], **fields.box("task", named))
    middle.number_input("How often", 1, 1000, None, 1, **fields.box("count", was.get("count", 1)))
    right.selectbox("Brass", list(choices.BRASS), format_func=lambda name: f"{name}: {choices.BRASS[name]}",
                    **fields.box("brass", was.get("brass", "unknown")))


def _service(fields: Fields, was: Mapping[str, Any], _offered: Sequence[str]) -> None:
    left, middle, right = st.columns([1, 2, 1])
    left.text_input("Its date", max_chars=40, **fields.box("date", was.get("date") or ""))
    middle.text_input("What it did", max_chars=400, **fields.box("what", was.get("what", "")))
    right.text_input("Done by", max_chars=200, **fields.box("by", was.get("by", "")))
    for k, zone in enumerate(was.get("zones") or ()):
        put("", p(f"{zone['panel']}, {zone['zone']}", "small"))
        left, middle, right = st.columns(3, vertical_alignment="bottom")
        figure("Took, um", left, **fields.box(f"removal_um {k}", number(zone.get("removal_um"))))
        figure("Left, um", middle, **fields.box(f"film_um {k}", number(zone.get("film_um"))))
        right.button("Take this zone out", key=fields.key(f"zone out {k}"), args=(fields.name, k),
                     on_click=telling.beside("services")(_zone_out))


def _take_out(field: str, index: int) -> None:
    base = held(f"{field} {index}", None)
    if doing.do(lambda body: edits_lists.take_out_entry(body, field, index, base.was), base.revision):
        _open(field, None)


def _zone_out(name: str, zone: int) -> None:
    base, index = held(name, None), int(name.rpartition(" ")[2])
    if doing.do(lambda body: edits_in_place.take_out_service_zone(body, index, base.was, zone), base.revision,
                lambda body: edits_in_place.take_out_service_zone(body, index, ANY, zone)):
        renew(name)
