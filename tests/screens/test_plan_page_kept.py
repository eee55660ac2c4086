"""The plan of a job that is kept: every choice is a revision, another's change is told, Undo is the store's own."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from finishplan.records.files import demo_job_path, demo_shop_path, read_file, read_job_bytes
from finishplan.records.store import Store, open_store
from finishplan.records.where import Where
from finishplan.screens.parts import kept, papers
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict
from finishplan.workup import work_up

NOW = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)


def plan_page() -> None:
    from finishplan.screens import plan_page as module
    from finishplan.screens.parts.guard import guarded
    guarded(module.page)()


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Store:
    monkeypatch.setenv("FINISHPLAN_DATA", str(tmp_path))
    return open_store(Where(tmp_path), NOW)


def job_id(store: Store) -> str:
    return store.start(read_job_bytes(demo_job_path().read_bytes()), "F1", NOW).id


def opened(held: str) -> AppTest:
    app = AppTest.from_function(plan_page, default_timeout=60)
    app.session_state[kept.JOB] = held
    return app.run()


def words(app: AppTest) -> str:
    return " ".join(str(e.proto.body) for e in app.get("html"))


def crew(store: Store, held: str) -> Any:
    return store.open(held).body["crew"]


def test_every_choice_is_a_revision_with_one_line_of_wording(store: Store) -> None:
    held = job_id(store)
    app = opened(held)
    assert not app.error and not app.exception and "can start" in words(app)
    app.button("favour:keep film").click().run()
    assert not app.error and "In force: film first" in words(app)
    assert crew(store, held)["favour"] == "keep film" and store.open(held).revision == 2
    app.selectbox("panel:main lid, top:compounds_by").select("hand").run()
    said = [line.wording for line in store.history(held, 2)]
    assert said == ["main lid, top: compounds by: hand", "favour: keep film"]
    again = opened(held)
    assert "In force: film first" in words(again)
    assert again.selectbox("panel:main lid, top:compounds_by").value == "hand"


def test_undo_is_the_stores_and_names_what_it_undoes(store: Store) -> None:
    held = job_id(store)
    app = opened(held)
    assert not [b for b in app.button if b.key == "undo_choice"]
    app.button("favour:quick").click().run()
    assert app.button("undo_choice").label == "Undo\\: favour\\: quick"
    app.button("undo_choice").click().run()
    assert crew(store, held)["favour"] == "balanced" and store.history(held, 1)[0].kind == "undo"
    assert "In force: minutes and film together" in words(app)


def test_what_cannot_be_planned_is_not_kept(store: Store) -> None:
    held = job_id(store)
    app = opened(held)
    app.selectbox("job:crew.first_cut").select("lean").run()
    assert len(app.error) == 1 and store.open(held).revision == 1
    app.text_input("plan sequence").input("800 2500 cut polish finish").run()
    assert len(app.error) == 2 and store.open(held).revision == 1


def test_anothers_choice_is_told_not_overwritten(store: Store) -> None:
    held = job_id(store)
    app = opened(held)
    store.change(held, lambda body: {**body, "crew": {**body["crew"], "favour": "quick"}}, "T1", NOW)
    app.button("favour:keep film").click().run()
    assert [e.value.replace("\\", "") for e in app.error] == ["favour is quick now, you gave keep film"]
    assert crew(store, held)["favour"] == "quick" and "In force: fewest minutes" in words(app)
    app.button("favour:keep film").click().run()
    assert not app.error and crew(store, held)["favour"] == "keep film"


def test_anothers_choice_elsewhere_does_not_stand_in_the_way(store: Store) -> None:
    held = job_id(store)
    app = opened(held)
    store.change(held, lambda body: {**body, "seen_from": "overall"}, "T1", NOW)
    app.button("favour:keep film").click().run()
    body = store.open(held).body
    assert not app.error and (body["crew"]["favour"], body["seen_from"]) == ("keep film", "overall")


def test_own_sequence_is_kept_with_the_job_and_is_no_revision(store: Store) -> None:
    held = job_id(store)
    app = opened(held)
    app.text_input("plan sequence").input("800 1000 1500 cut polish finish").run()
    assert not app.error and "Your sequence P800, P1000, P1500" in words(app)
    assert store.open(held).revision == 1
    app.button("favour:quick").click().run()
    again = opened(held)
    assert "Your sequence P800, P1000, P1500" in words(again)
    assert again.text_input("plan sequence").value == (
        "P800, P1000, P1500, cutting compound, polishing compound, finishing compound")
    again.text_input("plan sequence").input("").run()
    assert "Your sequence" not in words(opened(held))


def test_own_sequence_that_the_job_has_outgrown_is_told_and_the_best_plan_shown(store: Store) -> None:
    held = job_id(store)
    app = opened(held)
    app.text_input("plan sequence").input("800 1000 1500 cut polish finish").run()
    satin = {"finish": "satin", "last_sheet": "P1500"}
    store.change(held, lambda body: {**body, "panels": [{**p, "target": satin} for p in body["panels"]]}, "T1", NOW)
    app = opened(held)
    assert len(app.error) == 1 and app.error[0].value.startswith("sequence")
    assert "can start" in words(app) and "Your sequence" not in words(app)


def test_what_was_wrong_on_one_job_does_not_follow_to_the_next(store: Store) -> None:
    app = opened(job_id(store))
    app.text_input("plan sequence").input("800 2500 cut polish finish").run()
    assert len(app.error) == 1
    app.session_state[kept.JOB] = job_id(store)
    app.run()
    assert not app.error and app.text_input("plan sequence").value == ""


def test_our_shop_of_the_store_is_what_the_plan_is_made_in(store: Store) -> None:
    held = job_id(store)
    before = words(opened(held))
    shop = store.shop("F1", NOW)
    store.save(shop.id, {**shop.body, "policy": {"refer_price": 20_000.0, "look_min": 9.0}}, shop.revision, "F1", NOW)
    after = words(opened(held))
    assert before != after


def test_a_job_that_is_not_there_any_more_leads_to_the_door(store: Store) -> None:
    app = opened("no such job")
    assert len(app.error) == 1 and not app.exception
    assert app.button("demo").label == "Open the demo job"


def test_the_way_leads_to_survey_and_jobs_and_a_file_can_be_looked_at_instead(store: Store) -> None:
    app = opened(job_id(store))
    assert [b.label for b in app.button][:2] == ["To its survey", "To the jobs"]
    assert not [b for b in app.button if b.key == "demo"]


def test_every_page_of_a_job_is_offered_on_paper_and_can_be_made(store: Store) -> None:
    app = opened(job_id(store))
    app.session_state["papers"] = True
    app.run()
    offered = [str(e.proto.label) for e in app.get("download_button")]
    for name in ("Bench sheets (PDF)", "Whole job (PDF)", "Materials (PDF)", "Film record card (PDF)"):
        assert name in offered
    assert not app.error and not app.exception
    raw = read_job_bytes(demo_job_path().read_bytes())
    answer = work_up(read_job_dict(raw), apply_shop(default_profile(), read_file(demo_shop_path())), draws=0)
    closed = replace(answer, profile=default_profile())
    with_days, without = (papers.whole(found, "A4", 1) for found in (answer, closed))
    assert with_days[:4] == without[:4] == b"%PDF" and len(with_days) > len(without)
