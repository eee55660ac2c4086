"""The Quote page offers its days as a PDF: of this job alone, and of all jobs of the shop together."""

from __future__ import annotations

from streamlit.testing.v1 import AppTest

from finishplan.records.files import demo_job_path, read_file
from finishplan.records.store import Store
from finishplan.screens.parts import kept, quote_together
from finishplan.screens.parts.quote_work import MADE


def quote_page() -> None:
    from finishplan.screens import quote_page as module
    from finishplan.screens.parts.guard import guarded
    guarded(module.page)()


def offered(app: AppTest) -> list[str]:
    return [str(e.proto.label) for e in app.get("download_button")]


def test_the_days_are_offered_on_paper_for_one_job_and_for_all(kept_store: Store) -> None:
    body = read_file(demo_job_path())
    mine = kept_store.start(body, "me", kept.now()).id
    other = kept_store.start({**body, "title": "Beside it"}, "me", kept.now()).id
    kept_store.set_state(other, "planned", "me", kept.now())
    app = AppTest.from_function(quote_page, default_timeout=60)
    app.session_state[kept.JOB] = mine
    app.run()
    assert not app.error and not app.exception and app.session_state[MADE].quote.main.days is not None
    assert "Days on paper (PDF)" in offered(app) and "These days on paper (PDF)" not in offered(app)
    app.button("together").click().run()
    work = app.session_state[quote_together.WORK]
    work.done.result(60)
    app.run()
    assert "These days on paper (PDF)" in offered(app) and not app.error
    assert work.revisions == {name: kept_store.open(name).revision for name in (mine, other)}
