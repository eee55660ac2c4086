"""The quote command: a job's quote as text, JSON, XLSX and CSV."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping
from datetime import date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from finishplan.cli_files import check_to_write, file_name, load_job, load_profile
from finishplan.errors import BadValue, FinishplanError, UnknownName
from finishplan.records.files import as_text, write_atomically

if TYPE_CHECKING:
    from finishplan.office.quote import Quote
    from finishplan.paper.pdf_blocks import Document
    from finishplan.shop.profile import Profile


def quote_options(command: argparse.ArgumentParser) -> None:
    """Add what changes a quote, and the files it can be written to."""
    command.add_argument("--option", metavar="OPTION", help="the option that is written out: buff only, repair what "
                         "shows (unless the job says another), level every seen face")
    command.add_argument("--start", metavar="DATE", help="day of the quote and first day of work, as in 2026-05-31 "
                                                         "(default: today)")
    command.add_argument("--owner", action="store_true", help="with cost, margin and chance of a loss in JSON and XLSX")
    command.add_argument("--pdf", metavar="FILE", help="write the two pages for the customer as PDF to FILE instead of "
                                                       "printing text")
    command.add_argument("--paper", metavar="PAPER", help="A4 or Letter, with --pdf or --days-pdf (default: the "
                                                         "shop's paper)")
    command.add_argument("--days-pdf", metavar="FILE", help="write the days of the option as PDF to FILE: who does "
                                                            "what when, as bars and as a list")
    for kind in ("xlsx", "csv"):
        command.add_argument(f"--{kind}", metavar="FILE", help=f"write the lines as {kind.upper()} to FILE")


def run_quote(options: argparse.Namespace) -> int:
    """Print the quote of a job: three options side by side, then the chosen one written out."""
    from finishplan.office.quote_text import quote_text

    check_files(options)
    quote, profile, all_go = quote_of(options)
    write_files(options, quote, options.paper or profile.file.paper)
    if options.json:
        from finishplan.office.quote_tables import as_data

        if hasattr(sys.stdout, "reconfigure"):
            sys.stdout.reconfigure(encoding="utf-8")
        sys.stdout.write(as_text(as_data(quote, options.owner)))
    elif options.pdf is None and options.days_pdf is None:
        sys.stdout.write(quote_text(quote))
    return 0 if all_go else 1


def check_files(options: argparse.Namespace) -> None:
    """Refuse names of files that do not say their kind or have no folder, and a paper without a PDF."""
    if options.pdf is None and options.days_pdf is None and options.paper is not None:
        raise BadValue("--paper", options.paper, "it goes with --pdf FILE; text has no paper")
    for kind in ("pdf", "days-pdf", "xlsx", "csv"):
        path, end = getattr(options, kind.replace("-", "_")), f".{kind.rpartition('-')[2]}"
        if path is not None:
            check_to_write(f"--{kind}", path, end)


def write_files(options: argparse.Namespace, quote: Quote, paper: str) -> None:
    """Write the files that were asked for; letters of a PDF that no font has are told one by one."""
    from finishplan.office.quote_tables import as_csv, as_xlsx

    if options.pdf is not None:
        from finishplan.paper.quote_pdf import quote_document, quote_pdf

        write_pdf(options, options.pdf, quote_pdf(quote, paper), quote_document(quote))
    days = quote.main.days
    if options.days_pdf is not None and days is not None:
        from finishplan.paper.days_sheet import Labelled, days_document
        from finishplan.paper.pdf import pdf_of

        document = days_document(days, Labelled(quote.title, {}))
        write_pdf(options, options.days_pdf, pdf_of(document, paper), document)
    if options.xlsx is not None:
        write_atomically(Path(options.xlsx), as_xlsx(quote, options.owner))
    if options.csv is not None:
        write_atomically(Path(options.csv), as_csv(quote).encode("utf-8"))


def write_pdf(options: argparse.Namespace, path: str, data: bytes, document: Document) -> None:
    """Write one PDF and say so, unless JSON is all that is to be said."""
    from finishplan.paper.pdf import missing_in

    write_atomically(Path(path), data)
    for letter in missing_in(document):
        sys.stderr.write(f"finishplan: {letter}\n")
    if not options.json:
        sys.stdout.write(f"{path} is written.\n")


def quote_of(options: argparse.Namespace) -> tuple[Quote, Profile, bool]:
    """Return the quote of the job that was named, its shop, and whether every zone of its option is go.

    The clock is read here, at the edge, where no day is given.
    """
    from finishplan.office.options import OPTIONS
    from finishplan.office.quote_work import work_up_quote

    if options.option is not None and options.option not in OPTIONS:
        raise UnknownName("--option", options.option, OPTIONS)
    start = None if options.start is None else read_day(options.start)
    job, profile = load_job(options), load_profile(options)
    try:
        quote, all_go = work_up_quote(job, profile, start or date.today(), options.option, start=start)
    except FinishplanError as error:
        files = file_name(options.job) + (f" with {options.shop}" if options.shop else "")
        raise FinishplanError(f"{files}: {error}") from None
    return quote, profile, all_go


def first_day(quote: Mapping[str, Any], typed: str | None) -> datetime:
    """Return the first day of work: as typed, as the job says under quote, else today by this machine's clock."""
    from finishplan.office.inputs import read_inputs, start_of

    day = read_day(typed) if typed is not None else start_of(read_inputs(quote)) or date.today()
    return datetime.combine(day, time())


def read_day(typed: str) -> date:
    """Return a day typed as 2026-05-31."""
    try:
        return date.fromisoformat(typed)
    except ValueError:
        raise BadValue("--start", typed, "write the day as 2026-05-31") from None
