"""A service of one part, looked at as a kill would leave it just before and just after every single transaction.

What a killed program leaves is what stands in the database's files. They are copied at each of these points, and
each copy is opened as the next start of the program would open it.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from bench_walk import PIN, Walk, demo, people
from kill_rounds import check_whole
from sqlalchemy import Connection, Engine

from finishplan.bench.course import Task
from finishplan.records import bench_signed, bench_timers, bench_work, database, film_records, where
from finishplan.records.at_bench import at_bench
from finishplan.records.store import Store, open_store

FLAP = "front lid flap"
GONE_ON = 3
"""So many of the copies are worked on to the end."""


@dataclass
class Points:
    """Copies of the database, one before and one after each transaction, with what was acknowledged by then."""

    folder: Path
    walk: Walk | None = None
    taken: int = 0
    acknowledged: int = 0

    def copy(self, store: Path, when: str) -> None:
        to = self.folder / f"{self.taken:03}-{when}"
        to.mkdir()
        for file in store.glob("*.sqlite*"):
            shutil.copy(file, to / file.name)
        (to / "acknowledged").write_text(str(self.acknowledged))


@pytest.fixture
def points(lite: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Points]:
    found = Points(tmp_path / "points")
    found.folder.mkdir()
    real = database.writing

    @contextmanager
    def watched(engine: Engine) -> Iterator[Connection]:
        with real(engine) as connection:
            yield connection
            found.copy(lite.where.folder, "1 before")
        found.copy(lite.where.folder, "2 after")
        found.taken += 1

    people(lite)
    walk = found.walk = Walk(lite, demo(lite, (FLAP,)))
    monkeypatch.setattr(database, "writing", watched)
    serve(walk, found)
    monkeypatch.undo()
    yield found


def serve(walk: Walk, points: Points) -> None:
    """Do a whole service with a timer, a reading that stops it, a new plan, and its film record."""
    walk.begin()
    while not (bench := walk.bench()).where.finished:
        points.acknowledged = len(bench.lines)
        task = bench.where.next
        assert task is not None
        first = len(bench.legs) == 1
        if first and task.key == f"check|{FLAP}|field|levelled" and not bench.where.zone(FLAP, "field").read:
            stop_and_go_on(walk, task)
            continue
        if first and task.key == f"hold|{FLAP}|levelled":
            found = bench_signed.plan_again(bench)
            assert bench_signed.agree(walk.store, bench, found, "F2", PIN, "more taken", walk.now).kept
            walk.sign_stops()
            continue
        if task.what == "step":
            bench_timers.start_timer(walk.store, walk.job_id, task.key, walk.now)
        walk.do(task, bench)
    film_records.enter_record(walk.store, walk.bench(), "F1", walk.now, draws=0)


def stop_and_go_on(walk: Walk, task: Task) -> None:
    """Read low at a spot, twice beside it over the least, and then less film than planned everywhere."""
    walk.read(96, 13, task)
    for um in (350, 351):
        walk.read(um, 13, task, walk.bench().where.stops[0].line)
    assert len(bench_work.settle_odd(walk.store, walk.job_id, "F1", walk.now)) == 1
    film = walk.film[(FLAP, "field")]
    walk.film[(FLAP, "field")] = {spot: um - 20.0 for spot, um in film.items()}
    walk.do(task)


def test_every_point_of_a_service_can_be_opened_and_gone_on_from(points: Points) -> None:
    assert points.walk is not None
    job_id = points.walk.job_id
    copies = sorted(points.folder.iterdir())
    assert len(copies) == 2 * points.taken > 40
    lines: list[int] = []
    files = b""
    for number, folder in enumerate(copies):
        before, files = files, b"".join(
            path.read_bytes() for path in sorted(folder.glob("*.sqlite*")) if not path.name.endswith("-shm"))
        if files == before:
            continue  # not a byte has reached the disk since the last point, which was looked at
        store = open_store(where.find(folder, None, {}), points.walk.now)
        try:
            bench = at_bench(store, job_id, points.walk.now)
            check_whole(store, job_id)
            lines.append(len(bench.lines))
            wanted = "done" if film_records.kept_record(store, job_id) else "at the bench" if bench.begun else "survey"
            assert store.open(job_id).state == wanted
            assert len(bench.lines) >= int((folder / "acknowledged").read_text()), folder.name
            assert number % 2 or not number or lines[-1] == lines[-2], "a transaction that was not kept shows"
            if number % (len(copies) // GONE_ON) == 1 and not bench.where.stops and bench.begun:
                assert Walk(store, job_id, points.walk.now).go().where.finished, folder.name
        finally:
            store.close()
    assert lines == sorted(lines)
    assert film_records.kept_record(points.walk.store, job_id) is not None
