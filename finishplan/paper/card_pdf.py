"""The emergency card as one page of PDF, to fill in by hand and hang by the door and by the bench."""

from __future__ import annotations

from finishplan.paper import pdf_blocks as make
from finishplan.paper.pdf import pdf_of
from finishplan.paper.pdf_blocks import Block, Document, Section, head_name
from finishplan.safety.card import CardLine, emergency_card
from finishplan.wording import sentence

NAME = "Emergency card"
HANG = "Print it, fill it in, hang it by the door and by the bench."
NO_JOB = ""
"""What the head says of a revision: the card is of a shop, not of a job."""
SIZES_PT = (16, 15, 14.5, 14, 13.5, 13, 12.5, 12, 11.5, 11)
"""Sizes of print: it is read from a step away, in a hurry, so the largest that one page holds."""


def card_document(shop: str = "") -> Document:
    """Return the emergency card of a shop as one page."""
    lines = emergency_card()
    first = [line for line in lines if line.part == "first"]
    blocks = [
        make.title(NAME.upper(), HANG),
        *(make.sign((line.what, 1.0)) for line in lines if line.part == "fill in"),
        make.sign(("filled in by", 1.4), ("on", 1.0)),
        *(make.notice(f"{line.what}:", line.do) for line in first),
        card_table([line for line in lines if line.part == "do"]),
    ]
    return Document(NAME, NO_JOB, (Section(NAME, head_name(shop), (make.largest(blocks, SIZES_PT),)),))


def card_table(lines: list[CardLine]) -> Block:
    """Return what to do when something has happened, a row each."""
    return make.table(("What has happened", "What to do"), (1, 3.4),
                      [[make.bold(line.what), sentence(line.do)] for line in lines])


def card_pdf(paper: str = "A4", shop: str = "") -> bytes:
    """Return the emergency card as PDF. Raises UnknownName for the paper and PaperError."""
    return pdf_of(card_document(shop), paper)
