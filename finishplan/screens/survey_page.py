"""The survey, for one thumb at the piano and a keyboard at the desk: what is there, panel by panel."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import streamlit as st

from finishplan.records.bodies import job_of
from finishplan.records.kept import Opened
from finishplan.screens.parts import (
    following,
    kept,
    look_survey,
    no_job,
    questions,
    survey_defects,
    survey_drawing,
    survey_finish,
    survey_head,
    survey_lists,
    survey_more,
    survey_panel,
    survey_photos,
    survey_readings,
    survey_test,
    survey_walk,
    survey_ways,
    telling,
)
from finishplan.survey.edits import zone_at
from finishplan.survey.job import Job, Panel, Zone


def page() -> None:
    """Show the survey of the open job, or the way to one."""
    look_survey.put_on()
    telling.begin()
    opened = kept.current()
    if opened is None:
        no_job.show()
        return
    survey_head.masthead(opened)
    job = job_of(opened)
    held = following.asked(opened, job)  # the head of the page is on its way while this is worked out
    follows = st.container(key="standing")
    survey_head.conflict()
    survey_finish.first(job)
    panel = survey_walk.panel_of(job)
    survey_walk.pick(job, panel)
    survey_walk.head(panel)
    with st.container(horizontal=True, key="zone_and_mode", vertical_alignment="bottom"):
        zone, mode = survey_walk.zone_of(panel), survey_walk.mode()
    film = st.container(key="film")
    entries(opened, job, panel, zone, mode)
    survey_walk.onward(job, panel)
    odd = st.container(key="odd")
    survey_finish.about(job)
    survey_lists.section(opened, job)
    survey_more.sheets(opened)
    survey_more.history(opened)
    with follows:
        telling.show_rest()
    following.follow(held, following.Places(follows, film, odd, panel.name, zone.name))


def entries(opened: Opened, job: Job, panel: Panel, zone: Zone, mode: str) -> None:
    """Show what is being entered, with the drawing that is tapped on."""
    at, body = (panel.name, zone.name), opened.body
    if mode != "Readings":
        questions.show(opened.id)
    held: Mapping[str, Any] = zone_at(body, *at)
    kind = survey_defects.kinds(at) if mode == "Defects" else None
    if mode == "Readings":
        left, right = st.columns([2, 3], gap="medium")
        with left:
            survey_readings.enter(body, at)
        with right:
            survey_drawing.draw(body, panel, at, mode, kind)
        survey_readings.listed(held, at)
    elif mode == "Defects":
        survey_drawing.draw(body, panel, at, mode, kind)
        survey_defects.listed(held, panel, at, survey_defects.picked(body, at))
    elif mode == "Test spot":
        survey_test.section(body, panel, at)
    elif mode == "Photos":
        survey_photos.section(opened, panel, at)
    else:
        survey_panel.panel_form(panel)
        survey_panel.zone_form(zone, at)
        survey_ways.section(panel, zone)
        survey_panel.more(job, panel)
