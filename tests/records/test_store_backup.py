"""Backups made while the store is in use, checked, and brought back whole, from and to both databases."""

from __future__ import annotations

import re
import threading
from pathlib import Path

import pytest
from postgres_cluster import Cluster
from store_examples import at, contents, furnished, job, readings, with_reading

from finishplan.errors import BadValue
from finishplan.records import backup, bench_log, photos, restore, where
from finishplan.records.conflicts import Conflict
from finishplan.records.faults import NoSuchDocument, StoreCorrupt
from finishplan.records.store import Store, open_store


def test_a_backup_says_what_it_holds_and_is_remembered(store: Store, tmp_path: Path) -> None:
    furnished(store)
    assert backup.last_backup(store) is None
    told: list[float] = []
    made = backup.make_backup(store, tmp_path, at(10), told.append)
    assert made.path == tmp_path / "finishplan-backup-20260302-081000.zip"
    assert (made.documents, made.revisions, made.photos, made.missing) == (3, 7, 1, ())
    assert made.made_at == at(10) == backup.last_backup(store)
    assert backup.look_into(made.path) == backup.check_backup(made.path) == made
    assert told == sorted(told) and told[-1] == 1.0
    assert sorted(path.name for path in tmp_path.glob("*backup*")) == [made.path.name], "no drafts are left"


def test_a_backup_is_brought_back_as_it_was(store: Store, tmp_path: Path) -> None:
    job_id = furnished(store)
    before = contents(store)
    made = backup.make_backup(store, tmp_path / "a.zip", at(10))
    opened = store.open(job_id)
    store.save(job_id, job("changed since"), opened.revision, "Ben", at(11))
    other = store.start(job("started since"), "Ben", at(12))
    bench_log.write_line(store, job_id, "note", {}, "Ben", at(13))
    since = contents(store)
    done = restore.restore(store, made.path, at(14))
    assert contents(store) == before
    assert backup.last_backup(store) == at(10)
    with pytest.raises(NoSuchDocument):
        store.open(other.id)
    assert done.kept.parent == store.where.kept
    restore.restore(store, done.kept, at(15))
    assert contents(store) == since, "what stood before the restore was kept"


def test_a_backup_of_one_kind_of_store_goes_into_the_other(store: Store, cluster: Cluster, tmp_path: Path) -> None:
    furnished(store)
    made = backup.make_backup(store, tmp_path / "a.zip", at(10))
    url = cluster.fresh("other") if store.where.url is None else None
    other = open_store(where.find(tmp_path / "other", url, {}), at())
    try:
        restore.restore(other, made.path, at(11))
        assert contents(other) == contents(store)
        digest = photos.photos_of(other, other.jobs().rows[0].id)[0].digest
        assert photos.picture(other, digest) == photos.picture(store, digest)
    finally:
        other.close()


def test_a_number_given_out_is_not_given_out_again(store: Store, tmp_path: Path) -> None:
    made = store.start(job("a"), "Ana", at())
    saved = backup.make_backup(store, tmp_path / "a.zip", at(1))
    read = store.save(made.id, job("b"), 1, "Ana", at(2))
    restore.restore(store, saved.path, at(3))
    text = (
        "revision 2, which you opened, is not here since a backup was restored; Ana saved revision 1 on "
        f"{at().astimezone():%Y-%m-%d %H:%M} (started 'a'); yours is kept as revision 3; look at both and choose"
    )
    with pytest.raises(Conflict, match=f"^{re.escape(text)}$") as told:
        store.save(made.id, job("typed before the restore"), read.revision, "Ben", at(4))
    assert told.value.base is None and told.value.joined() is None
    assert store.open_revision(made.id, 3).title == "typed before the restore"
    assert store.save(made.id, job("c"), 1, "Ana", at(5)).revision == 4


def test_a_backup_while_others_write_holds_one_moment(store: Store, tmp_path: Path) -> None:
    ids = [store.start(job(str(number)), "Ana", at()).id for number in range(2)]
    stop, failures = threading.Event(), []

    def write() -> None:
        number = 0
        try:
            while not stop.is_set():
                number += 1
                for job_id in ids:  # the first always has as many readings as the second, or one more
                    store.change(job_id, with_reading(300 + number % 100, spot=number), "Ana", at(number))
        except BaseException as error:
            failures.append(error)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        made = [backup.make_backup(store, tmp_path / f"{number}.zip", at(number)) for number in range(4)]
    finally:
        stop.set()
        writer.join()
    assert failures == []
    seen = []
    for one in made:
        fresh = open_store(where.find(tmp_path / one.path.stem, None, {}), at())
        restore.restore(fresh, one.path, at())
        counts = [len(readings(fresh.open(job_id).body)) for job_id in ids]
        assert counts[0] - counts[1] in (0, 1)
        assert one.revisions == 2 + sum(counts)
        seen.append(sum(counts))
        fresh.close()
    assert seen == sorted(seen) and seen[-1] > seen[0], "the writer went on all the while"


def test_a_restore_while_others_write_loses_no_acknowledged_edit(store: Store, tmp_path: Path) -> None:
    made = store.start(job(), "Ana", at())
    saved = backup.make_backup(store, tmp_path / "a.zip", at())
    begun, acknowledged, failures = threading.Event(), [], []

    def write() -> None:
        try:
            for number in range(1, 40):
                edited = store.change(made.id, with_reading(400, spot=number), "Ben", at())
                acknowledged.append((number, edited.revision))
                if number == 10:
                    begun.set()
        except BaseException as error:
            failures.append(error)
            begun.set()

    writer = threading.Thread(target=write)
    writer.start()
    begun.wait(60)
    kept = restore.restore(store, saved.path, at(1)).kept
    writer.join()
    assert failures == []
    now = {entry["spot"] for entry in readings(store.open(made.id).body)}
    restore.restore(store, kept, at(2))
    before = {entry["spot"] for entry in readings(store.open(made.id).body)}
    assert now | before == {number for number, _ in acknowledged} and now & before == set()
    revisions = [revision for _, revision in acknowledged]
    assert len(set(revisions)) == len(revisions)


def test_a_photo_that_is_gone_does_not_stop_a_backup(lite: Store, tmp_path: Path) -> None:
    job_id = furnished(lite)
    digest = photos.photos_of(lite, job_id)[0].digest
    photos.file_of(lite.where.photos, digest).unlink()
    made = backup.make_backup(lite, tmp_path / "a.zip", at(1))
    assert (made.photos, made.missing) == (0, (digest,))


def test_a_stopped_backup_leaves_nothing(store: Store, tmp_path: Path) -> None:
    furnished(store)

    def stop(share: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        backup.make_backup(store, tmp_path / "b" / "a.zip", at(), stop)
    assert list((tmp_path / "b").iterdir()) == []
    assert backup.last_backup(store) is None


def test_a_name_that_is_taken_is_refused(store: Store, tmp_path: Path) -> None:
    (tmp_path / "a.zip").write_text("mine")
    with pytest.raises(BadValue, match=r"^backup file is 'a.zip'; it exists already; choose another name$"):
        backup.make_backup(store, tmp_path / "a.zip", at())
    assert (tmp_path / "a.zip").read_text() == "mine"


def test_a_damaged_database_is_put_aside_and_the_backup_takes_its_place(lite: Store, tmp_path: Path) -> None:
    job_id = furnished(lite)
    saved = backup.make_backup(lite, tmp_path / "a.zip", at())
    before = contents(lite)
    lite.close()
    damaged = b"not a database any more" * 900
    lite.where.database.write_bytes(damaged)
    with pytest.raises(StoreCorrupt):
        restore.restore(lite, saved.path, at(1))
    lite.close()
    store, done = restore.restore_damaged(lite.where, saved.path, at(2))
    try:
        assert contents(store) == before
        assert (done.kept / "finishplan.sqlite3").read_bytes() == damaged
        assert store.save(job_id, job("after"), store.open(job_id).revision, "Ana", at(3)).revision > 1000
    finally:
        store.close()


def test_a_present_that_cannot_be_kept_is_not_replaced(lite: Store, tmp_path: Path) -> None:
    made = lite.start(job(), "Ana", at())
    for number in range(20):
        note = "".join(chr(97 + i * (i + number) % 26) for i in range(3000))
        lite.change(made.id, with_reading(400, note=note), "Ana", at())
    saved = backup.make_backup(lite, tmp_path / "a.zip", at())
    lite.close()
    whole = bytearray(lite.where.database.read_bytes())
    page = 4096 * (len(whole) // 4096 // 2)
    whole[page: page + 4096] = b"\xff" * 4096
    lite.where.database.write_bytes(whole)
    with pytest.raises(StoreCorrupt, match="is damaged"):
        restore.restore(lite, saved.path, at(1))
    lite.close()
    assert lite.where.database.read_bytes()[page: page + 4096] == b"\xff" * 4096


def test_postgres_damage_is_for_its_keeper(tmp_path: Path) -> None:
    with pytest.raises(StoreCorrupt, match="is for its keeper to mend; then restore into it"):
        restore.restore_damaged(where.find(tmp_path, "postgresql://shop.example/jobs", {}), tmp_path / "a.zip", at())


def test_drafts_that_a_killed_program_left_are_cleared_after_a_day(lite: Store, tmp_path: Path) -> None:
    import os
    import time

    for name, age_h in (("old", 25), ("young", 1)):
        left = tmp_path / f".backup-{name}"
        left.mkdir()
        (left / "draft.zip").write_text("half")
        os.utime(left, (time.time() - age_h * 3600,) * 2)
    backup.make_backup(lite, tmp_path / "a.zip", at())
    assert [path.name for path in tmp_path.glob(".backup-*")] == [".backup-young"]
