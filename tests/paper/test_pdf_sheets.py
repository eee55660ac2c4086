"""Bench sheets as PDF: everything that the sheet's record holds is on the page, in its size, and nothing more."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import printed
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from printed import needs_poppler, plain
from printed_sheets import in_sections

from finishplan import cli
from finishplan.bench.sheet import sheets_of
from finishplan.errors import UnknownName
from finishplan.paper import pdf, pdf_fonts
from finishplan.paper.pdf import PAPERS, PaperError, missing_in, pdf_of
from finishplan.paper.pdf_blocks import Document, Section, text, title
from finishplan.paper.sheets import sheet_document, sheet_pdf, whole_job_pdf
from finishplan.records.files import demo_job_path

SIDE = 33
"""Least margin at the sides in points."""
BODY, LARGE = 33, 72
"""Sizes in thirds of a point: 11 for the body, 24 for least readings."""


def one_page(*words: str) -> Document:
    return Document("Made for a test", None, (Section("Test", "job", (title("Title"), *(text(w) for w in words))),))


@needs_poppler
def test_a_panel_that_may_not_start_prints_no_step() -> None:
    answer = printed.demo()
    sheets = sheets_of(answer)
    parts = in_sections(printed.text_of(sheet_pdf(answer)), sheets)
    stopped = [(sheet, part) for sheet, part in zip(sheets, parts, strict=False) if sheet.state == "stop"]
    assert len(stopped) == 3
    for sheet, part in stopped:
        assert "DO NOT START" in part
        for zone in sheet.zones:
            assert zone.verdict.upper() in part
            assert all(plain(reason) in part for reason in (*zone.reasons, zone.first))
        assert "LEAST" not in part
        assert "Done when you see" not in part
        assert not re.search(r"\bP\d{3,4}\b", part), "no grade stands on it"
    assert "DO NOT START" not in "".join(part for sheet, part in zip(sheets, parts, strict=False)
                                         if sheet.state != "stop")


@needs_poppler
def test_least_readings_are_large_and_nothing_is_small() -> None:
    answer = printed.demo()
    found = printed.sized(sheet_pdf(answer))
    small = {(size, words.strip()) for size, words in found if size < BODY and words.strip()}
    assert all(size == 30 and words.isdecimal() for size, words in small), "10 points for the numbers in rings only"
    large = sorted(int(words) for size, words in found if size == LARGE and words.strip().isdecimal())
    least = [check.least_um for sheet in sheets_of(answer) for check in sheet.checks]
    least += [mark.least_um for sheet in sheets_of(answer) for work in sheet.local for mark in work.marks]
    assert large == sorted(least)


@needs_poppler
@pytest.mark.parametrize("name", printed.NAMES)
def test_no_micrometres_but_the_least_readings_and_no_price(name: str) -> None:
    answer = printed.worked(name)
    sheets = sheets_of(answer)
    for sheet, part in zip(sheets, in_sections(printed.text_of(sheet_pdf(answer)), sheets), strict=False):
        if sheet.state == "go":
            without = re.sub(r"LEAST \d+ um", "", part)
            assert not re.search(r"\b(um|µm|micron)", without), without
            assert not re.search(r"\b(price|EUR|USD)\b", without)


@needs_poppler
@pytest.mark.parametrize(("paper", "size"), [("A4", (595.3, 841.9)), ("Letter", (612.0, 792.0))])
def test_both_papers_and_nothing_leaves_the_page(paper: str, size: tuple[float, float]) -> None:
    found = printed.words(sheet_pdf(printed.demo(), paper))
    assert {(round(width, 1), round(height, 1)) for *_, width, height, _ in found} == {size}
    for x1, y1, x2, y2, width, height, word in found:
        assert x1 >= SIDE, word
        assert x2 <= width - SIDE, word
        assert y1 >= 18, word
        assert y2 <= height - 20, word


def test_another_paper_is_refused() -> None:
    with pytest.raises(UnknownName, match="paper is 'A5'; did you mean 'A4'"):
        sheet_pdf(printed.worked("satin"), "A5")


@needs_poppler
def test_pages_are_counted_by_panel() -> None:
    made = sheet_pdf(printed.demo(), revision=7)
    heads = printed.heads(made)
    assert len(heads) == printed.page_count(made)
    expected = [(n, m) for m in (of for n, of in heads if n == 1) for n in range(1, m + 1)]
    assert heads == expected
    sheets = sheets_of(printed.demo())
    pages = [m for n, m in heads if n == 1]
    assert len(pages) == len(sheets) + 2
    assert pages[0] <= 2, "the front page is one leaf, both sides"
    assert set(pages[1:]) == {1}, "one page a panel"
    text_now = printed.text_of(made)
    assert text_now.count("revision 7") == len(heads)
    assert printed.text_of(sheet_pdf(printed.demo())).count("revision ____") == len(heads)


def test_tagged_and_without_anything_that_acts() -> None:
    inside = printed.objects(sheet_pdf(printed.demo()))
    assert b"/StructTreeRoot" in inside
    assert re.search(rb"/MarkInfo ?<<[^>]*/Marked true", inside)
    assert b"pdfuaid:part" in inside
    assert b"/Lang" in inside
    for word in (b"/JavaScript", b"/JS", b"/Launch", b"/OpenAction", b"/AA", b"/URI", b"/EmbeddedFile", b"/AcroForm",
                 b"/SubmitForm", b"/CreationDate", b"/ModDate"):
        assert not re.search(word + rb"\b", inside), word


@needs_poppler
def test_black_alone_suffices() -> None:
    ppm = printed.run(sheet_pdf(printed.demo()), "pdftoppm", "-r", "30", "-")
    at = 0
    pages = 0
    while at < len(ppm):
        head = re.compile(rb"P6\s+(\d+)\s+(\d+)\s+255\s").match(ppm, at)
        assert head
        width, height = int(head[1]), int(head[2])
        pixels = np.frombuffer(ppm, np.uint8, width * height * 3, head.end()).reshape(-1, 3).astype(int)
        assert (np.ptp(pixels, axis=1) == 0).all()
        at, pages = head.end() + width * height * 3, pages + 1
    assert pages > 5


def test_same_bytes_in_two_processes(tmp_path: Path) -> None:
    job = str(demo_job_path())
    made = []
    for number, (seed, zone) in enumerate((("1", "UTC"), ("2", "Asia/Tokyo"))):
        path = tmp_path / f"{number}.pdf"
        done = subprocess.run(
            [sys.executable, "-W", "error", "-m", "finishplan", "sheet", job, "--pdf", str(path), "--paper", "Letter"],
            env={**os.environ, "PYTHONHASHSEED": seed, "TZ": zone}, capture_output=True, check=False, timeout=120)
        assert (done.returncode, done.stderr) == (1, b"")
        made.append(path.read_bytes())
    assert made[0] == made[1]
    assert made[0].startswith(b"%PDF-")


MARKUP = ('#let x = 1', '$ x^2 $', '*bold* _it_', '\\ back \\n', '"q" \'s\'', '@ref <label>', '`raw` ```', '// c',
          '/* c */', '[a] {b} (c)', '= head', '- item', '+ item', '/ term: x', 'https://example.org', '~ -- --- ...',
          '#panic("no")', '#sys.inputs', '#read("/etc/passwd")', '\u201cquotes\u201d')


@needs_poppler
@pytest.mark.parametrize("words", MARKUP)
def test_what_a_person_typed_is_printed_as_typed(words: str) -> None:
    assert words in printed.text_of(pdf_of(one_page(f"a {words} b")))


@needs_poppler
def test_markup_in_every_field_of_a_job_is_printed_as_typed() -> None:
    odd = '#let $x$ *b* \\ "q" <l>'
    answer = printed.answer(
        printed.panel(printed.zone(printed.SCRATCH | {"note": odd}, printed.NICK, name=odd), name=odd),
        title=odd, finish_id={"result": "polyester", "how": odd})
    found = printed.text_of(sheet_pdf(answer, revision=odd))
    assert found.count(odd) >= 4
    assert "revision #let $x$..." in found


@needs_poppler
@settings(max_examples=15)
@given(st.text("#$*_\\\"'`@<>[]{}()~/=+-^&|!?%;:., ab1\u00e9\u0416\u03a9", min_size=1, max_size=80))
def test_any_name_of_marks_and_letters_is_printed_letter_by_letter(name: str) -> None:
    made = printed.text_of(pdf_of(one_page(f"begin {name} end")))
    assert plain(f"begin {pdf_fonts.shapes_of(name)} end") in made


@needs_poppler
@settings(max_examples=15)
@given(st.text(min_size=1, max_size=40))
def test_any_name_at_all_makes_a_page_and_tells_what_it_lacks(name: str) -> None:
    document = one_page(name)
    found = printed.text_of(pdf_of(document))
    for letter in missing_in(document):
        assert letter.code in found
        assert letter.named in found


@needs_poppler
def test_a_missing_letter_is_told_on_the_page_and_by_the_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    raw = Path(printed.WORKED / "satin.job.json").read_text(encoding="utf-8")
    assert '"music desk"' in raw
    job, out = tmp_path / "j.json", tmp_path / "s.pdf"
    job.write_text(raw.replace('"music desk"', '"music desk \U0001F3B9"'), encoding="utf-8")
    assert cli.main(["sheet", str(job), "--pdf", str(out)]) == 0
    told = capsys.readouterr()
    assert told.out == f"{out} is written.\n"
    assert "finishplan: [U+1F3B9] musical keyboard, in 'music desk " in told.err
    assert told.err.count("\n") == 1
    found = printed.text_of(out.read_bytes())
    assert "music desk [U+1F3B9]" in found
    assert "Letters that no font here has are printed as their codes: [U+1F3B9] musical keyboard." in found


@needs_poppler
def test_five_scripts_stand_on_one_page() -> None:
    name = "Lid Крышка 蓋の上 뚜껑 ฝา"
    answer = printed.answer(printed.panel(name=name), title=name)
    found = printed.text_of(sheet_pdf(answer))
    assert found.count(name) >= 2
    assert missing_in(sheet_document(answer)) == ()


@needs_poppler
def test_the_longest_names_stay_on_the_page_and_stand_there_in_full() -> None:
    for letter in "pW\u0416\u84cb\u0e1d\u0915":
        name = letter * 200
        answer = printed.answer(printed.panel(printed.zone(printed.SCRATCH, name=name[:199]), name=name), title=name)
        made = sheet_pdf(answer)
        assert all(x2 <= width - SIDE and x1 >= SIDE for x1, _, x2, _, width, _, _ in printed.words(made)), letter
        assert printed.text_of(made).replace(" ", "").count(name) >= 1
        assert "..." in printed.text_of(made)


@needs_poppler
def test_two_hundred_marks_are_all_listed() -> None:
    marks = [{"kind": "nick", "depth_um": 3.0, "at": {"x": (k % 20 + 0.5) / 20, "y": (k // 20 + 0.5) / 10},
              "note": f"number {k}"} for k in range(200)]
    answer = printed.answer(printed.panel(printed.zone(*marks), size_m={"width": 1.0, "height": 0.5}))
    found = printed.text_of(sheet_pdf(answer))
    assert [k for k in range(200) if not re.search(rf"\bnumber {k}\b", found)] == []
    assert "find them by place" in found
    assert "200: too many for one page, all in the table after the work, which goes on over the next pages" in found
    pages = found.split("\f")
    assert all("Mark What Zone Place" in page for page in pages if re.search(r"number \d+ ", page)), "heads repeat"


@needs_poppler
def test_no_readings_at_all() -> None:
    bare = {"name": "field", "area_m2": 0.5}
    answer = printed.answer(printed.panel({**bare, "defects": [printed.SCRATCH]}, name="scratched"),
                            printed.panel({**bare, "defects": [{"kind": "swirls"}]}, name="swirled"))
    sheets = sheets_of(answer)
    first, second, _ = in_sections(printed.text_of(sheet_pdf(answer)), sheets)
    assert [sheet.state for sheet in sheets] == ["stop", "stop"]
    assert "Read at new places, and mark them, um:" in first
    assert "MEASURE FIRST" in second


@needs_poppler
def test_a_visit_at_the_customers_prints_too() -> None:
    answer = printed.answer(printed.panel(printed.zone(printed.SCRATCH, printed.NICK), name="lid"),
                            site={"kind": "home"})
    assert answer.notes
    assert "lid" in printed.text_of(sheet_pdf(answer))
    whole = " ".join(printed.text_of(whole_job_pdf(answer)).split())
    assert all(plain(note) in whole for note in answer.notes)


def test_sixty_panels_print() -> None:
    answer = printed.answer_without_why(*[printed.panel(name=f"part {k}") for k in range(60)])
    made = sheet_pdf(answer)
    assert printed.page_count(made) >= 61


@needs_poppler
def test_a_letter_that_cannot_be_shown_after_all_is_coded(monkeypatch: pytest.MonkeyPatch) -> None:
    """The check of letters is switched off: the typesetter's own finding leads to the same page."""
    monkeypatch.setattr(pdf_fonts, "without_glyph", lambda text: frozenset())
    assert "lid [U+1F3B9] top" in printed.text_of(pdf_of(one_page("lid \U0001F3B9 top")))


def test_a_layout_that_breaks_is_a_typed_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf, "layout_of", lambda name: b'#panic("torn")')
    with pytest.raises(PaperError, match=r'the page cannot be set \(panicked with: torn\); please report this'):
        pdf_of(one_page("a"))


def test_papers_are_those_of_the_shop_file() -> None:
    from finishplan.shop.profile import apply_shop, default_profile

    base = {"format": "finishplan-shop", "version": 1}
    for paper in PAPERS:
        assert apply_shop(default_profile(), {**base, "paper": paper}).file.paper == paper


@pytest.mark.parametrize(("options", "said"), [
    (["--pdf", "sheet.txt"], "--pdf is 'sheet.txt'; name a file that ends in .pdf"),
    (["--paper", "A4"], "--paper is 'A4'; it goes with --pdf FILE; text has no paper"),
    (["--pdf", "x.pdf", "--paper", "A5"], "paper is 'A5'; did you mean 'A4'? choose one of: A4, Letter"),
])
def test_wrong_options_are_told_and_write_nothing(
    options: list[str], said: str, capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert cli.main(["sheet", str(printed.WORKED / "satin.job.json"), *options]) == 2
    assert capsys.readouterr().err == f"finishplan: {said}\n"
    assert list(tmp_path.iterdir()) == []


def test_the_shops_paper_is_used(tmp_path: Path) -> None:
    shop = tmp_path / "shop.json"
    shop.write_text('{"format": "finishplan-shop", "version": 1, "paper": "Letter"}', encoding="utf-8")
    out = tmp_path / "s.pdf"
    assert cli.main(["sheet", str(printed.WORKED / "satin.job.json"), "--shop", str(shop), "--pdf", str(out)]) == 0
    assert re.search(rb"/MediaBox ?\[0 0 612 792\]", printed.objects(out.read_bytes()))
