"""The quote on paper: two pages, tagged, the same bytes again, and the numbers of the text and the JSON."""

from __future__ import annotations

import json
import re
import subprocess
from datetime import date
from pathlib import Path

import pytest
from printed import objects, sized

from finishplan import cli
from finishplan.errors import UnknownName
from finishplan.office.quote import Quote
from finishplan.office.quote_tables import as_data
from finishplan.office.quote_work import work_up_quote
from finishplan.paper.quote_pdf import quote_pdf, quote_pictures
from finishplan.records.files import demo_job_path, demo_shop_path, read_file
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict
from finishplan.wording import film_words

DAY = date(2026, 6, 1)


def made(raw: dict[str, object] | None = None, terms: dict[str, object] | None = None) -> Quote:
    shop = read_file(demo_shop_path())
    shop["quote"] = {**shop["quote"], **(terms or {})}
    job = read_job_dict({**read_file(demo_job_path()), **(raw or {})})
    return work_up_quote(job, apply_shop(default_profile(), shop), DAY)[0]


@pytest.fixture(scope="module")
def demo() -> Quote:
    return made({"customer": "nobody (invented)"}, {"shop_text": "Keys stay with us.", "sand_through_text": "Ours."})


def text_of(pdf: bytes, folder: Path, page: int | None = None) -> str:
    path = folder / "quote.pdf"
    path.write_bytes(pdf)
    pages = [] if page is None else ["-f", str(page), "-l", str(page)]
    done = subprocess.run(["pdftotext", "-layout", *pages, str(path), "-"], capture_output=True, check=True)
    return " ".join(done.stdout.decode().split())


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_two_pages_tagged_and_the_same_bytes_again(demo: Quote, paper: str, tmp_path: Path) -> None:
    first = quote_pdf(demo, paper)
    assert first == quote_pdf(demo, paper)
    path = tmp_path / "quote.pdf"
    path.write_bytes(first)
    told = subprocess.run(["pdfinfo", str(path)], capture_output=True, check=True).stdout.decode()
    assert re.search(r"Pages:\s+2\n", told) and re.search(r"Tagged:\s+yes", told)
    assert ("A4" if paper == "A4" else "letter") in told
    fonts = subprocess.run(["pdffonts", str(path)], capture_output=True, check=True).stdout.decode().splitlines()[2:]
    assert fonts and all(line.split()[-5] == "yes" for line in fonts), "every font is carried"


def test_page_one_holds_options_and_price_page_two_scope_terms_and_acceptance(demo: Quote, tmp_path: Path) -> None:
    one, two = (text_of(quote_pdf(demo), tmp_path, page) for page in (1, 2))
    for words in ("Estimate", "nobody (invented)", "buff only", "level every seen face", "sand-through", "Total"):
        assert words in one
    for words in ("Scope of: repair what shows", "we count on", "Not in the price", "Local law first", "Ours.",
                  "Keys stay with us.", "I have read this offer", "Name, signature"):
        assert words in two
    assert not re.search(r"\b(margin|loss|cost)\b", one + two), "the owner's view is never printed"


def test_pdf_and_json_carry_the_same_prices(demo: Quote, tmp_path: Path) -> None:
    said = text_of(quote_pdf(demo), tmp_path)
    for option in as_data(demo)["options"]:
        assert f"€{float(option['price']['total']):,.2f}" in said
    for line in as_data(demo)["options"][1]["price"]["lines"]:
        assert f"€{float(line['amount']):,.2f}" in said


def test_what_people_type_is_never_markup(tmp_path: Path) -> None:
    odd = made({"customer": "#panic() *x* $y$ <z> \\"}, {"shop_text": "= no heading\n#let a = 1"})
    said = text_of(quote_pdf(odd), tmp_path)
    assert "#panic() *x* $y$ <z> \\" in said and "#let a = 1" in said


def test_a_whole_grand_of_21_panels_is_two_pages_and_names_every_panel(tmp_path: Path) -> None:
    panels = read_file(demo_job_path())["panels"]
    many = made({"panels": [{**panel, "name": f"{panel['name']} {k}"} for k in range(3) for panel in panels]})
    said = quote_pdf(many, "Letter")
    assert "page 2 of 2" in text_of(said, tmp_path, 2)
    two = text_of(said, tmp_path, 2)
    assert len(many.scope) == 21 and all(line.panel.split(",")[0] in two for line in many.scope)
    for statement in many.film:
        named = rf"{re.escape(statement.film.panel)}(; [^;]+?)* {film_words(statement.film.now_um)} "
        assert re.search(named, two), "panels of the same figures stand in one line"


def parts(count: int, *defects: list[dict[str, object]]) -> list[dict[str, object]]:
    """Panels of an invented instrument, each with readings of its own and the damage of its turn."""
    return [{"name": f"part {k + 1}", "off": True, "zones": [{
        "name": "field", "area_m2": 0.3 + 0.01 * k, "defects": defects[k % len(defects)],
        "readings": [{"um": 360 + 7 * (k % 11) + j, "spot": j + 1} for j in range(5)]}]} for k in range(count)]


ORDINARY: list[list[dict[str, object]]] = [
    [{"kind": "scratch", "count": 2, "depth_um": 20.0, "length_mm": 60}], [{"kind": "swirls", "depth_um": 2.0}],
    [{"kind": "nick", "depth_um": 230.0, "width_mm": 2.0, "length_mm": 3}, {"kind": "fine_scratch", "depth_um": 6.0}],
    [{"kind": "orange_peel", "depth_um": 15.0}]]
KINDS = ("scratch", "dull_area", "etch", "swirls", "fine_scratch")


def test_sixty_damaged_panels_of_a_few_kinds_are_two_pages_with_every_panel_and_film(tmp_path: Path) -> None:
    many = made({"panels": parts(60, *ORDINARY), "services": [], "test_spot": None, "hardware": []})
    for paper in ("A4", "Letter"):
        pdf = quote_pdf(many, paper)
        one, two = text_of(pdf, tmp_path, 1), text_of(pdf, tmp_path, 2)
        assert "page 2 of 2" in two
        words = re.sub(r"[;(),:]", " ", two).split()
        assert [k for k in range(1, 61) if str(k) not in words] == []
        for film in (statement.film for statement in many.film):
            assert f"{film.panel} ({film_words(film.now_um)}, {film_words(film.counted_um)})" in two
        assert "30 scratches" in one and "Damage is added up over all panels" in one


def test_what_two_pages_cannot_hold_stands_in_an_annex_that_page_two_names(tmp_path: Path) -> None:
    """Sixty panels, no two of the same damage: nothing is left out, nothing in smaller print."""
    odd = [[{"kind": kind, "count": 1 + k, "depth_um": 2.0 + k / 10, **({"length_mm": 50} if "scratch" in kind else {})}
            for kind in KINDS if (k >> KINDS.index(kind)) % 2 or kind == KINDS[k % 5]] for k in range(60)]
    many = made({"panels": parts(60, *odd), "services": [], "test_spot": None, "hardware": []})
    pdf = quote_pdf(many)
    pages = int(re.search(r"page 2 of (\d+)", text_of(pdf, tmp_path, 2))[1])  # type: ignore[index]
    assert pages > 2
    two = text_of(pdf, tmp_path, 2)
    assert "stands in the annex after this page, which belongs to this offer" in two
    assert "Name, signature" in two, "what is signed stays on page two"
    annex = " ".join(text_of(pdf, tmp_path, page) for page in range(3, pages + 1))
    assert "Annex to this offer" in annex and "Name, signature" not in annex
    for line in many.scope:
        assert " ".join(line.text.split()) in annex, line.panel
    sizes = sorted({round(size / 3, 1) for size, words in sized(pdf) if words.strip()})
    assert sizes[0] >= 8.5
    assert len(quote_pictures(many)) == pages


def test_long_terms_go_on_overleaf_and_nothing_is_lost(tmp_path: Path) -> None:
    names = ("shop_text", "warranty_text", "payment_text", "sand_through_text")
    words = {name: [f"{name[:4]}{k}" for k in range(200)] for name in names}
    said = text_of(quote_pdf(made(terms={name: " ".join(found) for name, found in words.items()})), tmp_path).split()
    assert {word for found in words.values() for word in found} <= set(said)
    assert "signature" in said


def test_the_pictures_are_of_the_same_two_pages(demo: Quote) -> None:
    pages = quote_pictures(demo)
    assert len(pages) == 2 and all(page.startswith("<svg") for page in pages)


def test_nothing_in_it_acts(demo: Quote) -> None:
    inside = objects(quote_pdf(demo))
    for word in (b"/JavaScript", b"/JS", b"/Launch", b"/OpenAction", b"/AA", b"/URI", b"/EmbeddedFile", b"/AcroForm",
                 b"/SubmitForm", b"/CreationDate", b"/ModDate"):
        assert not re.search(word + rb"\b", inside), word


def test_an_unknown_paper_is_named(demo: Quote) -> None:
    with pytest.raises(UnknownName, match="choose one of: A4, Letter"):
        quote_pdf(demo, "A3")


def test_the_command_writes_the_pdf_on_the_shop_s_paper(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    shop = tmp_path / "our.shop.json"
    shop.write_text(json.dumps({**read_file(demo_shop_path()), "paper": "Letter"}), encoding="utf-8")
    out = tmp_path / "quote.pdf"
    asked = ["quote", str(demo_job_path()), "--shop", str(shop), "--start", "2026-06-01", "--pdf", str(out)]
    assert cli.main(asked) == 1
    said = capsys.readouterr()
    assert said.out == f"{out} is written.\n" and said.err == ""
    assert "612 x 792" in subprocess.run(["pdfinfo", str(out)], capture_output=True, check=True).stdout.decode()
