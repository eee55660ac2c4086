"""What the tests of the Bench page share: the page in a session of its own, and what is pressed on it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from finishplan.records.store import Store
from finishplan.screens.parts import kept

Bench = Callable[..., AppTest]


def bench_app() -> None:
    from finishplan.screens import bench_page
    from finishplan.screens.parts.guard import guarded
    guarded(bench_page.page)()


@pytest.fixture
def bench(kept_store: Store) -> Bench:
    """Opens the Bench page on a job in a session of its own; further state of the session by name."""

    def opened(job_id: str | None = None, **state: Any) -> AppTest:
        app = AppTest.from_function(bench_app, default_timeout=30)
        app.session_state[kept.WHO] = "F1"
        if job_id:
            app.session_state[kept.JOB] = job_id
        for name, value in state.items():
            app.session_state[name.replace("_", " ")] = value
        return app.run()

    return opened


def words(app: AppTest) -> str:
    return " ".join(str(e.proto.body) for e in app.get("html"))


def fine(app: AppTest) -> AppTest:
    assert not app.exception and not app.error, [e.value for e in [*app.error, *app.exception]]
    return app


def told(app: AppTest) -> str:
    return " ".join(error.value.replace("\\", "") for error in app.error)


def press(app: AppTest, label: str) -> AppTest:
    return next(b for b in app.button if b.label.replace("\\", "") == label).click().run()


def type_reading(app: AppTest, text: str) -> AppTest:
    app.text_input("bench row").set_value(text)
    return press(app, "Add readings")


def sign(app: AppTest, who: str, pin: str, label: str = "Sign") -> AppTest:
    app.selectbox("bench signer").set_value(who)
    app.text_input("bench pin").set_value(pin)
    return press(app, label)
