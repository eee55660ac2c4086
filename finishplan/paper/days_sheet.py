"""The days on paper: how long, ready when, how good that provably is, bars to scale, and the list by day and person.

The same for one job and for several of the shop together, with their due dates.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from finishplan.bench.columns import fitted
from finishplan.office.schedule import Days
from finishplan.paper import office_words as words
from finishplan.paper import pdf_blocks as make
from finishplan.paper.pdf import pdf_of
from finishplan.paper.pdf_blocks import Block, Cell, Document, Section, head_name
from finishplan.paper.schedule_bars import (
    PAPER_FRAME,
    Bar,
    Rows,
    bars_of,
    clock_words,
    day_words,
    numbers_of,
    page_bars,
    rows_of,
)
from finishplan.wording import DASH, counted, sentence

NAME = 40
"""Columns for a person's name."""
WHOLE = 14
"""Lines of one person's day that stay on one page; a longer list goes on overleaf under its heads."""
IN_TABLE = "in the table"
"""What the head of a page says of the revisions of several jobs."""
HOW_TO_READ = ("Bars are to scale. A bar without room for its name has its number in the list, and a very short one "
               "nothing: the list under the bars has every one.")
LIST_HEADS = ("Bar", "From", "To", "min", "What")
LIST_WIDTHS = (0.0, 0.0, 0.0, 0.0, 1.0)
JOBS_HEADS = ("", "Job", "Rev.", "Ready", "Due", "Late", "Not before", "Working days")


@dataclass(frozen=True)
class Labelled:
    """What a sheet of days is called: its title, and the revision of each job by its key."""

    title: str
    revisions: Mapping[str, int | str | None]


def days_document(days: Days, label: Labelled, notes: Sequence[str] = ()) -> Document:
    """Return the sheet of one or several jobs' days; ``notes`` are said beside those of the days."""
    one = label.revisions.get(days.jobs[0].key) if len(days.jobs) == 1 else IN_TABLE
    return Document(f"Days: {label.title}", one, (days_section(days, label, notes),))


def days_pdf(days: Days, label: Labelled, paper: str = "A4", notes: Sequence[str] = ()) -> bytes:
    """Return the sheet of days as PDF, the same bytes for the same days.

    Raises UnknownName for the paper and PaperError.
    """
    return pdf_of(days_document(days, label, notes), paper)


def days_section(days: Days, label: Labelled, notes: Sequence[str] = ()) -> Section:
    """Return the days: sums first, several jobs in a table, then bars, then the list."""
    start = days.start.date()
    blocks = [
        make.title(f"Days: {label.title}", f"From {day_words(start)} {start.year}.", *words.days_lines(days),
                   "Stopped before the search for a better order had ended: the best found till then."
                   if days.stopped else ""),
        *([make.heading("Jobs"), jobs_table(days, label)] if len(days.jobs) > 1 else []),
    ]
    rows = rows_of(bars_of(days))
    if rows:
        blocks += [make.heading("Who works when"), make.text(HOW_TO_READ), *drawings(days),
                   make.heading("By day and person"), *list_blocks(rows, days)]
    else:
        blocks.append(make.text("There is no work to put into days."))
    said = [*notes, *days.notes]
    blocks += [make.heading("What this rests on"), make.items(said)] if said else []
    return Section("Days", head_name(label.title), tuple(blocks))


def drawings(days: Days) -> list[Block]:
    """Return the bars, a drawing for as many whole days as a third of a page bears."""
    return [make.drawing(drawn, said, PAPER_FRAME.width, (), beside=False) for drawn, said in page_bars(days)]


def jobs_table(days: Days, label: Labelled) -> Block:
    """Return when each of several jobs is ready, due, late, and could be ready at the soonest."""
    rows: list[list[Cell]] = [
        [make.bold(str(number)), make.bold(title), str(label.revisions.get(job.key) or DASH), *rest]
        for number, (job, (title, *rest)) in enumerate(zip(days.jobs, words.job_rows(days), strict=True), start=1)]
    return make.table(JOBS_HEADS, (0, 1.9, 0, 1, 0.8, 0.7, 1, 0), rows)


def list_blocks(rows: Rows, days: Days) -> list[Block]:
    """Return the list: a table a day and person, short ones whole on a page."""
    jobs, found = numbers_of(days), list[Block]()
    for (day, person), row in rows.items():
        name = fitted(days.names.get(person, person), NAME)
        blocks = [make.heading(f"{day_words(day)} {day.year}: {name}"),
                  make.table(LIST_HEADS, LIST_WIDTHS, (line(number, bar, jobs[bar.job])
                                                       for number, bar in enumerate(row, start=1)))]
        found += [make.group(blocks)] if len(row) <= WHOLE else blocks
    return found


def line(number: int, bar: Bar, job: str) -> list[Cell]:
    """Return a bar as a line of the list."""
    return [make.bold(str(number)), clock_words(bar.begin_min), clock_words(bar.end_min),
            f"{bar.end_min - bar.begin_min:.0f}", what_words(bar, job)]


def what_words(bar: Bar, job: str) -> str:
    """Return what is done in a bar: its job where there are several, its kind, and its tasks.

    >>> from datetime import date
    >>> what_words(Bar(date(2026, 3, 2), "F1", "j", "sand", 480, 540, ("set up P800", "lid: P800")), "job 2")
    'Job 2, sand: set up P800; lid: P800.'
    """
    tasks = [task for task in dict.fromkeys(bar.tasks) if task != bar.phase]
    kind = f"{bar.phase}: {'; '.join(tasks)}" if tasks else bar.phase
    return sentence(f"{job}, {kind}" if job else kind)


def jobs_title(days: Days) -> str:
    """Return what a sheet of several jobs is called."""
    return sentence(f"{counted(len(days.jobs), 'job')} of the shop")[:-1]
