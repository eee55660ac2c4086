"""Every field of a job has a place on the Survey page, and what is typed there is kept."""

from __future__ import annotations

from typing import Any

import pytest
from streamlit.testing.v1 import AppTest
from survey_kept import AT, LID, Survey, box, fine, plainly, press, words

from finishplan.models import inner_model
from finishplan.records.files import demo_job_path, read_file
from finishplan.records.store import Store
from finishplan.screens.parts import survey_defects, survey_finish, survey_lists, survey_panel, survey_ways
from finishplan.screens.parts.plain import plain
from finishplan.survey import edits
from finishplan.survey.edits_lists import LISTS
from finishplan.survey.job import Job, Panel, Zone

ELSEWHERE = {
    "format": "the file's own", "version": "the file's own", "quote": "the Quote page",
    "panels.zones.readings.um": "readings", "panels.zones.readings.method": "readings",
    "panels.zones.readings.spot": "readings", "panels.zones.readings.at": "readings",
    "panels.zones.readings.note": "readings", "panels.zones.defects.kind": "the big button that adds it",
    "panels.zones.defects.photos": "photos", "panels.target.finish": "with its last sheet",
    "test_spot.panel": "test spot", "test_spot.zone": "test spot", "test_spot.defect": "test spot",
    "test_spot.steps.step": "test spot", "test_spot.steps.minutes": "test spot",
    "test_spot.steps.cleared": "test spot", "test_spot.before": "test spot", "test_spot.after": "test spot",
}
"""Fields with a form of their own, tried by other tests of this page."""


def fields(model: type[Any], at: str = "") -> set[str]:
    found = set()
    for name, info in model.model_fields.items():
        inner = inner_model(info.annotation)
        if inner is None or name in ("at", "depth_um", "size_m"):
            found.add(f"{at}{name}")
        else:
            found |= fields(inner, f"{at}{name}.")
    return found


def with_a_box() -> set[str]:
    """Return the fields that have a box of their own."""
    panel = {*survey_panel.PANEL_READ, *survey_ways.PANEL_READ} - {"ends", "gloss_gu"}
    targets = {"panels.target.last_sheet", "panels.target.gloss_gu"}
    zone = {*survey_panel.ZONE_READ, *survey_ways.ZONE_READ}
    lists = {f"{field}.{name}" for field, names in LIST_BOXES.items() for name in names}
    return ({*survey_finish.FIELDS.read} | {f"panels.{name}" for name in panel} | targets | lists
            | {f"panels.zones.{name}" for name in zone}
            | {f"panels.zones.defects.{name}" for name in survey_defects.READ})


LIST_BOXES = {
    "solvents": ("substance", "ml", "minutes"), "hardware": ("task", "count", "brass"),
    "services": ("date", "what", "by", "zones.panel", "zones.zone", "zones.removal_um", "zones.film_um"),
}


def test_every_field_of_a_job_has_a_place() -> None:
    assert fields(Job) == with_a_box() | set(ELSEWHERE)
    assert not with_a_box() & set(ELSEWHERE)
    assert set(LIST_BOXES) == set(survey_lists.TITLES) == set(LISTS)


@pytest.fixture
def demo(kept_store: Store) -> str:
    return kept_store.start(read_file(demo_job_path()), "Ana", AT).id


def job(store: Store, job_id: str) -> dict[str, Any]:
    return store.open(job_id).body


@pytest.mark.parametrize(("name", "kind", "label", "value", "path"), [
    ("about_open", "number_input", "Room temperature, C", 12.5, "site.temperature_c"),
    ("about_open", "number_input", "Humidity, %", 60.0, "site.humidity_percent"),
    ("finish_known", "text_input", "Test for lead: who tested what, and the result", "swab, none",
     "finish_id.lead_test"),
    ("solvents_open", "text_input", "Resin", "vinyl ester", "fill.resin"),
    ("solvents_open", "number_input", "Styrene in it, %", 35.0, "fill.styrene_percent"),
    ("solvents_open", "number_input", "It gels in, min", 22.0, "fill.gel_min"),
    ("solvents_open", "number_input", "Catalyst, % by mass", 2.0, "fill.catalyst_percent"),
])
def test_a_field_of_the_job_keeps_itself(
    survey: Survey, kept_store: Store, demo: str, name: str, kind: str, label: str, value: object, path: str,
) -> None:
    app = fine(survey(demo, **{name: True}))
    box(app, kind, label).set_value(value).run()
    group, _, field = path.partition(".")
    assert job(fine(app) and kept_store, demo)[group][field] == value


def test_a_lean_first_cut_is_refused_where_a_trainee_works_and_kept_where_none_does(
    survey: Survey, kept_store: Store, demo: str,
) -> None:
    app = fine(survey(demo, about_open=True))
    box(app, "selectbox", "The first cut").set_value("lean").run()
    assert any("lean is for a finisher only" in error.value for error in app.error)
    assert box(app, "selectbox", "The first cut").value == "lean", "what was chosen stays"
    kept_store.change(demo, lambda body: {
        **body, "panels": [panel for panel in body["panels"] if panel.get("worker") != "trainee"]}, "Ana", AT)
    app = fine(survey(demo, about_open=True))
    box(app, "selectbox", "The first cut").set_value("lean").run()
    assert job(fine(app) and kept_store, demo)["crew"]["first_cut"] == "lean"


def ways(survey: Survey, demo: str) -> AppTest:
    return fine(survey(demo, **{"survey_mode": "Panel", "ways_open": True, "leave_open": True}))


@pytest.mark.parametrize(("label", "value", "field", "held"), [
    ("Worked by", "trainee", "worker", "trainee"), ("Looked at from", "lamp", "seen_from", "lamp"),
    ("Sheets by", "hand block", "sheets_by", "hand block"), ("Compounds by", "hand", "compounds_by", "hand"),
    ("Finish asked for", "P1000", "target", {"finish": "satin", "last_sheet": "P1000", "gloss_gu": None}),
])
def test_how_a_panel_is_worked_and_back_to_as_usual(
    survey: Survey, kept_store: Store, demo: str, label: str, value: str, field: str, held: object,
) -> None:
    app = ways(survey, demo)
    box(app, "selectbox", label).set_value(value).run()
    assert edits.panel_at(job(fine(app) and kept_store, demo), LID[0])[field] == held
    box(app, "selectbox", label).set_value("").run()
    panel = edits.panel_at(job(fine(app) and kept_store, demo), LID[0])
    assert Panel.model_validate(panel).model_dump()[field] == Panel.model_fields[field].get_default() or (
        field == "target" and panel[field]["finish"] == "gloss")


def test_gloss_to_reach_and_its_satin_do_not_undo_each_other(survey: Survey, kept_store: Store, demo: str) -> None:
    app = ways(survey, demo)
    box(app, "number_input", "Gloss to reach, GU at 20 degrees").set_value(85.0).run()
    box(fine(app), "selectbox", "Worked by").set_value("trainee").run()
    panel = edits.panel_at(job(fine(app) and kept_store, demo), LID[0])
    assert (panel["target"]["gloss_gu"], panel["target"]["finish"], panel["worker"]) == (85.0, "gloss", "trainee")


def test_a_zones_leave_and_the_step_it_was_left_at(survey: Survey, kept_store: Store, demo: str) -> None:
    app = ways(survey, demo)
    next(b for b in app.button_group if b.label == "Sheets may be used on it").set_value("no").run()
    box(fine(app), "selectbox", "Last step done when work was broken off").set_value("P800").run()
    zone = Zone.model_validate(edits.zone_at(job(fine(app) and kept_store, demo), *LID))
    assert (zone.sheets_allowed, zone.previous_step) == (False, "P800")


def test_solvents_and_hardware_come_and_go(survey: Survey, kept_store: Store, demo: str) -> None:
    before = job(kept_store, demo)
    app = fine(survey(demo, solvents_open=True, hardware_open=True))
    box(app, "selectbox", "Solvent").set_value("acetone")
    box(app, "number_input", "How much, ml").set_value(40.0)
    press(app, "Add a solvent")
    assert job(fine(app) and kept_store, demo)["solvents"][-1] == {"substance": "acetone", "ml": 40.0}
    box(app, "text_input", "Its name, if it is not in the list").set_value("white spirit <b>")
    box(app, "number_input", "How much, ml").set_value(5.0)
    press(app, "Add a solvent")
    assert any(plain("white spirit <b>, 5 ml") in b.label for b in fine(app).button), "shown letter by letter"
    box(app, "selectbox", "Task").set_value("lock off")
    press(app, "Add this task")
    made = job(fine(app) and kept_store, demo)
    assert made["hardware"][-1] == {"task": "lock off", "count": 1, "brass": "unknown"}
    for field in ("solvents", "hardware"):
        while len(job(kept_store, demo).get(field) or ()) > len(before.get(field) or ()):
            last = [b for b in app.button if str(b.key).startswith(f"{field} entry")][-1]
            last.click().run()
            press(app, "Take it out")
        assert job(fine(app) and kept_store, demo)[field] == (before.get(field) or [])


def test_a_solvent_without_its_amount_counts_by_the_wipes(survey: Survey, kept_store: Store, demo: str) -> None:
    app = fine(survey(demo, solvents_open=True))
    box(app, "text_input", "Its name, if it is not in the list").set_value("white spirit")
    press(app, "Add a solvent")
    assert job(fine(app) and kept_store, demo)["solvents"][-1] == {"substance": "white spirit"}
    assert any("solvent white spirit, as much as the wipes take" in b.label for b in app.button)


def test_services_known_with_what_they_took(survey: Survey, kept_store: Store, demo: str) -> None:
    app = fine(survey(demo, services_open=True))
    for label, value in (("When", "2019-05"), ("What was done", "lid buffed"), ("By", "another shop (invented)")):
        box(app, "text_input", label).set_value(value)
    press(app, "Add a service")
    box(fine(app), "number_input", "It took, um").set_value(12.0)
    press(app, "Add what it took")
    service = job(fine(app) and kept_store, demo)["services"][-1]
    assert (service["date"], service["zones"][0]["removal_um"]) == ("2019-05", 12.0)
    assert "took 12 um" in words(app)


def test_a_due_day_is_read_as_on_the_quote_and_an_old_text_stays_readable(
    survey: Survey, kept_store: Store, demo: str,
) -> None:
    app = fine(survey(demo, about_open=True))
    stood = job(kept_store, demo)["due"]
    for typed, said in (("next friday", "write the day as 2026-05-31"), ("2020-01-31", "it is before today")):
        box(app, "text_input", "Due").set_value(typed).run()
        assert [said in error for error in plainly(app)] == [True]
        assert job(kept_store, demo)["due"] == stood
    box(app, "text_input", "Due").set_value("2099-05-31").run()
    assert job(fine(app) and kept_store, demo)["due"] == "2099-05-31"
    kept_store.change(demo, lambda body: {**body, "due": "18 Dec"}, "Ana", AT)
    app = fine(survey(demo, about_open=True))
    assert box(app, "text_input", "Due").value == "18 Dec"
    box(app, "text_input", "Customer").set_value("Somebody invented").run()
    held = job(fine(app) and kept_store, demo)
    assert (held["customer"], held["due"]) == ("Somebody invented", "18 Dec")
