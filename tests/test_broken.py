"""The shelf of broken files: each is read through the real command line, and its whole message is checked.

``broken/messages.csv`` says which command refuses a file and in which words; ``broken/options.csv`` does so for
options. Files that would be huge, or that a checkout cannot hold, are made on the spot. The last tests make
sure that no message of the reading rooms is without a case here.
"""

from __future__ import annotations

import ast
import contextlib
import csv
import io
import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest

import finishplan
from finishplan import errors, models, reference
from finishplan.cli import COMMANDS, main
from finishplan.records import files
from finishplan.shop.steps import d50_of
from finishplan.survey.job import read_job_dict

HERE = Path(__file__).parent / "broken"
GOOD = HERE / "good.job.json"
PACKAGE = Path(finishplan.__file__).parent
POSIX = os.name == "posix"
"""Other systems word their own errors otherwise, and have no such file names."""


class Case(NamedTuple):
    """One refusal: the command, its standard input, and the message after the program's name."""

    arguments: tuple[str, ...]
    says: str
    stdin: bytes = b""


class Said(NamedTuple):
    """What a command did."""

    status: int
    out: str
    err: str


def table(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def shelf() -> dict[str, Case]:
    """The cases of the two tables."""
    found = {}
    for row in table("messages.csv"):
        names = {"file": str(HERE / row["file"]), "good": str(GOOD)}
        found[row["file"]] = Case(fill(row["command"], names), fill_text(row["says"], names))
    for row in table("options.csv"):
        names = {"good": str(GOOD), "commands": ", ".join(COMMANDS)}
        found[row["command"]] = Case(fill(row["command"], names), fill_text(row["says"], names))
    return found


def fill(command: str, names: dict[str, str]) -> tuple[str, ...]:
    return tuple(fill_text(word, names) for word in command.split(" "))


def fill_text(text: str, names: dict[str, str]) -> str:
    for name, value in names.items():
        text = text.replace("{" + name + "}", value)
    return text


def made(folder: Path) -> dict[str, Case]:
    """The cases whose files are made here: huge, binary, in another encoding, or no file at all."""
    good = GOOD.read_text(encoding="utf-8")
    grand = good.replace('"lid"', '"Flügel"')
    big, deep, old, wide, rows = (folder / name for name in ("big.json", "deep.json", "old.json", "wide.json", "a\nb"))
    with big.open("wb") as handle:
        handle.truncate(50_000_000)
    deep.write_text("[" * 10_000 + "]" * 10_000, encoding="utf-8")
    old.write_bytes(grand.encode("latin-1"))
    wide.write_bytes(good.encode("utf-16"))
    if POSIX:
        rows.write_text("[", encoding="utf-8")
    (folder / "demo").mkdir()
    (folder / "demo" / "our_bench.shop.json").write_text("ours", encoding="utf-8")
    at = old.read_bytes().index("ü".encode("latin-1")) + 1
    mb = "a job or shop file has at most 10 MB: is it the right file?"
    found = {
        "50 MB": (big, f"the file has 50 MB; {mb}"),
        "10,000 deep": (deep, "brackets are nested more than 100 deep; a job or shop file needs fewer than ten"),
        "Latin 1": (old, f"byte {at} is not UTF-8 text; save the file as UTF-8"),
        "UTF-16": (wide, "byte 1 is not UTF-8 text; save the file as UTF-8"),
        "a folder": (folder, "this is a folder; name the job file inside it"),
        "missing": (folder / "gone.json", "no such file; check the name and the folder"),
    }
    if POSIX:
        found |= odd_names(folder, rows)
    cases = {name: Case(("plan", str(path)), f"{errors.printable(str(path))}: {says}")
             for name, (path, says) in found.items()}
    cases["standard input"] = Case(
        ("plan", "-"), "standard input: line 1, column 1: this is not JSON (expecting value); mend it there", b"lid")
    cases["standard input without end"] = Case(
        ("plan", "-"), f"standard input: the file has over 10 MB; {mb}", b"[" * 11_000_000)
    cases["planned from standard input"] = Case(
        ("plan", "-"), "standard input: panel 'lid', target: last_sheet is 'cutting compound'; satin ends at a sheet; "
        "name one", (HERE / "last_sheet_compound.job.json").read_bytes())
    taken = folder / "demo" / "our_bench.shop.json"
    cases["demo over a file"] = Case(
        ("demo", str(folder / "demo")), f"{taken} exists already and is not written over; name another folder")
    if POSIX:
        long = folder / ("x" * 300)
        cases["demo where no folder can be"] = Case(
            ("demo", str(long)),
            f"{long / 'lid_and_rim.job.json'} cannot be written (File name too long); check the folder and the disk")
        cases["no end"] = Case(("plan", "/dev/zero"), f"/dev/zero: the file has over 10 MB; {mb}")
    return cases


def odd_names(folder: Path, rows: Path) -> dict[str, tuple[Path, str]]:
    """Names that only some systems can hold."""
    return {
        "file taken for a folder": (
            GOOD / "job.json", "this file cannot be read (Not a directory); check the name and the disk"),
        "name too long": (
            folder / ("x" * 300), "this file cannot be read (File name too long); check the name and the disk"),
        "NUL in the name": (
            folder / "a\0b", "this file cannot be read (embedded null byte); check the name and the disk"),
        "file name of two rows": (rows, "line 1, column 2: this is not JSON (expecting value); mend it there"),
    }


def run(case: Case) -> Said:
    """Run one command in this process."""
    out, err = io.StringIO(), io.StringIO()
    stdin = io.TextIOWrapper(io.BytesIO(case.stdin), encoding="utf-8")
    kept, sys.stdin = sys.stdin, stdin
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = main(case.arguments)
    finally:
        sys.stdin = kept
    return Said(status, out.getvalue(), err.getvalue())


class Shelf(NamedTuple):
    """All cases, what each said, and the places in the package that made an error."""

    cases: dict[str, Case]
    said: dict[str, Said]
    places: set[tuple[str, int, str]]
    folder: Path


@pytest.fixture(scope="module")
def all_run(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shelf]:
    """Every case run once, with a note of each line that made an error."""
    folder = tmp_path_factory.mktemp("broken")
    cases = {**shelf(), **made(folder)}
    places: set[tuple[str, int, str]] = set()

    def noted(cls: type[errors.FinishplanError], *args: Any, **more: Any) -> errors.FinishplanError:
        frame = sys._getframe(1)
        places.add((frame.f_code.co_filename, frame.f_lineno, cls.__name__))
        return Exception.__new__(cls, *args)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(errors.FinishplanError, "__new__", noted, raising=False)
        patch.chdir(folder)
        before = sorted(folder.rglob("*"))
        said = {name: run(case) for name, case in cases.items()}
        if POSIX:
            cases["unreadable"], said["unreadable"] = unreadable(folder)
            before = sorted({*before, folder / "locked.json"})
        assert sorted(folder.rglob("*")) == before, "a refused command wrote a file"
        refused_by_the_library(places, folder, patch)
    yield Shelf(cases, said, places, folder)


def unreadable(folder: Path) -> tuple[Case, Said]:
    """A file that may not be read. Root may read everything, so root steps down for the moment of reading."""
    locked = folder / "locked.json"
    locked.write_bytes(GOOD.read_bytes())
    locked.chmod(0)
    case = Case(("plan", str(locked)), f"{locked}: this file may not be read; ask its owner for leave")
    root = os.geteuid() == 0
    try:
        if root:
            os.seteuid(65534)
        return case, run(case)
    finally:
        if root:
            os.seteuid(0)


def refused_by_the_library(places: set[tuple[str, int, str]], folder: Path, patch: pytest.MonkeyPatch) -> None:
    """Refusals that no command can reach: races, screens, and tables of a damaged installation."""
    for call, says in library_calls(folder, patch):
        with pytest.raises(errors.FinishplanError) as caught:
            call()
        assert str(caught.value) == says


def library_calls(folder: Path, patch: pytest.MonkeyPatch) -> Iterator[tuple[Callable[[], object], str]]:
    there = folder / "demo" / "our_bench.shop.json"
    yield (lambda: files.write_atomically(there, "x", over=False),
           f"{there} exists already and is not written over; name another folder")
    yield (lambda: files.read_job_bytes(b"[", "lid.json"),
           "lid.json: line 1, column 2: this is not JSON (expecting value); mend it there")
    yield (lambda: files.read_shop_bytes(b"\xff"),
           "the shop file: byte 1 is not UTF-8 text; save the file as UTF-8")
    yield lambda: read_job_dict({**json.loads(GOOD.read_bytes()), 1: 2}), "a key is 1; keys are text in quotes"
    with pytest.raises(errors.UnknownName, match=r"^grade is 'P1300'; did you mean 'P1200'\? choose one of: P180, "):
        d50_of("P1300")
    tables = folder / "damaged" / "reference"
    tables.mkdir(parents=True)
    for name, text in {
        "cells": "a,source_kind\n1,assumed,2\n",
        "kind": "a,source_kind\n1,hearsay\n",
        "none": "a,source_kind,source\n1,,a book\n",
    }.items():
        (tables / f"{name}.csv").write_text(text, encoding="utf-8")
    patch.setattr(reference, "data_dir", lambda: folder / "damaged")
    read = reference.rows.__wrapped__
    yield lambda: read("gone"), "reference table 'gone' is missing from this installation; install it again"
    yield lambda: read("cells"), "cells.csv, line 2: wrong number of cells; compare with the header"
    kinds = ", ".join(reference.SOURCE_KINDS)
    yield lambda: read("kind"), f"kind.csv, line 2: source kind 'hearsay' is not known; use one of: {kinds}"
    yield lambda: read("none"), "none.csv, line 2: no source; a value without a source is not used"
    yield lambda: reference.number({"a": "1,5"}, "a"), "column a: '1,5' is not a number"


def one_line_refusal(said: Said, case: Case) -> None:
    assert said.status == 2
    assert said.out == ""
    assert said.err == f"finishplan: {case.says}\n"
    assert "Traceback" not in said.err
    assert "usage" not in said.err
    assert len(said.err.splitlines()) == 1


SHELF = shelf()


@pytest.mark.parametrize("name", SHELF)
def test_refusal(name: str, all_run: Shelf) -> None:
    one_line_refusal(all_run.said[name], SHELF[name])
    if name.endswith(".json"):
        assert SHELF[name].says.startswith((f"{HERE / name}: ", f"{GOOD} with {HERE / name}: "))


def test_refusal_of_what_a_checkout_cannot_hold(all_run: Shelf) -> None:
    cases = {name: case for name, case in all_run.cases.items() if name not in SHELF}
    assert len(cases) >= (17 if POSIX else 10)
    for name, case in cases.items():
        one_line_refusal(all_run.said[name], case)


@pytest.mark.parametrize("command", ["plan", "check", "sheet"])
def test_every_reading_command_refuses_alike(command: str) -> None:
    path = HERE / "area_zero.job.json"
    says = SHELF["area_zero.job.json"].says
    one_line_refusal(run(Case((command, str(path)), "")), Case((), says))


def test_json_output_stays_empty() -> None:
    for name in ("area_zero.job.json", "half_letter_in_name.job.json", "last_sheet_not_in_plan.job.json"):
        said = run(Case(("plan", str(HERE / name), "--json"), ""))
        one_line_refusal(said, SHELF[name])


@pytest.mark.parametrize("name", [
    "not_json.job.json", "unknown_key_deep.job.json", "unknown_defect_kind.job.json", "area_1e308.job.json",
    "half_letter_in_key.job.json", "name_escape.job.json", "empty_panels.job.json", "no_way_to_gloss.shop.json",
    "plan {good} --sequence P320,P800,P1000,P1500,cutting,polishing,finishing", "plan", "50 MB", "10,000 deep",
])
def test_refusal_as_a_process(name: str, all_run: Shelf) -> None:
    case = all_run.cases[name]
    done = subprocess.run(
        [sys.executable, "-W", "error", "-m", "finishplan", *case.arguments], input=case.stdin, capture_output=True,
        cwd=all_run.folder, check=False, timeout=60,
    )
    one_line_refusal(Said(done.returncode, done.stdout.decode(), done.stderr.decode()), case)


def test_the_good_file_is_good() -> None:
    said = run(Case(("plan", str(GOOD)), ""))
    assert (said.status, said.err) == (1, ""), "it plans; not being identified, it is no go"
    assert run(Case(("check", str(GOOD)), "")).status == 0


def test_table_and_shelf_are_the_same() -> None:
    rows = table("messages.csv")
    names = [row["file"] for row in rows]
    on_shelf = {path.name for path in HERE.glob("*.json")} - {GOOD.name}
    assert sorted(names) == sorted(on_shelf)
    contents = {(HERE / name).read_bytes() for name in names}
    assert len(contents) == len(names), "two files are the same"
    assert GOOD.read_bytes() not in contents


# Completeness: a message without a case is an error of this shelf. (What a person types on a page, which
# ``survey`` reads too, is refused in the tests of those pages' edits.)

READING = (
    "survey/job.py", "survey/job_checks.py", "survey/defects.py", "survey/evidence.py", "survey/film.py", "shop",
    "planning/sequences.py", "planning/typed_sequence.py", "planning/problem.py", "records/files.py", "models.py",
    "reference.py", "cli.py", "cli_files.py", "cli_quote.py",
)
TYPED_ON_A_PAGE = ("figures.py", "figure_kinds.py", "shop_edits.py")
"""Modules of those rooms that read what is typed on the Shop page; tests/shop and tests/screens refuse it there."""
CLASSES = {name for name, found in vars(errors).items()
           if isinstance(found, type) and issubclass(found, errors.FinishplanError)}


def reading_modules() -> list[Path]:
    found = []
    for name in READING:
        path = PACKAGE / name
        found += sorted(path.glob("*.py")) if path.is_dir() else [path]
    return [path for path in found if path.name not in TYPED_ON_A_PAGE]


def error_places(path: Path) -> Iterator[tuple[int, int, str]]:
    """First line, last line and class of every error that a module makes."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in CLASSES:
            yield node.lineno, node.end_lineno or node.lineno, node.func.id


@pytest.mark.skipif(not POSIX, reason="some cases need another system")
def test_every_error_that_reading_makes_is_met(all_run: Shelf) -> None:
    missed, seen = [], 0
    for path in reading_modules():
        for first, last, name in error_places(path):
            seen += 1
            met = any(file == str(path) and first <= line <= last and of == name
                      for file, line, of in all_run.places)
            if not met:
                missed.append(f"{path.relative_to(PACKAGE)}:{first} {name}")
    assert seen > 40
    assert missed == []


@pytest.mark.skipif(not POSIX, reason="some cases need another system")
def test_every_error_class_is_met(all_run: Shelf) -> None:
    assert {name for _, _, name in all_run.places} == CLASSES


@pytest.mark.skipif(not POSIX, reason="some cases need another system")
def test_every_remedy_is_met(all_run: Shelf) -> None:
    """Each remedy by field, by finding and by kind of limit stands in some message."""
    said = "\n".join(case.says for case in all_run.cases.values())
    source = ast.parse(Path(models.__file__).read_text(encoding="utf-8"))
    by_kind = next(n for n in ast.walk(source) if isinstance(n, ast.FunctionDef) and n.name == "remedy_for")
    limits = [part.value for node in ast.walk(by_kind) if isinstance(node, ast.Lambda)
              for part in ast.walk(node) if isinstance(part, ast.Constant) and " " in str(part.value)]
    own = [text.split("{")[-1].split("}")[-1] for text in models.SAID.values()]
    wanted = [*models.REMEDIES.values(), *models.OWN_REMEDIES.values(), *limits, *own]
    reached_by_screens_only = {
        models.OWN_REMEDIES["string_unicode"],
        "see the job file by example in README.md",
    }
    assert [text for text in wanted if str(text) not in said and text not in reached_by_screens_only] == []


@pytest.mark.parametrize(("change", "says"), [
    ({"title": "\ud800"}, r"title is '\ud800'; it holds half a character; type it again"),
    ({"\ud800": 1}, r"a key is '\ud800'; it holds half a character; type it again"),
    ({"instrument": {"year": 10**400}}, "instrument: year is 1000"),
])
def test_library_refuses_what_no_file_can_hold(change: dict[str, Any], says: str) -> None:
    raw = {**json.loads(GOOD.read_text(encoding="utf-8")), **change}
    with pytest.raises(errors.FinishplanError) as caught:
        read_job_dict(raw)
    assert str(caught.value).startswith(says)
    assert str(caught.value).isprintable()
