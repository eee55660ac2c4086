"""A data folder of its own for every page test."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from finishplan.records import where
from finishplan.records.store import Store
from finishplan.screens.parts import following, kept


@pytest.fixture
def kept_store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Store]:
    """The store that the pages of this test use."""
    monkeypatch.setenv(where.DATA_VARIABLE, str(tmp_path / "data"))
    monkeypatch.delenv(where.DB_VARIABLE, raising=False)
    # A browser looks back until the plan is there; a page run without one has to wait for it.
    monkeypatch.setattr(following, "WAIT_S", 60.0)
    found = kept.store()
    yield found
    kept._store_at.clear()
    found.close()


@pytest.fixture
def jobs(kept_store: Store) -> Callable[[], AppTest]:
    """Opens the Jobs page in a session of its own."""

    def page() -> None:
        from finishplan.screens import jobs_page
        from finishplan.screens.parts.guard import guarded
        guarded(jobs_page.page)()

    return lambda: AppTest.from_function(page, default_timeout=30).run()


@pytest.fixture
def survey(kept_store: Store) -> Callable[..., AppTest]:
    """Opens the Survey page on a job in a session of its own; further state of the session by name."""

    def page() -> None:
        from finishplan.screens import survey_page
        from finishplan.screens.parts.guard import guarded
        guarded(survey_page.page)()

    def opened(job_id: str | None = None, **state: Any) -> AppTest:
        app = AppTest.from_function(page, default_timeout=30)
        if job_id:
            app.session_state[kept.JOB] = job_id
        for name, value in state.items():
            app.session_state[name.replace("survey_", "survey ")] = value
        return app.run()

    return opened
