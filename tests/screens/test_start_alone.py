"""The router started as a script of its own, from another folder: it must stay on this machine."""

from __future__ import annotations

import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def test_app_command_serves_on_this_machine_only(tmp_path: Path) -> None:
    port = free_port()
    with (tmp_path / "log.txt").open("wb") as out:
        server = subprocess.Popen([sys.executable, "-m", "finishplan", "app", "--port", str(port)], cwd=ROOT,
                                  stdout=out, stderr=subprocess.STDOUT, stdin=subprocess.DEVNULL)
        try:
            assert answer(f"http://127.0.0.1:{port}/_stcore/health", server) == b"ok"
            assert listening(port) == {"0100007F"}
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/_stcore/host-config", timeout=5) as reply:
                assert reply.status == 200
        finally:
            server.terminate()
            server.wait(20)
    log = (tmp_path / "log.txt").read_text(encoding="utf-8", errors="replace")
    assert "Traceback" not in log and "External URL" not in log and "Network URL" not in log


def answer(url: str, server: subprocess.Popen[bytes]) -> bytes:
    end = time.monotonic() + 40
    while time.monotonic() < end and server.poll() is None:
        try:
            with urllib.request.urlopen(url, timeout=2) as reply:
                return bytes(reply.read())
        except OSError:
            time.sleep(0.1)
    raise AssertionError("the app did not come up")


def listening(port: int) -> set[str]:
    """Addresses that listen on ``port``, in the kernel's own hexadecimal; 0100007F is 127.0.0.1."""
    table = Path("/proc/net/tcp")
    if not table.exists():
        pytest.skip("this system has no /proc/net/tcp to read")
    rows = [line.split() for line in table.read_text().splitlines()[1:]]
    found = {row[1].split(":")[0] for row in rows if int(row[1].split(":")[1], 16) == port and row[3] == "0A"}
    six = Path("/proc/net/tcp6")
    if six.exists():
        rows = [line.split() for line in six.read_text().splitlines()[1:]]
        found |= {row[1].split(":")[0] for row in rows
                  if int(row[1].split(":")[1], 16) == port and row[3] == "0A"}
    return found
