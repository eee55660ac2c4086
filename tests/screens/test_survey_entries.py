"""Solvents, hardware and services are changed where they stand; two at one entry are told."""

from __future__ import annotations

from typing import Any

import pytest
from streamlit.testing.v1 import AppTest
from survey_kept import AT, Survey, box, fine, plainly, press, words

from finishplan.records.files import demo_job_path, read_file
from finishplan.records.store import Store
from finishplan.survey.edits_in_place import change_entry

SERVICE = {"date": "2019-05", "what": "lid buffed", "by": "another shop (invented)", "zones": [
    {"panel": "main lid, top", "zone": "field", "removal_um": 12.0},
    {"panel": "front lid flap", "zone": "field", "removal_um": 9.0, "film_um": 300.0}]}
SOLVENTS = [{"substance": "acetone", "ml": 40.0}, {"substance": "naphtha", "ml": 20.0, "minutes": 15.0}]


@pytest.fixture
def job_id(kept_store: Store) -> str:
    body = {**read_file(demo_job_path()), "solvents": SOLVENTS, "services": [SERVICE],
            "hardware": [{"task": "lock off", "count": 1, "brass": "unknown"}]}
    return kept_store.start(body, "Ana", AT).id


def opened(survey: Survey, job_id: str, field: str, index: int = 0) -> AppTest:
    app = fine(survey(job_id, **{f"{field}_open": True}))
    return fine(app.button(f"{field} entry {index}").click().run())


def entries(store: Store, job_id: str, field: str) -> list[dict[str, Any]]:
    return list(store.open(job_id).body[field])


def test_a_solvent_is_changed_where_it_stands(survey: Survey, kept_store: Store, job_id: str) -> None:
    app = opened(survey, job_id, "solvents")
    box(app, "number_input", "How much of it, ml").set_value(55.0).run()
    box(fine(app), "number_input", "It dries in, min").set_value(20.0).run()
    assert entries(kept_store, job_id, "solvents") == [{**SOLVENTS[0], "ml": 55.0, "minutes": 20.0}, SOLVENTS[1]]
    assert kept_store.open(job_id).wording == "solvent acetone, 55 ml: minutes: 20"
    box(fine(app), "number_input", "How much of it, ml").set_value(-1.0).run()
    assert "Not kept at solvent acetone" in plainly(app)[0]
    assert entries(kept_store, job_id, "solvents")[0]["ml"] == 55.0
    press(app, "Take it out")
    assert entries(kept_store, job_id, "solvents") == [SOLVENTS[1]]
    app.button("solvents entry 0").click().run()
    assert box(fine(app), "number_input", "How much of it, ml").value == 20.0, "the entry that stands there now"


def test_a_task_is_changed_where_it_stands(survey: Survey, kept_store: Store, job_id: str) -> None:
    app = opened(survey, job_id, "hardware")
    box(app, "number_input", "How often").set_value(3).run()
    box(fine(app), "selectbox", "Brass").set_value("plated").run()
    assert entries(kept_store, job_id, "hardware") == [{"task": "lock off", "count": 3, "brass": "plated"}]
    app.button("hardware entry 0").click().run()
    assert not [b for b in fine(app).button if b.label == "Take it out"], "closed again by another press"


def test_a_service_and_what_it_took_are_changed_where_they_stand(
    survey: Survey, kept_store: Store, job_id: str,
) -> None:
    app = opened(survey, job_id, "services")
    box(app, "text_input", "What it did").set_value("lid sanded and buffed").run()
    took = [found for found in fine(app).number_input if found.label == "Took, um"]
    took[0].set_value(25.0).run()
    service = entries(kept_store, job_id, "services")[0]
    assert service["what"] == "lid sanded and buffed" and service["by"] == SERVICE["by"]
    assert [zone["removal_um"] for zone in service["zones"]] == [25.0, 9.0]
    assert "main lid, top, field: took 25 um" in words(fine(app))
    next(found for found in app.number_input if found.label == "Took, um").set_value(None).run()
    assert "neither film taken nor film left is given" in plainly(app)[0]
    press(app, "Take this zone out")
    assert [zone["panel"] for zone in entries(kept_store, job_id, "services")[0]["zones"]] == ["front lid flap"]
    assert box(fine(app), "number_input", "Took, um").value == 9.0


def test_two_at_one_entry_are_told(survey: Survey, kept_store: Store, job_id: str) -> None:
    app = opened(survey, job_id, "solvents")
    kept_store.change(job_id, lambda body: change_entry(body, "solvents", 0, SOLVENTS[0], {"ml": 70.0}).body,
                      "Berta", AT)
    box(app, "number_input", "How much of it, ml").set_value(55.0).run()
    assert "Somebody else changed this while you typed" in words(app)
    assert entries(kept_store, job_id, "solvents")[0]["ml"] == 70.0
    press(app, "Put mine in its place")
    assert entries(kept_store, job_id, "solvents")[0]["ml"] == 55.0
