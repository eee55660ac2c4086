"""The printed pages of a job, each as PDF: bench sheets, whole job, materials, record card, hand-over, inspection."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

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


def whole_job_pdf(answer: Answer, paper: str = "A4", revision: Revision = None) -> bytes:
    """Return the finisher's sheet of the whole job as PDF. Raises UnknownName for the paper and PaperError."""
    return pdf_of(Document(f"Whole job: {answer.job.title}", revision, (job_section(answer),)), paper)


def materials_pdf(answer: Answer, paper: str = "A4", revision: Revision = None) -> bytes:
    """Return the materials as a tick list in PDF. Raises UnknownName for the paper and PaperError."""
    return pdf_of(Document(f"Materials: {answer.job.title}", revision, (materials_section(answer),)), paper)


def record_card_pdf(
    answer: Answer, paper: str = "A4", revision: Revision = None, after: ReadAfter | None = None
) -> bytes:
    """Return the film record card as PDF; ``after`` is the mean film in um as read after the work.

    Raises UnknownName for the paper and PaperError.
    """
    return pdf_of(Document(f"Film record: {answer.job.title}", revision, (card_section(answer, after),)), paper)


def hand_over_pdf(
    answer: Answer, paper: str = "A4", revision: Revision = None, after: ReadAfter | None = None
) -> bytes:
    """Return the customer's hand-over page with care as PDF; ``after`` as in ``record_card_pdf``."""
    return pdf_of(Document(f"Hand-over: {answer.job.title}", revision, (hand_over_section(answer, after),)), paper)


def inspection_pdf(
    answer: Answer, paper: str = "A4", revision: Revision = None, found: Sequence[Found] = (),
    photo_names: Mapping[str, str] | None = None,
) -> bytes:
    """Return the inspection form with the care page as PDF, filled in as far as ``found`` goes.

    ``photo_names`` are the names of photos that the job lists by their fingerprint.

    Raises UnknownName for the paper or for a finding on a panel that the job has not, and PaperError.
    """
    filled = any(is_filled(panel) for panel in answer.plan.panels)
    care = Section("Care", head_name(answer.job.title), (make.title(f"Care: {answer.job.title}"),
                                                         *care_blocks(filled)))
    sections = (inspection_section(answer, found, photo_names), care)
    return pdf_of(Document(f"Inspection: {answer.job.title}", revision, sections), paper)
