"""What the tests of the Shop page share: the page in a session, its words and boxes, and the shop as it is kept."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from streamlit.testing.v1 import AppTest

from finishplan.records.store import Store
from finishplan.screens.shop_page import SECTION

AT = datetime(2031, 5, 6, 7, 8, tzinfo=UTC)
KINDS = ("number_input", "text_input", "selectbox", "text_area", "toggle")


def page() -> None:
    from finishplan.screens import shop_page
    from finishplan.screens.parts.guard import guarded
    guarded(shop_page.page)()


def opened(section: str = "Steps", **state: Any) -> AppTest:
    """Open the Shop page at a section in a session of its own; further state of the session by name."""
    app = AppTest.from_function(page, default_timeout=30)
    app.session_state[SECTION] = section
    for name, value in state.items():
        app.session_state[name.replace("_", " ")] = value
    return fine(app.run())


def fine(app: AppTest) -> AppTest:
    assert not app.exception and not app.error, [e.value for e in app.error]
    return app


def words(app: AppTest) -> str:
    return " ".join(str(e.proto.body) for e in app.get("html"))


def errors(app: AppTest) -> str:
    return " ".join(error.value for error in app.error).replace("\\", "")


def box(app: AppTest, label: str) -> Any:
    return next(found for kind in KINDS for found in getattr(app, kind) if found.label == label)


def press(app: AppTest, label: str) -> AppTest:
    return next(b for b in app.button if b.label.replace("\\", "") == label).click().run()


def body(store: Store) -> dict[str, Any]:
    return store.shop("x", AT).body
