"""Kills a program in the middle of a write, over and over, and looks that nothing acknowledged is lost.

    python tests/records/kill_rounds.py --rounds 1000

One round: a program writes without pause and notes what it was told is kept; it is killed (SIGKILL) at a
random moment; then the store is opened and compared with the notes.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing, suppress
from datetime import date
from functools import cache
from pathlib import Path
from typing import NoReturn

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
sys.path.insert(0, str(Path(__file__).resolve().parent))

from bench_walk import Walk, demo, people
from store_examples import at, job, png, readings, with_reading

from finishplan.office.quote import Quote
from finishplan.office.quote_work import work_up_quote
from finishplan.records import backup, bench_log, bench_timers, inspections, photos, restore, signatures, where
from finishplan.records.at_bench import at_bench
from finishplan.records.files import demo_job_path, demo_shop_path, read_file
from finishplan.records.sent_quotes import send, sent_of
from finishplan.records.store import Store, open_store
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict

LONGEST_WAIT_S = 20.0
A, B = 3, 5
"""How many jobs the two backups hold that the restore rounds put back in turn."""

Note = Callable[[str], None]


def write_saves(store: Store, note: Note) -> None:
    job_id = store.jobs().rows[0].id
    while True:
        number = len(readings(store.open(job_id).body)) + 1
        store.change(job_id, with_reading(300 + number % 100, spot=number), "Ana", at(number))
        note(str(number))


def check_saves(store: Store, noted: list[str]) -> None:
    opened = store.open(store.jobs().rows[0].id)
    spots = [entry["spot"] for entry in readings(opened.body)]
    assert spots == list(range(1, len(spots) + 1)), "each revision is whole and in order"
    assert len(spots) >= max(map(int, noted), default=0), "an acknowledged revision is lost"
    assert opened.revision == len(spots) + 1
    assert len(readings(store.open_revision(opened.id, opened.revision - len(spots) // 2).body)) == (
        len(spots) - len(spots) // 2)


def write_log(store: Store, note: Note) -> None:
    job_id, number = store.jobs().rows[0].id, 0
    while True:
        number += 1
        line = bench_log.write_line(store, job_id, "reading", {"um": number}, "Ana", at(number), panel="lid")
        note(str(line.number))


def check_log(store: Store, noted: list[str]) -> None:
    numbers = [line.number for line in bench_log.lines(store, store.jobs().rows[0].id)]
    assert numbers == list(range(1, len(numbers) + 1))
    assert len(numbers) >= max(map(int, noted), default=0), "an acknowledged log line is lost"


def write_photos(store: Store, note: Note) -> None:
    job_id, number = store.jobs().rows[0].id, len(photos.photos_of(store, store.jobs().rows[0].id))
    while True:
        number += 1
        colour = f"#{number % 256:02x}{number // 256:02x}80"
        note(photos.add_photo(store, job_id, png(90, 60, colour), f"{number}.png", "Ana", at(number)).digest)


def check_photos(store: Store, noted: list[str]) -> None:
    kept = [row.digest for row in photos.photos_of(store, store.jobs().rows[0].id)]
    assert set(noted) <= set(kept), "an acknowledged photo is lost"
    for digest in kept:
        photos.picture(store, digest)


def write_backups(store: Store, note: Note) -> None:
    while True:
        name = f"b-{time.monotonic_ns():020}.zip"
        backup.make_backup(store, store.where.folder / name, at())
        note(name)


def check_backups(store: Store, noted: list[str]) -> None:
    names = {path.name for path in store.where.folder.glob("b-*.zip")}
    assert set(noted) <= names, "an acknowledged backup is lost"
    for name in names:
        assert backup.check_backup(store.where.folder / name).documents == A
    for name in sorted(names)[:-1]:
        (store.where.folder / name).unlink()


def write_restores(store: Store, note: Note) -> None:
    number = time.monotonic_ns() // 1000
    while True:
        for count in (A, B):
            number += 1
            restore.restore(store, store.where.folder / f"of-{count}.zip", at(number / 6e7))
            note(str(count))


def check_restores(store: Store, noted: list[str]) -> None:
    assert store.jobs().total in (A, B), "a restore was done by half"
    for row in store.jobs().rows:
        assert store.open(row.id).title == row.title
    for kept in store.where.kept.glob("*.zip"):
        assert backup.check_backup(kept).documents in (A, B)
        kept.unlink()


def write_starts(store: Store, note: Note) -> None:
    number = 0
    while True:
        fresh = where.find(store.where.folder / f"new-{os.getpid()}-{number}", None, {})
        made = open_store(fresh, at())
        note(f"{fresh.folder.name} {made.start(job(), 'Ana', at()).id}")
        made.close()
        number += 1


def check_starts(store: Store, noted: list[str]) -> None:
    ids = dict(line.split() for line in noted)
    for folder in store.where.folder.glob("new-*"):
        made = open_store(where.find(folder, None, {}), at())
        if folder.name in ids:
            made.open(ids[folder.name])
        made.close()
        shutil.rmtree(folder)


def write_bench(store: Store, note: Note) -> None:
    """Walk a part of the demo: signatures, readings, timers, a step, over and over with what is logged set aside."""
    people(store)
    job_id = demo(store, ("front lid flap",))
    walk = Walk(store, job_id, at())
    walk.begin()
    note(f"{job_id} {len(walk.bench().lines)} 0")
    while True:
        bench = walk.bench()
        task = bench.where.next
        if task is None or bench.where.finished:
            walk = Walk(store, demo(store, ("front lid flap",)), at())
            walk.begin()
            continue
        bench_timers.start_timer(store, walk.job_id, task.key, walk.now)
        walk.do(task, bench)
        signed = len(signatures.signatures_of(store, walk.job_id, "hold"))
        note(f"{walk.job_id} {len(walk.bench().lines)} {signed} {task.key.replace(' ', '_')}")


def check_bench(store: Store, noted: list[str]) -> None:
    """Look that every line and signature told as kept is there, that the bench can be opened, and tasks are whole."""
    for line in noted:
        job_id, lines, signed, *task = line.split()
        bench = at_bench(store, job_id, at())
        assert len(bench.lines) >= int(lines), "an acknowledged line of the bench is lost"
        assert len(signatures.signatures_of(store, job_id, "hold")) >= int(signed), "a signature is lost"
        assert set(task) <= {key.replace(" ", "_") for key in bench.where.done}, "a task that was done is open again"
    for row in store.jobs(limit=500).rows:
        check_whole(store, row.id)


def check_whole(store: Store, job_id: str) -> None:
    """Look that a signature stands with its line, and a step with its minutes and sheets."""
    lines = at_bench(store, job_id, at()).lines
    assert [line.number for line in lines] == list(range(1, len(lines) + 1))
    signed = sorted(one.what for one in signatures.signatures_of(store, job_id, "hold"))
    logged = [f"hold|{line.panel}|{line.values.hold}" for line in lines if line.kind == "hold signed"]
    plans = [f"replan|{number}" for number, _ in enumerate((ln for ln in lines if ln.kind == "replan"), start=1)]
    assert signed == sorted([*logged, *plans]), "a hold point or a new plan is signed by half"
    by_kind = {kind: sorted((line.panel, line.step) for line in lines if line.kind == kind)
               for kind in ("step done", "minutes", "sheets")}
    assert by_kind["minutes"] == by_kind["step done"], "a step is logged without its minutes"
    assert by_kind["sheets"] == [place for place in by_kind["step done"] if place[1].startswith("P")]


@cache
def a_quote() -> Quote:
    """A quote of the demo, made once: what is killed is the keeping."""
    profile = apply_shop(default_profile(), read_file(demo_shop_path()))
    return work_up_quote(read_job_dict(read_file(demo_job_path())), profile, date(2026, 6, 1), "buff only")[0]


def write_sent(store: Store, note: Note) -> None:
    job_id = store.jobs().rows[0].id
    while True:
        kept = send(store, job_id, lambda _number, _revision: a_quote(), lambda _quote, paper: paper.encode() * 9000,
                    (1, 1), "A4", "Ana", at())
        note(kept.id)


def check_sent(store: Store, noted: list[str]) -> None:
    kept = {sent.id: sent for sent in sent_of(store, store.jobs().rows[0].id)}
    assert set(noted) <= set(kept), "a sent quote is lost"
    assert sorted(sent.body.revision for sent in kept.values()) == list(range(1, len(kept) + 1))
    assert all(sent.pdf == b"A4" * 9000 for sent in kept.values())


def write_inspected(store: Store, note: Note) -> None:
    job_id, number, read = store.jobs().rows[0].id, 0, 0
    while True:
        number += 1
        panel, text = f"panel {number % 3}", f"note {number}"
        held = inspections.type_in(store, job_id, panel, "note", text, read, "Ana", at(number))
        read = 0 if number % 2 else held.stands.number
        note(f"{number % 3} {number}")


def check_inspected(store: Store, noted: list[str]) -> None:
    held = inspections.inspected(store, store.jobs().rows[0].id)
    told = {entry.value for fields in held.values() for one in fields.values() for entry in (one.stands, *one.beside)}
    last = {line.split()[0]: line.split()[1] for line in noted}
    assert {f"note {number}" for number in last.values()} <= told, "an acknowledged field of an inspection is lost"


KINDS: dict[str, tuple[Callable[[Store, Note], None], Callable[[Store, list[str]], None]]] = {
    "save": (write_saves, check_saves), "log": (write_log, check_log), "photo": (write_photos, check_photos),
    "backup": (write_backups, check_backups), "restore": (write_restores, check_restores),
    "migrate": (write_starts, check_starts), "bench": (write_bench, check_bench),
    "quote sent": (write_sent, check_sent), "inspection": (write_inspected, check_inspected),
}


def prepare(folder: Path) -> None:
    """Make a store of A jobs, and the two backups of the restore rounds."""
    store = open_store(where.find(folder, None, {}), at())
    for number in range(1, B + 1):
        store.start(job(f"job {number}"), "Ana", at(number))
        if number in (A, B):
            backup.make_backup(store, folder / f"of-{number}.zip", at(number))
    restore.restore(store, folder / f"of-{A}.zip", at())
    store.close()


def serve() -> None:
    """Fork a writer for each line "kind folder notes"; say its number, and when it is gone."""
    for line in sys.stdin:
        kind, folder, notes = line.rstrip("\n").split("\t")
        child = os.fork()
        if child == 0:
            write(kind, Path(folder), Path(notes))
        print(child, flush=True)
        os.waitpid(child, 0)
        print("gone", flush=True)


def write(kind: str, folder: Path, notes: Path) -> NoReturn:
    """Write until killed; whatever else ends it is a fault, noted for the check to see."""
    out = os.open(notes, os.O_WRONLY | os.O_CREAT | os.O_APPEND)

    def note(text: str) -> None:
        os.write(out, f"{text}\n".encode())

    try:
        KINDS[kind][0](open_store(where.find(folder, None, {}), at()), note)
    except BaseException as error:
        note(f"FAILED {type(error).__name__} {error}")
    os._exit(1)


class Nursery:
    """A program that has loaded everything and forks writers, so that a round takes no start-up time."""

    def __init__(self) -> None:
        self.program = subprocess.Popen([sys.executable, __file__, "--serve"], stdin=subprocess.PIPE,
                                        stdout=subprocess.PIPE, text=True)

    def __enter__(self) -> Nursery:
        return self

    def __exit__(self, *_: object) -> None:
        self.program.communicate(timeout=30)

    def live_and_die(self, kind: str, folder: Path, notes: Path, chance: random.Random) -> list[str]:
        """Start a writer, kill it, and return the lines that it noted."""
        assert self.program.stdin is not None and self.program.stdout is not None
        self.program.stdin.write(f"{kind}\t{folder}\t{notes}\n")
        self.program.stdin.flush()
        child = int(self.program.stdout.readline())
        wait_for_notes(notes, chance.randint(0, 4))
        time.sleep(chance.uniform(0, 0.03))
        with suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)
        assert self.program.stdout.readline() == "gone\n"
        # A line is written after what it tells of; one that the kill cut short does not count.
        noted = notes.read_text().split("\n")[:-1] if notes.exists() else []
        assert not [line for line in noted if line.startswith("FAILED")], noted[-1]
        return noted


def wait_for_notes(notes: Path, count: int) -> None:
    """Wait until so many lines are noted, so that a slow machine kills no earlier than a fast one."""
    until = time.monotonic() + LONGEST_WAIT_S
    while time.monotonic() < until:
        found = notes.read_bytes() if notes.exists() else b""
        if found.count(b"\n") >= count or b"FAILED" in found:
            return
        time.sleep(0.002)


def rounds(nursery: Nursery, kind: str, count: int, seed: int = 1) -> int:
    """Do ``count`` rounds of one kind; return how many acknowledgements were checked."""
    chance, acknowledged = random.Random(f"{kind} {seed}"), 0
    folder = Path(tempfile.mkdtemp(prefix="finishplan-kill-"))
    try:
        prepare(folder)
        for number in range(count):
            noted = nursery.live_and_die(kind, folder, folder / f"notes-{number}", chance)
            store = open_store(where.find(folder, None, {}), at())
            try:
                KINDS[kind][1](store, noted)
            finally:
                store.close()
            with closing(sqlite3.connect(store.where.database)) as database:
                assert database.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
                assert database.execute("PRAGMA foreign_key_check").fetchall() == []
            acknowledged += len(noted)
    finally:
        shutil.rmtree(folder)
    return acknowledged


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--rounds", type=int, default=1000, help="rounds in all, shared among the kinds")
    asked.add_argument("--kind", choices=KINDS, help="one kind of write alone")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--serve", action="store_true", help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.serve:
        serve()
        return
    kinds = [given.kind] if given.kind else list(KINDS)
    with Nursery() as nursery:
        for kind in kinds:
            count, begun = max(1, given.rounds // len(kinds)), time.monotonic()
            found, took_s = rounds(nursery, kind, count, given.seed), time.monotonic() - begun
            print(f"{kind}: {count} rounds, {found} acknowledged, 0 lost, {took_s:.0f} s", flush=True)


if __name__ == "__main__":
    main()
