"""Backup and restore on the Shop page: written and read through, asked before it replaces, the old one kept."""

from __future__ import annotations

import random
import shutil
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from shop_screen import AT, body, errors, fine, opened, page, press, words
from streamlit.testing.v1 import AppTest

from finishplan.records import backup, faults, restore
from finishplan.records.files import demo_job_path, read_file
from finishplan.records.store import SHOP_ID, Store
from finishplan.screens.parts import kept, shop_backup


def named(store: Store, name: str) -> None:
    store.shop("Ana", AT)
    store.change(SHOP_ID, lambda b: {**b, "name": name}, "Ana", AT)


def test_a_backup_is_made_told_and_restored_after_asking(kept_store: Store) -> None:
    named(kept_store, "before")
    app = opened("Backup")
    assert "No backup was made yet." in words(app) and "There is none yet." in words(app)
    press(app, "Make a backup now")
    assert "Written and read through: finishplan-backup-" in words(fine(app))
    assert "The last backup is of" in words(app)
    (made,) = backup.backup_folder(kept_store).glob("*.zip")
    backup.check_backup(made)
    named(kept_store, "after")
    kept_store.start(read_file(demo_job_path()), "Ana", AT)
    press(app, "Restore")
    assert f"Put {made.name} in place of all that is kept now?" in words(fine(app))
    assert body(kept_store)["name"] == "after", "asked first"
    press(app, "Leave all as it is")
    assert "in place of all" not in words(fine(app)) and body(kept_store)["name"] == "after"
    press(app, "Restore")
    press(app, "Restore it")
    told = words(fine(app))
    assert f"Restored {made.name}. What stood before is kept in" in told.replace("\\", "")
    assert body(kept_store)["name"] == "before" and kept_store.jobs().total == 0
    (old,) = backup.backups_in(kept_store.where.kept)
    assert old.path.name in told, "what stood before can be brought back in the same way"
    restore.restore(kept_store, old.path, AT)
    assert body(kept_store)["name"] == "after" and kept_store.jobs().total == 1


def test_the_job_that_was_open_is_let_go_of(kept_store: Store) -> None:
    made = backup.made_in_folder(kept_store, AT)
    job = kept_store.start(read_file(demo_job_path()), "Ana", AT)
    app = opened("Backup", **{kept.JOB: job.id})
    press(app, "Restore")
    press(app, "Restore it")
    assert kept.JOB not in fine(app).session_state and made.documents == 0


def test_a_file_that_is_no_backup_is_refused_in_a_sentence_and_left_nowhere(kept_store: Store) -> None:
    from finishplan.records.backup_file import BadBackup
    with pytest.raises(BadBackup, match=r"holiday\.zip is no whole backup of this program"):
        backup.brought_in(kept_store, "../../holiday.zip", b"no zip at all", AT)
    assert not [*backup.backup_folder(kept_store).iterdir()]
    whole = backup.made_in_folder(kept_store, AT).path.read_bytes()
    brought = backup.brought_in(kept_store, "from home.zip", whole, AT)
    assert brought.parent == backup.backup_folder(kept_store) and brought.name.startswith("brought-in-")
    app = opened("Backup", **{shop_backup.ASKED: brought})
    brought.write_bytes(b"changed meanwhile")
    assert "is no whole backup of this program" in errors(app.run())
    assert "in place of all" not in words(fine(app.run())), "asked no more"
    assert brought.name not in words(app), "what cannot be read is not offered"


def test_a_damaged_database_is_put_aside_and_a_backup_takes_its_place(kept_store: Store) -> None:
    named(kept_store, "sound")
    made = backup.made_in_folder(kept_store, AT)
    kept_store.close()
    kept._store_at.clear()
    file = kept_store.where.database
    for end in ("-wal", "-shm"):
        file.with_name(file.name + end).unlink(missing_ok=True)
    file.write_bytes(b"SQLite format 3\0" + b"damage" * 2000)
    app = AppTest.from_function(page, default_timeout=30).run()
    assert "damaged" in errors(app) and made.path.name in words(app), (errors(app), words(app))
    press(app, "Put this one in its place")
    assert "press once more" in words(app)
    press(app, "Yes, put it in its place")
    assert "sound" in words(fine(app.run()))
    assert any((kept_store.where.kept).glob("damaged-*"))


def test_two_backups_within_a_second_have_names_of_their_own(kept_store: Store) -> None:
    one, two = backup.made_in_folder(kept_store, AT), backup.made_in_folder(kept_store, AT.replace(microsecond=7))
    assert one.path != two.path and len(backup.backups_in(one.path.parent)) == 2
    assert backup.backup_words(one).endswith(f"jobs and shop 0, revisions 0; {one.size_bytes / 1e3:.0f} kB")
    assert backup.backup_words(replace(one, size_bytes=2_340_000, photos=2, missing=("a",))).endswith(
        "revisions 0, 2 photos, without 1 photos whose files were gone; 2.3 MB")


@pytest.mark.parametrize("fault", [
    faults.StoreFull("no room is left for the backup; free some space and try again"),
    faults.StoreReadOnly("the folder is read-only; let this program write there"),
])
def test_a_backup_that_cannot_be_written_says_why(
    kept_store: Store, monkeypatch: pytest.MonkeyPatch, fault: faults.StoreError,
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise fault

    monkeypatch.setattr(backup, "write_backup", refuse)
    app = press(opened("Backup"), "Make a backup now")
    assert errors(app) == str(fault) and not app.exception
    assert backup.last_backup(kept_store) is None


def test_a_folder_that_is_a_file_is_told(kept_store: Store) -> None:
    folder: Path = backup.backup_folder(kept_store)
    folder.write_text("in the way", encoding="utf-8")
    app = press(opened("Backup"), "Make a backup now")
    assert "backups" in errors(app) and not app.exception, errors(app)


def test_a_backup_larger_than_the_browser_takes_is_restored_from_the_folder(
    kept_store: Store, tmp_path: Path,
) -> None:
    named(kept_store, "before")
    elsewhere = backup.make_backup(kept_store, tmp_path / "from the old machine.zip", AT).path
    with zipfile.ZipFile(elsewhere, "a", zipfile.ZIP_STORED) as archive:
        archive.writestr("note.bin", random.Random(1).randbytes(11_000_000))
    named(kept_store, "after")
    app = opened("Backup")
    told = words(app)
    assert "copy it into that folder with the file manager" in told and str(backup.backup_folder(kept_store)) in told
    backup.backup_folder(kept_store).mkdir(parents=True, exist_ok=True)
    shutil.copy(elsewhere, backup.backup_folder(kept_store))
    press(app, "Look into the folder again")
    assert "from the old machine.zip" in words(fine(app)) and "; 11.0 MB" in words(app)
    press(app, "Restore")
    press(app, "Restore it")
    assert body(fine(app) and kept_store)["name"] == "before"
