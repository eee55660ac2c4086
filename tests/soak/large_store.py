"""A store of very many jobs beside one of few: how much slower the Jobs page is, side by side in one run.

    python -m tests.soak.large_store --jobs 5000 --revisions 200

The page is run without a browser, in turns on both stores; the ratio of the medians is what counts.
"""

from __future__ import annotations

import argparse
import logging
import os
import statistics
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import insert, select
from streamlit.testing.v1 import AppTest

from finishplan.records import schema, where
from finishplan.records.files import demo_job_path, read_file
from finishplan.records.store import Store, open_store
from finishplan.screens.parts import kept

AT = datetime(2026, 1, 2, 8, 0, tzinfo=UTC)
FEW = 50
A_PIECE = 20_000


def filled(folder: Path, jobs: int, revisions: int) -> Store:
    """A store of so many invented jobs, each with as many revisions of one panel."""
    store = open_store(where.Where(folder), AT)
    body: Any = read_file(demo_job_path())
    first = store.start(body | {"panels": body["panels"][-1:]}, "A", AT)
    with store.reading() as connection:
        document = connection.execute(select(schema.document).where(schema.document.c.id == first.id)).one()._mapping
        revision = connection.execute(select(schema.revision).where(
            schema.revision.c.document_id == first.id)).one()._mapping
    for start in range(0, jobs, max(1, A_PIECE // revisions)):
        some = range(start, min(jobs, start + max(1, A_PIECE // revisions)))
        with store.writing() as connection:
            connection.execute(insert(schema.document), [dict(document) | {
                "id": f"job{n:06d}", "title": f"Invented instrument {n}", "find": f"invented instrument {n}",
                "head": revisions, "last": revisions, "changed_at": AT + timedelta(minutes=n)} for n in some])
            connection.execute(insert(schema.revision), [dict(revision) | {
                "document_id": f"job{n:06d}", "number": k, "shows": k, "parent": k - 1 if k > 1 else None,
                "wording": f"edit {k}"} for n in some for k in range(1, revisions + 1)])
    return store


def page_s(folder: Path, find: str) -> float:
    """The time of one run of the Jobs page on a store [s]."""
    def page() -> None:
        from finishplan.screens import jobs_page

        jobs_page.page()

    os.environ[where.DATA_VARIABLE] = str(folder)
    app = AppTest.from_function(page, default_timeout=120)
    app.run()
    started = time.perf_counter()
    if find:
        next(field for field in app.text_input if field.label.startswith("Find")).set_value(find)
    app.run()
    assert not app.exception and any("Invented" in button.label for button in app.button)
    return time.perf_counter() - started


def main() -> int:
    """Fill both stores, time the page on each in turns, and say the ratios; 1 where one is over the bar."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--jobs", type=int, default=5000)
    parser.add_argument("--revisions", type=int, default=200)
    parser.add_argument("--runs", type=int, default=9)
    parser.add_argument("--bar", type=float, default=1.5)
    options = parser.parse_args()
    os.environ.pop(where.DB_VARIABLE, None)
    logging.disable(logging.WARNING)
    with tempfile.TemporaryDirectory() as folder:
        large, small = Path(folder) / "large", Path(folder) / "small"
        filled(large, options.jobs, options.revisions).close()
        filled(small, FEW, options.revisions).close()
        size_mb = sum(path.stat().st_size for path in large.rglob("*") if path.is_file()) / 1e6
        print(f"{options.jobs} jobs of {options.revisions} revisions: {size_mb:.0f} MB")
        worst = 0.0
        for find in ("", "instrument 4"):
            times: dict[Path, list[float]] = {large: [], small: []}
            for _ in range(options.runs):
                for place, found in times.items():
                    found.append(page_s(place, find))
            many, few = (statistics.median(times[place]) for place in (large, small))
            worst = max(worst, many / few)
            what = f"finding {find!r}" if find else "opening"
            print(f"Jobs page, {what}: {1e3 * many:.0f} ms with {options.jobs} jobs, {1e3 * few:.0f} ms with {FEW}: "
                  f"ratio {many / few:.2f}")
        kept._store_at.clear()
    return 0 if worst <= options.bar else 1


if __name__ == "__main__":
    sys.exit(main())
