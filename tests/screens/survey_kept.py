"""What the tests of the survey page share: a job in hand, and the page in words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from streamlit.testing.v1 import AppTest

from finishplan.records.store import Store
from finishplan.survey.edits import zone_at

AT = datetime(2031, 5, 6, 7, 8, tzinfo=UTC)
LID = ("main lid, top", "field")
DEPTH, PLACE = "Depth, um: one measured, or low likely high", "Place, % across and up"
Survey = Callable[..., AppTest]


def words(app: AppTest) -> str:
    return " ".join(str(e.proto.body) for e in app.get("html"))


def fine(app: AppTest) -> AppTest:
    assert not app.exception and not app.error, [e.value for e in app.error]
    return app


def plainly(app: AppTest) -> list[str]:
    return [error.value.replace("\\", "") for error in app.error]


def press(app: AppTest, label: str) -> AppTest:
    return next(b for b in app.button if b.label.replace("\\", "") == label).click().run()


def box(app: AppTest, kind: str, label: str) -> Any:
    return next(found for found in getattr(app, kind) if found.label == label)


def readings(store: Store, job_id: str, at: tuple[str, str] = LID) -> list[float]:
    return [reading["um"] for reading in zone_at(store.open(job_id).body, *at)["readings"]]


def defects(store: Store, job_id: str, at: tuple[str, str] = LID) -> list[dict[str, Any]]:
    return list(zone_at(store.open(job_id).body, *at)["defects"])


def type_row(app: AppTest, text: str) -> AppTest:
    app.text_input("survey row").set_value(text)
    return press(app, "Add readings")
