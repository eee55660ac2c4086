"""The test spot: the gentlest first, step by step, until the defect is gone; film before and after."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from finishplan.errors import BadValue
from finishplan.paper import survey_words
from finishplan.paper.tap_sheet import letters
from finishplan.screens.parts import doing, kept, telling
from finishplan.screens.parts.fields import Fields
from finishplan.screens.parts.figure import figure
from finishplan.screens.parts.markup import items, p, put
from finishplan.survey import edits_entries
from finishplan.survey.job import Panel
from finishplan.survey.typed_row import numbers_words, read_row

At = tuple[str, str]
PLACE = "test spot"
WHY = ("On one defect, gentlest first: it fixes the start grade, narrows the depth, and makes an estimate a firm "
       "price. Read the film at the same marked place before and after.")


def section(body: Mapping[str, Any], panel: Panel, at: At) -> None:
    """Show the job's test spot, a step to add, and film before and after."""
    spot = body.get("test_spot")
    put("", p(WHY, "quiet"))
    if spot:
        put("fp-conflict", items(f"<li>{p(line)}</li>" for line in survey_words.spot_lines(spot)))
        st.button("Take the last step out", key="test_step_out", on_click=telling.beside(PLACE)(doing.do),
                  args=(edits_entries.take_out_test_step,))
    _step(body, panel, at)
    if spot:
        _film(spot)
    telling.show_trouble(PLACE)


def _step(body: Mapping[str, Any], panel: Panel, at: At) -> None:
    zone = next(zone for zone in panel.zones if zone.name == at[1])
    if not zone.defects:
        put("", p("This zone has no defect to try on: enter one first.", "quiet"))
        return
    named = letters(panel)
    steps = [step.name for step in reversed(kept.shop_now().profile.steps)]
    with st.form("test_step", clear_on_submit=True, border=False):
        st.selectbox("On defect", range(len(zone.defects)), key="test defect", format_func=lambda k: (
            f"{named[at[1], k]}: {survey_words.defect_line(zone.defects[k].model_dump(mode='json'))}"))
        left, right = st.columns(2)
        left.selectbox("Step, gentlest first", steps, key="test name")
        figure("Minutes worked", right, key="test minutes")
        st.checkbox("The defect was gone after it", key="test cleared")
        st.form_submit_button("Add this step", type="primary", args=(at,),
                              on_click=telling.beside(PLACE, typed="test minutes")(_add))


def _add(at: At) -> None:
    defect, name, minutes, cleared = (st.session_state[f"test {field}"] for field in (
        "defect", "name", "minutes", "cleared"))
    if minutes is None:
        raise BadValue("minutes worked", "nothing", "give how long the step was worked")
    doing.do(lambda body: edits_entries.add_test_step(body, *at, defect, name, minutes, cleared))


def _film(spot: Mapping[str, Any]) -> None:
    fields = Fields(PLACE, {"before": _row, "after": _row},
                    lambda body, was, typed: edits_entries.set_test_readings(body, was, **typed),
                    lambda body, was, typed: body["test_spot"])
    was = fields.base(dict(spot), ("panel", "zone", "defect"))
    for column, when in zip(st.columns(2), ("before", "after"), strict=True):
        column.text_input(f"Film {when}, um", placeholder="405 401 408", autocomplete="off",
                          **fields.box(when, numbers_words(*(was.get(when) or ()))))


def _row(text: Any) -> tuple[float, ...]:
    """Return film typed in a row; raises BadValue for what cannot be read."""
    found = read_row(str(text)) if str(text).strip() else None
    if found and found.refused:
        raise BadValue("film", text, "; ".join(found.refused))
    return found.values_um if found else ()
