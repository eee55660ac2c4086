"""The emergency card on paper: one page, all its lines, in print as large as the page holds."""

from __future__ import annotations

import re
from pathlib import Path

import printed
import pytest
from printed import needs_poppler

from finishplan import cli
from finishplan.errors import UnknownName
from finishplan.paper.card_pdf import card_pdf
from finishplan.records.files import demo_job_path
from finishplan.safety.card import emergency_card


@needs_poppler
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_one_page_with_every_line_of_the_card(paper: str) -> None:
    made = card_pdf(paper, "Our bench (invented)")
    assert printed.heads(made) == [(1, 1)] and made == card_pdf(paper, "Our bench (invented)")
    said = printed.text_of(made)
    for line in emergency_card():
        assert printed.plain(line.what) in said and printed.plain(line.do) in said, line.what
    assert "EMERGENCY CARD" in said and "Our bench (invented)" in said and "revision" not in said
    for x1, y1, x2, y2, width, height, word in printed.words(made):
        assert x1 >= 33 and x2 <= width - 33 and y1 >= 18 and y2 <= height - 20, word


@needs_poppler
def test_it_is_read_from_a_step_away() -> None:
    body = [size for size, words in printed.sized(card_pdf()) if "Down, roll, smother" in words]
    assert body and min(body) >= 3 * 13, "13 points or more"


def test_tagged_and_without_anything_that_acts() -> None:
    inside = printed.objects(card_pdf())
    assert b"/StructTreeRoot" in inside and b"pdfuaid:part" in inside
    for word in (b"/JavaScript", b"/Launch", b"/OpenAction", b"/URI", b"/AcroForm", b"/CreationDate"):
        assert not re.search(word + rb"\b", inside), word


def test_another_paper_is_refused() -> None:
    with pytest.raises(UnknownName, match="choose one of: A4, Letter"):
        card_pdf("A3")


@needs_poppler
def test_the_command_writes_it(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    out = tmp_path / "card.pdf"
    assert cli.main(["safety", str(demo_job_path()), "--card-pdf", str(out), "--paper", "Letter"]) == 1
    told = capsys.readouterr()
    assert (told.out, told.err) == (f"{out} is written.\n", "")
    assert re.search(rb"/MediaBox ?\[0 0 612 792\]", printed.objects(out.read_bytes()))
