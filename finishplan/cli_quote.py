"""The quote command: a job's quote as text, JSON, XLSX and CSV."""

from __future__ import annotations

import argparse
import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from finishplan.cli_files import file_name, load_job, load_profile
from finishplan.errors import BadValue, FinishplanError, UnknownName
from finishplan.records.files import as_text, write_atomically

if TYPE_CHECKING:
    from finishplan.office.quote import Quote


def quote_options(command: argparse.ArgumentParser) -> None:
    """Add what changes a quote, and the files it can be written to."""
    command.add_argument("--option", metavar="OPTION", default="repair what shows",
                         help="the option that is written out: buff only, repair what shows, level every seen face")
    command.add_argument("--start", metavar="DATE", help="day of the quote and first day of work, as in 2026-05-31 "
                                                         "(default: today)")
    command.add_argument("--owner", action="store_true", help="with cost, margin and chance of a loss in JSON and XLSX")
    for kind in ("xlsx", "csv"):
        command.add_argument(f"--{kind}", metavar="FILE", help=f"write the lines as {kind.upper()} to FILE")


def run_quote(options: argparse.Namespace) -> int:
    """Print the quote of a job: three options side by side, then the chosen one written out."""
    from finishplan.office.quote_tables import as_csv, as_data, as_xlsx
    from finishplan.office.quote_text import quote_text

    for kind in ("xlsx", "csv"):
        path = getattr(options, kind)
        if path is not None and not path.lower().endswith(f".{kind}"):
            raise BadValue(f"--{kind}", path, f"name a file that ends in .{kind}")
    quote, all_go = quote_of(options)
    if options.xlsx is not None:
        write_atomically(Path(options.xlsx), as_xlsx(quote, options.owner))
    if options.csv is not None:
        write_atomically(Path(options.csv), as_csv(quote).encode("utf-8"))
    if options.json:
        if hasattr(sys.stdout, "reconfigure"):
            sys.stdout.reconfigure(encoding="utf-8")
        sys.stdout.write(as_text(as_data(quote, options.owner)))
    else:
        sys.stdout.write(quote_text(quote))
    return 0 if all_go else 1


def quote_of(options: argparse.Namespace) -> tuple[Quote, bool]:
    """Return the quote of the job that was named, and whether every zone of its chosen option is go.

    The clock is read here, at the edge, where no day is given.
    """
    from finishplan.office.options import OPTIONS
    from finishplan.office.quote_work import work_up_quote

    if options.option not in OPTIONS:
        raise UnknownName("--option", options.option, OPTIONS)
    day = date.today() if options.start is None else read_day(options.start)
    job, profile = load_job(options), load_profile(options)
    try:
        return work_up_quote(job, profile, day, options.option)
    except FinishplanError as error:
        files = file_name(options.job) + (f" with {options.shop}" if options.shop else "")
        raise FinishplanError(f"{files}: {error}") from None


def read_day(typed: str) -> date:
    """Return a day typed as 2026-05-31."""
    try:
        return date.fromisoformat(typed)
    except ValueError:
        raise BadValue("--start", typed, "write the day as 2026-05-31") from None
