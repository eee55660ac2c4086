"""The command line: thin, and the only place that prints.

Exit status 0, 1 (a zone is not go), 2 (input), 3 (a fault of the program), 130 (stopped).
"""

from __future__ import annotations

import argparse
import os
import sys
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from finishplan import __version__
from finishplan.cli_app import app_options, passphrase_options, run_app, run_passphrase
from finishplan.cli_files import check_to_write, file_name, load, load_job, load_profile
from finishplan.cli_quote import first_day, quote_options, run_quote
from finishplan.errors import BadFile, BadValue, FinishplanError, UnknownName, printable
from finishplan.planning.risk import DRAWS, check_numbers
from finishplan.records.files import (
    as_text,
    demo_job_path,
    demo_shop_path,
    in_the_way,
    stands,
    write_atomically,
)
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey import choices
from finishplan.survey.job import read_job_dict
from finishplan.where_typed import for_files
from finishplan.workup import SEED, Answer, as_json, days_or_why, work_up

if TYPE_CHECKING:
    from finishplan.paper.pdf_blocks import Document

PROGRAM = "finishplan"


class OneLineParser(argparse.ArgumentParser):
    """An argument parser whose errors are one line, without usage text."""

    def error(self, message: str) -> NoReturn:
        """Raise instead of printing usage."""
        raise FinishplanError(
            f"{message}; try: {PROGRAM} {self.prog.removeprefix(PROGRAM).strip()} --help".replace("  ", " ")
        )

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        """Refuse an unknown command in our own words, which do not change with the version of Python."""
        if action.choices is not None and value not in action.choices:
            raise UnknownName("command", value, action.choices)


def parser() -> OneLineParser:
    """Return the parser of all commands; each has its help."""
    top = OneLineParser(PROGRAM, description="Plans the service of a polyester piano finish.")
    top.add_argument("--version", action="version", version=f"{PROGRAM} {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True, parser_class=OneLineParser)
    for name, (help_text, options, _) in COMMANDS.items():
        command = commands.add_parser(name, help=help_text, description=help_text)
        for add in options:
            add(command)
    return top


def job_option(command: argparse.ArgumentParser) -> None:
    """Add the job file."""
    command.add_argument("job", metavar="JOB", help="job file (JSON), or - for standard input")
    command.add_argument("--shop", metavar="SHOP", help="shop file (JSON) laid over the shipped defaults")


def plan_options(command: argparse.ArgumentParser) -> None:
    """Add what changes a plan."""
    command.add_argument("--seen-from", metavar="VIEW", help=f"one of: {', '.join(choices.VIEWS)}")
    command.add_argument("--favour", metavar="FAVOUR", help=f"one of: {', '.join(choices.FAVOURS)}")
    command.add_argument(
        "--sequence", metavar="STEPS", help="your own sequence, as in P800,P1500,cutting,polishing,finishing"
    )


def risk_options(command: argparse.ArgumentParser) -> None:
    """Add what changes the simulation."""
    command.add_argument("--draws", metavar="N", help=f"draws of the simulation (default {DRAWS:,}; 0 leaves it out)")
    command.add_argument("--seed", metavar="N", help=f"seed of the simulation (default {SEED})")


def whole_number(typed: str | None, name: str, default: int) -> int:
    """Return a typed whole number; its range is the simulation's own to check."""
    if typed is None:
        return default
    try:
        return int(typed)
    except ValueError:
        raise BadValue(name, typed, "give a whole number, as in 20000") from None


def json_option(command: argparse.ArgumentParser) -> None:
    """Add JSON output."""
    command.add_argument("--json", action="store_true", help="write JSON, and nothing else")


def pdf_options(command: argparse.ArgumentParser) -> None:
    """Add the PDF file and its paper."""
    command.add_argument("--pdf", metavar="FILE", help="write the sheets as PDF to FILE instead of printing text")
    command.add_argument("--paper", metavar="PAPER", help="A4 or Letter (default: the shop's paper)")
    command.add_argument("--pages", metavar="PAGES", help="which pages go into the PDF: bench sheets (the default), "
                         "whole job, materials, film record, hand-over, inspection")
    command.add_argument("--start", metavar="DATE", help="first day of work on the whole-job pages, as in 2026-05-31 "
                                                         "(default: today); they have days where the shop has hours")


def card_option(command: argparse.ArgumentParser) -> None:
    """Add the emergency card's file and its paper."""
    command.add_argument("--card-pdf", metavar="FILE", help="write the emergency card as one page of PDF to FILE "
                                                            "instead of printing text")
    command.add_argument("--paper", metavar="PAPER", help="A4 or Letter, with --card-pdf (default: the shop's paper)")


def dir_option(command: argparse.ArgumentParser) -> None:
    """Add the demo's folder."""
    command.add_argument(
        "dir", metavar="DIR", nargs="?", help="also write the demo job and shop files there, never over others"
    )


def answer_of(options: argparse.Namespace) -> Answer:
    """Return the whole answer to the job that was named."""
    job, profile = load_job(options), load_profile(options)
    favour = getattr(options, "favour", None)
    if favour is not None and favour not in choices.FAVOURS:
        raise UnknownName("--favour", favour, choices.FAVOURS)
    typed = getattr(options, "sequence", None)
    sequence = None if typed is None else read_sequence(typed)
    draws = whole_number(getattr(options, "draws", None), "--draws", DRAWS)
    seed = whole_number(getattr(options, "seed", None), "--seed", SEED)
    if draws:
        check_numbers(seed, draws)
    try:
        return work_up(job, profile, favour, sequence, draws, seed)
    except FinishplanError as error:
        if sequence is not None and str(error).startswith("sequence"):
            raise
        files = file_name(options.job) + (f" with {options.shop}" if options.shop else "")
        raise FinishplanError(f"{files}: {error}") from None


def read_sequence(typed: str) -> tuple[str, ...]:
    """Return the step names of a typed sequence."""
    from finishplan.planning.typed_sequence import read_typed_sequence

    return read_typed_sequence(typed)


def run_plan(options: argparse.Namespace) -> int:
    """Print the plan of a job."""
    answer = answer_of(options)
    if options.json:
        if hasattr(sys.stdout, "reconfigure"):
            sys.stdout.reconfigure(encoding="utf-8")
        sys.stdout.write(as_text(as_json(answer)))
    else:
        from finishplan.paper.plan_text import plan_text

        sys.stdout.write(plan_text(answer))
    return 0 if answer.plan.all_go else 1


def run_sheet(options: argparse.Namespace) -> int:
    """Print the bench sheets of a job, one page a panel, as text, or pages of it into a PDF file."""
    from finishplan.bench.sheet_text import whole_text

    if options.pdf is None:
        for name, it in (("paper", "text has no paper"), ("pages", "text is of the bench sheets alone"),
                         ("start", "the bench sheets have no days")):
            if getattr(options, name) is not None:
                raise BadValue(f"--{name}", getattr(options, name), f"it goes with --pdf FILE; {it}")
    else:
        check_to_write("--pdf", options.pdf, ".pdf")
    answer = answer_of(options)
    if options.pdf is None:
        sys.stdout.write(whole_text(answer))
    else:
        write_document(document_of(answer, options), Path(options.pdf), options.paper or answer.profile.file.paper)
    return 0 if answer.plan.all_go else 1


def document_of(answer: Answer, options: argparse.Namespace) -> Document:
    """Return the pages that were asked for; the whole job with its days where the shop says its hours."""
    from finishplan.paper.sheets import BENCH_SHEETS, DOCUMENTS, WHOLE_JOB, whole_job_document

    pages = options.pages or BENCH_SHEETS
    if pages not in DOCUMENTS:
        raise UnknownName("--pages", pages, DOCUMENTS)
    if options.start is not None and pages != WHOLE_JOB:
        raise BadValue("--start", options.start, "only the whole job has days; add --pages 'whole job'")
    if pages == WHOLE_JOB:
        days, why = days_or_why(answer, first_day(answer.job.quote, options.start))
        return whole_job_document(answer, None, days, why)
    return DOCUMENTS[pages](answer, None)


def write_document(document: Document, path: Path, paper: str) -> None:
    """Write pages as PDF; letters that no font has are told one by one."""
    from finishplan.paper.pdf import missing_in, pdf_of

    write_atomically(path, pdf_of(document, paper))
    sys.stdout.write(f"{path} is written.\n")
    for letter in missing_in(document):
        sys.stderr.write(f"{PROGRAM}: {letter}\n")


def run_safety(options: argparse.Namespace) -> int:
    """Print the cautions of a job with the sums behind them, a strip to sign, and the emergency card."""
    if options.card_pdf is not None:
        check_to_write("--card-pdf", options.card_pdf, ".pdf")
        if options.json:
            raise BadValue("--card-pdf", options.card_pdf, "it does not go with --json; ask for one after the other")
    elif options.paper is not None:
        raise BadValue("--paper", options.paper, "it goes with --card-pdf FILE; text has no paper")
    answer = answer_of(options)
    if options.card_pdf is not None:
        from finishplan.paper.card_pdf import card_document

        file = answer.profile.file
        write_document(card_document(file.name), Path(options.card_pdf), options.paper or file.paper)
    elif options.json:
        from finishplan.safety.as_json import safety_json
        from finishplan.safety.situation import Situation

        if hasattr(sys.stdout, "reconfigure"):
            sys.stdout.reconfigure(encoding="utf-8")
        sys.stdout.write(as_text(safety_json(Situation(answer.job, answer.plan, answer.profile))))
    else:
        from finishplan.paper.safety_text import safety_text

        sys.stdout.write(safety_text(answer))
    return 0 if answer.plan.all_go else 1


def run_check(options: argparse.Namespace) -> int:
    """Say what is missing or odd in a job, and which reading to take next."""
    from finishplan.paper.plan_text import check_text
    from finishplan.planning.findings import findings
    from finishplan.planning.next_reading import reading_words

    answer = answer_of(options)
    found = findings(answer.job, answer.plan, answer.profile)
    readings = answer.risk.next_readings if answer.risk else ()
    sys.stdout.write(check_text(map(for_files, found), reading_words(readings[0]) if readings else None))
    return 0


def run_demo(options: argparse.Namespace) -> int:
    """Show the demo job's plan; with a folder also write its files there."""
    from finishplan.paper.plan_text import plan_text

    if options.dir is not None:
        write_demo(Path(options.dir))
    job = load(str(demo_job_path()), read_job_dict)
    profile = load(str(demo_shop_path()), lambda raw: apply_shop(default_profile(), raw))
    sys.stdout.write(plan_text(work_up(job, profile)))
    return 0


def write_demo(folder: Path) -> None:
    """Write the demo's job and shop files to ``folder``: both or, where one stands there already, none."""
    sources = (demo_job_path(), demo_shop_path())
    for source in sources:
        if stands(folder / source.name):
            raise BadFile(in_the_way(folder / source.name))
    for source in sources:
        write_atomically(folder / source.name, source.read_bytes(), over=False)


def run_speed(options: argparse.Namespace) -> int:
    """Print side-by-side timings."""
    from finishplan.speed.timings import measure, speed_data, speed_text

    found = measure()
    sys.stdout.write(as_text(speed_data(found)) if options.json else speed_text(found))
    return 0


Option = Callable[[argparse.ArgumentParser], None]
COMMANDS: dict[str, tuple[str, tuple[Option, ...], Callable[[argparse.Namespace], int]]] = {
    "plan": (
        "Plan a job: what is done with every defect, sequences, film, minutes, materials, cautions.",
        (job_option, plan_options, risk_options, json_option),
        run_plan,
    ),
    "sheet": ("Print the bench sheets, one page a panel.", (job_option, plan_options, pdf_options), run_sheet),
    "quote": (
        "Print the quote of a job: three options with film, days and price, then scope, terms and acceptance.",
        (job_option, quote_options, json_option),
        run_quote,
    ),
    "safety": (
        "Print the cautions a job raises, worst first, with the sums behind them, and the emergency card.",
        (job_option, card_option, json_option),
        run_safety,
    ),
    "check": ("Read a job file: what is missing or odd, and which reading to take next.", (job_option,), run_check),
    "demo": ("Show the plan of the demo job (invented).", (dir_option,), run_demo),
    "speed": ("Time choice, command and risk against plain counterparts, side by side.", (json_option,), run_speed),
    "app": (
        "Start the screens in the browser, on this machine only unless --network says otherwise.",
        (app_options,), run_app,
    ),
    "passphrase": (
        "Set the passphrase that the screens ask for on the shop's network.", (passphrase_options,), run_passphrase),
}
"""Every command: its help, its options, and what runs it."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return the exit status; a person never sees a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        options = parser().parse_args(arguments)
        status = COMMANDS[options.command][2](options)
        sys.stdout.flush()
        return status
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except (FinishplanError, BadFile) as error:
        sys.stderr.write(f"{PROGRAM}: {printable(str(error))}\n")
        return 2
    except KeyboardInterrupt:
        sys.stderr.write(f"{PROGRAM}: stopped\n")
        return 130
    except Exception as error:
        sys.stderr.write(f"{PROGRAM}: {fault_words(error)}\n")
        return 3


def fault_words(error: Exception) -> str:
    """Return a fault of the program itself in one line, with the place that whoever mends it needs."""
    where = traceback.extract_tb(error.__traceback__)[-1]
    said = printable(f"{type(error).__name__} {error}")[:200]
    place = f"{Path(where.filename).name}, line {where.lineno}"
    return f"a fault of this program, not of your file: {said} ({place}); report it with the job file"
