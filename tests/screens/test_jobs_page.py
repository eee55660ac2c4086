"""The Jobs page run without a browser: empty, started, found, copied, put away."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from finishplan.records import where
from finishplan.records.files import demo_job_path
from finishplan.records.kept import STATES
from finishplan.records.store import Store
from finishplan.screens.parts import job_list, job_start, kept
from finishplan.survey.templates import template_job

AT = datetime(2031, 5, 6, 7, 8, tzinfo=UTC)
ODD_TITLE = '<script>alert(1)</script> "; drop table document; =1+1 \u0627\u0644 \U0001f3b9 *x* [a](http://b)'


def words(app: AppTest) -> str:
    return " ".join(str(e.proto.body) for e in app.get("html"))


def labels(app: AppTest) -> list[str]:
    return [button.label for button in app.button]


def fine(app: AppTest) -> AppTest:
    assert not app.exception and not app.error, [e.value for e in app.error]
    return app


def keep(store: Store, *titles: str) -> list[str]:
    return [store.start(template_job("upright", title), "anna", AT).id for title in titles]


def test_empty_page_is_one_sentence_and_two_buttons(jobs: Callable[[], AppTest]) -> None:
    app = fine(jobs())
    assert labels(app) == ["Open the demo job", "Start a job"]
    quiet = [part.split("<")[0] for part in words(app).split('<p class="quiet">')[1:]]
    assert len(quiet) == 1 and quiet[0].count(".") == 1
    assert not app.text_input


def test_demo_opens_in_one_click_and_is_kept_once(jobs: Callable[[], AppTest], kept_store: Store) -> None:
    for _ in range(2):
        app = jobs()
        app.button("demo").click().run()
        fine(app)
    page = kept_store.jobs()
    assert page.total == 1
    assert kept_store.open(page.rows[0].id).body == json.loads(demo_job_path().read_text(encoding="utf-8"))
    assert app.session_state[kept.JOB] == page.rows[0].id


def test_a_job_is_started_from_the_parts_of_an_instrument(jobs: Callable[[], AppTest], kept_store: Store) -> None:
    app = jobs()
    app.button("start").click().run()
    app.button_group("jobs kind").set_value("upright").run()
    app.text_input("start title").set_value("Practice upright")
    app.number_input("start year").set_value(1987)
    app.button_group("start parts upright").set_value(["top lid", "two sides"])
    next(b for b in app.button if b.label == "Start with these parts").click().run()
    fine(app)
    opened = kept_store.open(app.session_state[kept.JOB])
    assert [panel["name"] for panel in opened.body["panels"]] == ["top lid", "side, bass", "side, treble"]
    assert opened.title == "Practice upright" and opened.body["instrument"]["year"] == 1987
    assert opened.wording == "started from two parts of an upright"


def test_a_job_without_a_title_is_told_and_nothing_typed_goes(jobs: Callable[[], AppTest], kept_store: Store) -> None:
    app = jobs()
    app.button("start").click().run()
    app.text_input("start customer").set_value("C")
    next(b for b in app.button if b.label == "Start with these parts").click().run()
    assert "give the job a title" in app.error[0].value.replace("\\", "")
    assert app.text_input("start customer").value == "C"
    assert kept_store.jobs().total == 0


def test_jobs_are_found_by_words_and_state(jobs: Callable[[], AppTest], kept_store: Store) -> None:
    ids = keep(kept_store, "Salon grand", "School upright")
    kept_store.set_state(ids[0], "planned", "anna", AT)
    app = fine(jobs())
    assert {"Salon grand", "School upright"} <= set(labels(app))
    app.text_input("jobs find").set_value("school").run()
    assert "Salon grand" not in labels(app) and "School upright" in labels(app)
    app.text_input("jobs find").set_value("").run()
    app.button_group("jobs state").set_value(["planned"]).run()
    assert "Salon grand" in labels(app) and "School upright" not in labels(app)
    app.text_input("jobs find").set_value("nothing of that").run()
    assert "No job of that kind" in words(app)


def test_a_job_s_state_copy_archive_and_way_back(jobs: Callable[[], AppTest], kept_store: Store) -> None:
    (job_id,) = keep(kept_store, "Salon grand")
    app = jobs()
    app.button(f"more {job_id}").click().run()
    for state in STATES:
        app.button_group(f"state {job_id} {kept_store.open(job_id).revision}").set_value(state).run()
        assert kept_store.open(job_id).state == state
    app.button(f"copy {job_id}").click().run()
    assert sorted(row.title for row in kept_store.jobs().rows) == ["Salon grand", "Salon grand (copy)"]
    app.button(f"more {job_id}").click().run()
    app.button(f"archive {job_id}").click().run()
    assert [row.title for row in kept_store.jobs().rows] == ["Salon grand (copy)"]
    app.toggle("jobs archived").set_value(True).run()
    app.button(f"back {job_id}").click().run()
    assert kept_store.jobs().total == 2
    fine(app)


def test_many_jobs_are_shown_a_page_at_a_time(jobs: Callable[[], AppTest], kept_store: Store) -> None:
    keep(kept_store, *(f"job {k}" for k in range(job_list.PAGE_OF + 3)))
    app = jobs()
    first = {label for label in labels(app) if label.startswith("job ")}
    app.button("jobs older").click().run()
    second = {label for label in labels(app) if label.startswith("job ")}
    assert (len(first), len(second)) == (job_list.PAGE_OF, 3) and not first & second
    app.button("jobs newer").click().run()
    assert {label for label in labels(app) if label.startswith("job ")} == first
    assert f"{job_list.PAGE_OF + 3} jobs in all" in words(app)


def test_odd_titles_do_nothing(jobs: Callable[[], AppTest], kept_store: Store) -> None:
    (job_id,) = keep(kept_store, ODD_TITLE)
    app = fine(jobs())
    label = next(b.label for b in app.button if b.key == f"open {job_id}")
    assert "](" not in label and "*x*" not in label.replace("\\*", "")
    assert "<script" not in words(app)
    app.button(f"open {job_id}").click().run()
    assert kept_store.open(job_id).title == ODD_TITLE
    assert "<script" not in words(app)


def test_who_works_here_stands_in_the_history(jobs: Callable[[], AppTest], kept_store: Store) -> None:
    keep(kept_store, "Salon grand")
    app = jobs()
    app.text_input("jobs who").set_value("Berta").run()
    other = jobs()
    other.button("demo").click().run()
    assert kept_store.open(other.session_state[kept.JOB]).who == "Berta"


@pytest.mark.parametrize(("name", "body", "said"), [
    ("torn.json", b"{", "torn.json: line 1"),
    ("x.json", b"[]", "x.json: this is not a job file"),
    ("y.json", b'{"format": "finishplan-job", "version": 1, "title": "x", "panels": []}', "at least one panel"),
])
def test_a_job_file_that_cannot_be_read_is_told(
    jobs: Callable[[], AppTest], kept_store: Store, name: str, body: bytes, said: str,
) -> None:
    app = jobs()
    app.button("start").click().run()
    app.file_uploader[0].set_value((name, body, "application/json")).run()
    assert said in app.error[0].value.replace("\\", "")
    assert not app.exception and kept_store.jobs().total == 0


def test_a_job_file_is_brought_in_whole(jobs: Callable[[], AppTest], kept_store: Store) -> None:
    app = jobs()
    app.button("start").click().run()
    app.file_uploader[0].set_value(("own.json", demo_job_path().read_bytes(), "application/json")).run()
    fine(app)
    opened = kept_store.open(app.session_state[kept.JOB])
    assert opened.body == json.loads(demo_job_path().read_text(encoding="utf-8"))
    assert opened.wording == "brought in from own.json"
    assert kept_store.jobs().total == 1


@pytest.mark.parametrize(("spoil", "said"), [
    (lambda folder: (folder / "finishplan.sqlite3").write_bytes(b"no database" * 500),
     "is no database of this program"),
    (lambda folder: (folder / "finishplan.sqlite3").mkdir(), "cannot be opened"),
])
def test_a_store_that_cannot_be_opened_is_told_in_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, spoil: Callable[[Path], object], said: str,
) -> None:
    folder = tmp_path / "spoilt"
    folder.mkdir()
    spoil(folder)
    monkeypatch.setenv(where.DATA_VARIABLE, str(folder))
    app = AppTest.from_function(jobs_page, default_timeout=30).run()
    assert len(app.error) == 1 and said in app.error[0].value.replace("\\", "")
    assert not app.exception and "\n" not in app.error[0].value


def jobs_page() -> None:
    from finishplan.screens import jobs_page as module
    from finishplan.screens.parts.guard import guarded
    guarded(module.page)()


def test_parts_are_chosen_all_or_none_in_one_press(jobs: Callable[[], AppTest], kept_store: Store) -> None:
    app = jobs()
    app.button("start").click().run()
    usual = app.button_group("start parts grand").value
    app.text_input("start title").set_value("Lid alone")
    press = {button.label: button for button in app.button}
    press[job_start.NONE].click().run()
    assert fine(app).button_group("start parts grand").value == [] and len(usual) > 6
    assert app.text_input("start title").value == "Lid alone"
    app.button_group("start parts grand").set_value(usual[:1])
    next(b for b in app.button if b.label == "Start with these parts").click().run()
    assert fine(app) and kept_store.open(app.session_state[kept.JOB]).wording == "started from one part of a grand"


def test_all_usual_parts_come_back_in_one_press(jobs: Callable[[], AppTest]) -> None:
    app = jobs()
    app.button("start").click().run()
    usual = app.button_group("start parts grand").value
    for words in (job_start.NONE, job_start.ALL):
        next(b for b in app.button if b.label == words).click().run()
    assert fine(app).button_group("start parts grand").value == usual


def test_a_year_that_is_none_is_told_by_its_label_beside_it(jobs: Callable[[], AppTest], kept_store: Store) -> None:
    app = jobs()
    app.button("start").click().run()
    app.text_input("start title").set_value("Old")
    app.number_input("start year").set_value(188)
    next(b for b in app.button if b.label == "Start with these parts").click().run()
    (told,) = [error.value.replace("\\", "") for error in app.error]
    assert told.startswith("'Year' is 188; give a whole year")
    assert kept_store.jobs().total == 0
