"""The long runs in small: hostile input through every way in, as the command does it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).parents[1]


def soak(module: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", f"tests.soak.{module}", *arguments], cwd=TOP, capture_output=True,
                          text=True, check=False, timeout=200)


def test_hostile_input_is_refused_in_one_line_or_read(tmp_path: Path) -> None:
    done = soak("fuzz", "--cases", "300", "--seed", "7", "--keep", str(tmp_path))
    assert done.returncode == 0, done.stdout + done.stderr
    assert "faults 0," in done.stdout
    for kind in ("job file", "shop file", "log", "table", "photo", "typed sequence"):
        assert f"{kind:<16}" in done.stdout


def test_a_fault_is_told_and_its_input_kept(tmp_path: Path) -> None:
    """The command itself is held to account: a way in that breaks is found, told and kept."""
    broken = (
        "import sys; from tests.soak import fuzz; "
        "fuzz.KINDS = {'broken': (1, lambda dice: (b'bad', lambda data: 1 / 0))}; "
        f"sys.argv = ['fuzz', '--cases', '3', '--keep', {str(tmp_path / 'kept')!r}]; sys.exit(fuzz.main())"
    )
    done = subprocess.run([sys.executable, "-c", broken], cwd=TOP, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "faults 3," in done.stdout and "ZeroDivisionError" in done.stdout
    assert sorted(path.read_bytes() for path in (tmp_path / "kept").iterdir()) == [b"bad"] * 3
