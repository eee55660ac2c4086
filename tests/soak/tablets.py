"""Many tablets of one shop at once, in a real browser: no reading lost, how long an edit takes, how memory grows.

    python -m tests.soak.tablets --tablets 25 --minutes 10

First one tablet alone, then all of them, each on a job of its own: it types a reading, waits until the page says
so, thinks for a few seconds. All browsers run on this machine too, so that what is told is the worst case.
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
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from playwright.async_api import Browser, async_playwright

from finishplan.records import where
from finishplan.records.files import demo_job_path, read_file
from finishplan.records.store import Store, open_store

TOP = Path(__file__).parents[2]
AT = datetime(2031, 5, 6, 7, 8, tzinfo=UTC)
ROW = "Film, um: one, or several with spaces"
CHROMIUM = "/usr/bin/chromium"
THINK_S = (2.0, 6.0)
LONGEST_MS = 60_000


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


Worked = tuple[list[float], list[int]]
"""Seconds of each edit, and the readings that the page said are kept."""


async def tablet(browser: Browser, address: str, job_id: str, number: int, until: float) -> Worked:
    """Return one tablet's work until a moment."""
    dice = random.Random(number)
    context = await browser.new_context(viewport={"width": 820, "height": 1180}, has_touch=True)
    page = await context.new_page()
    page.set_default_timeout(LONGEST_MS)
    await page.goto(f"{address}/survey?job={job_id}")
    row = page.get_by_label(ROW)
    await row.wait_for()
    took, told = [], []
    while time.monotonic() < until:
        um = 200 + len(told)
        started_at = time.monotonic()
        await row.fill(str(um))
        await row.press("Enter")
        await page.get_by_role("button", name=f"reading {um} um at spot").first.wait_for()
        took.append(time.monotonic() - started_at)
        told.append(um)
        await asyncio.sleep(dice.uniform(*THINK_S))
    await context.close()
    return took, told


async def together(address: str, jobs: list[str], seconds: float) -> list[Worked]:
    """All tablets at once, in one browser."""
    async with async_playwright() as playwright:
        browser = await playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        until = time.monotonic() + seconds
        work = [tablet(browser, address, job_id, n, until) for n, job_id in enumerate(jobs)]
        found = await asyncio.gather(*work)
        await browser.close()
        return list(found)


def readings(store: Store, job_id: str) -> list[float]:
    """What is kept of the first zone's readings."""
    body: Any = store.open(job_id).body
    return [reading["um"] for reading in body["panels"][0]["zones"][0]["readings"]]


def memory_mb(pid: int) -> float:
    """The memory of a process now."""
    for line in Path(f"/proc/{pid}/status").read_text(encoding="ascii").splitlines():
        if line.startswith("VmRSS:"):
            return float(line.split()[1]) / 1024.0
    return 0.0


def main() -> int:
    """Run both parts and say what was found; 1 where an edit is lost."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--tablets", type=int, default=25)
    parser.add_argument("--minutes", type=float, default=10.0)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "data"
        store = open_store(where.find(data, None, {}), AT)
        body: Any = read_file(demo_job_path())
        jobs = [store.start({**body, "title": f"Tablet {n}"}, "A", AT).id for n in range(options.tablets + 1)]
        server, address = started(data)
        try:
            alone = asyncio.run(together(address, jobs[:1], max(20.0, 6.0 * options.minutes)))
            before = memory_mb(server.pid)
            found = asyncio.run(together(address, jobs[1:], 60.0 * options.minutes))
            after = memory_mb(server.pid)
        finally:
            server.terminate()
            server.wait(30)
        lost = sum(um not in readings(store, job_id)
                   for job_id, (_, told) in zip(jobs, [*alone, *found], strict=True) for um in told)
        store.close()
    one = statistics.median(alone[0][0])
    times = sorted(seconds for took, _ in found for seconds in took)
    print(f"one tablet: {len(alone[0][0])} edits, median {one:.2f} s")
    print(f"{options.tablets} tablets: {len(times)} edits, median {statistics.median(times):.2f} s "
          f"({statistics.median(times) / one:.1f} times), 9 in 10 under {times[int(0.9 * len(times))]:.2f} s")
    print(f"lost: {lost}; the app's memory {before:.0f} MB before, {after:.0f} MB after {options.minutes:g} min")
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main())
