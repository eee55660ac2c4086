"""The printed pages of a job, each as PDF: bench sheets, whole job, materials, record card, hand-over, inspection."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from finishplan.bench.inspection import Found
from finishplan.bench.sheet import sheets_of
from finishplan.bench.sheet_rules import ten_rules
from finishplan.paper import pdf_blocks as make
from finishplan.paper.pdf import pdf_of
from finishplan.paper.pdf_blocks import Document, Section, head_name
from finishplan.paper.sheets_front import common_lines, front_section
from finishplan.paper.sheets_inspection import inspection_section
from finishplan.paper.sheets_job import job_section
from finishplan.paper.sheets_lists import (
    ReadAfter,
    card_section,
    care_blocks,
    hand_over_section,
    is_filled,
    materials_section,
)
from finishplan.paper.sheets_panel import panel_section
from finishplan.workup import Answer

if TYPE_CHECKING:
    from finishplan.office.schedule import Days

Revision = int | str | None


def sheet_document(answer: Answer, revision: Revision = None) -> Document:
    """Return the bench sheets of a job: the front page, a page a panel, then the ten rules for the wall."""
    sheets = sheets_of(answer)
    front, common = front_section(sheets), common_lines(sheets)
    sections = [panel_section(sheet, panel, common)
                for sheet, panel in zip(sheets, answer.job.panels, strict=True)]
    rules = Section("Ten rules of the bench", head_name(answer.job.title), (
        make.title("Ten rules of the bench"),
        make.wall(ten_rules()),
    ))
    return Document(f"Bench sheets: {answer.job.title}", revision, (*([front] if front else []), *sections, rules))


def sheet_pdf(answer: Answer, paper: str = "A4", revision: Revision = None) -> bytes:
    """Return the bench sheets of a job as PDF. Raises UnknownName for the paper and PaperError."""
    return pdf_of(sheet_document(answer, revision), paper)


def whole_job_document(
    answer: Answer, revision: Revision = None, days: Days | None = None, no_days: str = ""
) -> Document:
    """Return the finisher's sheet of the whole job, and its days where they were worked out, else why they were not."""
    sections = [job_section(answer, f"Days: not worked out; {no_days}." if no_days else "")]
    if days is not None:
        from finishplan.paper.days_sheet import Labelled, days_section  # only the days wait for the office's words

        sections.append(days_section(days, Labelled(answer.job.title, {days.jobs[0].key: revision})))
    return Document(f"Whole job: {answer.job.title}", revision, tuple(sections))


def whole_job_pdf(
    answer: Answer, paper: str = "A4", revision: Revision = None, days: Days | None = None, no_days: str = ""
) -> bytes:
    """Return the finisher's sheet of the whole job as PDF, with its days where they were worked out, else why not.

    Raises UnknownName for the paper and PaperError.
    """
    return pdf_of(whole_job_document(answer, revision, days, no_days), paper)


def materials_document(answer: Answer, revision: Revision = None) -> Document:
    """Return the materials as a tick list."""
    return Document(f"Materials: {answer.job.title}", revision, (materials_section(answer),))


def materials_pdf(answer: Answer, paper: str = "A4", revision: Revision = None) -> bytes:
    """Return the materials as a tick list in PDF. Raises UnknownName for the paper and PaperError."""
    return pdf_of(materials_document(answer, revision), paper)


def record_card_document(answer: Answer, revision: Revision = None, after: ReadAfter | None = None) -> Document:
    """Return the film record card; ``after`` is the mean film in um as read after the work."""
    return Document(f"Film record: {answer.job.title}", revision, (card_section(answer, after),))


def record_card_pdf(
    answer: Answer, paper: str = "A4", revision: Revision = None, after: ReadAfter | None = None
) -> bytes:
    """Return the film record card as PDF. Raises UnknownName for the paper and PaperError."""
    return pdf_of(record_card_document(answer, revision, after), paper)


def hand_over_document(answer: Answer, revision: Revision = None, after: ReadAfter | None = None) -> Document:
    """Return the customer's hand-over page with care; ``after`` as in ``record_card_document``."""
    return Document(f"Hand-over: {answer.job.title}", revision, (hand_over_section(answer, after),))


def hand_over_pdf(
    answer: Answer, paper: str = "A4", revision: Revision = None, after: ReadAfter | None = None
) -> bytes:
    """Return the customer's hand-over page with care as PDF; ``after`` as in ``record_card_document``."""
    return pdf_of(hand_over_document(answer, revision, after), paper)


def inspection_document(
    answer: Answer, revision: Revision = None, found: Sequence[Found] = (), photo_names: Mapping[str, str] | None = None
) -> Document:
    """Return the inspection form with the care page, filled in as far as ``found`` goes.

    ``photo_names`` are the names of photos that the job lists by their fingerprint. Raises UnknownName for a finding
    on a panel that the job has not.
    """
    filled = any(is_filled(panel) for panel in answer.plan.panels)
    care = Section("Care", head_name(answer.job.title), (make.title(f"Care: {answer.job.title}"),
                                                         *care_blocks(filled)))
    sections = (inspection_section(answer, found, photo_names), care)
    return Document(f"Inspection: {answer.job.title}", revision, sections)


def inspection_pdf(
    answer: Answer, paper: str = "A4", revision: Revision = None, found: Sequence[Found] = (),
    photo_names: Mapping[str, str] | None = None,
) -> bytes:
    """Return the inspection form with the care page as PDF; the rest as in ``inspection_document``.

    Raises UnknownName for the paper too, and PaperError.
    """
    return pdf_of(inspection_document(answer, revision, found, photo_names), paper)


BENCH_SHEETS, WHOLE_JOB = "bench sheets", "whole job"
DOCUMENTS: dict[str, Callable[[Answer, Revision], Document]] = {
    BENCH_SHEETS: sheet_document,
    WHOLE_JOB: whole_job_document,
    "materials": materials_document,
    "film record": record_card_document,
    "hand-over": hand_over_document,
    "inspection": inspection_document,
}
"""The pages of a job by name."""
