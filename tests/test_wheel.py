"""The built wheel, installed where no checkout is near: its own data, its own settings, the same words."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest
from served import assert_served_on_this_machine_only

from finishplan import cli
from finishplan.records.files import demo_job_path, demo_shop_path

TOP = Path(__file__).parents[1]
SCRIPTS = "Scripts" if os.name == "nt" else "bin"
ELSEWHERE = {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "VIRTUAL_ENV")}


def told(command: list[str], folder: Path, status: int = 0) -> str:
    """Run a command in a folder of its own; return what it prints."""
    done = subprocess.run(command, cwd=folder, env=ELSEWHERE, capture_output=True, text=True, encoding="utf-8",
                          check=False, timeout=240)
    assert done.returncode == status, done.stdout[-2000:] + done.stderr[-2000:]
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built by the tools of this environment without asking any network."""
    folder = tmp_path_factory.mktemp("wheel")
    told([sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(TOP)], folder)
    (found,) = folder.glob("*.whl")
    return found


@pytest.fixture(scope="module")
def scripts(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The programs of a fresh environment with only the wheel in it; other packages are borrowed from this one."""
    home = tmp_path_factory.mktemp("environment")
    told([sys.executable, "-m", "venv", "--without-pip", str(home)], home)
    python = str(home / SCRIPTS / "python")
    told([sys.executable, "-m", "pip", "--python", python, "--disable-pip-version-check", "install", "-q", "--no-deps",
          "--no-index", str(wheel)], home)
    site = told([python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"], home).strip()
    # A path line adds the folder only; path files inside it, such as an editable install's, are not read.
    (Path(site) / "borrowed.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    return home / SCRIPTS


def test_wheel_holds_the_package_its_data_and_nothing_else(wheel: Path) -> None:
    inside = set(zipfile.ZipFile(wheel).namelist())
    files = {path.relative_to(TOP).as_posix() for path in (TOP / "finishplan").rglob("*")
             if path.is_file() and "__pycache__" not in path.parts}
    data = {f"finishplan/_data/{folder}/{path.name}" for folder in ("reference", "demo")
            for path in (TOP / "data" / folder).iterdir()}
    extra = {"finishplan/_data/SAFETY.md", "finishplan/screens/.streamlit/config.toml"}
    assert data | extra | files <= inside
    assert {name for name in inside - files - data - extra if ".dist-info/" not in name} == set()


def test_wheel_reads_its_own_data(scripts: Path, tmp_path: Path) -> None:
    code = ("import finishplan, sys; from finishplan import reference, records; from finishplan.records import files; "
            "print(finishplan.__file__, reference.data_dir(), files.demo_job_path(), sep=chr(10))")
    places = told([str(scripts / "python"), "-c", code], tmp_path).splitlines()
    assert len(places) == 3
    for place in places:
        assert Path(place).is_relative_to(scripts.parent), place
        assert Path(place).exists()
    package = Path(places[0]).parent
    assert Path(places[1]) == package / "_data"
    assert (package / "screens" / "start.py").is_file()
    settings = (package / "screens" / ".streamlit" / "config.toml").read_text(encoding="utf-8")
    assert settings == (TOP / ".streamlit" / "config.toml").read_text(encoding="utf-8")
    assert 'address = "127.0.0.1"' in settings


def test_wheel_says_what_the_checkout_says(scripts: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    program = str(scripts / "finishplan")
    said = told([program, "demo", "files"], tmp_path)
    assert sorted(path.name for path in (tmp_path / "files").iterdir()) == [demo_job_path().name, demo_shop_path().name]
    assert cli.main(["demo"]) == 0
    assert said == capsys.readouterr().out
    job, shop = (str(Path("files") / path.name) for path in (demo_job_path(), demo_shop_path()))
    assert told([program, "plan", job, "--shop", shop], tmp_path, status=1) == said


def test_wheel_serves_the_screens_on_this_machine_only(scripts: Path, tmp_path: Path) -> None:
    assert_served_on_this_machine_only([str(scripts / "finishplan"), "app"], tmp_path)
