"""The door of screens that answer beyond this machine: nothing is shown before the passphrase."""

from __future__ import annotations

from datetime import timedelta

import pytest
from argon2 import PasswordHasher
from streamlit.testing.v1 import AppTest

from finishplan.records import passphrase
from finishplan.records.store import Store
from finishplan.screens.parts import door, kept

QUICK = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
PHRASE = "green felt and glue"


@pytest.fixture
def app(kept_store: Store, monkeypatch: pytest.MonkeyPatch) -> AppTest:
    """The whole program as the shop's network gets it."""
    passphrase.set_passphrase(kept_store, PHRASE, "Ana", kept.now(), QUICK)
    monkeypatch.setattr(door, "stands_open", lambda: True)

    def start() -> None:
        from finishplan.screens import start
        start.main()

    return AppTest.from_function(start, default_timeout=30).run()


def type_in(app: AppTest, phrase: str) -> AppTest:
    return app.text_input(key=door.TYPED).set_value(phrase).run()


def inside(app: AppTest) -> bool:
    return bool([b for b in app.button if b.label == "Open the demo job"])


def test_nothing_but_the_field_is_shown_before(app: AppTest) -> None:
    assert [field.label for field in app.text_input] == ["Passphrase"]
    assert [button.label for button in app.button] == ["Come in"]
    assert not inside(app)


def test_wrong_then_right(app: AppTest) -> None:
    type_in(app, "something else altogether")
    assert not inside(app) and "not the shop's passphrase" in app.error[0].value
    assert app.text_input(key=door.TYPED).value == "", "what was typed does not stay on the screen"
    type_in(app, PHRASE)
    assert inside(app)


def test_who_is_idle_for_a_day_types_it_again(app: AppTest) -> None:
    type_in(app, PHRASE)
    at, mark = app.session_state[door.LET_IN]
    app.session_state[door.LET_IN] = (at - timedelta(hours=11), mark)
    app.run()
    assert inside(app)
    app.session_state[door.LET_IN] = (at - timedelta(hours=13), mark)
    app.run()
    assert not inside(app)


def test_a_new_passphrase_puts_everybody_out(app: AppTest, kept_store: Store) -> None:
    type_in(app, PHRASE)
    passphrase.set_passphrase(kept_store, "maple rim and spruce", "Ana", kept.now(), QUICK)
    app.run()
    assert not inside(app)


def test_without_any_passphrase_nobody_is_let_in(kept_store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(door, "stands_open", lambda: True)

    def start() -> None:
        from finishplan.screens import start
        start.main()

    app = AppTest.from_function(start, default_timeout=30).run()
    type_in(app, "anything at all here")
    assert not inside(app)
    assert not passphrase.still_in(kept_store, kept.now(), "", kept.now())
