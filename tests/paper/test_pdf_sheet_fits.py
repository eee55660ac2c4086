"""Bench sheets: one page a panel where a page holds it, and nothing is lost between sheet and front page."""

from __future__ import annotations

import printed
import pytest
from printed import needs_poppler, plain
from printed_sheets import front_and_parts, in_sections, told, unbroken

from finishplan.bench.sheet import sheets_of
from finishplan.paper.pdf import PAPERS
from finishplan.paper.sheets import sheet_pdf


@needs_poppler
@pytest.mark.parametrize("name", [*printed.NAMES, "demo"])
def test_every_sheet_says_all_that_its_record_holds(name: str) -> None:
    answer = printed.demo() if name == "demo" else printed.worked(name)
    sheets = sheets_of(answer)
    front, parts = front_and_parts(printed.text_of(sheet_pdf(answer)), sheets)
    for sheet, page in zip(sheets, parts, strict=False):
        on_front, held = told(sheet)
        for where, texts in ((front, on_front), (page, held), (front + page, sheet.not_here)):
            for wanted in texts:
                if wanted != "any of the four stops":
                    assert unbroken(wanted) in unbroken(where).replace("_", ""), wanted


@needs_poppler
@pytest.mark.parametrize("paper", PAPERS)
def test_every_panel_of_demo_and_grand_takes_one_page(paper: str) -> None:
    for answer in (printed.demo(), printed.grand()):
        heads = printed.heads(sheet_pdf(answer, paper))
        pages = [m for n, m in heads if n == 1]
        assert pages == [2, *[1] * len(answer.plan.panels), 1], "front page, a page a panel, ten rules"
    assert len(answer.plan.panels) == 14
    assert answer.plan.all_go


@needs_poppler
def test_a_sheet_has_as_much_of_its_own_as_there_is_room_for() -> None:
    """With room the way of working stands in each row; without, the row names the front page's line."""
    few, many = (printed.answer(printed.panel(printed.zone(printed.PEEL, *more))) for more in (
        (), [printed.NICK | {"note": f"nick {k}, near the middle of the part"} for k in range(6)]))
    said = []
    for answer in (few, many):
        sheets = sheets_of(answer)
        said.append(in_sections(printed.text_of(sheet_pdf(answer)), sheets)[0])
        assert "Goes on overleaf" not in said[-1]
    how = plain(sheets[0].rows[0].how)
    assert how in said[0]
    assert "How: First sheet" not in said[0]
    assert how not in said[1]
    assert "How: First sheet" in said[1]


@needs_poppler
def test_a_sheet_that_no_page_holds_says_so_and_loses_nothing() -> None:
    zones = [printed.zone(printed.PEEL, printed.NICK, printed.SCRATCH, name=f"field {k}") for k in range(7)]
    answer = printed.answer(printed.panel(*zones))
    sheets = sheets_of(answer)
    made = sheet_pdf(answer)
    _, (page, _) = front_and_parts(printed.text_of(made), sheets)
    assert "This sheet does not fit one page: it goes on overleaf." in page
    assert (2, 3) in printed.heads(made)
    for wanted in told(sheets[0])[1]:
        if wanted != "any of the four stops":
            assert plain(wanted).casefold() in page.casefold().replace("_", ""), wanted
