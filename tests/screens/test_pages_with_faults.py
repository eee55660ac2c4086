"""A full disk, a read-only file, a lock, damage: said in one sentence on Survey and Shop, and what was typed stays."""

from __future__ import annotations

import random
import re
import sqlite3
import string
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from typing import Any

import pytest
import shop_screen
from sqlalchemy import event
from streamlit.testing.v1 import AppTest
from survey_kept import AT, Survey, box, plainly, press

from finishplan.records import database
from finishplan.records.files import demo_job_path, read_file
from finishplan.records.store import Store

Fault = Callable[[Store], object]
ODD = "<b>*Customer*</b> \u0627\u0644 \U0001f3b9"


@contextmanager
def on_connect(store: Store, statement: Callable[[sqlite3.Connection], str]) -> Iterator[None]:
    """Have every new connection of a store run a statement."""

    def run(connection: sqlite3.Connection, _: object) -> None:
        connection.execute(statement(connection))

    store.close()
    event.listen(store.engine, "connect", run)
    try:
        yield
    finally:
        event.remove(store.engine, "connect", run)
        store.close()


def full(store: Store) -> object:
    return on_connect(store, lambda connection: "PRAGMA max_page_count = "
                      f"{connection.execute('PRAGMA page_count').fetchone()[0]}")


def read_only(store: Store) -> object:
    return on_connect(store, lambda _: "PRAGMA query_only = ON")


@contextmanager
def locked(store: Store) -> Iterator[None]:
    store.close()
    with closing(sqlite3.connect(store.where.database, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield
        other.execute("ROLLBACK")


@contextmanager
def damaged(store: Store) -> Iterator[None]:
    """Damage every page of the file but the first while the page is open, as a dying disk does; then mend it."""
    with closing(sqlite3.connect(store.where.database)) as held:
        held.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    store.close()
    whole = store.where.database.read_bytes()
    store.where.database.write_bytes(whole[:4096] + b"\x5a" * (len(whole) - 4096))
    yield
    store.close()
    store.where.database.write_bytes(whole)


FAULTS: dict[str, tuple[Fault, str]] = {
    "full": (full, "no room is left"),
    "read-only": (read_only, "read-only|not be written|cannot be written|may not write"),
    "locked": (locked, "locked|busy|in use|another program"),
}


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(database, "BUSY_S", 0.2)


@pytest.fixture
def demo(kept_store: Store) -> str:
    return kept_store.start(read_file(demo_job_path()), "Ana", AT).id


def typed_until_told(app: AppTest, found: Callable[[], Any]) -> str:
    """Type texts that do not pack into a box until one cannot be kept, as a disk fills up; return that text."""
    dice = random.Random(5)
    for _ in range(8):
        text = ODD + "".join(dice.choices(string.ascii_letters + string.digits, k=1900))
        found().set_value(text).run()
        if app.error:
            return text
    raise AssertionError("all of it was kept")


def one_sentence(said: list[str], pattern: str) -> None:
    assert len(said) == 1 and re.search(pattern, said[0]), said
    assert "\n" not in said[0] and "Traceback" not in said[0] and "sqlite3." not in said[0], said
    assert "not your doing" not in said[0], said


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize("name", list(FAULTS))
def test_a_box_of_the_survey_that_cannot_be_kept(survey: Survey, kept_store: Store, demo: str, name: str) -> None:
    fault, pattern = FAULTS[name]
    app = survey(demo, about_open=True)
    with fault(kept_store):  # type: ignore[attr-defined]
        long = typed_until_told(app, lambda: box(app, "text_area", "Note on how it is seen"))
        one_sentence(plainly(app), pattern)
        assert box(app, "text_area", "Note on how it is seen").value == long, "what was typed stays"
        assert kept_store.open(demo).body["view_note"] != long
    box(app, "text_input", "Customer").set_value(ODD).run()
    assert not app.error, plainly(app)
    body = kept_store.open(demo).body
    assert (body["view_note"], body["customer"]) == (long, ODD), "kept with the next box, once it can be"


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize("name", ["read-only", "locked"])
def test_a_row_of_readings_that_cannot_be_kept_is_repeated(
    survey: Survey, kept_store: Store, demo: str, name: str,
) -> None:
    fault, pattern = FAULTS[name]
    app = survey(demo)
    with fault(kept_store):  # type: ignore[attr-defined]
        app.text_input("survey row").set_value("401 402")
        press(app, "Add readings")
        one_sentence(plainly(app), pattern)
        assert "(not kept: 401 402)" in plainly(app)[0]


@pytest.mark.usefixtures("quick")
@pytest.mark.parametrize("name", list(FAULTS))
def test_a_value_of_the_shop_that_cannot_be_kept(kept_store: Store, name: str) -> None:
    fault, pattern = FAULTS[name]
    kept_store.shop("Ana", AT)
    app = shop_screen.opened("Quote")
    with fault(kept_store):  # type: ignore[attr-defined]
        long = typed_until_told(app, lambda: shop_screen.box(app, "What else stands on a quote"))
        one_sentence(plainly(app), pattern)
        assert shop_screen.box(app, "What else stands on a quote").value == long
    assert shop_screen.body(kept_store).get("quote", {}).get("shop_text") != long
    shop_screen.box(app, "What else stands on a quote").set_value(long + "x").run()
    assert not app.error and shop_screen.body(kept_store)["quote"]["shop_text"] == long + "x"


@pytest.mark.usefixtures("quick")
def test_a_file_that_is_damaged_while_the_page_is_open(survey: Survey, kept_store: Store, demo: str) -> None:
    app, shop = survey(demo, about_open=True), shop_screen.opened("Our shop")
    with damaged(kept_store):
        box(app, "text_input", "Customer").set_value(ODD).run()
        assert plainly(app) and all("damaged" in said for said in plainly(app)), plainly(app)
        shop_screen.box(shop, "Name of our shop").set_value("x").run()
        assert "damaged" in " ".join(plainly(shop)) and not shop.exception
    assert not app.exception
