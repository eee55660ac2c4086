"""What else belongs to a job, closed until it is wanted: solvents and fill, hardware, services known."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

import streamlit as st

from finishplan import reference
from finishplan.records.kept import Opened
from finishplan.safety.tables import substances
from finishplan.screens.parts import doing, survey_entries, survey_finish, telling
from finishplan.screens.parts.box import box as in_box
from finishplan.screens.parts.figure import figure
from finishplan.screens.parts.markup import h, put
from finishplan.screens.parts.plain import plain
from finishplan.survey import choices, edits_lists
from finishplan.survey.job import Job, job_as_dict

TITLES = {"solvents": "Solvents and the fill resin", "hardware": "Hardware", "services": "Services known"}
OTHER = "another, typed beside"


def section(opened: Opened, job: Job) -> None:
    """Show the three boxes."""
    fills = {"solvents": _solvents, "hardware": _hardware, "services": _services}
    for field, fill in fills.items():
        title = edits_lists.list_title(opened.body, field, TITLES[field])
        in_box(title, f"{field}_open", partial(fill, opened.body, job))


def _solvents(body: Mapping[str, Any], job: Job) -> None:
    survey_entries.listed(body, "solvents", list(substances()))
    with st.form("add_solvent", border=False):
        left, right = st.columns(2)
        left.selectbox("Solvent", [*substances(), OTHER], key="solvent name")
        right.text_input("Its name, if it is not in the list", max_chars=200, key="solvent other")
        left, middle, right = st.columns(3, vertical_alignment="bottom")
        figure("How much, ml", left, key="solvent ml", placeholder="by the wipes")
        figure("It dries over, min", middle, key="solvent min")
        right.form_submit_button("Add a solvent", on_click=telling.beside("solvents")(_add_solvent))
    put("", h(3, "Fill resin, as its supplier's sheet says"))
    was, box = survey_finish.FIELDS.base(job_as_dict(job))["fill"], survey_finish.FIELDS.box
    left, right = st.columns(2)
    left.text_input("Resin", max_chars=200, **box("fill.resin", was["resin"]))
    figure("Styrene in it, %", right, **box("fill.styrene_percent", was["styrene_percent"]))
    left, right = st.columns(2)
    figure("It gels in, min", left, **box("fill.gel_min", was["gel_min"]))
    figure("Catalyst, % by mass", right, **box("fill.catalyst_percent", was["catalyst_percent"]))
    telling.show_trouble(survey_finish.FIELDS.name)


def _add_solvent() -> None:
    state = st.session_state
    name = state["solvent other"].strip() if state["solvent name"] == OTHER or state["solvent other"] else state[
        "solvent name"]
    entry = {"substance": name, "ml": state["solvent ml"], "minutes": state["solvent min"]}
    doing.do(lambda body: edits_lists.add_entry(body, "solvents", entry))
    state["solvent other"], state["solvent ml"], state["solvent min"] = "", None, None


def _hardware(body: Mapping[str, Any], _job: Job) -> None:
    tasks = [row["task"] for row in reference.rows("hardware_minutes")]
    survey_entries.listed(body, "hardware", tasks)
    with st.form("add_hardware", border=False):
        st.selectbox("Task", tasks, key="hardware task")
        left, middle, right = st.columns(3, vertical_alignment="bottom")
        left.number_input("How many", value=1, step=1, key="hardware count")
        middle.selectbox("Its brass is", ["unknown", *(name for name in choices.BRASS if name != "unknown")],
                         key="hardware brass",
                         format_func=lambda name: f"{name}: {choices.BRASS[name]}")
        right.form_submit_button("Add this task", on_click=telling.beside("hardware")(_add_hardware))


def _add_hardware() -> None:
    entry = {name: st.session_state[f"hardware {name}"] for name in ("task", "count", "brass")}
    doing.do(lambda body: edits_lists.add_entry(body, "hardware", entry))


def _services(body: Mapping[str, Any], job: Job) -> None:
    survey_entries.listed(body, "services")
    with st.form("add_service", clear_on_submit=False, border=False):
        left, middle, right = st.columns([1, 2, 1])
        left.text_input("When", max_chars=40, key="service date", placeholder="2019-05")
        middle.text_input("What was done", max_chars=400, key="service what")
        right.text_input("By", max_chars=200, key="service by")
        st.form_submit_button("Add a service", on_click=telling.beside("services")(_add_service))
    services = list(body.get("services") or ())
    if not services:
        return
    zones = [(panel.name, zone.name) for panel in job.panels for zone in panel.zones]
    with st.form("add_service_zone", border=False):
        left, right = st.columns(2)
        left.selectbox("What service took", range(len(services)), key=f"service pick {len(services)}",
                       format_func=lambda k: plain(edits_lists.entry_line("services", services[k])))
        right.selectbox("From", zones, key="service zone", format_func=lambda at: f"{at[0]}, {at[1]}")
        left, middle, right = st.columns(3, vertical_alignment="bottom")
        figure("It took, um", left, key="service took")
        figure("It left, um", middle, key="service left")
        right.form_submit_button("Add what it took", on_click=telling.beside("services")(_add_zone),
                                 args=(len(services),))


def _add_service() -> None:
    entry = {name: str(st.session_state[f"service {name}"]).strip() for name in ("date", "what", "by")}
    doing.do(lambda body: edits_lists.add_entry(body, "services", entry))
    for name in entry:
        st.session_state[f"service {name}"] = ""


def _add_zone(count: int) -> None:
    state = st.session_state
    index, (panel, zone) = int(state[f"service pick {count}"]), state["service zone"]
    taken = {"panel": panel, "zone": zone, "removal_um": state["service took"], "film_um": state["service left"]}
    doing.do(lambda body: edits_lists.add_service_zone(body, index, body["services"][index], taken))
    state["service took"] = state["service left"] = None
