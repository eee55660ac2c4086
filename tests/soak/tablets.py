"""Many tablets of one shop at once: no reading lost, no error, how long an edit takes, how memory grows.

    python -m tests.soak.tablets --tablets 25 --minutes 10

First one tablet alone, then all of them, each on a job of its own: it types a reading, waits until the page is
written whole, and takes the next one after 5 to 15 seconds, as somebody with a gauge does. The tablets speak with the
screens as browsers do; one real browser works among them (where there is one), and alone before them.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import random
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from playwright.async_api import async_playwright

from finishplan.records import where
from finishplan.records.files import demo_job_path, read_file
from finishplan.records.store import Store, open_store
from tests.soak.sessions import Session

TOP = Path(__file__).parents[2]
AT = datetime(2031, 5, 6, 7, 8, tzinfo=UTC)
ROW, ADD = "Film, um: one, or several with spaces", "Add readings"
CHROMIUM = "/usr/bin/chromium"
THINK_S = (5.0, 15.0)
ALONE_S = 60.0
COMING_S = 20.0
"""All tablets have come by then; memory is counted from then on."""
MEMORY_EVERY_S = 10.0
LONGEST_MS = 60_000


@dataclass
class Worked:
    """One tablet's work: seconds of each edit, and the readings that the page said are kept."""

    took_s: list[float] = field(default_factory=list)
    told_um: list[int] = field(default_factory=list)


def started(folder: Path) -> tuple[subprocess.Popen[bytes], str]:
    """The app on a free port, and its address."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    server = subprocess.Popen(
        [sys.executable, "-m", "streamlit", "run", "app.py", f"--server.port={port}"], cwd=TOP,
        stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.STDOUT,
        env={**os.environ, where.DATA_VARIABLE: str(folder), where.DB_VARIABLE: ""})
    for _ in range(300):
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/health", timeout=2):
                return server, f"http://127.0.0.1:{port}"
        except OSError:
            time.sleep(0.2)
    raise RuntimeError("the app did not come up")


async def tablet(address: str, job_id: str, number: int, coming_s: float, until: float) -> Worked:
    """One tablet's work until a moment; raises RuntimeError where the page says a fault or not the reading."""
    dice, done = random.Random(number), Worked()
    await asyncio.sleep(dice.uniform(0.0, coming_s))
    async with Session(address, "survey", job_id) as page:
        while time.monotonic() < until:
            um = 200 + len(done.told_um)
            done.took_s.append(await page.ask({ROW: str(um), ADD: True}, f"reading {um} um at spot"))
            done.told_um.append(um)
            await page.rest(min(dice.uniform(*THINK_S), max(0.0, until - time.monotonic())))
    return done


async def browser_tablet(address: str, job_id: str, until: float) -> Worked:
    """One real browser's work until a moment; nothing without a job or where there is no browser."""
    done, dice = Worked(), random.Random(0)
    if not job_id or not Path(CHROMIUM).exists():
        return done
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = await (await browser.new_context(viewport={"width": 820, "height": 1180}, has_touch=True)).new_page()
        page.set_default_timeout(LONGEST_MS)
        await page.goto(f"{address}/survey?job={job_id}")
        row = page.get_by_label(ROW)
        await row.wait_for()
        while time.monotonic() < until:
            um = 200 + len(done.told_um)
            began = time.monotonic()
            await row.fill(str(um))
            await row.press("Enter")
            await page.get_by_role("button", name=f"reading {um} um at spot").first.wait_for()
            done.took_s.append(time.monotonic() - began)
            done.told_um.append(um)
            await asyncio.sleep(dice.uniform(*THINK_S))
        await browser.close()
    return done


async def memory_until(pid: int, until: float) -> list[tuple[float, float]]:
    """The memory of a process until a moment: seconds, MB."""
    found, began = [], time.monotonic()
    while time.monotonic() < until:
        for line in Path(f"/proc/{pid}/status").read_text(encoding="ascii").splitlines():
            if line.startswith("VmRSS:"):
                found.append((time.monotonic() - began, float(line.split()[1]) / 1024.0))
        await asyncio.sleep(MEMORY_EVERY_S)
    return found


async def together(address: str, jobs: Sequence[str], seconds: float, pid: int,
                   ) -> tuple[list[Worked], Worked, list[tuple[float, float]]]:
    """All tablets at once, the last job in a real browser: their work, the browser's, and the memory meanwhile."""
    until = time.monotonic() + seconds
    coming_s = min(COMING_S, seconds / 3.0) if len(jobs) > 2 else 0.0
    tablets = [tablet(address, job_id, number, coming_s, until) for number, job_id in enumerate(jobs[:-1], 1)]
    *found, real, memory = await asyncio.gather(
        *tablets, browser_tablet(address, jobs[-1], until), memory_until(pid, until))
    return list(found), real, memory


def readings(store: Store, job_id: str) -> list[float]:
    """What is kept of the first zone's readings."""
    body: Any = store.open(job_id).body
    return [reading["um"] for reading in body["panels"][0]["zones"][0]["readings"]]


def growth_mb_per_hour(memory: Sequence[tuple[float, float]]) -> float:
    """The slope of the memory once all have come: least squares, MB per hour; 0 where too little was seen."""
    seen = [(at, mb) for at, mb in memory if at > 2.0 * COMING_S]
    if len(seen) < 3:
        return 0.0
    return statistics.linear_regression([at for at, _ in seen], [mb for _, mb in seen]).slope * 3600.0


def times_words(what: str, took_s: Sequence[float], one_s: float) -> str:
    """Say how long edits took, beside one tablet alone."""
    if not took_s:
        return f"{what}: no edit"
    times = sorted(took_s)
    median = statistics.median(times)
    return (f"{what}: {len(times)} edits, median {median:.2f} s ({median / one_s:.1f} times one alone), "
            f"9 in 10 under {times[int(0.9 * len(times))]:.2f} s, slowest {times[-1]:.2f} s")


def main() -> int:
    """Run both parts and say what was found; 1 where an edit is lost."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--tablets", type=int, default=25)
    parser.add_argument("--minutes", type=float, default=10.0)
    options = parser.parse_args()
    seconds = 60.0 * options.minutes
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "data"
        store = open_store(where.find(data, None, {}), AT)
        body: Any = read_file(demo_job_path())
        jobs = [store.start({**body, "title": f"Tablet {n}"}, "A", AT).id for n in range(options.tablets + 3)]
        server, address = started(data)
        try:
            alone, _, _ = asyncio.run(together(address, [jobs[0], ""], min(ALONE_S, seconds), server.pid))
            _, real_alone, _ = asyncio.run(together(address, [jobs[1]], min(ALONE_S, seconds), server.pid))
            found, real, memory = asyncio.run(together(address, jobs[2:], seconds, server.pid))
        finally:
            server.terminate()
            server.wait(30)
        worked = [alone[0], real_alone, *found, real]
        lost = sum(um not in readings(store, job_id)
                   for job_id, one in zip(jobs, worked, strict=True) for um in one.told_um)
        store.close()
    one_s = statistics.median(alone[0].took_s)
    print(times_words("one tablet alone", alone[0].took_s, one_s))
    print(times_words(f"{options.tablets} tablets", [s for one in found for s in one.took_s], one_s))
    if real.took_s:
        print(times_words("a real browser alone", real_alone.took_s, statistics.median(real_alone.took_s)))
        print(times_words("a real browser among them", real.took_s, statistics.median(real_alone.took_s)))
    print(f"lost: {lost}; the app's memory: {memory[0][1]:.0f} MB at the start, {memory[-1][1]:.0f} MB after "
          f"{options.minutes:g} min, growing by {growth_mb_per_hour(memory):.0f} MB an hour")
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main())
