"""The command line as other people's scripts meet it: statuses, options, widths, pipes, what is imported."""

from __future__ import annotations

import ast
import csv
import functools
import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook  # type: ignore[import-untyped]
from served import assert_served_on_this_machine_only

from finishplan import cli
from finishplan.records.files import demo_job_path, demo_shop_path

TOP = Path(__file__).parents[1]
JOBS = Path(__file__).parent / "published" / "worked_jobs"
DEMO, SHOP = str(demo_job_path()), str(demo_shop_path())
GO = JOBS / "buffing_only.job.json"
NO_GO = JOBS / "lifted_film.job.json"



def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    """Run a command that is not refused; return its status and what it printed."""
    status = cli.main(arguments)
    out, err = capsys.readouterr()
    assert err == ""
    return status, out


def process(*arguments: str, **more: Any) -> subprocess.CompletedProcess[bytes]:
    """Run a command as a process of its own, warnings being errors."""
    return subprocess.run([sys.executable, "-W", "error", "-m", "finishplan", *arguments], capture_output=True,
                          check=False, timeout=120, **more)


# Commands and their help.

TRIED = {
    "plan": [DEMO, "--shop", SHOP],
    "sheet": [DEMO, "--shop", SHOP],
    "quote": [DEMO, "--shop", SHOP, "--start", "2026-06-01"],
    "safety": [DEMO, "--shop", SHOP],
    "check": [DEMO],
    "demo": [],
}
"""Commands that print and end, with options that must work; ``app`` and ``speed`` have tests of their own."""


def test_every_command_has_a_test() -> None:
    own = {"app": test_app_answers_on_this_machine_only, "speed": test_speed_tells_each_ratio_as_text_and_as_json}
    elsewhere = {"passphrase"}  # tests/test_cli_app.py
    assert set(cli.COMMANDS) == {*TRIED, *own, *elsewhere}


@pytest.mark.parametrize("command", cli.COMMANDS)
def test_every_command_has_help(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main([command, "--help"])
    out, err = capsys.readouterr()
    assert (ended.value.code, err) == (0, "")
    help_text = cli.COMMANDS[command][0]
    assert help_text.endswith(".")
    assert " ".join(help_text.split()) in " ".join(out.split())
    options = re.findall(r"^  (-\S+|[A-Z]+|[a-z]+)(.*(?:\n {10,}.*)*)", out, re.M)
    assert len(options) >= 1 + len(cli.COMMANDS[command][1]), "every option has a line"
    for name, said in options:
        assert len(said.split()) >= 3, f"{command} {name} has no help"


@pytest.mark.parametrize("command", cli.COMMANDS)
def test_every_command_stands_in_the_readme(command: str) -> None:
    assert re.search(rf"\bfinishplan {command}\b", (TOP / "README.md").read_text(encoding="utf-8"))


def test_every_option_of_reading_a_job_stands_in_the_readme(capsys: pytest.CaptureFixture[str]) -> None:
    readme = (TOP / "README.md").read_text(encoding="utf-8")
    for command in TRIED:
        with pytest.raises(SystemExit):
            cli.main([command, "--help"])
        for option in set(re.findall(r"--[a-z-]+", capsys.readouterr().out)) - {"--help"}:
            assert option in readme, f"{command} {option}"


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        cli.main(["--version"])
    assert ended.value.code == 0
    assert re.fullmatch(r"finishplan \d+\.\d+\.\d+\n", capsys.readouterr().out)


@pytest.mark.parametrize("command", TRIED)
def test_prints_plain_text_of_80_columns(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    _, out = told(capsys, command, *TRIED[command])
    lines = out.splitlines()
    assert len(lines) > 3
    assert [line for line in lines if len(line) > 80] == []
    assert [line for line in lines if line != line.rstrip()] == []
    assert all(c.isprintable() or c in "\n\f" for c in out)


@pytest.mark.parametrize("job", sorted(JOBS.glob("*.job.json")), ids=lambda path: path.name.split(".")[0])
def test_worked_jobs_print_within_80_columns(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for command in ("plan", "sheet", "check"):
        _, out = told(capsys, command, str(job))
        assert [line for line in out.splitlines() if len(line) > 80] == []


# Exit statuses.


def test_status_says_whether_all_is_go(capsys: pytest.CaptureFixture[str]) -> None:
    for command in ("plan", "sheet"):
        assert told(capsys, command, str(GO))[0] == 0
        status, out = told(capsys, command, str(NO_GO))
        assert status == 1
        assert len(out) > 200, "all is printed all the same"
    assert told(capsys, "plan", str(NO_GO), "--json")[0] == 1


def test_status_of_commands_that_only_show(capsys: pytest.CaptureFixture[str]) -> None:
    assert told(capsys, "check", str(NO_GO))[0] == 0
    status, out = told(capsys, "demo")
    assert status == 0
    assert "Do not start" in out, "the demo holds panels that are no go, and ends well"


def test_sheet_that_is_no_go_says_do_not_start(capsys: pytest.CaptureFixture[str]) -> None:
    assert "DO NOT START" in told(capsys, "sheet", str(NO_GO))[1]
    assert "DO NOT START" not in told(capsys, "sheet", str(GO))[1]


def test_statuses_of_processes(tmp_path: Path) -> None:
    assert process("plan", str(GO)).returncode == 0
    assert process("plan", str(NO_GO)).returncode == 1
    refused = process("plan", str(tmp_path / "gone.json"))
    assert (refused.returncode, refused.stdout, refused.stderr.count(b"\n")) == (2, b"", 1)


def plan_json(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(told(capsys, "plan", *arguments, "--json")[1])
    return found


def test_json_is_alone_and_utf_8_whatever_the_terminal(tmp_path: Path) -> None:
    raw = json.loads(GO.read_bytes())
    raw["title"] = "Flügel, 三角"
    path = tmp_path / "lid.json"
    path.write_text(json.dumps(raw), encoding="utf-8")
    done = process("plan", str(path), "--json", env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"})
    assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads(done.stdout.decode("utf-8"))["title"] == "Flügel, 三角"


def test_text_survives_a_terminal_without_the_marks() -> None:
    done = process("demo", env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"})
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"Demo (invented)" in done.stdout


def test_speed_tells_each_ratio_as_text_and_as_json(capsys: pytest.CaptureFixture[str],
                                                   monkeypatch: pytest.MonkeyPatch) -> None:
    """The command itself, once over small jobs; its figures are of this machine and no test."""
    from finishplan.speed import timings

    small = functools.partial(timings.measure, runs=1, sizes=(1, 3), growth=(1, 2, 4))
    monkeypatch.setattr(timings, "measure", small)
    status, out = told(capsys, "speed")
    assert status == 0
    rows = re.findall(r"^ +(\d+) +[\d.]+ +\d+ +\d+  (yes|NO)$", out, re.M)
    assert rows == [("1", "yes"), ("3", "yes")]
    assert len(re.findall(r"ratio \d+\.\d\d$", out, re.M)) == 2 and "slope" in out
    status, out = told(capsys, "speed", "--json")
    assert status == 0
    found = json.loads(out)
    assert [row["panels"] for row in found["planner"]] == [1, 3]
    assert all(row["same_objective"] and row["exact_ms"] > 0 and row["generic_ms"] > 0 and row["ratio"] > 0
               for row in found["planner"])
    assert found["process"]["ratio"] > 0 and found["risk"]["ratio"] > 0 and "slope" in found["growth"]


def test_speed_says_where_the_solver_did_not_finish() -> None:
    from finishplan.speed import timings

    found = timings.measure(runs=1, sizes=(3,), growth=(1, 2), solver_limit_s=1e-3)
    assert found.planner[0].generic_ms is None and found.planner[0].ratio is None
    assert "not finished" in timings.speed_text(found)


def test_draws_and_seed_are_used(capsys: pytest.CaptureFixture[str]) -> None:
    _, out = told(capsys, "plan", DEMO, "--draws", "500", "--seed", "7", "--json")
    risk = json.loads(out)["risk"]
    assert (risk["draws"], risk["seed"]) == (500, 7)
    _, out = told(capsys, "plan", DEMO, "--draws", "0", "--json")
    assert json.loads(out)["risk"] is None


def test_quote_says_the_same_on_paper_in_json_and_in_its_files(capsys: pytest.CaptureFixture[str],
                                                               tmp_path: Path) -> None:
    csv_file, xlsx_file = tmp_path / "lines.csv", tmp_path / "lines.xlsx"
    given = ["quote", DEMO, "--shop", SHOP, "--start", "2026-06-01"]
    status, text = told(capsys, *given, "--csv", str(csv_file), "--xlsx", str(xlsx_file))
    assert status == 1, "the demo has zones that may not start"
    data = json.loads(told(capsys, *given, "--json")[1])
    assert (data["format"], data["day"], data["chosen"]) == ("finishplan-quote", "2026-06-01", "repair what shows")
    (sheet,) = load_workbook(xlsx_file).worksheets
    in_xlsx = {(row[0], row[1]): row[3] for row in sheet.iter_rows(min_row=2, values_only=True)}
    with csv_file.open(encoding="utf-8", newline="") as handle:
        in_csv = {(row["option"], row["line"]): row["amount"] for row in csv.DictReader(handle)}
    assert len(data["options"]) == 3
    for option in data["options"]:
        total = option["price"]["total"]
        assert in_csv[option["name"], "total"] == total
        assert f"{in_xlsx[option['name'], 'total']:.2f}" == total
        assert f"{float(total):,.2f}" in text
        assert option["owner"] is None, "cost and margin only where they are asked for"
    shown = json.loads(told(capsys, *given, "--json", "--owner")[1])
    assert all(float(option["owner"]["cost"]) > 0 for option in shown["options"])
    chosen = json.loads(told(capsys, *given, "--json", "--option", "buff only")[1])
    assert chosen["chosen"] == "buff only"
    assert told(capsys, "quote", str(GO), "--shop", SHOP, "--start", "2026-06-01")[0] == 0


@pytest.mark.parametrize(("more", "said"), [
    (["--option", "buff"], "--option is 'buff'; choose one of: buff only"),
    (["--start", "1.6.2026"], "write the day as 2026-05-31"),
    (["--csv", "lines.txt"], "name a file that ends in .csv"),
    (["--xlsx", "lines.xls"], "name a file that ends in .xlsx"),
])
def test_quote_refuses_in_one_line(more: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["quote", DEMO, "--shop", SHOP, *more]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert said in err


@pytest.mark.parametrize(("quote", "said"), [
    ({"margin_percent": 100.0}, "margin_percent"),
    ({"taxes": [{"name": "tax", "percent": 500.0}]}, "percent"),
    ({"taxes": [{"name": "tax", "percent": -5.0}]}, "percent"),
    ({"currency": "XQX"}, "XQX"),
])
def test_quote_names_terms_that_cannot_be(quote: dict[str, Any], said: str, capsys: pytest.CaptureFixture[str],
                                          tmp_path: Path) -> None:
    shop = tmp_path / "our.shop.json"
    shop.write_text(json.dumps({**json.loads(Path(SHOP).read_bytes()), "quote": quote}), encoding="utf-8")
    assert cli.main(["quote", DEMO, "--shop", str(shop), "--start", "2026-06-01"]) == 2
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert said in err


# Options.


def test_standard_input_reads_like_the_file(capsys: pytest.CaptureFixture[str],
                                            monkeypatch: pytest.MonkeyPatch) -> None:
    with GO.open("rb") as handle:
        monkeypatch.setattr("sys.stdin", type("Stdin", (), {"buffer": handle}))
        assert plan_json(capsys, "-") == plan_json(capsys, str(GO))


def test_favour_beats_the_job_and_policy_beats_both(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    raw = {**json.loads(GO.read_bytes()), "crew": {"favour": "keep film"}}
    job = tmp_path / "lid.json"
    job.write_text(json.dumps(raw), encoding="utf-8")
    assert plan_json(capsys, str(job))["film_weight"] == 3.0
    quick = plan_json(capsys, str(job), "--favour", "quick")
    assert (quick["favour"], quick["film_weight"]) == ("quick", 0.0)
    shop = tmp_path / "our.shop.json"
    shop.write_text('{"format": "finishplan-shop", "version": 1, "policy": {"film_weight": 7.5}}', encoding="utf-8")
    assert plan_json(capsys, str(job), "--favour", "quick", "--shop", str(shop))["film_weight"] == 7.5


def test_seen_from_changes_what_is_asked(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    raw = {"format": "finishplan-job", "version": 1, "title": "t", "finish_id": {"result": "polyester"}, "panels": [
        {"name": "lid", "seen_from": "loupe", "zones": [{"name": "field", "area_m2": 1, "defects": [
            {"kind": "swirls", "seen_in": "lamp"}], "readings": [{"um": 400}, {"um": 405}, {"um": 398}]}]}]}
    job = tmp_path / "lid.json"
    job.write_text(json.dumps(raw), encoding="utf-8")

    def repair(*view: str) -> str:
        panel = plan_json(capsys, str(job), *view)["panels"][0]
        return str(panel["zones"][0]["defects"][0]["repair"])

    assert repair() == "buff"
    assert repair("--seen-from", "overall") == "leave", "the option beats the job's and the panels' own"
    assert repair("--seen-from", "lamp") == "buff"


def test_a_sequence_of_ones_own(capsys: pytest.CaptureFixture[str]) -> None:
    job = str(JOBS / "one_deep_scratch.job.json")
    best = plan_json(capsys, job)
    own = plan_json(capsys, job, "--sequence", "P320,P500,P800,P1000,P1500,cutting,polishing,finishing")
    assert own["panels"][0]["sequence"] == ["P320", "P500", "P800", "P1000", "P1500", "cutting compound",
                                            "polishing compound", "finishing compound"]
    assert own["objective_min"] >= best["objective_min"]


# Files.


def test_demo_writes_its_files_and_never_over_others(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = tmp_path / "new" / "demo"
    status, out = told(capsys, "demo", str(folder))
    assert status == 0
    assert out == told(capsys, "demo")[1]
    written = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert written == {path.name: path.read_bytes() for path in (demo_job_path(), demo_shop_path())}
    assert told(capsys, "plan", *(str(folder / Path(name).name) if name != "--shop" else name
                                  for name in (DEMO, "--shop", SHOP)))[0] == 1
    for name in written:
        (folder / name).write_text("ours", encoding="utf-8")
        other = next(n for n in written if n != name)
        (folder / other).unlink(missing_ok=True)
        assert cli.main(["demo", str(folder)]) == 2
        out, err = capsys.readouterr()
        assert (out, err) == ("", f"finishplan: {folder / name} exists already and is not written over; "
                                  "name another folder\n")
        assert {path.name: path.read_text(encoding="utf-8") for path in folder.iterdir()} == {name: "ours"}


def test_commands_that_read_write_nothing(capsys: pytest.CaptureFixture[str], tmp_path: Path,
                                          monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for command in ("plan", "sheet", "check"):
        told(capsys, command, DEMO)
    told(capsys, "demo")
    assert list(tmp_path.iterdir()) == []


# Processes.


def test_reader_that_goes_away_is_no_error() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    try:
        done = subprocess.run([sys.executable, "-W", "error", "-m", "finishplan", "demo"], stdout=writing,
                              stderr=subprocess.PIPE, check=False, timeout=60)
    finally:
        os.close(writing)
    assert (done.returncode, done.stderr) == (0, b"")


HEAVY = ("pandas", "streamlit", "sqlalchemy", "scipy.stats", "scipy.optimize", "babel", "openpyxl", "PIL", "matplotlib")


@pytest.mark.parametrize("arguments", [["plan", DEMO, "--shop", SHOP], ["plan", DEMO, "--json"], ["sheet", DEMO],
                                       ["check", DEMO], ["demo"]], ids=" ".join)
def test_what_a_command_imports_stays_lean(arguments: list[str]) -> None:
    code = ("import sys; from finishplan.cli import main; main(sys.argv[1:]); "
            "sys.stderr.write(repr(sorted(sys.modules)))")
    done = subprocess.run([sys.executable, "-c", code, *arguments], capture_output=True, text=True, check=True,
                          timeout=60)
    modules = set(ast.literal_eval(done.stderr))
    assert "finishplan.planning.search" in modules
    assert sorted(modules & set(HEAVY)) == []


def test_app_answers_on_this_machine_only(tmp_path: Path) -> None:
    assert_served_on_this_machine_only([sys.executable, "-m", "finishplan", "app"], tmp_path)


def test_a_fault_of_the_program_is_one_line_and_no_traceback(monkeypatch: pytest.MonkeyPatch,
                                                             capsys: pytest.CaptureFixture[str]) -> None:
    def broken(*_: object, **__: object) -> object:
        raise ZeroDivisionError("on\npurpose")

    monkeypatch.setattr(cli, "work_up", broken)
    assert cli.main(["demo"]) == 3
    said = capsys.readouterr()
    assert said.out == ""
    assert re.fullmatch(
        r"finishplan: a fault of this program, not of your file: ZeroDivisionError on\\npurpose "
        r"\(test_cli\.py, line \d+\); report it with the job file\n", said.err)
