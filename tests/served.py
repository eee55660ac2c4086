"""Starting the screens as a process and asking them over the wire: for the checkout and for the built wheel."""

from __future__ import annotations

import socket
import subprocess
import time
import urllib.request
from pathlib import Path


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def answer(url: str, within_s: float) -> str:
    """What a page answers, asked until it does."""
    end = time.monotonic() + within_s
    while True:
        try:
            with urllib.request.urlopen(url, timeout=5) as page:
                return str(page.read().decode())
        except OSError:
            if time.monotonic() > end:
                raise
            time.sleep(0.1)


def assert_served_on_this_machine_only(command: list[str], folder: Path) -> None:
    """Start ``command`` (it gets a port at its end) in ``folder``; it must answer on 127.0.0.1 and nowhere else."""
    port = free_port()
    with (folder / "app.log").open("wb") as log:
        app = subprocess.Popen([*command, "--port", str(port)], cwd=folder, stdin=subprocess.DEVNULL, stdout=log,
                               stderr=log)
    try:
        assert answer(f"http://127.0.0.1:{port}/_stcore/health", 40.0) == "ok"
        assert "<html" in answer(f"http://127.0.0.1:{port}/", 10.0)
        with socket.socket() as elsewhere:
            elsewhere.settimeout(5)
            assert elsewhere.connect_ex(("127.0.0.2", port)) != 0, "it listens beyond 127.0.0.1"
    finally:
        app.terminate()
        app.wait(20)
