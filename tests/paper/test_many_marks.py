"""A panel with 200 marks, and names without a place to break: in few words, and everything is still said."""

from __future__ import annotations

import re
from collections.abc import Callable

import printed
import pytest
from drawn import overlaps, texts
from printed import needs_poppler

from finishplan.bench.places import letter_of
from finishplan.paper import lines
from finishplan.paper.panel import panel_drawing
from finishplan.paper.sheets import hand_over_pdf, sheet_document, whole_job_pdf
from finishplan.paper.sheets_marks import letter_runs, place_of
from finishplan.workup import Answer

COUNT = 200
NAME = "W" * 200


def crowded() -> Answer:
    marks = [{"kind": "nick", "depth_um": 3.0, "at": {"x": (k % 20 + 0.5) / 20, "y": (k // 20 + 0.5) / 10}}
             for k in range(COUNT)]
    return printed.answer_without_why(
        printed.panel(printed.zone(*marks), name="lid", size_m={"width": 1.0, "height": 0.5}),
        printed.panel(printed.zone(printed.SCRATCH, name="p" * 150), name=NAME))


def test_letters_are_counted_as_they_are_given() -> None:
    assert [place_of(letter_of(place)) for place in range(800)] == list(range(800))
    assert letter_runs([letter_of(place) for place in (0, 2, 3, 4, 5, 30)]) == ["a", "c to f", "ae"]


def test_entries_alike_stand_in_one_row_of_the_plan() -> None:
    rows = lines.defect_rows(crowded().plan.panels[0])
    assert len(rows) == 1 and rows[0][1] == "nick; 200 entries alike" and rows[0][4].endswith(" each")
    assert len(lines.defect_rows(crowded().plan.panels[1])) == 1


def test_the_drawing_counts_what_it_has_no_room_to_name() -> None:
    svg = panel_drawing(crowded().job.panels[0])
    said = " ".join(words for words, _ in texts(svg))
    named = sum(words == "nick" for words, _ in texts(svg))
    assert f"nick ({COUNT - named} times)" in said and overlaps(svg) == []


@needs_poppler
def test_paper_says_alike_marks_once_with_their_number() -> None:
    answer = crowded()
    last = letter_of(COUNT - 1)
    assert f"a to {last} nick ({COUNT})" in printed.text_of(whole_job_pdf(answer))
    assert f"({COUNT} times)" in printed.text_of(hand_over_pdf(answer))
    assert f"'facts': ['a to {last}'" in str(sheet_document(answer))


def words_by_page(pdf: bytes) -> list[list[tuple[float, float, float, float, str]]]:
    html = printed.run(pdf, "pdftotext", "-bbox", "-", "-").decode("utf-8")
    found = re.compile(r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>')
    return [[(float(a), float(b), float(c), float(d), word.replace("\u200b", "")) for a, b, c, d, word in
             found.findall(page)] for page in html.split("<page ")[1:]]


@needs_poppler
@pytest.mark.parametrize("make", [whole_job_pdf, hand_over_pdf], ids=["whole job", "hand-over"])
def test_a_name_without_spaces_stays_in_its_cell(make: Callable[[Answer], bytes]) -> None:
    """No word of one column of a table runs into the next."""
    wide = 0
    for page in words_by_page(make(crowded())):
        for x1, y1, x2, y2, word in page:
            if word.startswith("WWW"):
                wide += 1
                assert [other for a, b, c, d, other in page if not other.startswith("W") and a < x2 - 0.5
                        and x1 < c - 0.5 and b < y2 - 3 and y1 < d - 3] == []
    assert wide > 3
