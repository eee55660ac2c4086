"""How a database comes to its shape: once, in order, recorded, all or none, and never backwards."""

from __future__ import annotations

import re
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import inspect
from sqlalchemy.exc import DBAPIError
from store_examples import at, job

from finishplan.records import schema, where
from finishplan.records.database import make_engine, reading
from finishplan.records.faults import NewerStore, StoreCorrupt
from finishplan.records.migrations import MIGRATIONS, Migration, applied, migrate
from finishplan.records.store import Store, open_store

NAMES = [step.name for step in MIGRATIONS]


def test_names_are_in_order_and_unlike() -> None:
    assert sorted(NAMES) == NAMES and len(set(NAMES)) == len(NAMES)
    assert [int(name.split()[0]) for name in NAMES] == list(range(1, len(NAMES) + 1))


def test_the_database_has_the_tables_that_the_code_uses(store: Store) -> None:
    found = inspect(store.engine)
    assert set(found.get_table_names()) == set(schema.meta.tables)
    for table in schema.meta.sorted_tables:
        columns = {column["name"]: column["nullable"] for column in found.get_columns(table.name)}
        assert list(columns) == list(table.c.keys())
        keys = found.get_pk_constraint(table.name)["constrained_columns"]
        assert keys == [column.name for column in table.primary_key]
        assert {name for name, may in columns.items() if may} - set(keys) == {
            column.name for column in table.c if column.nullable}


def test_each_step_is_recorded_with_its_moment_and_run_once(store: Store) -> None:
    with reading(store.engine) as connection:
        assert applied(connection) == NAMES
        rows = connection.execute(schema.migration.select().order_by(schema.migration.c.number)).all()
    assert [(row.number, row.applied_at) for row in rows] == [(i, at()) for i in range(1, len(NAMES) + 1)]
    assert migrate(store.engine, at(9), "here") == []


def test_an_older_database_gets_what_is_missing(place: where.Where) -> None:
    where.prepare(place)
    engine = make_engine(place)
    assert migrate(engine, at(), "here", MIGRATIONS[:2]) == NAMES[:2]
    engine.dispose()
    store = open_store(place, at(1))
    try:
        made = store.start(job(), "Ana", at(1))
        assert store.open(made.id) == made
        with reading(store.engine) as connection:
            assert applied(connection) == NAMES
    finally:
        store.close()


def test_a_newer_database_is_refused_by_name(store: Store) -> None:
    later = [*MIGRATIONS, Migration("0099 what is not thought of yet", ("CREATE TABLE later (id TEXT)",))]
    assert migrate(store.engine, at(1), "here", later) == ["0099 what is not thought of yet"]
    text = "last opened by a newer finishplan (it has '0099 what is not thought of yet'); install that version"
    with pytest.raises(NewerStore, match=re.escape(text)):
        open_store(store.where, at(2))


def test_a_step_that_fails_leaves_nothing(place: where.Where) -> None:
    where.prepare(place)
    engine = make_engine(place)
    broken = [*MIGRATIONS, Migration("0099 broken", ("CREATE TABLE half (id TEXT)", "CREATE TABLE half (id TEXT)"))]
    with pytest.raises(DBAPIError, match="half"):
        migrate(engine, at(), "here", broken)
    with reading(engine) as connection:
        assert applied(connection) is None
    assert inspect(engine).get_table_names() == []
    assert migrate(engine, at(), "here") == NAMES
    engine.dispose()


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    place = where.find(tmp_path, None, {})
    with closing(sqlite3.connect(place.database)) as other:
        other.execute("CREATE TABLE invoices (id INTEGER)")
    with pytest.raises(StoreCorrupt, match="belongs to another program; choose another folder with --data"):
        open_store(place, at())
    with closing(sqlite3.connect(place.database)) as other:
        assert other.execute("SELECT name FROM sqlite_master").fetchall() == [("invoices",)]


START = """
import sys
from datetime import UTC, datetime
from finishplan.records import where
from finishplan.records.store import open_store
from finishplan.records.migrations import migrate
sys.stdin.readline()
place = where.find(sys.argv[1], sys.argv[2] or None, {})
store = open_store(place, datetime(2026, 1, 1, tzinfo=UTC))
store.shop(sys.argv[3], datetime(2026, 1, 1, tzinfo=UTC))
print("open", flush=True)
store.close()
"""


def test_four_programs_started_at_once_migrate_once(place: where.Where) -> None:
    def start(number: int) -> subprocess.Popen[str]:
        return subprocess.Popen(
            [sys.executable, "-c", START, str(place.folder), place.url or "", f"starter {number}"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)

    started = [start(number) for number in range(4)]
    for program in started:
        assert program.stdin is not None
        program.stdin.write("go\n")
        program.stdin.flush()
    for program in started:
        out, errors = program.communicate(timeout=60)
        assert (program.returncode, out.strip()) == (0, "open"), errors
    store = open_store(place, at())
    try:
        with reading(store.engine) as connection:
            assert applied(connection) == NAMES
        assert len(store.history("shop")) == 1, "the shop was started once"
    finally:
        store.close()
