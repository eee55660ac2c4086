"""Backups that are cut, changed, newer, older, or made to harm: refused in one line, or read as they are."""

from __future__ import annotations

import io
import json
import re
import sqlite3
import zipfile
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from store_examples import at, contents, furnished, job

from finishplan.records import backup, backup_file, restore
from finishplan.records.backup_file import BadBackup
from finishplan.records.faults import NewerStore
from finishplan.records.store import Store


def rewritten(source: Path, change: Callable[[dict[str, bytes]], None]) -> Path:
    """Return a copy of a backup with its entries changed."""
    with zipfile.ZipFile(source) as archive:
        entries = {name: archive.read(name) for name in archive.namelist()}
    change(entries)
    target = source.with_name(f"changed-{source.name}")
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in entries.items():
            archive.writestr(name, data)
    return target


def in_manifest(**changed: object) -> Callable[[dict[str, bytes]], None]:
    def change(entries: dict[str, bytes]) -> None:
        entries["manifest.json"] = json.dumps({**json.loads(entries["manifest.json"]), **changed}).encode()

    return change


def in_database(*statements: str) -> Callable[[dict[str, bytes]], None]:
    """Change the database inside, and the manifest so that it tells of that database."""

    def change(entries: dict[str, bytes]) -> None:
        import hashlib
        import tempfile

        with tempfile.NamedTemporaryFile(suffix=".sqlite3") as file:
            file.write(entries["database.sqlite3"])
            file.flush()
            with closing(sqlite3.connect(file.name, isolation_level=None)) as found:
                for statement in statements:
                    found.execute(statement)
            entries["database.sqlite3"] = Path(file.name).read_bytes()
        in_manifest(database_sha256=hashlib.sha256(entries["database.sqlite3"]).hexdigest())(entries)

    return change


def without(name: str) -> Callable[[dict[str, bytes]], None]:
    return lambda entries: void(entries.pop(name))


def void(_: object) -> None:
    return None


def photo_swapped(entries: dict[str, bytes]) -> None:
    name = next(name for name in entries if name.startswith("photos/"))
    entries[name] = b"another picture"


def run_twice(entries: dict[str, bytes]) -> None:
    steps = json.loads(entries["manifest.json"])["migrations"]
    in_database("DELETE FROM migration WHERE number >= 4")(entries)
    in_manifest(migrations=steps[:3])(entries)


BROKEN: dict[str, tuple[Callable[[dict[str, bytes]], None], str]] = {
    "no manifest": (without("manifest.json"), "is no whole backup of this program; choose another file"),
    "no database": (without("database.sqlite3"), "is no whole backup of this program; choose another file"),
    "a list": (lambda entries: entries.update({"manifest.json": b"[]"}), "is no whole backup of this program"),
    "no JSON": (lambda entries: entries.update({"manifest.json": b"{"}), "is no whole backup of this program"),
    "deep JSON": (lambda entries: entries.update({"manifest.json": b"[" * 200_000}), "is no whole backup of this"),
    "other format": (in_manifest(format="another-backup"), "is no whole backup of this program"),
    "no counts": (in_manifest(documents="many"), "is no whole backup of this program; choose another file"),
    "other counts": (in_manifest(revisions=99), "it does not hold what it says; use another backup"),
    "other database": (
        lambda entries: entries.update({"database.sqlite3": entries["database.sqlite3"][:-1] + b"x"}),
        "its database is not the one that was written; use another backup"),
    "no database inside": (in_database("DROP TABLE revision"), "the database in it is damaged; use another backup"),
    "a view": (in_database("CREATE VIEW v AS SELECT 1"), "the database in it is damaged; use another backup"),
    "a trigger": (
        in_database("CREATE TRIGGER t AFTER INSERT ON document BEGIN SELECT 1; END"),
        "the database in it is damaged; use another backup"),
    "loose ends": (
        in_database("DELETE FROM document WHERE kind = 'shop'",
                    "INSERT INTO document SELECT 'x', kind, title, find, state, archived, 1, 1, created_at, "
                    "changed_at, changed_by FROM document LIMIT 1"),
        "the database in it is damaged; use another backup"),
    "no last revision": (
        in_database("UPDATE document SET head = 9, last = 9"), "a job in it has lost its last revision"),
    "a step that was not run": (in_database("DROP TABLE setting"), "its table setting is not ours; use another"),
    "a step run twice": (run_twice, "the database in it is not one of ours; use another backup"),
    "other columns": (in_database("ALTER TABLE setting ADD COLUMN more TEXT"), "its table setting is not ours"),
    "no moment": (in_database("UPDATE document SET changed_at = 'soon'"), "a line in it cannot be read; use another"),
    "swapped photo": (photo_swapped, "in it is damaged; use another backup"),
}


@pytest.mark.parametrize("broken", BROKEN)
def test_a_broken_backup_is_refused_and_changes_nothing(lite: Store, tmp_path: Path, broken: str) -> None:
    furnished(lite)
    change, text = BROKEN[broken]
    made = rewritten(backup.make_backup(lite, tmp_path / "a.zip", at(1)).path, change)
    lite.start(job("since"), "Ana", at(2))
    before = contents(lite)
    with pytest.raises(BadBackup, match=re.escape(text)) as told:
        restore.restore(lite, made, at(3))
    assert "changed-a.zip" in str(told.value) and "\n" not in str(told.value)
    assert contents(lite) == before
    assert not list(lite.where.folder.glob(".backup-*"))


def test_files_that_are_no_backups(lite: Store, tmp_path: Path) -> None:
    whole = backup.make_backup(lite, tmp_path / "a.zip", at()).path.read_bytes()
    for number, data in enumerate([b"", b"PK\x03\x04", b"text", whole[:-30], whole[: len(whole) // 2], whole[30:]]):
        path = tmp_path / f"{number}.zip"
        path.write_bytes(data)
        text = rf"^{number}\.zip is no whole backup of this program; choose another file$"
        with pytest.raises(BadBackup, match=text):
            restore.restore(lite, path, at())
    with pytest.raises(BadBackup, match=r"^there is no file none\.zip; choose the backup again$"):
        restore.restore(lite, tmp_path / "none.zip", at())


def test_a_backup_that_unpacks_without_end_is_refused(lite: Store, tmp_path: Path) -> None:
    made = rewritten(backup.make_backup(lite, tmp_path / "a.zip", at()).path,
                     lambda entries: entries.update({"database.sqlite3": bytes(60_000_000)}))
    assert made.stat().st_size < 100_000
    with pytest.raises(BadBackup, match=re.escape("database.sqlite3 in it unpacks to 60 MB; that is no backup")):
        backup.check_backup(made)
    big = io.BytesIO(bytes(21_000_000))
    with zipfile.ZipFile(tmp_path / "b.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("manifest.json", big.getvalue())
    with pytest.raises(BadBackup, match=re.escape("manifest.json in it has 21 MB; that is no backup")):
        backup.look_into(tmp_path / "b.zip")


def test_a_newer_backup_is_refused_by_name(lite: Store, tmp_path: Path) -> None:
    made = backup.make_backup(lite, tmp_path / "a.zip", at()).path
    with pytest.raises(NewerStore, match=re.escape("newer finishplan (it has '0099 later'); install that version")):
        restore.restore(lite, rewritten(made, in_manifest(migrations=["0099 later"])), at())
    with pytest.raises(NewerStore, match=re.escape("newer finishplan (version 2); install that version to restore it")):
        restore.restore(lite, rewritten(made, in_manifest(version=2)), at())


def test_an_older_backup_is_brought_to_the_present_shape(lite: Store, tmp_path: Path) -> None:
    made = lite.start(job("old"), "Ana", at())
    saved = backup.make_backup(lite, tmp_path / "a.zip", at(1)).path
    older = rewritten(saved, in_database(
        *(f"DROP TABLE {name}" for name in ("setting", "pin", "pin_attempt", "signature")),
        "DELETE FROM migration WHERE number >= 4"))
    steps = list(backup_file.look_into(saved).migrations[:3])
    older = rewritten(older, in_manifest(migrations=steps))
    # Tables that the present shape has and the old one had not are made on the way in.
    restore.restore(lite, older, at(3))
    assert lite.open(made.id).title == "old"


def test_names_in_a_backup_lead_nowhere(lite: Store, tmp_path: Path) -> None:
    furnished(lite)
    made = rewritten(backup.make_backup(lite, tmp_path / "a.zip", at()).path, lambda entries: entries.update({
        "photos/../../escaped.jpg": b"x", "/etc/escaped": b"x", f"photos/{'../' * 21}a.jpg": b"x",
    }))
    restore.restore(lite, made, at(1))
    assert not [path for path in tmp_path.rglob("*") if "escaped" in path.name]
