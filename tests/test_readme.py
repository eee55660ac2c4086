"""README.md says what a newcomer does; what it says is done here, word for word where it can be."""

from __future__ import annotations

import json
import re
import shlex
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from finishplan import cli
from finishplan.planning.plan import make_plan
from finishplan.shop.profile import default_profile
from finishplan.survey.job import read_job_dict

TOP = Path(__file__).parents[1]
README = (TOP / "README.md").read_text(encoding="utf-8")
INSTALL = re.compile(
    r"python3 -m venv \.venv && \.venv/bin/python -m pip install -q -e (\.|\"\.\[test\]\") && (?P<then>\.venv/bin/.+)"
)
WINDOWS = re.compile(
    r"py -3 -m venv \.venv && \.venv\\Scripts\\python -m pip install -q -e (\.|\"\.\[test\]\") && "
    r"(?P<then>\.venv\\Scripts\\.+)"
)


def section(heading: str) -> str:
    """The text under one heading."""
    found = re.search(rf"^## {re.escape(heading)}\n(.*?)(?=^## |\Z)", README, re.M | re.S)
    assert found, f"README.md has no heading {heading!r}"
    return found[1]


def fences(text: str, language: str) -> list[list[str]]:
    """The fenced blocks of a language, each as its lines."""
    return [block.splitlines() for block in re.findall(rf"^```{language}\n(.*?)^```$", text, re.M | re.S)]


def shown_commands() -> list[list[str]]:
    """Every command of the section on commands, in reading order."""
    lines = [line for block in fences(section("Commands"), "sh") for line in block
             if line.startswith(".venv/bin/finishplan ")]
    return [shlex.split(line)[1:] for line in lines]


def test_it_begins_with_the_job_and_not_with_a_command() -> None:
    lines = README.splitlines()
    assert lines[0] == "# finishplan"
    first = README.split("\n\n")[1]
    assert len(first.split()) > 60
    for who in ("finisher", "owner", "trainee"):
        assert who in first
    assert README.index("## Run it") < README.index("## Test it") < README.index("```text")


@pytest.mark.parametrize(("heading", "extra", "then", "windows"), [
    ("Run it", ".", ".venv/bin/finishplan demo", r".venv\Scripts\finishplan demo"),
    ("Test it", '".[test]"', ".venv/bin/python -m pytest", r".venv\Scripts\python -m pytest"),
])
def test_two_commands_each_on_one_line(heading: str, extra: str, then: str, windows: str) -> None:
    """The lines themselves are run on a bare machine by .ci/run; here they must be the same in kind."""
    (posix,), (other,) = fences(section(heading), "sh"), fences(section(heading), "bat")
    assert len(posix) == len(other) == 1
    found, also = INSTALL.fullmatch(posix[0]), WINDOWS.fullmatch(other[0])
    assert found and also
    assert (found[1], found["then"]) == (extra, then)
    assert (also[1], also["then"]) == (extra, windows)


def test_the_test_extra_is_there() -> None:
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert any(need.startswith("pytest") for need in project["optional-dependencies"]["test"])
    assert project["scripts"]["finishplan"] == "finishplan.cli:main"
    assert f"Python {project['requires-python'].removeprefix('>=')} or newer" in README


def test_ci_runs_the_test_command_word_for_word() -> None:
    (line,) = fences(section("Test it"), "sh")[0]
    for heading in ("Run it", "Test it"):
        told = subprocess.run(["bash", str(TOP / ".ci" / "run"), "--show", heading], capture_output=True, text=True,
                              check=True, timeout=20)
        assert told.stdout.splitlines() == fences(section(heading), "sh")[0]
    assert line.endswith("pytest")


def test_every_shown_command_works(tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                                   capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    commands = shown_commands()
    assert {command[0] for command in commands} >= {"demo", "plan", "check", "sheet"}
    for command in commands:
        status = cli.main(command)
        out, err = capsys.readouterr()
        assert (err, status in (0, 1)) == ("", True), command
        assert len(out) > 40
        if "--json" in command:
            assert json.loads(out)["format"] == "finishplan-plan"


def test_options_it_names_are_there() -> None:
    helps = subprocess.run([sys.executable, "-c",
                            "from finishplan.cli import parser\n"
                            "import argparse\n"
                            "top = parser()\n"
                            "for action in top._actions:\n"
                            "    for command in (action.choices or {}).values():\n"
                            "        print(command.format_help())"], capture_output=True, text=True, check=True).stdout
    for option in set(re.findall(r"`(--[a-z-]+)", README)):
        assert option in helps, option


def test_the_look_at_it_is_what_the_demo_prints(capsys: pytest.CaptureFixture[str]) -> None:
    shown = [line for block in fences(README, "text") for line in block]
    assert cli.main(["demo"]) == 0
    printed = capsys.readouterr().out.splitlines()
    at = printed.index(shown[0])
    assert printed[at:at + len(shown)] == shown


def test_the_job_file_by_example_is_a_job() -> None:
    blocks = fences(section("The job file by example"), "json")
    assert blocks
    for block in blocks:
        job = read_job_dict(json.loads("\n".join(block)))
        assert "invented" in job.title
        plan = make_plan(job, default_profile())
        assert plan.panels[0].sequence


def test_files_it_points_to_are_there() -> None:
    links = re.findall(r"\]\(([^)#]+)\)", README)
    assert "SAFETY.md" in links
    for link in links:
        assert "://" not in link
        assert (TOP / link).exists(), link
