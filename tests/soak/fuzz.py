"""Hostile input, as a command: every way in is fed bad files, and must answer in one line or not at all.

    python -m tests.soak.fuzz --cases 100000 --seed 1

A case is at fault where it raises anything but our own error, takes over 5 s, or leads over 1 GB of memory. The
input of every fault is kept in a folder. Equal seeds give equal cases.
"""

from __future__ import annotations

import argparse
import io
import random
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from types import FrameType
from typing import Any

from PIL import Image

from finishplan.bench.log import read_log_dict
from finishplan.errors import FinishplanError
from finishplan.office.quote_work import work_up_quote
from finishplan.planning.plan import make_plan
from finishplan.planning.typed_sequence import read_typed_sequence
from finishplan.records.backup import check_backup, make_backup
from finishplan.records.files import demo_job_path, demo_shop_path, read_bytes, read_file
from finishplan.records.photos import read_photo
from finishplan.records.store import open_store
from finishplan.records.tables import add_rows, as_csv, as_xlsx
from finishplan.records.tables_in import read_table
from finishplan.records.where import Where
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict
from tests.soak import mutate

LONGEST_S = 5.0
MOST_MB = 1000.0
AT = datetime(2026, 5, 1, 9, 0, tzinfo=UTC)
FEW_CELLS = 400
"""A job of more entries than this is read and not planned: planning it is no matter of reading."""


class TooLong(Exception):
    """A case took over five seconds."""


@dataclass
class Tally:
    """What came of the cases so far."""

    seen: Counter[str] = field(default_factory=Counter)
    refused: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    slowest_s: float = 0.0


def job_case(dice: random.Random) -> tuple[bytes, Callable[[bytes], object]]:
    """A job file, planned where it is read."""
    return mutate.bad_json(dice, read_file(demo_job_path())), plan_of


def plan_of(data: bytes) -> object:
    """Read a job, and plan it unless it is very large."""
    job = read_job_dict(read_bytes(data))
    if sum(len(zone.defects) + len(zone.readings) for panel in job.panels for zone in panel.zones) > FEW_CELLS:
        return job
    return make_plan(job, default_profile())


def shop_case(dice: random.Random) -> tuple[bytes, Callable[[bytes], object]]:
    """A shop file; the demo job is planned, and now and then quoted, in the shop that is read."""
    def use(data: bytes) -> object:
        profile = apply_shop(default_profile(), read_bytes(data))
        job = read_job_dict(read_file(demo_job_path()))
        make_plan(job, profile)
        return work_up_quote(job, profile, AT.date(), "buff only") if data[-1] % 16 == 0 else None

    return mutate.bad_json(dice, read_file(demo_shop_path())), use


LOG: dict[str, Any] = {
    "format": "finishplan-log", "version": 1, "lines": [
        {"number": 1, "at": "2026-05-01T09:00:00+00:00", "who": "A", "panel": "main lid, top", "step": "P800",
         "kind": "reading", "zone": "field", "values": {"um": 401.0, "spot": 1, "method": "ultrasonic"}},
        {"number": 2, "at": "2026-05-01T09:30:00+00:00", "who": "A", "panel": "main lid, top", "step": "P800",
         "kind": "minutes", "values": {"minutes": 21.0}},
    ],
}


def log_case(dice: random.Random) -> tuple[bytes, Callable[[bytes], object]]:
    """A bench log."""
    return mutate.bad_json(dice, LOG), lambda data: read_log_dict(read_bytes(data))


def table_case(dice: random.Random) -> tuple[bytes, Callable[[bytes], object]]:
    """A spreadsheet of readings or defects, as CSV or XLSX, laid into the demo job."""
    body: Any = read_file(demo_job_path())
    what = dice.choice(("readings", "defects"))
    xlsx = dice.random() < 0.25
    data = mutate.bad_zip(dice, WORKBOOK) if xlsx else mutate.bad_rows(dice, as_csv(body, what))

    def use(given: bytes) -> object:
        return read_job_dict(add_rows(body, what, read_table(given, "table.xlsx" if xlsx else "table.csv", what)))

    return data, use


def photo_case(dice: random.Random) -> tuple[bytes, Callable[[bytes], object]]:
    """A photo."""
    return mutate.bad_photo(dice, dice.choice(PHOTOS)), lambda data: read_photo(data, "photo.jpg")


def backup_case(dice: random.Random) -> tuple[bytes, Callable[[bytes], object]]:
    """A backup, checked as before it is restored."""
    def use(data: bytes) -> object:
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "given.zip"
            path.write_bytes(data)
            return check_backup(path)

    return mutate.bad_zip(dice, BACKUP), use


def words_case(dice: random.Random) -> tuple[bytes, Callable[[bytes], object]]:
    """A sequence as typed."""
    good = b"P800, US 600 1000 > 1500 cut polish finish"
    return mutate.bad_bytes(dice, good), lambda data: read_typed_sequence(data.decode("utf-8", "surrogateescape"))


def made_photos() -> tuple[bytes, ...]:
    """A small JPEG and PNG."""
    made = []
    for kind in ("JPEG", "PNG"):
        out = io.BytesIO()
        Image.new("RGB", (40, 30), (90, 60, 30)).save(out, kind)
        made.append(out.getvalue())
    return tuple(made)


def made_backup() -> bytes:
    """A backup of a store that holds the demo job."""
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(Where(folder=Path(folder) / "data"), AT)
        store.start(read_file(demo_job_path()), "A", AT)
        target = Path(folder) / "backup.zip"
        make_backup(store, target, AT)
        store.close()
        return target.read_bytes()


WORKBOOK = as_xlsx(read_file(demo_job_path()))
PHOTOS = made_photos()
BACKUP = made_backup()
KINDS: dict[str, tuple[int, Callable[[random.Random], tuple[bytes, Callable[[bytes], object]]]]] = {
    "job file": (30, job_case), "shop file": (20, shop_case), "log": (15, log_case), "table": (15, table_case),
    "photo": (8, photo_case), "backup": (4, backup_case), "typed sequence": (8, words_case),
}
"""The ways in: how many of a hundred cases each gets, and what makes one."""


def alarm(_signal: int, _frame: FrameType | None) -> None:
    raise TooLong(f"over {LONGEST_S:g} s")


def run(cases: int, seed: int, keep: Path, tell: Callable[[str], None] = lambda text: None) -> Tally:
    """Run so many cases; the input of each fault goes into ``keep``."""
    tally = Tally()
    names, weights = list(KINDS), [weight for weight, _ in KINDS.values()]
    signal.signal(signal.SIGALRM, alarm)
    for number in range(cases):
        dice = random.Random(f"{seed}/{number}")
        name = dice.choices(names, weights)[0]
        data, use = KINDS[name][1](dice)
        started = time.perf_counter()
        signal.setitimer(signal.ITIMER_REAL, LONGEST_S)
        try:
            use(data)
        except FinishplanError as error:
            tally.refused[name] += 1
            if "\n" in str(error) or not str(error):
                note(tally, keep, f"{name} {number}: no one line: {str(error)[:200]!r}", data)
        except BaseException as error:
            if isinstance(error, KeyboardInterrupt):
                raise
            told = "".join(traceback.format_exception(error, limit=-3)).strip().replace("\n", " | ")
            note(tally, keep, f"{name} {number}: {told[:600]}", data)
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)
        tally.seen[name] += 1
        tally.slowest_s = max(tally.slowest_s, time.perf_counter() - started)
        if number % 5000 == 4999:
            tell(f"{number + 1} cases, {len(tally.faults)} faults")
    return tally


def note(tally: Tally, keep: Path, text: str, data: bytes) -> None:
    """Keep a fault and its input."""
    keep.mkdir(parents=True, exist_ok=True)
    (keep / f"{len(tally.faults):04d}.bin").write_bytes(data)
    tally.faults.append(text)


def peak_mb() -> float:
    """The most memory this process ever held; not that of the process that started it, which getrusage takes in."""
    for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
        if line.startswith("VmHWM:"):
            return float(line.split()[1]) / 1024.0
    return 0.0


def main() -> int:
    """Run the cases that were asked for and say what came of them; 1 where anything is at fault."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--cases", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, default=Path(tempfile.gettempdir()) / "finishplan-faults")
    options = parser.parse_args()
    tally = run(options.cases, options.seed, options.keep, lambda text: print(text, file=sys.stderr, flush=True))
    for name, count in sorted(tally.seen.items()):
        print(f"{name:<16}{count:>8} cases, {tally.refused[name]:>8} refused in one line")
    print(f"faults {len(tally.faults)}, slowest {tally.slowest_s:.2f} s, most memory {peak_mb():.0f} MB")
    for text in tally.faults[:50]:
        print(f"  {text}")
    return 1 if tally.faults or peak_mb() > MOST_MB else 0


if __name__ == "__main__":
    sys.exit(main())
