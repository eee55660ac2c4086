"""A page does not wait for its plan: the line before stands, marked, until the browser looked back."""

from __future__ import annotations

from threading import Event

import pytest
from streamlit.testing.v1 import AppTest
from survey_kept import AT, Survey, fine, readings, type_row, words

from finishplan.errors import FinishplanError
from finishplan.paper import survey_words
from finishplan.paper.survey_words import Standing
from finishplan.records.files import demo_job_path, read_file
from finishplan.records.store import Store
from finishplan.screens.parts import following, standing
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job


@pytest.fixture
def demo(kept_store: Store) -> str:
    return kept_store.start(read_file(demo_job_path()), "Ana", AT).id


@pytest.fixture
def without_waiting(kept_store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """The page as a browser gets it: the plan is worked out when the browser looks back."""
    monkeypatch.setattr(following, "WAIT_S", 0.0)
    monkeypatch.setattr(following, "OPEN_S", 0.0)


def look(app: AppTest) -> AppTest:
    """Look back as the browser does, and show what there is then."""
    standing.work(app.session_state[following.STANDING], 20.0)
    return fine(app.run())


@pytest.mark.usefixtures("without_waiting")
def test_the_page_waits_for_nothing_and_the_rest_follows_in_order(survey: Survey, kept_store: Store, demo: str) -> None:
    app = fine(survey(demo))
    assert following.FIRST in words(app) and "can start" not in words(app)
    assert app.session_state[following.STANDING].told is None, "nothing is worked out before the page is there"
    assert "panels can start" in words(look(app)) and following.WAITING in words(app)
    assert "Take the next reading" in words(look(app)) and following.WAITING not in words(app)
    type_row(app, "377")
    told = words(fine(app))
    assert readings(kept_store, demo)[-1] == 377 and "<td" in told and ">377<" in told
    assert "first quiet" in told and "panels can start" in told and following.PLANNING in told
    type_row(app, "379")
    assert readings(kept_store, demo)[-2:] == [377, 379] and "first quiet" in words(fine(app))
    told = words(look(app))
    assert "first quiet" not in told and following.PLANNING not in told
    shown = app.session_state[following.STANDING]
    assert shown.key[1] == kept_store.open(demo).revision
    assert shown.told.result().plan.panels[0].zones[0].film_mean_um == pytest.approx(
        sum(readings(kept_store, demo)) / len(readings(kept_store, demo)))


@pytest.mark.usefixtures("without_waiting")
def test_a_plan_that_takes_long_holds_up_no_page(
    survey: Survey, demo: str, monkeypatch: pytest.MonkeyPatch,
) -> None:
    go, worked = Event(), survey_words.standing

    def slow(job: Job, profile: Profile) -> Standing:
        go.wait(20)
        return worked(job, profile)

    monkeypatch.setattr(survey_words, "standing", slow)
    app = survey(demo)
    asked = app.session_state[following.STANDING]
    standing.work(asked, 0.01)
    assert following.FIRST in words(fine(app.run())) and not asked.told.done()
    type_row(app, "377")
    after = app.session_state[following.STANDING]
    assert after is not asked and after.before is None and following.FIRST in words(fine(app))
    go.set()
    assert "panels can start" in words(look(app))


def test_what_cannot_be_planned_is_told_when_it_is_known_and_mends_itself(
    survey: Survey, demo: str, monkeypatch: pytest.MonkeyPatch,
) -> None:
    app = fine(survey(demo))
    worked = survey_words.standing

    def refuse(job: Job, profile: Profile) -> Standing:
        raise FinishplanError("the lid cannot be planned; say which sheet")

    monkeypatch.setattr(survey_words, "standing", refuse)
    type_row(app, "377")
    assert [error.value.replace("\\", "") for error in app.error] == ["the lid cannot be planned; say which sheet"]
    monkeypatch.setattr(survey_words, "standing", worked)
    assert "first quiet" not in words(fine(type_row(app, "379")))


@pytest.mark.usefixtures("without_waiting")
def test_a_look_that_comes_with_the_next_edit_has_nothing_to_begin(
    survey: Survey, demo: str,
) -> None:
    """Both come as one: the look is of the revision before, whose plan nobody waits for and which is called off."""
    go_on = Event()
    pools = standing._planner()
    for _ in range(pools._max_workers):
        pools.submit(go_on.wait, 20.0)
    try:
        app = fine(survey(demo))
        late = app.session_state[following.STANDING]
        standing.work(late, 0.0)
        type_row(fine(app), "377")
        assert late.gone and late.told is not None and late.told.cancelled()
        standing.work(late, 20.0)
        assert late.next is None and late.standing() is None
    finally:
        go_on.set()
