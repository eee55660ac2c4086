"""The store fails while somebody types on the Survey page, and comes back: said, nothing lost, no restart."""

from __future__ import annotations

import asyncio
import contextlib
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from postgres_cluster import Cluster

from finishplan.records import where
from finishplan.records.files import demo_job_path, read_file
from finishplan.records.store import Store, open_store
from tests.served import answer, free_port
from tests.soak.sessions import Session
from tests.soak.tablets import ADD, AT, ROW

TOP = Path(__file__).parents[2]
TYPED = 377
"""A reading that nothing else on the page shows."""
HOW, WORDS = "Shown how", "a hot needle under the key slip"
"""A box that keeps itself, and what is typed in it."""


@contextmanager
def screens(data: Path, url: str | None) -> Iterator[tuple[str, str]]:
    """The screens in a process over a store with one job: their address, and the job."""
    store = open_store(where.find(data, url, {}), AT)
    body: Any = read_file(demo_job_path())
    job_id = store.start({**body, "finish_id": {"result": "unknown"}}, "A", AT).id
    store.close()
    port = free_port()
    app = subprocess.Popen(
        [sys.executable, "-m", "streamlit", "run", "app.py", f"--server.port={port}"], cwd=TOP,
        stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        env={**os.environ, where.DATA_VARIABLE: str(data), where.DB_VARIABLE: url or ""})
    try:
        assert answer(f"http://127.0.0.1:{port}/_stcore/health", 60.0) == "ok"
        yield f"http://127.0.0.1:{port}", job_id
    finally:
        app.terminate()
        app.wait(30)


@contextmanager
def small_disk(at: Path) -> Iterator[None]:
    """A disk of two megabytes, which only root can mount."""
    mount = ["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(at)]
    if not hasattr(os, "geteuid") or os.geteuid() or subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("a small disk can only be mounted by root")
    try:
        yield
    finally:
        subprocess.run(["umount", "-l", str(at)], check=True)


def fill(file: Path) -> None:
    """Write into a file until nothing more fits."""
    with file.open("wb", buffering=0) as out, contextlib.suppress(OSError):
        while out.write(b"x" * 4096):
            pass


async def typed_through(address: str, job_id: str, fails: Any, said: str, comes_back: Any) -> None:
    """Type; let the store fail; type in a box and a row, and read what is said; let it come back; and go on.

    The box is kept without being touched again. The row was emptied: it says what was typed, and is typed once more.
    """
    async with Session(address, "survey", job_id) as page:
        await page.ask({ROW: "371", ADD: True}, "reading 371 um at spot")
        fails()
        await page.ask({HOW: WORDS}, said)
        await page.ask({ROW: str(TYPED), ADD: True}, said)
        told = page.alerts
        comes_back()
        await page.ask({})
        assert any(f"not kept: {TYPED}" in one for one in (*told, *page.alerts)), (told, page.alerts)
        await page.ask({ROW: str(TYPED), ADD: True}, f"reading {TYPED} um at spot")


def kept(store: Store, job_id: str) -> tuple[list[float], str]:
    body: Any = store.open(job_id).body
    return [one["um"] for one in body["panels"][0]["zones"][0]["readings"]][-2:], body["finish_id"]["how"]


def test_a_server_stopped_and_started_while_somebody_types(cluster: Cluster, tmp_path: Path) -> None:
    url = cluster.fresh("typing")
    with screens(tmp_path / "data", url) as (address, job_id):
        asyncio.run(typed_through(address, job_id, cluster.stop, "the database server typing on 127.0.0.1",
                                  cluster.start))
    store = open_store(where.find(tmp_path / "data", url, {}), AT)
    assert kept(store, job_id) == ([371.0, TYPED], WORDS)
    store.close()


def test_a_disk_that_fills_up_and_gets_room_again_while_somebody_types(tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    disk.mkdir()
    with small_disk(disk), screens(disk / "data", None) as (address, job_id):
        filler = disk / "filler"
        asyncio.run(typed_through(address, job_id, lambda: fill(filler), "no room is left", filler.unlink))
        store = open_store(where.find(disk / "data", None, {}), AT)
        assert kept(store, job_id) == ([371.0, TYPED], WORDS)
        store.close()
