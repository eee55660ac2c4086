"""The rules of the house: linters, one-way imports, sizes, docstrings, units, purity, what is tracked."""

from __future__ import annotations

import ast
import doctest
import functools
import importlib
import inspect
import pkgutil
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import finishplan

TOP = Path(__file__).parents[1]
PACKAGE = Path(finishplan.__file__).parent
MOST_LINES, MOST_FUNCTION_LINES = 400, 60


@functools.cache
def tracked() -> tuple[Path, ...]:
    """Every file that git keeps, and that stands in the folder."""
    if not (TOP / ".git").exists():
        pytest.skip("not a git checkout")
    told = subprocess.run(["git", "-c", f"safe.directory={TOP}", "ls-files", "-z"], cwd=TOP, capture_output=True,
                          check=True, timeout=60)
    found = [TOP / name for name in told.stdout.decode().split("\0") if name]
    return tuple(path for path in found if path.is_file())


@functools.cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def python_files() -> list[Path]:
    return [path for path in tracked() if path.suffix == ".py"]


def in_rooms(*rooms: str) -> list[Path]:
    """The package's files in the rooms and modules that are named; all without names."""
    files = [path for path in python_files() if path.is_relative_to(PACKAGE)]
    return [p for p in files if not rooms or p.relative_to(PACKAGE).parts[0].removesuffix(".py") in rooms]


def functions(path: Path) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(tree(path)):
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
            yield node


# Tools.


@pytest.mark.parametrize(("command", "says"), [
    (["-m", "ruff", "check", "."], "All checks passed!"),
    (["-m", "mypy"], "Success: no issues found"),
    (["-c", "from importlinter.cli import lint_imports; raise SystemExit(lint_imports(no_cache=True))"], "0 broken."),
], ids=["ruff", "mypy", "import contract"])
def test_tool_finds_nothing(command: list[str], says: str) -> None:
    done = subprocess.run([sys.executable, *command], cwd=TOP, capture_output=True, text=True, check=False, timeout=280)
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr[-3000:]
    assert says in done.stdout


def test_mypy_and_the_contract_leave_nothing_out() -> None:
    import tomllib

    tools = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["tool"]
    assert tools["mypy"]["strict"] is True
    assert tools["mypy"]["packages"] == ["finishplan"]
    (contract,) = tools["importlinter"]["contracts"]
    assert (contract["exhaustive"], contract["exhaustive_ignores"]) == (True, ["__main__"])
    for override in tools["mypy"]["overrides"]:
        assert not override.get("ignore_errors", False)
        below_screens = [m for m in override["module"] if m.startswith("finishplan") and "screens" not in m]
        assert below_screens == [], "strict everywhere below the screens"


# What is tracked.

TOP_LEVEL = {"README.md", "DEVELOPERS.md", "SAFETY.md", "pyproject.toml", "app.py", "finishplan", "tests", "data"}


def test_top_level_is_as_agreed() -> None:
    found = {path.relative_to(TOP).parts[0] for path in tracked()}
    assert {name for name in found if not name.startswith(".")} == TOP_LEVEL


def test_no_word_of_unfinished_work() -> None:
    words = ["to" + "do", "fix" + "me", "not" + " implemented"]
    home = r"(?<![\w.~/-])/(?:home|Users|root)/\w"
    pattern = re.compile("|".join([*(rf"\b{word}\b" for word in words), home]), re.I)
    found = []
    for path in tracked():
        try:
            lines = path.read_text(encoding="utf-8").splitlines()
        except UnicodeDecodeError:
            continue
        found += [f"{path.relative_to(TOP)}:{number}: {line.strip()[:80]}"
                  for number, line in enumerate(lines, start=1) if pattern.search(line)]
    assert found == []


def test_names_of_files_say_what_is_in_them() -> None:
    vague = {"utils", "util", "helpers", "helper", "manager", "common", "misc"}
    assert [str(p) for p in python_files() if p.stem in vague] == []


# Sizes.


def test_no_module_is_too_long() -> None:
    lengths = {p.relative_to(TOP): len(p.read_text(encoding="utf-8").splitlines()) for p in python_files()}
    assert {str(name): lines for name, lines in lengths.items() if lines > MOST_LINES} == {}


def test_no_function_is_too_long() -> None:
    long = [f"{path.relative_to(TOP)}: {node.name}" for path in python_files() for node in functions(path)
            if (node.end_lineno or node.lineno) - node.lineno + 1 > MOST_FUNCTION_LINES]
    assert long == []


# Docstrings.


def public(node: ast.Module | ast.ClassDef) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef]:
    for child in node.body:
        if isinstance(child, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)) and child.name[0] != "_":
            yield child
            if isinstance(child, ast.ClassDef):
                yield from public(child)


def test_everything_public_says_what_it_is() -> None:
    bare = []
    for path in in_rooms():
        module = tree(path)
        if not ast.get_docstring(module):
            bare.append(str(path.relative_to(TOP)))
        bare += [f"{path.relative_to(TOP)}: {node.name}" for node in public(module) if not ast.get_docstring(node)]
    assert len(in_rooms()) > 60
    assert bare == []


def modules() -> list[str]:
    found = [info.name for info in pkgutil.walk_packages([str(PACKAGE)], "finishplan.")]
    return [name for name in found if not name.endswith(".__main__")]


def test_examples_in_docstrings_come_out() -> None:
    tried = 0
    for name in modules():
        result = doctest.testmod(importlib.import_module(name))
        assert result.failed == 0, name
        tried += result.attempted
    assert tried > 40


# Units.

FORMULAS = ("planning.removal", "planning.repairs", "survey.film")
UNITS = ("_um", "_mm", "_m", "_m2", "_cm3", "_ml", "_cm3_per_min", "_min", "_mrad", "_per_m", "_per_m2", "_h", "_g")
WITHOUT_UNIT = {
    "clearing", "speed", "overcut", "coverage", "confidence", "share", "bias_share", "echo_share", "prior_share",
    "prior_worth", "nu", "n",
}
"""Ratios, shares and counts of the formulas: numbers that have no unit."""


@pytest.mark.parametrize("name", FORMULAS)
def test_numbers_of_formulas_carry_their_unit(name: str) -> None:
    module = importlib.import_module(f"finishplan.{name}")
    looked_at = 0
    for function_name, function in inspect.getmembers(module, inspect.isfunction):
        if function.__module__ != module.__name__ or function_name.startswith("_"):
            continue
        for parameter in inspect.signature(function).parameters.values():
            if re.search(r"\b(float|Floats)\b", str(parameter.annotation)):
                looked_at += 1
                fine = parameter.name.endswith(UNITS) or parameter.name in WITHOUT_UNIT
                assert fine, f"{name}.{function_name}({parameter.name}) says no unit"
    assert looked_at > 5


# Purity: from survey up to workup nothing reads the clock, the environment, the network or a database.

PURE = ("units", "errors", "reference", "models", "wording", "survey", "shop", "planning", "safety", "bench", "office",
        "workup")
BARRED_IMPORTS = {"streamlit", "sqlalchemy", "sqlite3", "socket", "ssl", "http", "urllib", "requests", "httpx",
                  "subprocess", "asyncio", "secrets", "uuid"}
BARRED_CALLS = {
    "datetime.now", "datetime.today", "datetime.utcnow", "date.today", "time.time", "time.time_ns", "time.monotonic",
    "time.perf_counter", "time.localtime", "time.gmtime", "os.getenv", "os.environ", "os.urandom", "locale.getlocale",
}
SHARED_DICE = re.compile(r"random\.(?!default_rng$)[a-z_]+")
"""Draws from a generator that everybody shares; one's own is made with a seed, or handed in."""


def barred(name: str) -> bool:
    """Whether a dotted name is a clock, the environment, or dice that nobody handed in."""
    last_two = ".".join(name.split(".")[-2:])
    return last_two in BARRED_CALLS or bool(SHARED_DICE.fullmatch(last_two))



def impure(module: ast.Module) -> Iterator[str]:
    """What a module imports or calls that it may not."""
    for node in ast.walk(module):
        if isinstance(node, ast.Import):
            yield from (a.name for a in node.names if a.name.split(".")[0] in BARRED_IMPORTS)
        elif isinstance(node, ast.ImportFrom):
            whole = [f"{node.module}.{alias.name}" for alias in node.names]
            yield from (name for name in whole if name.split(".")[0] in BARRED_IMPORTS or barred(name))
        elif isinstance(node, ast.Attribute) and barred(ast.unparse(node)):
            yield ".".join(ast.unparse(node).split(".")[-2:])
        elif isinstance(node, ast.Call) and ast.unparse(node).split(".")[-1] in ("default_rng()", "Random()"):
            yield "dice without a seed"


def test_the_core_is_pure() -> None:
    assert len(in_rooms(*PURE)) > 40
    found = [f"{path.relative_to(TOP)}: {what}" for path in in_rooms(*PURE) for what in impure(tree(path))]
    assert found == []


@pytest.mark.parametrize(("text", "says"), [
    ("import streamlit as st", "streamlit"),
    ("from sqlalchemy.orm import Session", "sqlalchemy.orm.Session"),
    ("import socket", "socket"),
    ("from datetime import datetime\nx = datetime.now()", "datetime.now"),
    ("import datetime as d\nx = d.datetime.now(d.UTC)", "datetime.now"),
    ("import os\nx = os.environ['A']", "os.environ"),
    ("from os import environ", "os.environ"),
    ("from time import time", "time.time"),
    ("import time\nx = time.time()", "time.time"),
    ("import numpy as np\nr = np.random.default_rng()", "dice without a seed"),
    ("import random\nr = random.Random()", "dice without a seed"),
    ("import numpy as np\nr = np.random.rand(3)", "random.rand"),
    ("import random\nrandom.shuffle(x)", "random.shuffle"),
    ("from random import choice", "random.choice"),
])
def test_impurity_is_seen(text: str, says: str) -> None:
    assert list(impure(ast.parse(text))) == [says]


def test_seeded_dice_are_pure() -> None:
    text = "import random\nimport numpy as np\nr = random.Random(7)\ng = np.random.default_rng(7)\nx: np.random.PCG64"
    assert list(impure(ast.parse(text))) == []


def test_money_and_sources_stay_out_of_the_screens() -> None:
    """Pages hold no sums of their own: no numpy, no scipy, no planning internals below the whole answer."""
    barred = ("numpy", "scipy", "finishplan.planning.search", "finishplan.planning.zone_cost")
    found = []
    for path in in_rooms("screens"):
        for node in ast.walk(tree(path)):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else (
                [node.module or ""] if isinstance(node, ast.ImportFrom) else [])
            found += [f"{path.name}: {name}" for name in names if name.startswith(barred)]
    assert found == []
