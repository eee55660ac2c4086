"""The printed pages of a job, each as PDF: bench sheets, whole job, materials, record card, hand-over, inspection."""

from __future__ import annotations

from finishplan.bench.sheet import sheets_of
from finishplan.bench.sheet_rules import ten_rules
from finishplan.paper import pdf_blocks as make
from finishplan.paper.pdf import pdf_of
from finishplan.paper.pdf_blocks import Document, Section, head_name
from finishplan.paper.sheets_panel import panel_section
from finishplan.workup import Answer

Revision = int | str | None


def sheet_document(answer: Answer, revision: Revision = None) -> Document:
    """Return the bench sheets of a job, one panel after the other, then the ten rules for the wall."""
    sections = [panel_section(sheet, panel)
                for sheet, panel in zip(sheets_of(answer), answer.job.panels, strict=True)]
    rules = Section("Ten rules of the bench", head_name(answer.job.title), (
        make.title("Ten rules of the bench"),
        make.wall(ten_rules()),
    ))
    return Document(f"Bench sheets: {answer.job.title}", revision, (*sections, rules))


def sheet_pdf(answer: Answer, paper: str = "A4", revision: Revision = None) -> bytes:
    """Return the bench sheets of a job as PDF. Raises UnknownName for the paper and PaperError."""
    return pdf_of(sheet_document(answer, revision), paper)
