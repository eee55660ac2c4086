"""A running app and a browser that reports every fault: console, page, HTTP, and any request elsewhere."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest

sync_api = pytest.importorskip("playwright.sync_api") if not os.environ.get("CI") else __import__(
    "playwright.sync_api", fromlist=["sync_api"])

ROOT = Path(__file__).parents[2]
CHROMIUM = Path("/usr/bin/chromium")
READY = "[data-testid=stApp][data-test-script-state=notRunning]"
PROBES = ("/_stcore/health", "/_stcore/host-config")
"""Addresses that the screens ask for on trial; a 404 of one of them is no fault."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Let a browser test that ran out of time on a busy machine try once more; any other failure stands."""
    for item in items:
        if item.path.parent == Path(__file__).parent:
            item.add_marker(pytest.mark.flaky(reruns=1, only_rerun=["TimeoutError"]))


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def wait_for_health(url: str, server: subprocess.Popen[bytes], seconds: float = 40.0) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if server.poll() is not None:
            raise RuntimeError(f"the app stopped with status {server.returncode}")
        try:
            with urllib.request.urlopen(f"{url}/_stcore/health", timeout=2) as answer:
                if answer.read() == b"ok":
                    return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError("the app did not come up")


@pytest.fixture(scope="module")
def data_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the running app keeps its jobs: each file of tests has a shop of its own."""
    return tmp_path_factory.mktemp("kept")


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory, data_folder: Path) -> Iterator[str]:
    """The address of a running app."""
    port = free_port()
    log = tmp_path_factory.mktemp("app") / "log.txt"
    with log.open("wb") as out:
        server = subprocess.Popen(
            [sys.executable, "-m", "streamlit", "run", "app.py", f"--server.port={port}"],
            cwd=ROOT, stdout=out, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL,
            env={**os.environ, "FINISHPLAN_DATA": str(data_folder), "FINISHPLAN_DB": ""})
        try:
            wait_for_health(f"http://127.0.0.1:{port}", server)
            yield f"http://127.0.0.1:{port}"
        finally:
            server.terminate()
            server.wait(20)
    said = log.read_text(encoding="utf-8", errors="replace")
    assert "Traceback" not in said, said


@pytest.fixture(scope="session")
def browser() -> Iterator[object]:
    """One Chromium that finds no host but this machine."""
    if not CHROMIUM.exists() and not os.environ.get("CI"):
        pytest.skip("no Chromium on this machine")
    with sync_api.sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=str(CHROMIUM), args=[
            "--no-sandbox", "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"])
        yield chromium
        chromium.close()


@pytest.fixture
def visit(app: str, browser: object) -> Iterator[Callable[..., object]]:
    """Opens a page at a width and in a colour scheme; the test fails on any fault that page reports."""
    faults: list[str] = []
    contexts = []

    def probe(url: str) -> bool:
        return urlsplit(url).path.endswith(PROBES)

    def watch(page: object) -> None:
        page.on("console", lambda m: faults.append(f"console: {m.text}")
                if m.type == "error" and not probe(m.location.get("url", "")) else None)
        page.on("pageerror", lambda e: faults.append(f"page: {e}"))
        page.on("response", lambda r: faults.append(f"{r.status}: {r.url}")
                if r.status >= 400 and not (r.status == 404 and probe(r.url)) else None)
        page.on("request", lambda r: faults.append(f"elsewhere: {r.url}")
                if urlsplit(r.url).scheme not in ("data", "blob") and urlsplit(r.url).hostname != "127.0.0.1"
                else None)

    def go(width: int = 1280, height: int = 900, scheme: str = "light", path: str = "plan") -> object:
        context = browser.new_context(viewport={"width": width, "height": height}, color_scheme=scheme,
                                      has_touch=width < 1000)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(40_000)
        watch(page)
        page.goto(f"{app}/{path}")
        settle(page)
        if path == "plan":
            page.get_by_role("button", name="Open the demo job").wait_for()
        return page

    yield go
    for context in contexts:
        context.close()
    assert faults == []


def settle(page: object) -> None:
    """Wait until the app has nothing more to write."""
    page.wait_for_selector(READY)
    page.wait_for_timeout(150)
    page.wait_for_selector(READY)


@pytest.fixture
def settled() -> Callable[[object], None]:
    return settle


@pytest.fixture
def open_demo() -> Callable[[object], None]:
    """Opens the demo job and waits for the end of its plan."""

    def done(page: object) -> None:
        page.get_by_role("button", name="Open the demo job").click()
        page.get_by_role("heading", name="Notes", exact=True).wait_for()
        settle(page)

    return done
