"""A private PostgreSQL for the tests: made in a folder of its own, on a free port, gone afterwards."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import tempfile
from pathlib import Path

USER = "bench"


def binaries() -> Path | None:
    """Return the folder of PostgreSQL's programs, newest first, or None."""
    beside = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda path: int(path.parent.name), reverse=True)
    on_path = shutil.which("initdb")
    found = [*beside, *([Path(on_path).parent] if on_path else [])]
    return next((path for path in found if (path / "initdb").exists()), None)


class Cluster:
    """One server with no passwords, for this machine alone; flushing is off because it is thrown away."""

    def __init__(self, programs: Path) -> None:
        self.programs = programs
        self.folder = Path(tempfile.mkdtemp(prefix="finishplan-pg-"))
        # The server refuses to run as root, so root makes it the work of its own user.
        self.user = "postgres" if hasattr(os, "geteuid") and os.geteuid() == 0 else None
        if self.user:
            shutil.chown(self.folder, self.user)
        self.port = _free_port()
        self._run("initdb", "-D", str(self.folder / "data"), "-A", "trust", "-U", USER, "-E", "UTF8", "--no-sync",
                  "--locale=C.UTF-8")

    def start(self) -> None:
        options = f"-p {self.port} -k {self.folder} -c listen_addresses=127.0.0.1 -c fsync=off"
        self._run("pg_ctl", "-D", str(self.folder / "data"), "-w", "-l", str(self.folder / "log"), "-o", options,
                  "start")

    def stop(self) -> None:
        self._run("pg_ctl", "-D", str(self.folder / "data"), "-w", "-m", "immediate", "stop")

    def remove(self) -> None:
        shutil.rmtree(self.folder, ignore_errors=True)

    def url(self, database: str) -> str:
        return f"postgresql://{USER}@127.0.0.1:{self.port}/{database}"

    def fresh(self, name: str = "shop") -> str:
        """Return the address of a database of that name with nothing of ours in it."""
        import psycopg

        with psycopg.connect(self.url("postgres"), autocommit=True) as connection:
            if connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone() is None:
                connection.execute(f"CREATE DATABASE {name}")
        with psycopg.connect(self.url(name), autocommit=True) as connection:
            connection.execute("DROP SCHEMA IF EXISTS finishplan CASCADE")
        return self.url(name)

    def _run(self, program: str, *arguments: str) -> None:
        done = subprocess.run([str(self.programs / program), *arguments], cwd=self.folder, user=self.user,
                              stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, timeout=60,
                              stdin=subprocess.DEVNULL, check=False)
        assert done.returncode == 0, done.stdout


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
