"""The long runs in small: hostile input through every way in, as the command does it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.soak import audit

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


def test_the_audit_looks_at_all_that_is_needed_and_finds_what_is_known(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
) -> None:
    packages = audit.needed()
    assert {"numpy", "streamlit", "sqlalchemy", "typst", "starlette", "pytest"} <= set(packages)
    known = {"$meta": {"timestamp": 1_600_000_000}, "numpy": [{"id": "x-1", "cve": None, "specs": [">=1,<99"]}],
             "typst": [{"id": "x-2", "cve": "CVE-0", "specs": ["<0.1"]}]}
    (tmp_path / "safety_db").mkdir()
    (tmp_path / "safety_db" / "__init__.py").write_text("")
    (tmp_path / "safety_db" / "insecure_full.json").write_text(json.dumps(known))
    monkeypatch.syspath_prepend(tmp_path)
    told = audit.offline(packages)
    assert told is not None
    assert told.splitlines()[0] == f"numpy {packages['numpy']}: x-1"
    assert told.splitlines()[1].startswith("offline database of 2020-09-13 (2 packages known): ")
    assert ", 1 known faults. " in told
