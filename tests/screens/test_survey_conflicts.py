"""The survey page when two people work on one job, or the store is busy."""

from __future__ import annotations

import json
import time
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest
from survey_kept import AT, LID, Survey, box, defects, fine, plainly, press, readings, type_row, words

from finishplan.records.files import demo_job_path
from finishplan.records.kept import Opened
from finishplan.records.store import Store
from finishplan.survey import edits_entries
from finishplan.survey.edits import change_job, zone_at


@pytest.fixture
def demo(kept_store: Store) -> str:
    body = json.loads(demo_job_path().read_text(encoding="utf-8"))
    return kept_store.start(body, "anna", AT).id


def by_another(store: Store, job_id: str, making: Any) -> Opened:
    return store.change(job_id, lambda body: making(body).body, "Berta", AT)


def test_another_s_change_elsewhere_is_joined_without_a_word(survey: Survey, kept_store: Store, demo: str) -> None:
    app = survey(demo, survey_mode="Defects")
    app.button(f"look at {LID} 0").click().run()
    by_another(kept_store, demo, lambda body: edits_entries.add_readings(body, *LID, [402]))
    by_another(kept_store, demo, lambda body: edits_entries.add_defect(body, *LID, {"kind": "chip"}))
    box(app, "number_input", "How many").set_value(5).run()
    fine(app)
    assert defects(kept_store, demo)[0]["count"] == 5 and defects(kept_store, demo)[5] == {"kind": "chip"}
    assert readings(kept_store, demo)[6:] == [402]


def meet(app: AppTest, store: Store, job_id: str) -> AppTest:
    """Berta sets the count of the first scratch to 3 while it is being set to 5 here."""
    app.button(f"look at {LID} 0").click().run()
    was = defects(store, job_id)[0]
    by_another(store, job_id, lambda body: edits_entries.change_defect(body, *LID, 0, was, {"count": 3}))
    return box(app, "number_input", "How many").set_value(5).run()


def test_a_conflict_is_shown_in_words_and_neither_is_lost(survey: Survey, kept_store: Store, demo: str) -> None:
    app = meet(survey(demo, survey_mode="Defects"), kept_store, demo)
    assert "Somebody else changed this while you typed" in words(app)
    assert "Berta kept revision 2" in words(app)
    assert plainly(app) == ["Somebody else changed this too: choose at the top of the page which stands."]
    assert "count 2 became 3" in words(app) and "count 2 became 5" in words(app)
    assert defects(kept_store, demo)[0]["count"] == 3
    beside = next(line for line in kept_store.history(demo) if line.kind == "beside")
    assert zone_at(kept_store.open_revision(demo, beside.number).body, *LID)["defects"][0]["count"] == 5


def test_theirs_may_stand(survey: Survey, kept_store: Store, demo: str) -> None:
    app = meet(survey(demo, survey_mode="Defects"), kept_store, demo)
    app.button("theirs").click().run()
    assert defects(kept_store, demo)[0]["count"] == 3 and "while you typed" not in words(fine(app))


def test_mine_may_be_put_in_its_place_and_theirs_elsewhere_stays(
    survey: Survey,
    kept_store: Store,
    demo: str,
) -> None:
    app = meet(survey(demo, survey_mode="Defects"), kept_store, demo)
    by_another(kept_store, demo, lambda body: edits_entries.add_readings(body, *LID, [402]))
    app.button("mine").click().run()
    fine(app)
    assert defects(kept_store, demo)[0]["count"] == 5 and readings(kept_store, demo)[6:] == [402]
    press(app, "Undo: kept ours over revision 2 of Berta")
    assert defects(kept_store, demo)[0]["count"] == 3


def test_mine_is_brought_back_whole_where_its_place_is_gone(survey: Survey, kept_store: Store, demo: str) -> None:
    app = meet(survey(demo, survey_mode="Defects"), kept_store, demo)
    for _ in range(5):
        was = defects(kept_store, demo)[0]
        by_another(kept_store, demo, lambda body, was=was: edits_entries.take_out_defect(body, *LID, 0, was))
    app.button("mine").click().run()
    fine(app)
    assert defects(kept_store, demo)[0]["count"] == 5


def test_a_field_of_the_job_changed_by_another_is_told(survey: Survey, kept_store: Store, demo: str) -> None:
    app = survey(demo, about_open=True)
    by_another(kept_store, demo, lambda body: change_job(body, body, {"customer": "theirs", "due": "May"}))
    box(app, "text_input", "Customer").set_value("mine").run()
    assert "while you typed" in words(app) and kept_store.open(demo).body["customer"] == "theirs"
    app.button("mine").click().run()
    body = kept_store.open(demo).body
    assert body["customer"] == "mine"
    fine(app)


def test_undo_after_another_s_edit_looks_first(survey: Survey, kept_store: Store, demo: str) -> None:
    app = type_row(survey(demo), "399")
    by_another(kept_store, demo, lambda body: edits_entries.add_readings(body, *LID, [402]))
    app.button("undo").click().run()
    assert "Berta saved revision 3" in plainly(app)[0]
    assert readings(kept_store, demo)[6:] == [399, 402]


# What a browser sends from its queue


def sender() -> None:
    import streamlit as st

    from finishplan.records.faults import StoreLocked
    from finishplan.screens.parts import once, telling

    def act(thing: dict) -> None:
        if st.session_state.get("locked"):
            raise StoreLocked("held by another program")
        st.session_state.setdefault("acted", []).append(thing["id"])

    st.session_state["box"] = {"rows": [{"id": name} for name in st.session_state.get("send", [])]}
    once.take("box", "rows", "here", act)
    telling.show_trouble("here")


def test_each_thing_is_done_once_and_kept_waiting_while_the_store_is_locked() -> None:
    run = f"{time.monotonic()}"
    names = [f"{run} {k}" for k in range(4)]
    app = AppTest.from_function(sender)
    app.session_state["send"] = names[:2]
    app.run()
    app.session_state["send"] = names[:3]
    app.run()
    assert app.session_state["acted"] == names[:3] and app.session_state["done box"] == names[:3]
    app.session_state["send"], app.session_state["locked"] = names, True
    app.run()
    assert app.session_state["done box"] == names[:3] and "held by another program" in app.error[0].value
    app.session_state["locked"] = False
    app.run()
    assert app.session_state["acted"] == names
