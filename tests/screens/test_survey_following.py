"""The page of an edit does not wait for the plan: the line before stands, marked, until the new one is there."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import wait
from threading import Event

import pytest
from survey_kept import AT, Survey, fine, readings, type_row, words

from finishplan.errors import FinishplanError
from finishplan.paper import survey_words
from finishplan.paper.survey_words import Standing
from finishplan.records.files import demo_job_path, read_file
from finishplan.records.store import Store
from finishplan.screens.parts import following
from finishplan.shop.profile import Profile
from finishplan.survey.job import Job


@pytest.fixture
def demo(kept_store: Store) -> str:
    return kept_store.start(read_file(demo_job_path()), "Ana", AT).id


@pytest.fixture
def held_up(monkeypatch: pytest.MonkeyPatch) -> Iterator[Event]:
    """Plans after the first take until this is set; the page waits for none."""
    go, worked = Event(), survey_words.standing
    asked: list[Job] = []

    def slow(job: Job, profile: Profile) -> Standing:
        asked.append(job)
        if len(asked) > 1:
            go.wait(20)
        return worked(job, profile)

    monkeypatch.setattr(survey_words, "standing", slow)
    monkeypatch.setattr(following, "WAIT_S", 0.0)
    yield go
    go.set()


def test_what_is_typed_shows_before_the_plan_is_there(
    survey: Survey, kept_store: Store, demo: str, held_up: Event,
) -> None:
    app = fine(survey(demo))
    assert "first quiet" not in words(app), "a job that is opened is shown with its plan"
    type_row(app, "377")
    told = words(fine(app))
    assert readings(kept_store, demo)[-1] == 377 and "<td" in told and ">377<" in told
    assert "first quiet" in told and following.PLANNING in told
    type_row(app, "379")
    assert readings(kept_store, demo)[-2:] == [377, 379] and "first quiet" in words(fine(app))
    held_up.set()
    wait([app.session_state[following.STANDING].told])
    told = words(fine(app.run()))
    assert "first quiet" not in told and following.PLANNING not in told
    shown = app.session_state[following.STANDING]
    assert shown.key[1] == kept_store.open(demo).revision
    assert shown.told.result().plan.panels[0].zones[0].film_mean_um == pytest.approx(
        sum(readings(kept_store, demo)) / len(readings(kept_store, demo)))


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
